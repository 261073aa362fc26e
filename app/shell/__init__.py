"""The main window: puts the parts together and connects them.

Imports everything up to `papers`.
"""
