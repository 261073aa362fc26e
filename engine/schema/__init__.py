"""The job as data: what a person enters, what a rig file holds, and the tables entries are chosen from.

The types are the file format.  Also here: cross-sections, steel, stock sizes, uncertainty bands, start values,
validation, and reading and writing rig files.  Imports `base`.
"""
