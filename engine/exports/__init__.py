"""What leaves the program for machines and other programs: drawings to cut by, and lists.

Each module makes the bytes of files, by their names; whoever asks for them writes them.
"""
