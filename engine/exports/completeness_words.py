"""Whether every joint of a rig is entered, and what its files say where one is not."""

from __future__ import annotations

from engine.rig.completeness import not_entered
from engine.schema.model import Job

NOT_COMPLETE = "NOT COMPLETE: a joint is not entered. Do not build from this."


def is_not_complete(job: Job) -> bool:
    """Whether some pose has a part of its load path that is not entered."""
    return any(not_entered(job, pose) for pose in job.poses)
