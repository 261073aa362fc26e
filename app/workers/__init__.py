"""Work kept off the main thread: the background process, what it is asked, machine code made ahead of need.

Imports `look` and `documents`.
"""
