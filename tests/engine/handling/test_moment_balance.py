"""The see-saw: its sums are the balance's own, and losing balance is where they meet."""

from __future__ import annotations

import math

import numpy as np
import pytest
from any_pose import REPLACE, jobs
from hypothesis import given

from engine.base.geometry import GRAVITY_M_S2
from engine.handling.moment_balance import grouped_weights, moment_balance, most_used_line
from engine.limits import balance
from engine.rig.kinematics import STEER_AXLE, figures, place
from engine.schema.model import Job

EXACT = 1e-9


@given(jobs())
def test_what_holds_less_what_tips_is_the_balances_own_moment_on_every_line(job: Job) -> None:
    placed = place(job, figures(job, job.poses[0]))
    for line in (*balance.weigh(placed).lines, *balance.on_its_tyres(placed).lines):
        balanced = moment_balance(placed, line)
        truck = sum(weight.moment_Nm for weight in balanced.weights if weight.group == "truck")
        others = sum(weight.moment_Nm for weight in balanced.weights if weight.group != "truck")
        size = balanced.holds_Nm + balanced.tips_Nm
        assert truck == pytest.approx(line.restoring_Nm, rel=EXACT, abs=EXACT * size)
        assert -others == pytest.approx(line.load_Nm, rel=EXACT, abs=EXACT * size)
        assert balanced.left_Nm == pytest.approx(line.margin_Nm, rel=EXACT, abs=EXACT * size)
        assert sum(weight.moment_Nm for weight in grouped_weights(balanced)) == pytest.approx(
            balanced.left_Nm, abs=EXACT * size
        )


@given(jobs())
def test_with_the_load_that_loses_balance_nothing_is_left(job: Job) -> None:
    numbers = figures(job, job.poses[0])
    for index, line in enumerate(balance.weigh(place(job, numbers)).lines):
        balanced = moment_balance(place(job, numbers), line)
        if 0.0 < balanced.lost_at_kg < 1e6:
            placed = place(job, REPLACE(numbers, load_kg=float(balanced.lost_at_kg)))
            there = moment_balance(placed, balance.weigh(placed).lines[index])
            assert there.left_Nm == pytest.approx(0.0, abs=1e-7 * there.holds_Nm)


def test_on_a_level_floor_the_distance_over_the_front_line_is_the_one_a_tape_gives(boatyard: Job) -> None:
    floor = boatyard.floors[0]
    level = REPLACE(floor.fall_along, best=0.0)
    job = REPLACE(boatyard, floors=(REPLACE(floor, fall_along=level, fall_across=level), *boatyard.floors[1:]))
    placed = place(job, figures(job, job.poses[0]))
    balanced = moment_balance(placed, balance.weigh(placed).lines[0])
    for weight, body in zip(balanced.weights, placed.bodies, strict=True):
        assert weight.distance_m == pytest.approx(-body.position_m.x)
    assert balanced.lost_at_m * placed.figures.load_kg * GRAVITY_M_S2 == pytest.approx(
        balanced.left_Nm + placed.figures.load_kg * GRAVITY_M_S2 * placed.hook_m.x
    )


def test_the_steer_axle_holds_forwards_and_is_named_as_left_out_sideways(boatyard: Job) -> None:
    placed = place(boatyard, figures(boatyard, boatyard.poses[0]))
    front, left, right, rear = (moment_balance(placed, line) for line in balance.weigh(placed).lines)
    for balanced, counts in ((front, True), (left, False), (right, False), (rear, True)):
        assert (STEER_AXLE in {weight.name for weight in balanced.weights}) is counts
        assert (STEER_AXLE in balanced.left_out) is not counts


def test_the_most_used_line_is_the_front_one_straight_ahead_and_a_side_one_with_the_arms_out(vineyard: Job) -> None:
    job = vineyard
    ahead = next(pose for pose in job.poses if all(abs(arm.turn_rad) < 0.1 for arm in pose.arms))
    assert most_used_line(balance.weigh(place(job, figures(job, ahead)))).name == "front"
    numbers = REPLACE(figures(job, ahead), turns_rad=(1.5, 0.0), load_kg=900.0, boom_out_m=0.5, fall_across=0.06)
    assert most_used_line(balance.weigh(place(job, numbers))).name == "left side"


def test_an_empty_hook_loses_balance_at_no_distance(boatyard: Job) -> None:
    pose = REPLACE(boatyard.poses[0], loaded=False)
    placed = place(boatyard, figures(boatyard, pose))
    balanced = moment_balance(placed, balance.weigh(placed).lines[0])
    assert math.isinf(balanced.lost_at_m)
    assert {weight.name for weight in grouped_weights(balanced)} == {"truck", "rig"}


def test_arrays_of_poses_weigh_up_as_each_pose_does(boatyard: Job) -> None:
    numbers, lifts = figures(boatyard, boatyard.poses[0]), np.linspace(0.2, 2.5, 5)
    placed = place(boatyard, REPLACE(numbers, lift_m=lifts))
    many = moment_balance(placed, balance.weigh(placed).lines[1])
    for index, lift_m in enumerate(lifts):
        one_placed = place(boatyard, REPLACE(numbers, lift_m=float(lift_m)))
        one = moment_balance(one_placed, balance.weigh(one_placed).lines[1])
        assert np.broadcast_to(many.left_Nm, lifts.shape)[index] == pytest.approx(one.left_Nm)
        assert np.broadcast_to(many.holds_Nm, lifts.shape)[index] == pytest.approx(one.holds_Nm)
