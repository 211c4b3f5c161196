"""The checks: each module here is read once and its decorated functions are the checks."""
