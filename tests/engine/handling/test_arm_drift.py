"""Drift: the arms' rest against a direct search for the lowest potential energy, and hinge friction by hand."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from engine.base.geometry import GRAVITY_M_S2
from engine.handling.arm_drift import DRY, GREASED, arm_drifts, collar_radius_m, drift, friction_Nm, hinge_pull
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import Placed, figures, place
from engine.rig.load_path import loaded_path
from engine.schema.model import ArmPose, Job, Pose
from engine.schema.quantities import Estimate
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
VINEYARD = read_once(SAMPLES / "cold_spring_vineyard.rig.json")


def on_floor(job: Job, along: float, across: float) -> Job:
    fall = {
        name: Estimate(best=value, known="measured") for name, value in (("fall_along", along), ("fall_across", across))
    }
    return msgspec.structs.replace(job, floors=(msgspec.structs.replace(job.floors[0], **fall),))


def with_turns(pose: Pose, turns) -> Pose:
    return msgspec.structs.replace(pose, arms=tuple(ArmPose(turn_rad=float(turn)) for turn in turns))


def energy_J(placed: Placed) -> float:
    """Potential energy of every body, its zero at the truck's own origin."""
    return -GRAVITY_M_S2 * sum(body.mass_kg * float(body.position_m.dot(placed.gravity)) for body in placed.bodies)


def energy(job: Job, pose: Pose, turns) -> float:
    return energy_J(place(job, figures(job, with_turns(pose, turns))))


@settings(max_examples=25)
@given(
    along=st.floats(0.01, 0.04),
    across=st.floats(-0.02, 0.02),
    tilt=st.floats(-0.05, 0.005),
    one=st.floats(-1.0, 1.0),
    two=st.floats(-1.0, 1.0),
)
def test_arms_come_to_rest_where_a_direct_search_finds_the_lowest_energy(along, across, tilt, one, two):
    job = on_floor(VINEYARD, along, across)
    pose = with_turns(msgspec.structs.replace(job.poses[0], tilt_rad=tilt), (one, two))
    drifts = drift(job, pose)
    limits = [(arm.turn_min_rad, arm.turn_max_rad) for arm in job.rig.arms]
    scale = 1000.0 * drifts.lean
    search = minimize(lambda turns: energy(job, pose, turns) / scale, (one, two), bounds=limits, tol=1e-12)
    rest = [arm.turn_rad for arm in drifts.rest.arms]
    assert energy(job, pose, rest) == pytest.approx(search.fun * scale, abs=1e-6 * scale)
    assert rest == pytest.approx(list(search.x), abs=5e-3)
    # Both arms end in line, pointing down the fall.
    assert rest == pytest.approx([drifts.downhill_rad, 0.0], abs=1e-6)


@given(along=st.floats(-0.04, 0.04), across=st.floats(-0.04, 0.04), one=st.floats(-1.6, 1.6), two=st.floats(-2.4, 2.4))
def test_wherever_a_stop_holds_an_arm_no_place_next_to_it_is_lower(along, across, one, two):
    job = on_floor(VINEYARD, along, across)
    pose = with_turns(job.poses[0], (one, two))
    rest = [arm.turn_rad for arm in drift(job, pose).rest.arms]
    limits = [joint_as_free(job.rig, index).stops for index in range(2)]
    assert energy(job, pose, rest) <= energy(job, pose, (one, two)) + 1e-9
    for near in ((1e-3, 0.0), (-1e-3, 0.0), (0.0, 1e-3), (0.0, -1e-3)):
        turns = [min(max(r + n, low), high) for r, n, (low, high) in zip(rest, near, limits, strict=True)]
        assert energy(job, pose, rest) <= energy(job, pose, turns) + 1e-6


@given(across=st.floats(-0.04, 0.04), one=st.floats(-2.0, 2.0), two=st.floats(-2.0, 2.0))
def test_torque_is_the_slope_of_the_energy(across, one, two):
    job = on_floor(VINEYARD, 0.01, across)
    pose = with_turns(job.poses[0], (one, two))
    step = 1e-4
    for index, along in ((0, (step, 0.0)), (1, (0.0, step))):
        ahead, back = (energy(job, pose, np.add((one, two), sign * np.array(along))) for sign in (1, -1))
        placed = place(job, figures(job, pose))
        assert hinge_pull(job.rig.arms[index], placed, loaded_path(placed), index).torque_Nm == pytest.approx(
            -(ahead - back) / (2.0 * step), abs=1e-3
        )


def test_on_a_level_floor_with_plumb_pins_nothing_runs():
    job = on_floor(VINEYARD, 0.0, 0.0)
    drifts = drift(job, job.poses[0])
    assert [arm.runs for arm in drifts.arms] == ["still", "still"]
    assert drifts.downhill_rad is None
    assert drifts.rest == job.poses[0]


