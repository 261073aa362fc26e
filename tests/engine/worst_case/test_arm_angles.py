"""An arm stands a few degrees off the angle it is set to: every limit counts the worse side."""

from __future__ import annotations

import math

import msgspec
import pytest

from engine.base.formatting import fill
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import figures
from engine.schema.model import Job, Pose
from engine.worst_case import uncertain_inputs
from engine.worst_case.uncertain_inputs import entries_of
from engine.worst_case.uncertainty_box import box_around
from engine.worst_case.verdict import evaluate
from tests.samples import sample

REPLACE = msgspec.structs.replace


def with_arms(job: Job, **changes: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, arms=tuple(REPLACE(arm, **changes) for arm in job.rig.arms)))


def off_deg(job: Job, pose: Pose) -> list[tuple[float, float]]:
    """How far down and up each fitted arm may be off, in degrees."""
    numbers = figures(job, pose)
    entries = entries_of(job, pose, numbers)
    box = box_around(job, numbers, entries)
    angles = [at for at, entry in enumerate(entries) if entry.field == "turns_rad"]
    return [(math.degrees(box.down[at, 0]), math.degrees(box.up[at, 0])) for at in angles]


@pytest.mark.parametrize(("held", "deg"), [(None, 5.0), ("by_hand", 5.0), ("pinned", 1.0)])
def test_what_holds_an_arm_says_how_far_off_it_may_be(held: str | None, deg: float) -> None:
    """By hand or by eye 5 degrees, pinned 1 degree (ours)."""
    job = with_arms(sample("skerry_point_boatyard"), angle_held=held)
    pose = REPLACE(job.poses[0], arms=tuple(REPLACE(arm, turn_rad=0.2) for arm in job.poses[0].arms))
    assert [off for both in off_deg(job, pose) for off in both] == pytest.approx([deg] * 4)


def test_a_level_arm_stands_as_its_stay_holds_it() -> None:
    job = sample("osier_wharf_pumps")
    assert [arm.axis for arm in job.rig.arms] == ["level"]
    assert off_deg(job, job.poses[0]) == [pytest.approx((1.0, 1.0))]


def test_no_arm_stands_past_its_stop() -> None:
    job = with_arms(sample("skerry_point_boatyard"), angle_held=None)
    ends = [joint_as_free(job.rig, index) for index in range(2)]
    arms = (
        REPLACE(job.poses[0].arms[0], turn_rad=ends[0].most_rad),
        REPLACE(job.poses[0].arms[1], turn_rad=ends[1].least_rad + math.radians(2.0)),
    )
    assert off_deg(job, REPLACE(job.poses[0], arms=arms)) == [pytest.approx((5.0, 0.0)), pytest.approx((2.0, 5.0))]


def turned(job: Job, pose: Pose, index: int, by_rad: float) -> Pose:
    """The pose with one arm turned a little, no further than its stop."""
    arms = list(pose.arms)
    arms[index] = REPLACE(arms[index], turn_rad=joint_as_free(job.rig, index).stopped(arms[index].turn_rad + by_rad))
    return REPLACE(pose, arms=tuple(arms))


@pytest.mark.parametrize("name", ["lantern_lane_scenery", "cold_spring_vineyard", "pippin_and_rook_cider"])
def test_no_limit_is_used_more_a_few_degrees_off_than_in_the_worst_case(name: str) -> None:
    """As entered, in the pose turned by up to 5 degrees either way, against the worst case of the pose as set."""
    job = with_arms(sample(name), angle_held="by_hand")
    for pose in job.poses:
        set_ = evaluate(job, pose)
        if set_.worst_case is None:
            continue
        worst = {check.name: float(use) for check, use in zip(set_.checks, set_.worst_case.use, strict=True)}
        for index, stance in enumerate(pose.arms):
            for by_deg in (-5.0, -3.0, 3.0, 5.0) if stance.fitted else ():
                for check in evaluate(job, turned(job, pose, index, math.radians(by_deg))).checks:
                    use = float(check.use)
                    if check.name in worst and math.isfinite(use):
                        assert use <= worst[check.name] + 0.01 * max(1.0, use), (pose.name, check.name, by_deg)


def test_five_degrees_cost_a_straight_arm_its_sideways_moment() -> None:
    """Lantern: arm straight ahead.  What hangs goes sin 5 degrees of its length aside, the least it can cost."""
    job = sample("lantern_lane_scenery")
    pose = next(pose for pose in job.poses if pose.name == "arm straight ahead")
    (arm,) = job.rig.arms
    by_hand, pinned = (sideways_Nm(with_arms(job, angle_held=held), pose) for held in ("by_hand", "pinned"))
    hung_kg = job.load.mass_kg.best + job.load.rigging_kg.best
    more_m = arm.length_m * (math.sin(math.radians(5.0)) - math.sin(math.radians(1.0)))
    assert by_hand - pinned >= 9.80665 * hung_kg * more_m


def sideways_Nm(job: Job, pose: Pose) -> float:
    """The sideways moment in the worst case, from its use and what covers it."""
    verdict = evaluate(job, pose)
    assert verdict.worst_case is not None
    at = next(at for at, check in enumerate(verdict.checks) if check.name == "plate: sideways moment")
    return float(verdict.worst_case.use[at]) * float(verdict.checks[at].allowed)


def test_more_than_can_be_put_together_is_not_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    job = with_arms(sample("skerry_point_boatyard"), angle_held="pinned")
    pose = job.poses[0]
    count = len(entries_of(job, pose, figures(job, pose)))
    assert evaluate(job, pose).proven
    monkeypatch.setattr(uncertain_inputs, "MOST_ENTRIES", count - 1)
    job = with_arms(job, angle_held="pinned")
    verdict = evaluate(job, pose)
    assert verdict.state == "NOT PROVEN"
    (problem,) = verdict.not_entered
    assert job.rig.arms[1].name in fill(problem.words, problem.numbers, "metric")
