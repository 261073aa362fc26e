"""The load path's sums against direct sums over the bodies, and the place of the sleeves' weight by hand."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.geometry import GRAVITY_M_S2, Vec
from engine.base.interval import Interval, upper
from engine.rig.deflection import bent_members
from engine.rig.kinematics import Figures, figures, place
from engine.rig.load_path import LoadPath, load_path, loaded_path, rig_parts
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube
from engine.strength.cuts import cuts_of, pull_directions
from tests.samples import read_once

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
VINEYARD = read_once(Path(__file__).resolve().parents[2] / "rigs" / "cold_spring_vineyard.rig.json")
STONE_YARD = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")
VINEYARD_PARTS = ["sleeves", "jib mast", "saddles", "boom", "arm 1", "arm 2", "hook"]

jobs = pytest.mark.parametrize("job", [VINEYARD, STONE_YARD], ids=["two arms", "no arm"])
lengths = st.floats(-5.0, 5.0)


def anywhere(job: Job, lift_m: float, tilt_rad: float, turn_rad: float) -> Figures:
    numbers = figures(job, job.poses[0])
    turns = tuple(None if turn is None else turn_rad for turn in numbers.turns_rad)
    return REPLACE(numbers, lift_m=lift_m, tilt_rad=tilt_rad, turns_rad=turns, fall_along=0.02, fall_across=-0.03)


def sums_of(path: LoadPath) -> list:
    return [path.sleeves, path.jib_mast, path.saddles, path.boom, *path.arms, path.hook]


def array(vector: Vec) -> np.ndarray:
    return np.array(tuple(vector), float)


# ---------------------------------------------------------------- the sums


@jobs
@given(st.floats(0.1, 3.0), st.floats(-0.08, 0.13), st.floats(-2.5, 2.5), st.builds(Vec, lengths, lengths, lengths))
def test_each_part_carries_itself_and_every_body_outboard_of_it(
    job: Job, lift_m: float, tilt_rad: float, turn_rad: float, about_m: Vec
) -> None:
    placed = place(job, anywhere(job, lift_m, tilt_rad, turn_rad))
    bodies = [body for body in placed.bodies if body.group != "truck"]
    gravity = placed.gravity.times(GRAVITY_M_S2)
    sums = sums_of(loaded_path(placed))
    assert len(sums) == len(bodies) - 2
    for index, outboard in enumerate(sums):
        pull = outboard.wrench(about_m, gravity)
        forces = [array(gravity) * body.mass_kg for body in bodies[index:]]
        arms = [array(body.position_m - about_m) for body in bodies[index:]]
        moment = np.sum([np.cross(arm, force) for arm, force in zip(arms, forces, strict=True)], axis=0)
        assert array(pull.force_N) == pytest.approx(np.sum(forces, axis=0), rel=1e-12)
        assert array(pull.moment_Nm) == pytest.approx(moment, abs=1e-9 * float(np.linalg.norm(forces)))


def test_the_parts_come_in_the_order_of_the_load_path() -> None:
    placed = place(VINEYARD, figures(VINEYARD, VINEYARD.poses[0]))
    assert [body.name for body in rig_parts(placed)] == VINEYARD_PARTS


def test_what_hangs_counts_with_the_hook_alone_and_only_where_it_is_asked_for() -> None:
    numbers = figures(VINEYARD, VINEYARD.poses[0])
    placed = place(VINEYARD, numbers)
    bare, loaded = load_path(rig_parts(placed)), loaded_path(placed)
    assert bare.hook.mass_kg == 12.0
    for without, full in zip(sums_of(bare), sums_of(loaded), strict=True):
        assert full.mass_kg - without.mass_kg == pytest.approx(285.0 + 15.0)
        more = array(full.first_kgm - without.first_kgm)
        assert more == pytest.approx(300.0 * array(placed.hook_m))


def test_without_arms_the_hook_hangs_on_the_boom() -> None:
    placed = place(STONE_YARD, figures(STONE_YARD, STONE_YARD.poses[0]))
    path = loaded_path(placed)
    assert path.beyond_boom is path.hook and path.beyond_arms == ()


def test_arrays_of_poses_give_what_each_pose_gives() -> None:
    lifts, turns = np.linspace(0.2, 2.0, 3)[:, None], np.linspace(-1.0, 1.0, 4)
    numbers = anywhere(VINEYARD, 0.2, 0.03, 0.0)
    swept = sums_of(loaded_path(place(VINEYARD, REPLACE(numbers, lift_m=lifts, turns_rad=(turns, turns)))))
    for row, lift_m in enumerate(lifts[:, 0]):
        for column, turn_rad in enumerate(turns):
            one = REPLACE(numbers, lift_m=float(lift_m), turns_rad=(float(turn_rad), float(turn_rad)))
            for many, single in zip(swept, sums_of(loaded_path(place(VINEYARD, one))), strict=True):
                there = [np.broadcast_to(part, (3, 4))[row, column] for part in many.first_kgm]
                assert there == pytest.approx(array(single.first_kgm), rel=1e-12, abs=1e-12)


def test_an_interval_of_turns_holds_every_turn_inside() -> None:
    numbers = anywhere(VINEYARD, 0.5, 0.03, 0.0)
    wide = REPLACE(numbers, turns_rad=(Interval(np.array([0.3]), np.array([0.4])), -0.2))
    held = loaded_path(place(VINEYARD, wide)).boom.first_kgm
    for turn_rad in np.linspace(0.3, 0.4, 5):
        one = REPLACE(numbers, turns_rad=(float(turn_rad), -0.2))
        for inside, whole in zip(loaded_path(place(VINEYARD, one)).boom.first_kgm, held, strict=True):
            assert -upper(-whole)[0] - 1e-9 <= inside <= upper(whole)[0] + 1e-9


# ---------------------------------------------------------------- a foot ahead of the sleeves' middle

FOOT_M, SLEEVES_M, SPREAD_M = 0.85, 0.95, 0.6
KSI_29000_PA = 29_000.0 * 6_894_757.293168361


def area_m2(tube: RectTube) -> float:
    """Rectangular tube with corners of outside radius 2 t and inside radius t."""
    wall = tube.wall_m
    outside = tube.width_m * tube.depth_m - (4.0 - math.pi) * (2.0 * wall) ** 2
    inside = (tube.width_m - 2.0 * wall) * (tube.depth_m - 2.0 * wall) - (4.0 - math.pi) * wall**2
    return outside - inside


def foot_ahead() -> Job:
    """The vineyard's rig, on a level floor, with its jib mast near the fork tips."""
    level = Estimate(best=0.0, known="measured")
    floors = tuple(REPLACE(floor, fall_along=level, fall_across=level) for floor in VINEYARD.floors)
    rig = REPLACE(VINEYARD.rig, jib_mast=REPLACE(VINEYARD.rig.jib_mast, foot_x_m=FOOT_M))
    return REPLACE(VINEYARD, rig=rig, floors=floors)


