"""Papers drawn by the same painters as the canvas.

Imports everything up to `panels`.
"""
