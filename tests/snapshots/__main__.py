"""Records what ``check --json`` says of every pose of every sample rig."""

from tests.snapshots.recording import names, record

for name in names():
    record(name)
