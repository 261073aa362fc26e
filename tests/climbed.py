"""The worst use of every limit of a pose as lists of limits show it: each climbed by itself."""

from __future__ import annotations

from engine.base.geometry import Array
from engine.limits.all_limits import find_checks
from engine.rig.deflection import with_bending
from engine.rig.kinematics import Figures
from engine.schema.model import Job, Pose
from engine.worst_case.corner_search import nominal_uses, worst_of_poses
from engine.worst_case.each_limit import use_of_each_limit
from engine.worst_case.evaluator import evaluator_of
from engine.worst_case.uncertain_inputs import Entry, entries_of
from engine.worst_case.uncertainty_box import box_around

MISSED = 0.002
"""Points of use, or a share of the use over 1, that a climb may miss (`test_each_limit.BEYOND`)."""


def climbed(job: Job, pose: Pose, numbers: Figures, entries: tuple[Entry, ...] | None = None) -> Array:
    """Worst use of every limit (limits)."""
    numbers = with_bending(job, numbers)
    box = box_around(job, numbers, entries_of(job, pose, numbers) if entries is None else entries)
    evaluator = evaluator_of(job, numbers)
    worst = worst_of_poses(box, nominal_uses(find_checks(job, numbers)), evaluator)
    return use_of_each_limit(box, worst, evaluator)
