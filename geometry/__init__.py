"""What the parts are, and their exact shapes, in millimetres."""
