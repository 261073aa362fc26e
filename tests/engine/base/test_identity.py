"""Kept answers are for the very same objects, and no wrong one is given when something of them has changed."""

from __future__ import annotations

import copy
import math

import msgspec

from engine.base.identity import IdentityKey, Uncompared
from engine.rig.feasibility import not_numbers
from engine.rig.kinematics import figures, walk
from engine.schema.model import Job
from engine.shop import hook_following
from engine.worst_case.uncertain_inputs import entries_of
from engine.worst_case.uncertainty_box import box_around

REPLACE = msgspec.structs.replace


def test_equal_objects_are_not_the_same() -> None:
    one, other = ("a", 1.5), ("a", 1.5 + 0.0)
    assert IdentityKey(one) == IdentityKey(one) and hash(IdentityKey(one)) == hash(IdentityKey(one))
    assert IdentityKey(one) != IdentityKey(copy.deepcopy([one])[0:1])
    assert IdentityKey(one, other) != IdentityKey(one) and IdentityKey(one) != one
    assert Uncompared("this") == Uncompared("that") and hash(Uncompared("this")) == hash(Uncompared("that"))


def test_where_a_drag_begins_is_never_that_of_another_job(boatyard: Job) -> None:
    pose = boatyard.poses[0]
    assert hook_following.placed_at_start(boatyard, pose).hook_m == walk(boatyard, figures(boatyard, pose)).hook_m
    boom = boatyard.rig.boom
    longer = REPLACE(boatyard, rig=REPLACE(boatyard.rig, boom=REPLACE(boom, length_m=boom.length_m + 0.2)))
    steeper = REPLACE(
        boatyard,
        floors=tuple(REPLACE(floor, fall_along=REPLACE(floor.fall_along, best=0.02)) for floor in boatyard.floors),
    )
    for job in (longer, steeper, boatyard):
        assert hook_following.placed_at_start(job, pose).hook_m == walk(job, figures(job, pose)).hook_m
    assert hook_following.placed_at_start(longer, pose).hook_m != hook_following.placed_at_start(steeper, pose).hook_m


def test_entries_kept_for_a_rig_follow_what_is_weighed_and_what_is_fitted(boatyard: Job) -> None:
    pose = boatyard.poses[0]

    def names(job: Job, at: object) -> list[str]:
        return [entry.name for entry in entries_of(job, at, figures(job, at))]

    first = names(boatyard, pose)
    load = boatyard.load.mass_kg
    weighed = REPLACE(boatyard, load=REPLACE(boatyard.load, mass_kg=REPLACE(load, low=load.best, high=load.best)))
    assert set(first) - set(names(weighed, pose)) == {"weight of the load"}
    off = REPLACE(pose, arms=tuple(REPLACE(arm, fitted=False) for arm in pose.arms))
    of_arms = {f"{what} of {arm.name}" for arm in boatyard.rig.arms for what in ("weight", "angle")}
    assert set(first) - set(names(boatyard, off)) == of_arms
    assert names(boatyard, pose) == first


def test_entries_kept_for_a_floor_are_never_those_of_another_floor(boatyard: Job) -> None:
    floor = boatyard.floors[0]
    known = REPLACE(
        floor,
        name="measured",
        fall_along=REPLACE(floor.fall_along, low=floor.fall_along.best, high=floor.fall_along.best),
    )
    job = REPLACE(boatyard, floors=(floor, known))
    here = REPLACE(job.poses[0], floor=floor.name)
    there = REPLACE(here, floor="measured")

    def names(at: object) -> set[str]:
        return {entry.name for entry in entries_of(job, at, figures(job, at))}

    assert names(here) - names(there) == {"slope"}
    assert names(there) <= names(here)


def test_a_box_kept_for_a_rig_follows_the_stops_of_its_truck_and_the_bands_of_its_entries(boatyard: Job) -> None:
    """At its highest the upright cannot be higher; a truck that lifts further can."""
    upright = boatyard.truck.upright
    further = REPLACE(
        boatyard, truck=REPLACE(boatyard.truck, upright=REPLACE(upright, lift_max_m=upright.lift_max_m + 1.0))
    )
    top = REPLACE(boatyard.poses[0], lift_m=upright.lift_max_m)

    def up(job: Job, wider: float = 1.0) -> float:
        numbers = figures(job, top)
        entries = tuple(REPLACE(entry, up=entry.up * wider) for entry in entries_of(job, top, numbers))
        at = [entry.field for entry in entries].index("lift_m")
        return float(box_around(job, numbers, entries).up[at, 0])

    assert up(boatyard) == 0.0
    assert up(further) > 0.0 and up(further, 2.0) == 2.0 * up(further)
    assert up(boatyard) == 0.0


def test_a_number_that_is_none_is_noticed_in_a_job_looked_at_before_wherever_it_stands(boatyard: Job) -> None:
    pose = boatyard.poses[0]
    assert not_numbers(boatyard, pose) == []
    spoilt_truck = REPLACE(boatyard, truck=REPLACE(boatyard.truck, carriage_kg=math.nan))
    spoilt_pose = REPLACE(boatyard, poses=(REPLACE(pose, lift_m=math.inf), *boatyard.poses[1:]))
    assert [one.where for one in not_numbers(spoilt_truck, pose)] == ["truck.carriage_kg"]
    assert [one.where for one in not_numbers(spoilt_pose, pose)] == ["poses[0].lift_m"]
    assert [one.where for one in not_numbers(boatyard, REPLACE(pose, tilt_rad=math.nan))] == ["pose.tilt_rad"]
    assert not_numbers(boatyard, pose) == []
