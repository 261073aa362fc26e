"""What an approval permits, and the limit it sets on a pose."""

from __future__ import annotations

import msgspec
import pytest
from approvals import approved

from engine.limits.approval import permitted
from engine.schema.model import Job
from engine.schema.uncertainty_bands import low_high
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace


def test_without_an_approval_a_load_is_only_planned_for(sample: Job) -> None:
    assert permitted(REPLACE(sample, approval=None), 1.0, 300.0).by == "planned"


def test_with_an_approval_the_lower_of_both_counts(sample: Job) -> None:
    rigging_kg = low_high(sample.load.rigging_kg, "mass")[1]
    job = approved(sample, 200.0, 2.0)
    assert permitted(job, 1.0, 300.0) == permitted(job, 2.0, 300.0)
    assert permitted(job, 1.0, 300.0).load_kg == pytest.approx(200.0 - rigging_kg)
    assert permitted(job, 1.0, 100.0).load_kg == 100.0
    assert (permitted(job, 1.0, 300.0).by, permitted(job, 1.0, 100.0).by) == ("approval", "limits")


def test_an_approval_of_the_load_alone_takes_no_rigging_off(sample: Job) -> None:
    """Half of what is free: as a limit on the load that much may hang, on the hook load less by the rigging."""
    pose, free = sample.poses[0], evaluate(REPLACE(sample, approval=None), sample.poses[0]).allowed_load_kg
    of_hook_load = approved(sample, 0.5 * free, pose.lift_m + 0.1)
    of_load = REPLACE(of_hook_load, approval=REPLACE(of_hook_load.approval, limit_is="load"))
    rigging_kg = low_high(sample.load.rigging_kg, "mass")[1]
    assert of_hook_load.approval.limit_is == "hook_load", "an old file does not say: the stricter is taken"
    for job, most_kg in ((of_load, 0.5 * free), (of_hook_load, 0.5 * free - rigging_kg)):
        assert permitted(job, pose.lift_m, free).load_kg == pytest.approx(most_kg)
        assert evaluate(job, pose).allowed_load_kg == pytest.approx(most_kg)


def test_above_the_approval_s_fork_height_nothing_is_approved(sample: Job) -> None:
    assert permitted(approved(sample, 5000.0, 2.0), 2.1, 300.0).load_kg == 0.0


def test_the_verdict_itself_holds_a_pose_against_the_approval(sample: Job) -> None:
    """Worst case: rigging at its heaviest, forks as high as they may be read."""
    sample = REPLACE(sample, approval=None)
    pose = sample.poses[0]
    free = evaluate(sample, pose).allowed_load_kg
    rigging_kg = low_high(sample.load.rigging_kg, "mass")[1]
    for allowed_kg, lift_max_m in (
        (0.5 * free, pose.lift_m + 0.1),
        (3.0 * free + 500.0, pose.lift_m + 0.1),
        (free, pose.lift_m - 0.1),
    ):
        job = approved(sample, allowed_kg, lift_max_m)
        verdict = evaluate(job, pose)
        most = 0.0 if lift_max_m < pose.lift_m else max(allowed_kg - rigging_kg, 0.0)
        assert round(verdict.allowed_load_kg, 6) == round(min(free, most), 6)
        assert (verdict.governing.part == "approval") == (most < free)
        assert permitted(job, pose.lift_m, verdict.allowed_load_kg).by == ("approval" if most < free else "limits")
        if allowed_kg < free:
            assert evaluate(job, pose).allowed_load_kg == verdict.allowed_load_kg, "asked again"
    assert evaluate(sample, pose).allowed_load_kg == pytest.approx(free)
