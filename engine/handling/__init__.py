"""What arms, steel and a hung load do by themselves, and what a person must push: drift, hand force, sag, clearance.

Imports everything up to `worst_case`.
"""
