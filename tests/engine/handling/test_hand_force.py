"""Hand force against sums done by hand."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.base.geometry import GRAVITY_M_S2
from engine.handling.arm_drift import DRY, GREASED, friction_Nm, turning
from engine.handling.hand_force import HIGH_HAND_N, arm_force, boom_force, hand_forces
from engine.rig.kinematics import figures, place
from engine.schema import rig_file
from engine.schema.model import ArmPose, Estimate

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
VINEYARD = rig_file.read(SAMPLES / "cold_spring_vineyard.rig.json")
STONE_YARD = rig_file.read(SAMPLES / "tarn_hollow_stone_yard.rig.json")


def level(job):
    flat = {name: Estimate(best=0.0, known="measured") for name in ("fall_along", "fall_across")}
    return msgspec.structs.replace(job, floors=(msgspec.structs.replace(job.floors[0], **flat),))


def test_uphill_is_friction_plus_drift_and_downhill_their_difference():
    pose = VINEYARD.poses[0]
    placed, arm = place(VINEYARD, figures(VINEYARD, pose)), VINEYARD.rig.arms[0]
    torque_Nm, friction = abs(turning(placed, 0)[0]), friction_Nm(VINEYARD, placed, 0, GREASED)
    force = arm_force(VINEYARD, pose, 0)
    assert force.uphill_greased_N == pytest.approx((friction + torque_Nm) / arm.length_m)
    assert force.downhill_greased_N == pytest.approx((friction - torque_Nm) / arm.length_m)


def test_a_loaded_arm_is_flagged_and_an_empty_one_is_not():
    forces = {(force.part, force.loaded): force for force in hand_forces(VINEYARD, VINEYARD.poses[0])}
    assert forces["arm 1", True].too_much
    assert not forces["arm 1", False].too_much
    assert forces["arm 1", True].uphill_dry_N > HIGH_HAND_N > forces["arm 1", False].uphill_dry_N


def test_sliding_a_level_straight_boom_is_friction_on_the_see_saw_of_its_overhang():
    """Overhanging beam: front support P(L+a)/L, rear P a/L for a load P at overhang a over a span L."""
    job = level(STONE_YARD)
    pose = job.poses[0]
    rig = job.rig
    out_m = float(figures(job, pose).boom_out_m)
    span_m = rig.saddles.front_x_m - rig.saddles.rear_x_m
    hung_N = GRAVITY_M_S2 * (415.0 + 15.0 + rig.hook.mass_kg.best)
    boom_N = GRAVITY_M_S2 * rig.boom.mass_kg.best
    overhang_m, centre_m = out_m - rig.hook.edge_m, out_m - rig.boom.length_m / 2.0
    rear_N = (hung_N * overhang_m + boom_N * centre_m) / span_m
    contact_N = rear_N + (rear_N + hung_N + boom_N)
    force = boom_force(job, pose)
    assert force.uphill_greased_N == pytest.approx(GREASED * contact_N, rel=1e-9)
    assert force.uphill_dry_N == pytest.approx(DRY * contact_N, rel=1e-9)


def test_turned_arms_jam_the_boom_harder_than_straight_ones_of_the_same_lever():
    job = level(VINEYARD)
    pose = job.poses[0]
    left, right = (
        boom_force(job, msgspec.structs.replace(pose, arms=(ArmPose(turn_rad=turn), ArmPose()))) for turn in (1.4, -1.4)
    )
    assert left.uphill_dry_N == pytest.approx(right.uphill_dry_N, rel=1e-9)
    straight = boom_force(job, msgspec.structs.replace(pose, arms=(ArmPose(), ArmPose())))
    assert left.uphill_dry_N > straight.uphill_dry_N


def test_a_nose_down_boom_is_easier_one_way_by_twice_its_weight_along():
    pose = msgspec.structs.replace(STONE_YARD.poses[0], tilt_rad=-0.05)
    force = boom_force(STONE_YARD, pose)
    assert force.uphill_greased_N > force.downhill_greased_N
