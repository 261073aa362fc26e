"""Sample rigs read once in a process, so that all its tests ask about the very same ones.

The engine remembers by identity what it has worked out of a rig (``engine.base.identity``): limits of a rig read twice
are recorded and compiled twice.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from pathlib import Path

from engine.schema import rig_file
from engine.schema.model import Job

ROOT = Path(__file__).resolve().parent.parent
SAMPLE_PATHS = tuple(sorted((ROOT / "sample_rigs").glob(f"*{rig_file.SUFFIX}")))


_READ: list[Job] = []


@functools.cache
def read_once(path: Path) -> Job:
    """The job in a file that no test writes to."""
    _READ.append(rig_file.read(path))
    return _READ[-1]


def are_shared(parts: Sequence[object]) -> bool:
    """Whether truck, rig, load, policy and approval are those of a rig that was read once."""
    return any(
        all(
            part is one
            for part, one in zip(parts, (job.truck, job.rig, job.load, job.policy, job.approval), strict=True)
        )
        for job in _READ
    )


def sample(name: str) -> Job:
    """A sample rig by its name."""
    return read_once(ROOT / "sample_rigs" / f"{name}{rig_file.SUFFIX}")


def by_hand(name: str) -> Job:
    """A rig that sums done by hand are about (``tests/rigs``), in round millimetres and kilograms."""
    return read_once(ROOT / "tests" / "rigs" / f"{name}{rig_file.SUFFIX}")


PLATED_PATHS = tuple(path for path in SAMPLE_PATHS if read_once(path).truck.plate is not None)
"""Those whose truck has a plate; without one there is no verdict to look at."""
