"""Thread families as data: one TOML file each."""
