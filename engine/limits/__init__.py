"""Every limit of a pose gathered in one list: balance, plate, strength, and the maker's approval.

Imports `base`, `schema`, `rig` and `strength`.
"""
