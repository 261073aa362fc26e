"""From a pose to weights in space: each link where a tape would find it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from any_pose import REPLACE, jobs
from hypothesis import given

from engine.rig.kinematics import STEER_AXLE, chassis_left, figures, hole_out_m, place
from engine.rig.rig_masses import rig_masses, steel_masses
from engine.schema.model import Aboard, Arm, Job
from engine.schema.quantities import Estimate
from engine.schema.sections import mass_per_length_kg_m


def spot(job: Job, name: str, **changes: object) -> tuple[float, float, float]:
    placed = place(job, REPLACE(figures(job, job.poses[0]), **changes))
    return tuple(float(part) for part in next(body for body in placed.bodies if body.name == name).position_m)


def hook(job: Job, **changes: object) -> tuple[float, float, float]:
    return tuple(float(part) for part in place(job, REPLACE(figures(job, job.poses[0]), **changes)).hook_m)


LEVEL = {"fall_along": 0.0, "fall_across": 0.0, "tilt_rad": 0.0}


def test_the_hook_is_where_the_lengths_add_up_to(stone_yard: Job) -> None:
    truck, rig, pose = stone_yard.truck, stone_yard.rig, stone_yard.poses[0]
    out = rig.saddles.front_x_m + rig.boom.length_m - rig.boom.first_hole_m - (pose.hole - 1) * rig.boom.hole_pitch_m
    x, y, z = hook(stone_yard, **LEVEL)
    assert x == pytest.approx(truck.front_overhang_m.best + rig.jib_mast.foot_x_m + out - rig.hook.edge_m)
    assert y == 0.0
    mast_top = pose.lift_m + rig.sleeves.section.wall_m + rig.jib_mast.length_m
    assert z == pytest.approx(mast_top + rig.saddles.seat_m + rig.boom.section.depth_m / 2.0 - rig.hook.drop_m)


def test_lift_moves_carriage_forks_rig_and_load_whole_and_the_inner_upright_half(boatyard: Job) -> None:
    names = {"chassis": 0.0, STEER_AXLE: 0.0, "upright outer": 0.0, "upright inner": 0.5}
    names |= dict.fromkeys(
        ("carriage", "forks", "sleeves", "jib mast", "saddles", "boom", "arm 1", "arm 2", "hook", "rigging"), 1.0
    )
    for name, share in names.items():
        low, high = (spot(boatyard, name, **LEVEL | {"lift_m": lift}) for lift in (0.5, 1.5))
        assert np.subtract(high, low) == pytest.approx([0.0, 0.0, share]), name


def test_tilt_back_turns_all_that_the_upright_carries_about_its_pivot(boatyard: Job) -> None:
    pivot = np.array([boatyard.truck.upright.tilt_pivot_x_m, 0.0, boatyard.truck.upright.tilt_pivot_z_m])
    angle = 0.1
    back = np.array(
        [[math.cos(angle), 0.0, -math.sin(angle)], [0.0, 1.0, 0.0], [math.sin(angle), 0.0, math.cos(angle)]]
    )
    for name in ("upright outer", "upright inner", "carriage", "forks", "sleeves", "jib mast", "boom", "arm 2"):
        upright, tilted = (np.array(spot(boatyard, name, **LEVEL | {"tilt_rad": tilt})) for tilt in (0.0, angle))
        assert tilted == pytest.approx(pivot + back @ (upright - pivot)), name
    for name in ("chassis", STEER_AXLE):
        assert spot(boatyard, name, **LEVEL) == spot(boatyard, name, **LEVEL | {"tilt_rad": angle})


def test_standing_arms_turn_left_and_each_from_the_one_before(boatyard: Job) -> None:
    base = hook(boatyard, **LEVEL | {"turns_rad": (0.0, 0.0)})
    first, second = (arm.length_m for arm in boatyard.rig.arms)
    x, y, z = hook(boatyard, **LEVEL | {"turns_rad": (math.pi / 2.0, 0.0)})
    assert (x - base[0], y, z) == pytest.approx((-first - second, first + second, base[2]))
    x, y, _ = hook(boatyard, **LEVEL | {"turns_rad": (math.pi / 2.0, -math.pi / 2.0)})
    assert (x - base[0], y) == pytest.approx((-first, first))


def test_a_level_arm_raises_and_a_stacked_one_hangs_lower(boatyard: Job) -> None:
    arms = (boatyard.rig.arms[0], REPLACE(boatyard.rig.arms[1], axis="level", stack_m=-0.1))
    job = REPLACE(boatyard, rig=REPLACE(boatyard.rig, arms=arms))
    flat, raised = (hook(job, **LEVEL | {"turns_rad": (0.0, turn)}) for turn in (0.0, math.pi / 6.0))
    length = arms[1].length_m
    assert raised[2] - flat[2] == pytest.approx(length / 2.0)
    assert raised[0] - flat[0] == pytest.approx(length * (math.cos(math.pi / 6.0) - 1.0))
    straight = hook(boatyard, **LEVEL | {"turns_rad": (0.0, 0.0)})
    assert flat[2] == pytest.approx(straight[2] - 0.1)


def test_an_arm_left_off_takes_its_weight_and_length_away(boatyard: Job) -> None:
    numbers = figures(boatyard, boatyard.poses[0])
    without = place(boatyard, REPLACE(numbers, turns_rad=(0.0, None), **LEVEL))
    assert "arm 2" not in [body.name for body in without.bodies]
    reach = place(boatyard, REPLACE(numbers, turns_rad=(0.0, 0.0), **LEVEL)).hook_m.x
    assert reach - without.hook_m.x == pytest.approx(boatyard.rig.arms[1].length_m)
    bare_boom = place(boatyard, REPLACE(numbers, turns_rad=(None, None), **LEVEL))
    assert bare_boom.tip_m.x == pytest.approx(
        without.hook_m.x - boatyard.rig.arms[0].length_m - boatyard.rig.hook.edge_m
    )


@given(jobs(most_fall=0.2))
def test_the_load_hangs_plumb_under_the_hook_pin_whatever_the_fall(job: Job) -> None:
    placed = place(job, figures(job, job.poses[0]))
    for below in (placed.hook_m - placed.tip_m, placed.load_centre_m - placed.tip_m):
        assert below.cross(placed.gravity).length() == pytest.approx(0.0, abs=1e-9)
        assert below.dot(placed.gravity) >= 0.0
    for body in placed.bodies:
        if body.group in ("rigging", "load"):
            assert body.position_m == placed.hook_m


@given(jobs())
def test_the_boom_carries_its_own_weight_with_it(job: Job) -> None:
    numbers = figures(job, job.poses[0])
    moved = REPLACE(numbers, boom_out_m=numbers.boom_out_m - 0.2)
    before, after = (
        next(body.position_m for body in place(job, n).bodies if body.link == "boom" and body.name == "boom")
        for n in (numbers, moved)
    )
    assert (before - after).length() == pytest.approx(0.2)


@given(jobs())
def test_groups_are_the_four_of_the_contract_and_names_tell_bodies_apart(job: Job) -> None:
    bodies = place(job, figures(job, job.poses[0])).bodies
    assert {body.group for body in bodies} == {"truck", "rig", "rigging", "load"}
    assert len({body.name for body in bodies}) == len(bodies)


def test_pin_hole_1_is_nearest_the_tail_and_puts_the_boom_furthest_out(sample: Job) -> None:
    outs = [hole_out_m(sample.rig, hole) for hole in range(1, sample.rig.boom.hole_count + 1)]
    assert outs == sorted(outs, reverse=True)
    assert np.diff(outs) == pytest.approx(-sample.rig.boom.hole_pitch_m)


def test_a_weighed_part_counts_as_weighed_and_another_as_its_steel(boatyard: Job) -> None:
    boom = boatyard.rig.boom
    bare = tuple(REPLACE(arm, hinge=REPLACE(arm.hinge, inner_end=None, outer_end=None)) for arm in boatyard.rig.arms)
    boatyard = REPLACE(boatyard, rig=REPLACE(boatyard.rig, arms=bare))
    unweighed = REPLACE(boatyard, rig=REPLACE(boatyard.rig, boom=REPLACE(boom, mass_kg=None)))
    assert rig_masses(boatyard.truck, boatyard.rig)["boom_kg"] == boom.mass_kg.best
    assert (
        rig_masses(unweighed.truck, unweighed.rig)["boom_kg"] == steel_masses(unweighed.truck, unweighed.rig)["boom_kg"]
    )
    # A stop at each end: over the straps' legs, 190 wide, and up to their tops, 100 + 0.5 + 1 + 25; 15 thick.
    stops_kg = 2.0 * 7850.0 * 0.190 * 0.1265 * 0.015
    assert steel_masses(unweighed.truck, unweighed.rig)["boom_kg"] == pytest.approx(
        mass_per_length_kg_m(boom.section) * boom.length_m + stops_kg
    )
    for arm, kg in zip(boatyard.rig.arms, steel_masses(boatyard.truck, boatyard.rig)["arms_kg"], strict=True):
        assert isinstance(arm, Arm)
        assert (
            mass_per_length_kg_m(arm.section) * arm.length_m
            < kg
            < mass_per_length_kg_m(arm.section) * arm.length_m + 12.0
        )


def test_the_chassis_is_what_is_left_of_the_weighed_truck(sample: Job) -> None:
    numbers = figures(sample, sample.poses[0])
    left_kg, _ = chassis_left(sample, numbers)
    truck = [body for body in place(sample, numbers).bodies if body.group == "truck"]
    assert truck[0].name == "chassis" and truck[0].mass_kg == left_kg
    assert sum(body.mass_kg for body in truck) == pytest.approx(numbers.front_axle_kg + numbers.rear_axle_kg)


def test_what_is_aboard_counts_only_when_told_to(boatyard: Job) -> None:
    driver = Aboard(name="driver", mass_kg=Estimate(best=90.0, known="guess"), x_m=-0.8, z_m=1.1)
    for counted in (False, True):
        job = REPLACE(boatyard, truck=REPLACE(boatyard.truck, aboard=(REPLACE(driver, counted=counted),)))
        names = [body.name for body in place(job, figures(job, job.poses[0])).bodies]
        assert ("driver" in names) == counted


def test_an_unknown_floor_gives_no_numbers(boatyard: Job) -> None:
    job = REPLACE(boatyard, floors=(REPLACE(boatyard.floors[0], fall_along=None),))
    numbers = figures(job, job.poses[0])
    assert math.isnan(numbers.fall_along)
    assert math.isnan(place(job, numbers).hook_m.x)
