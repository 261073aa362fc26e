"""Side view and plan strip: painters, items, handles and gestures.

Imports `look`, `documents` and `workers`.
"""
