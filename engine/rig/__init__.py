"""The truck and rig as bodies in space: a job and a pose turned into frames, weights, forces and deflections.

`check` holds the two types that every limit hands on.  Imports `base` and `schema`.
"""
