"""Verdicts explained to a person, and the numbers that the papers print.

Imports everything up to `planning`.
"""
