"""Panels beside the drawing: each receives values and paints or edits them."""
