"""The command line, and the engine's answers as text and JSON.

Imports everything else in the engine.
"""
