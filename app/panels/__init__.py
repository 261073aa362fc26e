"""Panels next to the drawing: each receives values and paints or edits them.

Imports everything up to `canvas`.
"""
