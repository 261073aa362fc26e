"""Starting the program: what is settled before Qt is loaded, and the first window.

Imports everything else of the window.
"""
