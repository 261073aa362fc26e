"""The pull of a turn on the rig, measured by a rigid-body simulator (computed with MuJoCo).

The rig's weights, boom and arms as rods, ride on a body that turns about the point abreast of the front axle at some
speed, and slows down.  Sensors of force and torque at the front saddle's link to the rest read what holds each part:
nothing of the engine's pulls is used.
"""

from __future__ import annotations

from pathlib import Path

import msgspec
import mujoco
import numpy as np
import pytest

from engine.base.geometry import GRAVITY_M_S2
from engine.rig.kinematics import Body, Placed, figures, place
from engine.rig.load_path import load_path, rig_parts
from engine.rig.turning import Field, Turn
from engine.schema.model import Job
from engine.strength.cuts import PullDirection, cuts_of
from engine.strength.turned_path import turned_path
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[2] / "sample_rigs" / "skerry_point_boatyard.rig.json")
TURN = Turn(radius_m=1.3, speed_m_s=1.1, slowing_m_s2=1.7)
FIRMLY = 1e-9
"""Inertia of what counts as a point (kg m2)."""


def rods_m(job: Job) -> dict[str, float]:
    return {"boom": job.rig.boom.length_m} | {f"arm {i + 1}": arm.length_m for i, arm in enumerate(job.rig.arms)}


def inertial(job: Job, placed: Placed, body: Body) -> str:
    """A point, or an even rod along its link."""
    at = " ".join(f"{float(part):.15g}" for part in body.position_m)
    own = np.full((3, 3), 0.0)
    length_m = rods_m(job).get(body.link)
    if length_m is not None and body.name != "hook":
        along = np.array(placed.frames[body.link].axes.x, float)
        own = float(body.mass_kg) * length_m**2 / 12.0 * (np.eye(3) - np.outer(along, along))
    own = own + FIRMLY * np.eye(3)
    entries = (own[0, 0], own[1, 1], own[2, 2], own[0, 1], own[0, 2], own[1, 2])
    full = " ".join(f"{entry:.15g}" for entry in entries)
    return f'<body><inertial pos="{at}" mass="{float(body.mass_kg):.15g}" fullinertia="{full}"/></body>'


def simulated(job: Job, placed: Placed, left: bool, slowing_m_s2: float, parts: list[Body]) -> tuple[list[float], ...]:
    """Force and moment about the truck's origin that some parts press their carrier with, gravity among it."""
    middle = TURN.radius_m if left else -TURN.radius_m
    inside = "".join(inertial(job, placed, part) for part in parts)
    world = f"""<mujoco><compiler balanceinertia="false"/><option gravity="0 0 -{GRAVITY_M_S2}"/>
        <worldbody><body><joint name="turn" type="hinge" axis="0 0 1" pos="0 {middle} 0"/>
        <inertial pos="0 0 0" mass="1000" diaginertia="1 1 1"/>
        <body><inertial pos="0 0 0" mass="1e-6" diaginertia="1e-9 1e-9 1e-9"/>
        <site name="held" pos="0 0 0"/>{inside}</body></body></worldbody>
        <sensor><force site="held"/><torque site="held"/></sensor></mujoco>"""
    model = mujoco.MjModel.from_xml_string(world)
    data = mujoco.MjData(model)
    rate = (1.0 if left else -1.0) / TURN.radius_m
    data.qvel[0] = TURN.speed_m_s * rate
    data.qfrc_applied[0] = 1.0
    mujoco.mj_forward(model, data)
    data.qfrc_applied[0] = -slowing_m_s2 * rate / data.qacc[0]
    mujoco.mj_forward(model, data)
    assert data.qacc[0] == pytest.approx(-slowing_m_s2 * rate)
    # The sensor reads what the carrier presses the parts with.
    return list(-data.sensordata[:3]), list(-data.sensordata[3:])


def field_of(left: bool, slowing_m_s2: float) -> Field:
    """The one of the eight at full speed with this turn and this stop."""
    side = 1.0 if left else -1.0
    (field,) = (one for one in TURN.fields if one.xx > 0.0 and one.y * side < 0.0 and one.x * slowing_m_s2 > 0.0)
    return field


@pytest.mark.parametrize("slowing", [TURN.slowing_m_s2, -TURN.slowing_m_s2])
@pytest.mark.parametrize("left", [True, False])
def test_the_whole_rig_and_the_boom_press_with_what_the_simulator_reads(left: bool, slowing: float) -> None:
    pose = REPLACE(BOATYARD.poses[0], loaded=False)
    pose = REPLACE(pose, arms=tuple(REPLACE(arm, turn_rad=0.7) for arm in pose.arms))
    numbers = REPLACE(figures(BOATYARD, pose), fall_along=0.0, fall_across=0.0)
    placed = place(BOATYARD, numbers)
    parts = list(rig_parts(placed))
    field = field_of(left, slowing)
    pulls, sums = turned_path(BOATYARD, placed, field), load_path(parts)
    for name, pull, outboard in (("sleeves", pulls.sleeves, sums.sleeves), ("boom", pulls.boom, sums.boom)):
        first = [part.name for part in parts].index(name)
        force, moment = simulated(BOATYARD, placed, left, slowing, parts[first:])
        weight = placed.gravity.times(GRAVITY_M_S2)
        assert list(pull.force_N + weight.times(outboard.mass_kg)) == pytest.approx(force, abs=1e-3)
        assert list(pull.moment_Nm + outboard.first_kgm.cross(weight)) == pytest.approx(moment, abs=1e-3)
    down = placed.gravity.times(GRAVITY_M_S2)
    cuts = cuts_of(BOATYARD, placed, sums, PullDirection(down, down, field))
    force, moment = (np.array(part) for part in simulated(BOATYARD, placed, left, slowing, parts))
    origin = np.array(cuts.forks.place_m, float)
    about = moment - np.cross(origin, force)
    axes = [np.array(axis, float) for axis in cuts.forks.axes]
    made = cuts.forks.forces
    assert [float(part.fixed) for part in (made.axial, made.shear_side, made.shear_up)] == pytest.approx(
        [float(axis @ force) for axis in axes], abs=1e-3
    )
    assert [float(part.fixed) for part in (made.twist, made.bend_up, made.bend_side)] == pytest.approx(
        [float(axis @ about) for axis in axes], abs=1e-3
    )
