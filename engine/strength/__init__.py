"""Strength of every part along the load path, one module per part."""
