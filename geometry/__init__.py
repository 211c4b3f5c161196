"""What the parts are, and their exact shapes, in millimetres."""

VERSION = "0.1.0"
