"""Beams and statics from the handbooks, through the program's own sections and load path where it has them.

Overhanging beam, cantilever and side-arm torsion: closed forms of the beam tables (read in secondary copies), numbers for
HSS8x3x3/8 and HSS4x4x1/4 worked out with the AISC shapes table and a frame solver.  US units.
"""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest

from engine.rig.kinematics import Figures, figures, place
from engine.rig.load_path import load_path, rig_parts
from engine.schema import rig_file
from engine.schema.model import ArmPose, Estimate, Job
from engine.schema.sections import RectTube, properties
from engine.schema.steel import ELASTIC_MODULUS_PA, SHEAR_MODULUS_PA
from engine.strength.cuts import Cuts, cuts_of, pull_directions
from engine.strength.saddles import reactions

REPLACE = msgspec.structs.replace
IN = 0.0254
LBF = 4.4482216152605
LB = 0.45359237
SAMPLE = rig_file.read(Path(__file__).resolve().parents[2] / "sample_rigs" / "skerry_point_boatyard.rig.json")
BOOM = RectTube(width_m=3 * IN, depth_m=8 * IN, wall_m=0.375 * IN)
ARM = RectTube(width_m=4 * IN, depth_m=4 * IN, wall_m=0.25 * IN)

# The shapes table's I and J are for the same shape, rounded.
SHAPES_TABLE = 0.008


def weightless(out_in: float, spacing_in: float, load_lb: float, arm_in: float = 0.0, turn_deg: float = 0.0) -> Cuts:
    """The cuts of a rig without weights of its own: a load straight at the boom's end, or on one arm."""
    level = tuple(REPLACE(floor, fall_along=Estimate(best=0.0, known="measured")) for floor in SAMPLE.floors)
    saddles = REPLACE(SAMPLE.rig.saddles, front_x_m=0.0, rear_x_m=-spacing_in * IN)
    arms = (REPLACE(SAMPLE.rig.arms[0], length_m=arm_in * IN),) if arm_in else ()
    hook = REPLACE(SAMPLE.rig.hook, edge_m=1e-9)
    rig = REPLACE(SAMPLE.rig, saddles=saddles, arms=arms, hook=hook)
    pose = REPLACE(SAMPLE.poses[0], arms=tuple(ArmPose(turn_rad=math.radians(turn_deg)) for _ in arms))
    job: Job = REPLACE(SAMPLE, rig=rig, floors=level, poses=(pose,), moves=())
    numbers: Figures = REPLACE(
        figures(job, pose),
        boom_out_m=out_in * IN,
        boom_kg=0.0,
        saddles_kg=0.0,
        jib_mast_kg=0.0,
        sleeves_kg=0.0,
        hook_kg=0.0,
        rigging_kg=0.0,
        arms_kg=tuple(0.0 for _ in arms),
        load_kg=load_lb * LB,
    )
    placed = place(job, numbers)
    return cuts_of(job, placed, load_path(rig_parts(placed)), pull_directions(placed, job.policy)[0])


def test_overhanging_beam_reactions() -> None:
    """Supports 40 in apart, 96 in out, 1,000 lb: -2,400 and +3,400 lb; moment P a at the front support."""
    cuts = weightless(96.0, 40.0, 1000.0)
    job = REPLACE(
        SAMPLE, rig=REPLACE(SAMPLE.rig, saddles=REPLACE(SAMPLE.rig.saddles, front_x_m=0.0, rear_x_m=-40 * IN))
    )
    held, load = reactions(job, cuts), 1000.0 * LB
    assert held.rear_up.at(load) / LBF == pytest.approx(-2400.0, rel=1e-6)
    assert held.front_up.at(load) / LBF == pytest.approx(3400.0, rel=1e-6)
    assert cuts.boom.forces.bend_up.at(load) / (LBF * IN) == pytest.approx(96_000.0, rel=1e-6)


def test_side_arm_twists_the_boom() -> None:
    """Boom 96 in, arm 24 in to the side, 500 lb: T 12,000 and M 48,000 in-lb at the root, M 12,000 at the arm's."""
    cuts, load = weightless(96.0, 40.0, 500.0, arm_in=24.0, turn_deg=90.0), 500.0 * LB
    per = LBF * IN
    assert abs(cuts.boom.forces.twist.at(load)) / per == pytest.approx(12_000.0, rel=1e-6)
    assert cuts.boom.forces.bend_up.at(load) / per == pytest.approx(48_000.0, rel=1e-6)
    ((_, cut),) = cuts.arms
    assert cut.forces.bend_up.at(load) / per == pytest.approx(12_000.0, rel=1e-6)
    assert cut.forces.twist.at(load) / per == pytest.approx(0.0, abs=1e-3)


def test_cantilever_under_an_end_load() -> None:
    """HSS8x3x3/8, 96 in, 1,000 lb: tip 0.209678 in (F L^3 / 3 E I), slope 0.0032762."""
    second = properties(BOOM, 0.349 * IN).second_moment_up_m4
    force, length = 1000.0 * LBF, 96.0 * IN
    assert force * length**3 / (3.0 * ELASTIC_MODULUS_PA * second) / IN == pytest.approx(0.209678, rel=SHAPES_TABLE)
    assert force * length**2 / (2.0 * ELASTIC_MODULUS_PA * second) == pytest.approx(0.0032762, rel=SHAPES_TABLE)
    even = 24.93 * LBF / (12.0 * IN)
    assert even * length**4 / (8.0 * ELASTIC_MODULUS_PA * second) / IN == pytest.approx(0.015682, rel=SHAPES_TABLE)
    assert even * length**2 / 2.0 / (LBF * IN) == pytest.approx(9573.1, abs=0.1)


def test_overhang_tip() -> None:
    """P a^2 (L + a) / 3 E I = 0.297044 in for L 40, a 96."""
    second = properties(BOOM, 0.349 * IN).second_moment_up_m4
    over, span = 96.0 * IN, 40.0 * IN
    tip = 1000.0 * LBF * over**2 * (span + over) / (3.0 * ELASTIC_MODULUS_PA * second)
    assert tip / IN == pytest.approx(0.297044, rel=SHAPES_TABLE)


def test_side_arm_tip() -> None:
    """P L^3/3EI + P a^3/3EI2 + P a^2 L/GJ = 0.201641 in."""
    boom, arm = properties(BOOM, 0.349 * IN), properties(ARM, 0.233 * IN)
    force, length, out = 500.0 * LBF, 96.0 * IN, 24.0 * IN
    tip = (
        force * length**3 / (3.0 * ELASTIC_MODULUS_PA * boom.second_moment_up_m4)
        + force * out**3 / (3.0 * ELASTIC_MODULUS_PA * arm.second_moment_up_m4)
        + force * out**2 * length / (SHEAR_MODULUS_PA * boom.twist_m4)
    )
    assert tip / IN == pytest.approx(0.201641, rel=SHAPES_TABLE)


def test_twist_of_the_boom() -> None:
    """T L / G J = 0.0036090 rad for 12,000 in-lb over 96 in, J = 28.5 in4."""
    found = 12_000.0 * LBF * IN * 96.0 * IN / (SHEAR_MODULUS_PA * properties(BOOM, 0.349 * IN).twist_m4)
    assert found == pytest.approx(0.0036090, rel=SHAPES_TABLE)
