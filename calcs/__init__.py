"""Whether it works: formulas, checks and clearance, in coherent SI units."""
