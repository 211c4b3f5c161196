"""Formulas of the field as pure functions over floats or arrays, each with its source."""
