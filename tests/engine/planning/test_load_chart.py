"""The load chart's cells against single verdicts and against a bisection that knows nothing of closed forms."""

from __future__ import annotations

import functools
import math
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.planning.load_chart import ArmSet, Chart, chart_at, load_chart, usual_arm_sets, whole_down
from engine.planning.sweep import Stopped, judge, limits_over
from engine.rig.kinematics import figures, place
from engine.schema.model import ArmPose, Job, Pose
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"

VINEYARD = read_once(SAMPLES / "cold_spring_vineyard.rig.json")
STONE_YARD = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")


RIGS = {"vineyard": VINEYARD, "stone yard": STONE_YARD}


@functools.cache
def chart_of(name: str) -> Chart:
    """The chart of a rig's first pose, worked out once for every test that reads it."""
    return load_chart(RIGS[name], RIGS[name].poses[0])


def cell_pose(job: Job, chart, arm: int, hole: int, height: int) -> Pose:
    return msgspec.structs.replace(
        job.poses[0],
        arms=chart.arm_sets[arm].arms,
        hole=chart.holes[hole],
        free_out_m=None,
        lift_m=float(chart.lift_m[arm, hole, height]),
        loaded=True,
    )


def use_at(job: Job, pose: Pose, load_kg: float) -> float:
    """Greatest use in the worst case with a load of a weight known exactly."""
    exact = Estimate(best=load_kg, known="weighed", low=load_kg, high=load_kg)
    known = msgspec.structs.replace(job, load=msgspec.structs.replace(job.load, mass_kg=exact))
    return float(limits_over(known, pose, figures(known, pose)).use)


def picked(chart, count: int):
    cells = np.argwhere(chart.allowed_kg > 0.0)
    return cells[np.random.default_rng(3).integers(0, len(cells), count)]


@pytest.mark.parametrize("name", RIGS)
def test_a_cell_is_what_bisection_on_uses_alone_gives(name):
    job, chart = RIGS[name], chart_of(name)
    (cell,) = picked(chart, 1)
    pose = cell_pose(job, chart, *cell)
    low, high = 0.0, 4000.0
    for _ in range(15):
        middle = (low + high) / 2.0
        low, high = (middle, high) if use_at(job, pose, middle) <= 1.0 else (low, middle)
    assert chart.allowed_kg[tuple(cell)] == pytest.approx(low, rel=2e-3, abs=0.05)


@pytest.mark.parametrize("name", RIGS)
def test_every_cell_tried_is_just_at_its_limit(name):
    job, chart = RIGS[name], chart_of(name)
    for cell in picked(chart, 3):
        pose = cell_pose(job, chart, *cell)
        allowed_kg = float(chart.allowed_kg[tuple(cell)])
        assert use_at(job, pose, allowed_kg * (1.0 - 2e-3)) <= 1.0
        assert use_at(job, pose, allowed_kg * (1.0 + 2e-3)) > 1.0
        arm, hole, height = cell
        judged = judge(job, pose)
        assert judged.governing == chart.names[chart.governing[arm, hole, height]]
        hook = place(job, figures(job, pose)).hook_m
        assert float(hook.z) == pytest.approx(chart.hook_heights_m[height], abs=1e-9)
        assert float(hook.x) == pytest.approx(chart.reach_m[arm, hole, height], abs=1e-9)


def test_a_hole_in_which_the_load_would_come_too_near_the_jib_mast_carries_nothing():
    """The lintel held across reaches 0.15 cos 15 deg + 0.9 sin 15 deg = 0.378 m towards the mast; 0.10 m are wanted.

    Low, the boom's tail is in the driver's space further in than hole 1; what bends and what may be off is 0.1 m.
    """
    chart = chart_of("stone yard")
    near, driver = set(), set()
    for arm, hole, height in np.argwhere(chart.allowed_kg == 0.0):
        pose = cell_pose(STONE_YARD, chart, arm, hole, height)
        placed = place(STONE_YARD, figures(STONE_YARD, pose))
        to_mast_m = float(placed.tip_m.x - placed.frames["jib mast"].origin.x) - 0.06
        tail_m = float(placed.frames["boom"].at(placed.figures.boom_out_m - 2.4).x)
        governing = chart.names[chart.governing[arm, hole, height]]
        if governing == "lintel: room to rig and truck":
            assert to_mast_m < 0.378 + 0.10 + 0.10
            near.add(chart.holes[hole])
        else:
            assert governing in ("boom: room to the truck", "saddles: room to the truck")
            assert tail_m < -0.10 + 0.05 + 0.15 and pose.lift_m < 0.6
            driver.add(chart.holes[hole])
    assert near >= {10, 11}, "the furthest in"
    assert driver and 1 not in driver


def test_a_boom_that_stands_free_has_the_chart_of_its_holes():
    pinned = STONE_YARD.poses[0]
    free = msgspec.structs.replace(pinned, hole=None, free_out_m=float(figures(STONE_YARD, pinned).boom_out_m) + 0.03)
    one, other = chart_of("stone yard"), load_chart(STONE_YARD, free)
    assert one.holes == other.holes
    np.testing.assert_allclose(other.allowed_kg, one.allowed_kg, rtol=1e-9)


