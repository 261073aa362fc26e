"""What everything else stands on: errors, units, vectors and frames, intervals, formatting, delayed imports.

Knows nothing of trucks, rigs or steel.  Imports nothing of ours.
"""
