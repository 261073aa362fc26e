"""The solver: the hook's motions are those of the engine's chain, and rows come to the point inside their bounds."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.planning.hook_solver import STOP_M, Rows, chain_of, pin_and_motion, pin_target, solve
from engine.rig.kinematics import figures, hole_out_m, place
from engine.schema.connections import RatedMoment
from engine.schema.model import ArmPose, Job, Pose
from tests.samples import read_once

REPLACE = msgspec.structs.replace
VINEYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "cold_spring_vineyard.rig.json")


def mixed() -> tuple[Job, Pose]:
    """The vineyard's rig with arm 1 level, a leaning mast, stacked arms and a sloping floor; tilted."""
    arms = [REPLACE(arm, stack_m=0.03) for arm in VINEYARD.rig.arms]
    stay = RatedMoment(moment_Nm=50e3)
    arms[0] = REPLACE(arms[0], axis="level", turn_min_rad=-1.0, turn_max_rad=1.0, stay=stay)
    rig = REPLACE(VINEYARD.rig, arms=tuple(arms), jib_mast=REPLACE(VINEYARD.rig.jib_mast, lean_rad=0.03))
    return REPLACE(VINEYARD, rig=rig), REPLACE(VINEYARD.poses[0], tilt_rad=0.05)


def at(hole: int, lift_m: float, *turns_rad: float) -> Pose:
    return REPLACE(mixed()[1], hole=hole, lift_m=lift_m, arms=tuple(ArmPose(turn_rad=turn) for turn in turns_rad))


def rows_of(*poses: Pose) -> Rows:
    job, _ = mixed()
    coordinates = np.array([[pose.lift_m, *(arm.turn_rad for arm in pose.arms)] for pose in poses])
    least = np.broadcast_to([job.truck.upright.lift_min_m, -1.0, -2.6], coordinates.shape)
    most = np.broadcast_to([job.truck.upright.lift_max_m, 1.0, 2.6], coordinates.shape)
    return Rows(np.array([hole_out_m(job.rig, pose.hole) for pose in poses]), coordinates, least, most)


def test_the_pin_is_where_the_engine_places_it_and_moves_as_differences_say():
    job, pose = mixed()
    chain, rows = chain_of(job, pose), rows_of(at(4, 0.7, 0.4, -0.9), at(7, 1.9, -0.3, 1.2))
    pin, motion = pin_and_motion(chain, rows.out_m, rows.at)
    for row, there in enumerate((at(4, 0.7, 0.4, -0.9), at(7, 1.9, -0.3, 1.2))):
        placed = place(job, figures(job, there))
        assert pin[row] == pytest.approx(tuple(placed.tip_m), abs=1e-12)
        assert pin_target(chain, placed.hook_m) == pytest.approx(pin[row], abs=1e-12)
    step = 1e-6
    for column in range(3):
        by = step * np.eye(3)[column]
        ahead, behind = (pin_and_motion(chain, rows.out_m, rows.at + sign * by)[0] for sign in (1.0, -1.0))
        assert motion[:, :, column] == pytest.approx((ahead - behind) / (2.0 * step), abs=1e-8)


def test_rows_come_to_the_point_from_afar():
    job, pose = mixed()
    there = at(5, 1.3, 0.6, 0.8)
    chain, target = chain_of(job, pose), place(job, figures(job, there)).hook_m
    solved, miss_m = solve(chain, pin_target(chain, target), rows_of(at(5, 0.3, 0.1, 0.3), at(5, 2.5, 0.2, 1.5)))
    assert (miss_m <= STOP_M).all()
    assert solved.at[:, 1:] == pytest.approx(np.array([[0.6, 0.8], [0.6, 0.8]]), abs=1e-5)


def test_a_point_out_of_reach_is_missed_by_what_is_left_and_no_bound_is_passed():
    """Straight ahead the hook is as far out as it goes: a point 0.2 m further is missed by 0.2 m."""
    job = VINEYARD
    pose = REPLACE(job.poses[0], tilt_rad=0.0, hole=4, lift_m=1.0, arms=(ArmPose(), ArmPose()))
    chain, straight = chain_of(job, pose), place(job, figures(job, pose)).tip_m.array()
    rows = Rows(
        np.array([hole_out_m(job.rig, 4)]),
        np.array([[1.0, 0.3, -0.2]]),
        np.array([[0.1, -2.0, -2.0]]),
        np.array([[3.0, 2.0, 2.0]]),
    )
    solved, miss_m = solve(chain, straight + np.array([0.2, 0.0, 0.0]), rows)
    assert miss_m == pytest.approx([0.2], abs=1e-4)
    assert solved.at[0, 1:] == pytest.approx([0.0, 0.0], abs=0.02)
    low = rows._replace(most=np.array([[0.4, 2.0, 2.0]]))
    solved, miss_m = solve(chain, straight - np.array([0.2, 0.0, 0.0]), low)
    assert solved.at[0, 0] == 0.4
    assert miss_m == pytest.approx([0.6], abs=1e-6)


def test_a_coordinate_held_between_equal_bounds_stays():
    job, pose = mixed()
    there = at(5, 1.3, 0.6, 0.8)
    chain, target = chain_of(job, pose), place(job, figures(job, there)).hook_m
    rows = rows_of(at(5, 0.9, 0.6, 0.2))
    held = rows._replace(least=rows.least.copy(), most=rows.most.copy())
    held.least[:, 1] = held.most[:, 1] = 0.6
    solved, miss_m = solve(chain, pin_target(chain, target), held)
    assert miss_m[0] <= STOP_M and solved.at[0, 1] == 0.6
    assert solved.at[0] == pytest.approx([1.3, 0.6, 0.8], abs=1e-4)
