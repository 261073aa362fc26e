"""The open job and its file: document, undo, saving, recent files, recovery, changes made elsewhere.

Imports `look`.
"""