def test_further_out_is_never_allowed_more():
    chart = load_chart(VINEYARD, VINEYARD.poses[0], usual_arm_sets(VINEYARD)[:1])
    straight = chart.allowed_kg[0]
    assert (np.diff(straight, axis=0) >= 0.0)[np.isfinite(np.diff(straight, axis=0))].all()


def test_heights_hold_with_the_upright_tilted_too():
    pose = msgspec.structs.replace(VINEYARD.poses[0], tilt_rad=0.1)
    chart = load_chart(VINEYARD, pose, usual_arm_sets(VINEYARD)[:4])
    for arm, hole, height in np.argwhere(np.isfinite(chart.allowed_kg))[::17]:
        stance = msgspec.structs.replace(cell_pose(VINEYARD, chart, arm, hole, height), tilt_rad=0.1)
        assert place(VINEYARD, figures(VINEYARD, stance)).hook_m.z == pytest.approx(chart.hook_heights_m[height])


def test_a_job_in_us_units_has_its_heights_every_two_feet():
    job = msgspec.structs.replace(VINEYARD, units="us")
    feet = [height / 0.3048 for height in load_chart(job, job.poses[0], usual_arm_sets(job)[:1]).hook_heights_m]
    assert feet == pytest.approx([round(foot) for foot in feet]) and len(feet) > 3
    assert np.diff(feet) == pytest.approx(2.0)


def test_a_height_the_forks_cannot_give_holds_no_number():
    chart = load_chart(VINEYARD, VINEYARD.poses[0], hook_heights_m=(0.2, 2.5, 9.0))
    assert np.isnan(chart.allowed_kg[..., 0]).all()
    assert np.isfinite(chart.allowed_kg[..., 1]).all()
    assert np.isnan(chart.allowed_kg[..., 2]).all()
    assert (chart.governing[..., 0] == -1).all()


def test_a_height_the_plate_does_not_give_holds_no_number():
    plate = msgspec.structs.replace(
        VINEYARD.truck.plate, rows=(msgspec.structs.replace(VINEYARD.truck.plate.rows[0], lift_m=1.0),)
    )
    job = msgspec.structs.replace(VINEYARD, truck=msgspec.structs.replace(VINEYARD.truck, plate=plate))
    chart = load_chart(job, job.poses[0], usual_arm_sets(job)[:2])
    assert (chart.lift_m[np.isfinite(chart.allowed_kg)] <= 1.0 + 1e-6).all()
    assert np.isnan(chart.allowed_kg).any()


def test_no_cell_holds_a_number_whose_pose_is_refused():
    chart = chart_of("vineyard")
    for arm, hole, height in np.argwhere(np.isfinite(chart.allowed_kg))[::11]:
        assert not judge(VINEYARD, cell_pose(VINEYARD, chart, arm, hole, height)).problems


def test_no_plate_no_numbers():
    bare = msgspec.structs.replace(VINEYARD, truck=msgspec.structs.replace(VINEYARD.truck, plate=None))
    chart = load_chart(bare, bare.poses[0])
    assert np.isnan(chart.allowed_kg).all()
    assert chart.problems[0].where == "truck.plate"


def test_arms_past_their_stops_are_a_problem_not_a_number():
    chart = load_chart(VINEYARD, VINEYARD.poses[0], (ArmSet(name="too far", arms=(ArmPose(turn_rad=3.0), ArmPose())),))
    assert chart.problems
    assert np.isnan(chart.allowed_kg).all()


def test_usual_arm_sets_leave_arms_off_one_by_one_and_hold_the_jobs_own_poses():
    names = [arm_set.name for arm_set in usual_arm_sets(VINEYARD)]
    assert names[:3] == ["arms straight", "arm 2 removed", "arm 1 and arm 2 removed"]
    assert "as in 'over the floor stand, left'" in names


def test_allowances_are_rounded_down_and_charts_can_be_stopped():
    assert whole_down(453.99) == 453
    assert math.isclose(whole_down(453.0), 453)
    with pytest.raises(Stopped):
        load_chart(VINEYARD, VINEYARD.poses[0], stop=lambda: True)


@pytest.mark.parametrize("job", RIGS.values(), ids=RIGS)
def test_the_chart_at_a_pose_holds_the_pose_s_own_allowed_load(job: Job) -> None:
    """Arms and hook height of the pose, every usable hole: at its own hole the load of the single verdict."""
    for pose in job.poses:
        verdict = evaluate(job, pose)
        if verdict.allowed_load_kg is None or pose.hole is None:
            continue
        chart = chart_at(job, pose)
        assert chart.allowed_kg.shape == (1, len(chart.holes), 1)
        at = (0, chart.holes.index(pose.hole), 0)
        assert float(chart.reach_m[at]) == pytest.approx(float(verdict.placed.hook_m.x), abs=1e-6)
        if not verdict.room.short_at_worst and pose.loaded:
            assert float(chart.allowed_kg[at]) == pytest.approx(verdict.allowed_load_kg, rel=1e-6)