def test_an_arm_straight_ahead_runs_to_the_low_side():
    for across, way in ((0.02, "left"), (-0.02, "right")):
        job = on_floor(VINEYARD, 0.0, across)
        drifts = drift(job, with_turns(job.poses[0], (0.0, 0.0)))
        assert [arm.runs for arm in drifts.arms] == [way, way]
        assert math.degrees(drifts.rest.arms[0].turn_rad) == pytest.approx(math.copysign(90.0, across), abs=0.1)
        assert drifts.rest.arms[1].turn_rad == pytest.approx(0.0, abs=1e-6)


def test_hinge_friction_of_one_straight_arm_worked_out_by_hand():
    """Pin mu F r at both ends of a sleeve of 198 mm and its gaps of 1, flat collar at its mean radius; level floor."""
    job = on_floor(VINEYARD, 0.0, 0.0)
    pose = msgspec.structs.replace(job.poses[0], arms=(ArmPose(turn_rad=0.0), ArmPose(turn_rad=0.0, fitted=False)))
    placed, arm = place(job, figures(job, pose)), job.rig.arms[0]
    hung_kg = 285.0 + 15.0 + job.rig.hook.mass_kg.best
    weight_N = GRAVITY_M_S2 * (hung_kg + arm.mass_kg.best)
    moment_Nm = GRAVITY_M_S2 * (hung_kg * arm.length_m + arm.mass_kg.best * arm.length_m / 2.0)
    pin_radius_m = arm.hinge.pin.diameter_m / 2.0
    by_hand = 0.15 * (2.0 * moment_Nm / 0.199 * pin_radius_m + weight_N * collar_radius_m(arm))
    pull = hinge_pull(arm, placed, loaded_path(placed), 0)
    assert friction_Nm(arm, pull, GREASED) == pytest.approx(by_hand, rel=1e-9)
    assert friction_Nm(arm, pull, DRY) == pytest.approx(2.0 * by_hand, rel=1e-9)


def test_an_inch_pin_under_a_ton_resists_as_the_closed_form_says():
    """1 in pin, 2,000 lbf on it, mu 0.15 and 0.30: 150 and 300 lbf-in (T = mu F r)."""
    force_N, radius_m = 2000.0 * 4.4482216152605, 0.5 * 0.0254
    for mu, inch_pounds in ((GREASED, 150.0), (DRY, 300.0)):
        assert mu * force_N * radius_m / (4.4482216152605 * 0.0254) == pytest.approx(inch_pounds)


def test_the_fall_at_which_an_arm_starts_is_where_torque_meets_friction():
    job = on_floor(VINEYARD, 0.0, 0.0)
    straight = with_turns(job.poses[0], (0.0, 0.0))
    starts = drift(job, straight).arms[1].starts_at_fall_greased
    for fall, goes in ((0.98 * starts, False), (1.02 * starts, True)):
        tilted = on_floor(VINEYARD, 0.0, fall)
        assert drift(tilted, straight).arms[1].starts_by_itself is goes


def test_friction_never_turns_a_run_into_standing_still():
    job = on_floor(VINEYARD, 0.0, 0.001)
    arm = drift(job, with_turns(job.poses[0], (0.0, 0.0))).arms[0]
    assert not arm.starts_by_itself
    assert arm.runs == "left"


def test_the_quick_answer_for_a_drag_is_the_whole_ones():
    job = on_floor(VINEYARD, 0.01, 0.02)
    assert arm_drifts(job, job.poses[0]) == drift(job, job.poses[0]).arms


@pytest.mark.parametrize("unknown", [("fall_along",), ("fall_across",), ("fall_along", "fall_across")])
def test_on_a_floor_whose_fall_is_not_known_nothing_is_said_of_where_arms_run(unknown: tuple[str, ...]) -> None:
    """Neither that an arm is still, nor a direction, nor that friction holds it, nor that the pins stand plumb."""
    level = on_floor(VINEYARD, 0.0, 0.0)
    job = msgspec.structs.replace(level, floors=(msgspec.structs.replace(level.floors[0], **dict.fromkeys(unknown)),))
    drifts = drift(job, job.poses[0])
    for arms in (drifts.arms, arm_drifts(job, job.poses[0])):
        assert (
            arms
            and [arm.runs for arm in arms] == ["not known"] * len(arms)
            and all(math.isnan(arm.torque_Nm) for arm in arms)
        )
    assert all(
        arm.starts_by_itself and math.isnan(arm.starts_at_fall_greased) and math.isnan(arm.starts_at_fall_dry)
        for arm in drifts.arms
    )
    assert drifts.rest is None and drifts.downhill_rad is None and math.isnan(drifts.lean)
