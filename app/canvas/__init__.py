"""Side view and plan strip: painters, items, handles and gestures."""
