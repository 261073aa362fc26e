"""Starting the program: what is settled before Qt is there, and the first window.

Imports everything else of the window.
"""
