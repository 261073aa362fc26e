"""Rigs that do not fit together and poses outside their limits: each named, each in one sentence."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from engine.base.formatting import fill
from engine.rig.feasibility import boom_limits_m, impossibilities, usable_holes
from engine.schema.model import Job
from engine.shop.edits import set_value
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace


def changed(job: Job, changes: dict[str, Any]) -> Job:
    for path, value in changes.items():
        job = set_value(job, path, value)
    return job


def test_every_pose_of_the_samples_can_be(sample: Job) -> None:
    for pose in sample.poses:
        assert impossibilities(sample, pose) == []


@pytest.mark.parametrize(
    ("changes", "where", "says"),
    [
        ({"poses[0].lift_m": 3.5}, "pose.lift_m", "lifts from 60 mm to 3\u202f300 mm"),
        ({"poses[0].lift_m": 0.0}, "pose.lift_m", "cannot stand at 0 mm"),
        ({"poses[0].tilt_rad": 0.2}, "pose.tilt_rad", "cannot tilt to 11.5°"),
        ({"poses[0].tilt_rad": -0.2}, "pose.tilt_rad", "-5.0° (forward)"),
        ({"poses[0].arms[0].turn_rad": 3.0}, "pose.arms[0].turn_rad", "arm 1 cannot turn to 171.9°"),
        (
            {"rig.boom.first_hole_m": 0.5, "poses[0].hole": 1},
            "pose.hole",
            "leaves the rear saddle at 1\u202f900 mm out",
        ),
        ({"rig.boom.hole_count": 12, "rig.boom.hole_pitch_m": 0.163, "poses[0].hole": 12}, "pose.hole", "front strap"),
        ({"rig.sleeves.length_m": 1.2}, "rig.sleeves.length_m", "the forks are only 1\u202f070 mm long"),
        ({"truck.forks.length_m": 0.107}, "rig.sleeves.length_m", "Check the unit"),
        ({"truck.forks.spread_m": 0.55}, "truck.forks.spread_m", "the forks stand 550 mm apart and do not go in"),
        ({"rig.sleeves.welded_spread_m": 0.15}, "rig.sleeves.welded_spread_m", "run into each other"),
        ({"rig.jib_mast.foot_x_m": 1.5}, "rig.jib_mast.foot_x_m", "the sleeves run from 0 mm to 950 mm"),
        ({"truck.forks.thickness_m": 0.07}, "rig.sleeves.section", "do not go into the sleeves"),
        (
            {"truck.front_axle_kg.best": 100.0, "truck.rear_axle_kg.best": 300.0},
            "truck.front_axle_kg",
            "nothing is left for the chassis",
        ),
        ({"truck.steer_axle_kg.best": 2400.0}, "truck.steer_axle_kg", "more than the"),
        ({"truck.cg_height_m.best": 0.065}, "truck.cg_height_m", "under the floor"),
    ],
)
def test_what_cannot_be_is_named_and_refused(boatyard: Job, changes: dict[str, Any], where: str, says: str) -> None:
    job = changed(boatyard, changes)
    found = [problem for problem in impossibilities(job, job.poses[0]) if problem.where == where]
    assert found, [problem.where for problem in impossibilities(job, job.poses[0])]
    words = fill(found[0].words, found[0].numbers, "metric")
    assert says in words
    assert "{" not in words and words.endswith(".")
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "REFUSED"
    assert (verdict.allowed_load_kg, verdict.governing, verdict.balance, verdict.checks) == (None, None, None, ())


def test_a_hole_the_boom_does_not_have_cannot_be(boatyard: Job) -> None:
    problems = impossibilities(boatyard, REPLACE(boatyard.poses[0], hole=12))
    assert [problem.where for problem in problems] == ["pose.hole"]


def test_the_boom_stays_through_both_straps_at_its_limits_and_no_further(boatyard: Job) -> None:
    least, most = boom_limits_m(boatyard)
    pose = boatyard.poses[0]
    for out_m, can in ((least, True), (most, True), (least - 0.001, False), (most + 0.001, False)):
        assert (impossibilities(boatyard, REPLACE(pose, hole=None, free_out_m=out_m)) == []) == can


def test_usable_holes_are_those_that_can_be(sample: Job) -> None:
    pose = sample.poses[0]
    can = tuple(
        hole
        for hole in range(1, sample.rig.boom.hole_count + 1)
        if impossibilities(sample, REPLACE(pose, hole=hole, free_out_m=None)) == []
    )
    assert usable_holes(sample) == can


def test_an_arm_left_off_may_have_any_turn_on_record(boatyard: Job) -> None:
    arms = (REPLACE(boatyard.poses[0].arms[0], turn_rad=3.1, fitted=False), boatyard.poses[0].arms[1])
    assert impossibilities(boatyard, REPLACE(boatyard.poses[0], arms=arms)) == []
