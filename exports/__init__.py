"""What leaves the house: files and reports."""
