"""Planning by asking for the limits over many poses: load chart, reach map, move, remedy, stock search, stopping.

Imports everything up to `shop`.
"""
