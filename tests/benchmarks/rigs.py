"""The rigs that are measured."""

from __future__ import annotations

from pathlib import Path

import msgspec

from engine.schema import rig_file
from engine.schema.model import Job
from engine.shop import edits
from engine.worst_case.verdict import evaluate
from tests.benchmarks.timing import lap_of

ROOT = Path(__file__).resolve().parents[2]
CANDIDATES = ("skerry_point_boatyard", "cold_spring_vineyard")
WITH_A_MOVE = "cold_spring_vineyard"
OVER_A_LIMIT = "halden_pipe_organs"
MOST_ARMS = 6
SHORT_ARM_M = 0.3
"""Six of these stay over the load the truck can stand."""


def path_of(name: str) -> Path:
    """File of a sample rig."""
    return ROOT / "sample_rigs" / f"{name}.rig.json"


def sample(name: str) -> Job:
    """A sample rig."""
    return rig_file.read(path_of(name))


def largest() -> tuple[str, Job]:
    """The sample rig with the most limits; of two with as many the one that takes longer."""

    def size(name: str) -> tuple[int, float]:
        job = sample(name)
        checks = len(evaluate(job, job.poses[0]).checks)
        return checks, min(lap_of(lambda: evaluate(job, job.poses[0])).processor_s for _ in range(8))

    name = max(CANDIDATES, key=size)
    return name, sample(name)


def with_arms() -> tuple[Job, ...]:
    """One rig with no arm to six, each arm like the others."""
    job = sample(CANDIDATES[1])
    while len(job.rig.arms) > 1:
        job = edits.remove_arm(job, len(job.rig.arms) - 1)
    job = edits.set_value(job, "rig.arms[0].length_m", SHORT_ARM_M)
    job = msgspec.structs.replace(job, poses=job.poses[:1], moves=())
    jobs = [edits.remove_arm(job, 0), job]
    while len(jobs) <= MOST_ARMS:
        jobs.append(edits.add_arm(jobs[-1]))
    return tuple(jobs)
