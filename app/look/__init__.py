"""How the window looks and speaks: colours, the room a text takes, message boxes.

Imports nothing else of the window.
"""
