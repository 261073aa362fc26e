"""Work kept off the main thread: the background process, its questions, machine code compiled ahead of need.

Imports `look` and `documents`.
"""
