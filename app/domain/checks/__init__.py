"""Checks: rules as data, and the functions that read them."""
