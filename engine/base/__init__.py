"""What everything else stands on: errors, units, vectors and frames, intervals, formatting, delayed imports.

Knows nothing of trucks, rigs or steel.  Imports nothing of ours.  `units` is the one module that knows pint, and the
rest of the engine's core never imports it.
"""
