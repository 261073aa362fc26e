"""The model is the file format: values frozen, limits in the types, cross-checks in words."""

from __future__ import annotations

import msgspec
import pytest

from engine.base.errors import PoseNameError
from engine.schema.connections import Pin
from engine.schema.model import ArmPose, Floor, Job, Pose, find_floor, find_pose
from engine.schema.quantities import Estimate

REPLACE = msgspec.structs.replace


def test_every_value_is_frozen(boatyard: Job) -> None:
    for value in (boatyard, boatyard.truck, boatyard.rig.boom, boatyard.poses[0], boatyard.truck.front_axle_kg):
        with pytest.raises(AttributeError):
            setattr(value, type(value).__struct_fields__[0], 1)


def test_poses_and_floors_are_found_by_name(sample: Job) -> None:
    assert find_pose(sample, None) is sample.poses[0]
    for pose in sample.poses:
        assert find_pose(sample, pose.name) == pose
        assert find_floor(sample, pose).name == pose.floor
    with pytest.raises(PoseNameError, match="expected one of"):
        find_pose(sample, "no such pose")


@pytest.mark.parametrize(
    ("low", "high", "says"),
    [(2.0, None, "2.0 is more than the best"), (None, 0.5, "0.5 is less than the best")],
)
def test_a_band_holds_its_best_value(low: float | None, high: float | None, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        Estimate(best=1.0, known="guess", low=low, high=high)


def test_a_pose_is_pinned_or_free_never_both_or_neither() -> None:
    for hole, free in ((None, None), (3, 0.5)):
        with pytest.raises(ValueError, match="either a pin hole or a free boom position"):
            Pose(name="p", lift_m=0.5, hole=hole, free_out_m=free)


def test_a_pin_is_no_larger_than_its_hole() -> None:
    with pytest.raises(ValueError, match="pin of 30 mm is larger than its hole of 25 mm"):
        Pin(diameter_m=0.03, hole_m=0.025)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        (lambda job: {"poses": (job.poses[0], job.poses[0])}, "two are called"),
        (lambda job: {"floors": (job.floors[0], job.floors[0])}, "two are called"),
        (
            lambda job: {"floors": (Floor(name="elsewhere", fall_along=None, fall_across=None),)},
            "none called",
        ),
        (lambda job: {"poses": (REPLACE(job.poses[0], arms=(ArmPose(),)),)}, "sets 1 arms; the rig has 2"),
        (lambda job: {"poses": (REPLACE(job.poses[0], hole=40),)}, "holes are 1 to 11"),
    ],
)
def test_what_does_not_hang_together_is_refused_in_words(boatyard: Job, changes: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        REPLACE(boatyard, **changes(boatyard))
