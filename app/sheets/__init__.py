"""Papers drawn by the same painters as the canvas."""
