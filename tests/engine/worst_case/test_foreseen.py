"""Uses foreseen in the corners of the rig before, against the whole worst case of the rig itself."""

from __future__ import annotations

import math

import pytest

from engine.planning.part_ladders import with_size
from engine.shop.edits import value_at
from engine.worst_case.evaluator import record_ahead
from engine.worst_case.foreseen import COUNTS, uses_foreseen, worst_corners
from engine.worst_case.verdict import evaluate
from tests.samples import sample


@pytest.mark.parametrize("recorded", [False, True])
@pytest.mark.parametrize("name", ["skerry_point_boatyard", "greywether_memorials"])
def test_in_its_own_corners_a_rig_is_used_as_in_its_worst_case(name: str, recorded: bool) -> None:
    """Unrecorded, only the corners of the limits used most are looked at: no use may come out too great there."""
    job = sample(name)
    pose = job.poses[0]
    if recorded:
        record_ahead(job, pose)
    verdict = evaluate(job, pose)
    assert verdict.worst_case is not None
    uses = uses_foreseen(job, pose, worst_corners(verdict.worst_case))
    worst = {check.name: use for check, use in verdict.worst_uses if check.of != "room"}
    assert set(uses) == set(worst)
    for limit, use in worst.items():
        assert uses[limit] <= use + 1e-9 or not math.isfinite(use), limit
        if recorded and use >= COUNTS:
            assert uses[limit] == pytest.approx(use, rel=0.02), limit
    most = max(worst, key=lambda limit: worst[limit])
    assert uses[most] == pytest.approx(worst[most], rel=1e-6)


def test_a_longer_leg_helps_though_the_weld_as_entered_is_held_by_something_else() -> None:
    """The boatyard's foot weld: the leg makes no difference to the use as entered, but to that at the thin end."""
    job = sample("skerry_point_boatyard")
    pose, leg = job.poses[0], "rig.jib_mast.foot_weld.leg_m"
    made = with_size(job, leg, value_at(job, leg) + 0.001)
    verdict = evaluate(job, pose)
    assert made is not None and verdict.worst_case is not None
    limit = "jib mast: foot weld"
    as_entered = [
        float(next(check for check in evaluate(each, pose).checks if check.name == limit).use) for each in (job, made)
    ]
    assert as_entered[1] == pytest.approx(as_entered[0], rel=1e-6)
    corners = worst_corners(verdict.worst_case)
    assert uses_foreseen(made, pose, corners)[limit] < 0.97 * uses_foreseen(job, pose, corners)[limit]
