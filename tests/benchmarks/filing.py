"""Opening and saving a rig file, against the same bytes parsed and written by the barest means."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

from engine.schema import rig_file
from tests.benchmarks.effort import Effort
from tests.benchmarks.rigs import largest, path_of
from tests.benchmarks.table import Ratio, Row, row_of
from tests.benchmarks.timing import turn_by_turn

GROUP = "Files"


def measure(effort: Effort) -> Iterator[Row]:
    """Rows of this group."""
    name, job = largest()
    with tempfile.TemporaryDirectory() as folder:
        path, bare = Path(folder) / f"rig{rig_file.SUFFIX}", Path(folder) / "bare.json"
        data = path_of(name).read_bytes()
        path.write_bytes(data)
        encoded = rig_file.encode(job)
        times = turn_by_turn(
            {
                "open": lambda: rig_file.read(path),
                "bare open": lambda: json.loads(path.read_bytes()),
                "save": lambda: rig_file.write(job, path),
                "bare save": lambda: _write(bare, encoded),
            },
            effort.files,
        )
    size = f"{len(data) / 1000:.0f} kB"
    yield row_of(
        GROUP,
        f"open a rig file, {size}",
        times["open"],
        [Ratio(times["open"].over(times["bare open"]), "read and parsed, unchecked")],
    )
    yield row_of(
        GROUP,
        f"save a rig file, {size}",
        times["save"],
        [Ratio(times["save"].over(times["bare save"]), "the same bytes forced to disk and renamed")],
    )


def _write(path: Path, data: bytes) -> None:
    """New file beside the old one, forced to disk, renamed: the least a save must do."""
    fresh = path.with_suffix(".new")
    with fresh.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(path)
