"""The worst case over every uncertain entry, and the verdict that follows from it.

Imports `base`, `schema`, `jit`, `rig`, `strength` and `limits`.
"""
