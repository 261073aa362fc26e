"""What ``check --json`` says of every pose of every sample rig, recorded: restructuring changes none of it.

``python -m tests.snapshots`` records anew.  Do that only in a commit that means to change what is said, and read
the difference of the recorded files before you commit it.
"""