def sleeves_centre_m() -> float:
    """Two sleeves about their middle, and the cross-member between them under the foot, by their steel."""
    sleeves = VINEYARD.rig.sleeves
    pair_m3 = 2.0 * area_m2(sleeves.section) * SLEEVES_M
    cross_m3 = area_m2(sleeves.cross_section) * (SPREAD_M - sleeves.section.width_m)
    return (pair_m3 * SLEEVES_M / 2.0 + cross_m3 * FOOT_M) / (pair_m3 + cross_m3)


def test_the_forks_carry_the_cross_member_where_it_stands_under_the_foot() -> None:
    """Hand sum over the file's weights about the fork face: 0.2 to 0.5 % more than with the sleeves' middle."""
    job = foot_ahead()
    pose = job.poses[2]
    numbers = figures(job, pose)
    assert [arm.turn_rad for arm in pose.arms] == [0.0, 0.0] and pose.tilt_rad == 0.0
    boom_end_m = FOOT_M + 1.0
    weights = (
        (285.0 + 15.0 + 12.0, boom_end_m + 0.75 + 0.65),  # load, rigging, hook
        (12.0, boom_end_m + 0.75 + 0.65 / 2.0),  # arm 2
        (15.0, boom_end_m + 0.75 / 2.0),  # arm 1
        (67.0, boom_end_m - 2.4 / 2.0),  # boom
        (numbers.saddles_kg, FOOT_M - 0.675 / 2.0),  # from their steel: the file has no weight of theirs
        (28.0, FOOT_M),  # jib mast
    )
    rest_kgm = sum(kg * x_m for kg, x_m in weights)
    by_hand_kgm = rest_kgm + 50.0 * sleeves_centre_m()
    placed = place(job, numbers)
    cuts = cuts_of(job, placed, load_path(rig_parts(placed)), pull_directions(placed, job.policy)[0])
    assert cuts.forks.forces.bend_up.at(285.0) == pytest.approx(by_hand_kgm * GRAVITY_M_S2, rel=1e-12)
    at_the_middle_kgm = rest_kgm + 50.0 * SLEEVES_M / 2.0
    assert 1.002 < by_hand_kgm / at_the_middle_kgm < 1.005


def test_the_fork_blades_bend_under_the_sleeves_where_their_weight_is() -> None:
    """Two cantilever blades under the sleeves alone: F L^3 / 3 E I at the tips, F by the sleeves' centre."""
    job = foot_ahead()
    bare = dict.fromkeys(("jib_mast_kg", "saddles_kg", "boom_kg", "hook_kg"), 0.0)
    numbers = REPLACE(figures(job, job.poses[2]), arms_kg=(0.0, 0.0), **bare)
    placed = place(job, numbers)
    blades = bent_members(job, placed, rig_parts(placed), 0.0, [])[0]
    forks = job.truck.forks
    second_m4 = 2.0 * forks.width_m * (forks.thickness_m - forks.worn_m) ** 3 / 12.0
    tip_N = 50.0 * GRAVITY_M_S2 * sleeves_centre_m() / SLEEVES_M
    assert blades.part == "forks"
    assert blades.turn_rad.y == pytest.approx(tip_N * SLEEVES_M**2 / (3.0 * KSI_29000_PA * second_m4), rel=1e-9)
