"""Mutants: faults put into the code on purpose, to see whether a test notices them.

``python -m tests.mutants`` applies every mutant of `catalogue` in a temporary copy of the tree, runs the tests of its
area and prints which were killed (a test failed) and which survived.  ``--sample 60`` draws that many mutants at random
from each area instead (`sampling`: operators, constants and swapped names, found in the syntax tree).
"""
