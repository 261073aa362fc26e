"""Formulas recorded into a trace, and the trace turned into machine code or NumPy calls.

A library of its own: it knows formulas and arrays, and nothing of what they describe.  Imports `base`.
"""
