"""The longest reach with a load, against every place of the boom judged one by one."""

from __future__ import annotations

import math

import msgspec
import pytest

from engine.planning.load_chart import usual_arm_sets
from engine.planning.longest_reach import NOWHERE, longest_reach
from engine.planning.mend import NOT_JUDGED
from engine.planning.mend_wanted import with_load
from engine.planning.sweep import Stopped
from engine.rig.feasibility import impossibilities, usable_holes
from engine.rig.kinematics import figures, place
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import evaluate
from tests.samples import sample

REPLACE = msgspec.structs.replace


def hook(job: Job, pose: Pose) -> tuple[float, float]:
    """How far ahead of the front axle and how high."""
    place_m = place(job, figures(job, pose)).hook_m
    return float(place_m.x), float(place_m.z)


def brute_force(job: Job, pose: Pose, load_kg: float) -> float:
    """The longest reach of any arm pose in any hole with the hook as high, zero where none is within its limits."""
    job, upright = with_load(job, load_kg), job.truck.upright
    height_m, best_m = hook(job, pose)[1], 0.0
    for arm_set in usual_arm_sets(job):
        for hole in usable_holes(job):
            there = REPLACE(pose, hole=hole, free_out_m=None, arms=arm_set.arms, loaded=True)
            for _ in range(3):  # the tilt makes the hook rise a little otherwise than the forks
                there = REPLACE(there, lift_m=there.lift_m + height_m - hook(job, there)[1])
            if not upright.lift_min_m <= there.lift_m <= upright.lift_max_m or impossibilities(job, there):
                continue
            if evaluate(job, there).state == "WITHIN":
                best_m = max(best_m, hook(job, there)[0])
    return best_m


@pytest.mark.parametrize(("name", "share"), [("tarn_hollow_stone_yard", 0.9), ("osier_wharf_pumps", 1.0)])
def test_nothing_further_out_holds(name: str, share: float) -> None:
    job = sample(name)
    pose, load_kg = job.poses[0], share * job.load.mass_kg.best
    answer = longest_reach(job, pose, load_kg)
    assert answer.found[0].reach_m == pytest.approx(brute_force(job, pose, load_kg), abs=1e-6)
    heavier = with_load(job, load_kg)
    for spot in answer.found:
        assert evaluate(heavier, spot.pose).state == "WITHIN" and spot.allowed_kg >= load_kg
        assert hook(job, spot.pose) == pytest.approx((spot.reach_m, answer.height_m), abs=1e-6)
    assert [spot.reach_m for spot in answer.found] == sorted((spot.reach_m for spot in answer.found), reverse=True)
    if answer.beyond is not None:
        assert answer.beyond.reach_m > answer.found[0].reach_m
        assert evaluate(heavier, answer.beyond.pose).state != "WITHIN"


def test_a_load_too_heavy_everywhere_is_said_with_the_place_that_allows_most() -> None:
    job = sample("tarn_hollow_stone_yard")
    answer = longest_reach(job, job.poses[0], 800.0)
    assert not answer.found and answer.why_not == NOWHERE and answer.beyond is not None
    assert math.isfinite(answer.beyond.allowed_kg) and 0.0 < answer.beyond.allowed_kg < 800.0


def test_without_a_plate_nothing_is_said() -> None:
    job = sample("tarn_hollow_stone_yard")
    job = REPLACE(job, truck=REPLACE(job.truck, plate=None))
    answer = longest_reach(job, job.poses[0], 100.0)
    assert answer.why_not == NOT_JUDGED and answer.problems and not answer.found


def test_it_stops_when_it_is_told_to() -> None:
    job = sample("tarn_hollow_stone_yard")
    with pytest.raises(Stopped):
        longest_reach(job, job.poses[0], 100.0, stop=lambda: True)
