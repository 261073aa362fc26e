"""Kept answers are for the very same objects, and no wrong one is given when something of them has changed."""

from __future__ import annotations

import copy

import msgspec

from engine import edits
from engine.doubt import entries_of
from engine.model import Job
from engine.placing import figures, walk
from engine.same import Same

REPLACE = msgspec.structs.replace


def test_equal_objects_are_not_the_same() -> None:
    one, other = ("a", 1.5), ("a", 1.5 + 0.0)
    assert Same(one) == Same(one) and hash(Same(one)) == hash(Same(one))
    assert Same(one) != Same(copy.deepcopy([one])[0:1])
    assert Same(one, other) != Same(one) and Same(one) != one
    assert Same(one, of="this") == Same(one, of="that")


def test_where_a_drag_begins_is_never_that_of_another_job(boatyard: Job) -> None:
    pose = boatyard.poses[0]
    assert edits.placed_at_start(boatyard, pose).hook_m == walk(boatyard, figures(boatyard, pose)).hook_m
    boom = boatyard.rig.boom
    longer = REPLACE(boatyard, rig=REPLACE(boatyard.rig, boom=REPLACE(boom, length_m=boom.length_m + 0.2)))
    steeper = REPLACE(boatyard, floors=tuple(REPLACE(floor, fall_along=REPLACE(floor.fall_along, best=0.02)) for floor in boatyard.floors))
    for job in (longer, steeper, boatyard):
        assert edits.placed_at_start(job, pose).hook_m == walk(job, figures(job, pose)).hook_m
    assert edits.placed_at_start(longer, pose).hook_m != edits.placed_at_start(steeper, pose).hook_m


def test_entries_kept_for_a_rig_follow_what_is_weighed_and_what_is_fitted(boatyard: Job) -> None:
    pose = boatyard.poses[0]

    def names(job: Job, at: object) -> list[str]:
        return [entry.name for entry in entries_of(job, at, figures(job, at))]

    first = names(boatyard, pose)
    load = boatyard.load.mass_kg
    weighed = REPLACE(boatyard, load=REPLACE(boatyard.load, mass_kg=REPLACE(load, low=load.best, high=load.best)))
    assert set(first) - set(names(weighed, pose)) == {"weight of the load"}
    off = REPLACE(pose, arms=tuple(REPLACE(arm, fitted=False) for arm in pose.arms))
    assert set(first) - set(names(boatyard, off)) == {arm.name and f"weight of {arm.name}" for arm in boatyard.rig.arms}
    assert names(boatyard, pose) == first
