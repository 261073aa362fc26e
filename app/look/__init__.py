"""How the window looks and speaks: colours, fonts, the size of texts, message boxes.

Imports nothing else of the window.
"""
