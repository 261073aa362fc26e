"""Beams and statics from the handbooks, through the program's load path and its bending of a whole rig.

Overhanging beam, cantilever and side-arm torsion: closed forms of the beam tables (read in secondary copies), numbers
for HSS8x3x3/8 and HSS4x4x1/4 worked out with the AISC shapes table and a frame solver.  US units.
"""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest

from engine.base.geometry import Vec
from engine.handling.sag import sag_of
from engine.rig.deflection import bent_members
from engine.rig.kinematics import figures, place
from engine.rig.load_path import load_path, rig_parts
from engine.schema.model import ArmPose, Job, Policy, Pose, Rig
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube
from engine.strength.cuts import Cuts, cuts_of, pull_directions
from engine.strength.saddles import reactions
from tests.samples import read_once

REPLACE = msgspec.structs.replace
IN = 0.0254
LBF = 4.4482216152605
LB = 0.45359237
FT = 0.3048
SAMPLE = read_once(Path(__file__).resolve().parents[2] / "sample_rigs" / "skerry_point_boatyard.rig.json")
BOOM = RectTube(width_m=3 * IN, depth_m=8 * IN, wall_m=0.349 * IN)
ARM = RectTube(width_m=4 * IN, depth_m=4 * IN, wall_m=0.233 * IN)
OUT_IN = 96.0

# The shapes table's I and J are for the same shape, rounded.
SHAPES_TABLE = 0.008


def weightless(spacing_in: float, arm_in: float = 0.0, boom_lb_ft: float = 0.0) -> Job:
    """A rig without weights of its own, save for the boom's where it is given; its tubes have their design walls."""
    level = tuple(REPLACE(floor, fall_along=Estimate(best=0.0, known="measured")) for floor in SAMPLE.floors)
    nothing = Estimate(best=0.0, known="weighed")
    tail_in = 40.0
    boom_m = (OUT_IN + tail_in) * IN
    rig = SAMPLE.rig
    arm = REPLACE(rig.arms[0], length_m=arm_in * IN, section=ARM, mass_kg=nothing)
    rig = REPLACE(
        rig,
        sleeves=REPLACE(rig.sleeves, mass_kg=nothing),
        jib_mast=REPLACE(rig.jib_mast, mass_kg=nothing),
        saddles=REPLACE(rig.saddles, front_x_m=0.0, rear_x_m=-spacing_in * IN, mass_kg=nothing),
        boom=REPLACE(
            rig.boom,
            section=BOOM,
            length_m=boom_m,
            mass_kg=Estimate(best=boom_lb_ft * LB / FT * boom_m, known="weighed"),
        ),
        arms=(arm,) if arm_in else (),
        hook=REPLACE(rig.hook, end=REPLACE(rig.hook.end, edge_m=1e-9), mass_kg=nothing),
    )
    load = REPLACE(SAMPLE.load, rigging_kg=nothing)
    return REPLACE(
        SAMPLE,
        rig=rig,
        load=load,
        floors=level,
        policy=Policy(),
        poses=(stance(rig),),
        moves=(),
        trial_lifts=(),
        drawn=None,
    )


def stance(rig: Rig, turn_deg: float = 0.0) -> Pose:
    """The boom 96 in out, the arm turned so far to the left."""
    arms = tuple(ArmPose(turn_rad=math.radians(turn_deg)) for _ in rig.arms)
    return REPLACE(SAMPLE.poses[0], hole=None, free_out_m=OUT_IN * IN, arms=arms)


def with_load(job: Job, load_lb: float) -> Job:
    return REPLACE(job, load=REPLACE(job.load, mass_kg=Estimate(best=load_lb * LB, known="weighed")))


def cuts(job: Job, pose: Pose) -> Cuts:
    placed = place(job, figures(job, pose))
    direction = pull_directions(placed, Policy(dynamic_factor=1.0))[0]
    return cuts_of(job, placed, load_path(rig_parts(placed)), direction)


def sags_in(job: Job, pose: Pose) -> dict[str, float]:
    """How far down each part's bending carries the hook."""
    return {part.part: part.drop_m / IN for part in sag_of(job, pose).parts}


def boom_turn(job: Job, pose: Pose) -> Vec:
    """Slope and twist of the boom's end by its overhang alone."""
    placed = place(job, figures(job, pose))
    hung_kg = placed.figures.load_kg
    return next(
        bent for bent in bent_members(job, placed, rig_parts(placed), hung_kg, ()) if bent.part == "boom"
    ).turn_rad


def test_overhanging_beam_reactions() -> None:
    """Supports 40 in apart, 96 in out, 1,000 lb: -2,400 and +3,400 lb; moment P a at the front support."""
    job, load = weightless(40.0), 1000.0 * LB
    links = cuts(job, stance(job.rig))
    held = reactions(job, links)
    assert held.rear_up.at(load) / LBF == pytest.approx(-2400.0, rel=1e-6)
    assert held.front_up.at(load) / LBF == pytest.approx(3400.0, rel=1e-6)
    assert links.boom.forces.bend_up.at(load) / (LBF * IN) == pytest.approx(96_000.0, rel=1e-6)


def test_side_arm_twists_the_boom() -> None:
    """Boom 96 in, arm 24 in to the side, 500 lb: T 12,000 and M 48,000 in-lb at the root, M 12,000 at the arm's."""
    job, load, per = weightless(40.0, arm_in=24.0), 500.0 * LB, LBF * IN
    links = cuts(job, stance(job.rig, 90.0))
    assert abs(links.boom.forces.twist.at(load)) / per == pytest.approx(12_000.0, rel=1e-6)
    assert links.boom.forces.bend_up.at(load) / per == pytest.approx(48_000.0, rel=1e-6)
    ((_, cut),) = links.arms
    assert cut.forces.bend_up.at(load) / per == pytest.approx(12_000.0, rel=1e-6)
    assert cut.forces.twist.at(load) / per == pytest.approx(0.0, abs=1e-3)


def test_cantilever_under_an_end_load() -> None:
    """HSS8x3x3/8, 96 in, 1,000 lb: tip 0.209678 in (F L^3 / 3 E I), slope 0.0032762."""
    job = with_load(weightless(40.0), 1000.0)
    assert sags_in(job, stance(job.rig))["boom"] == pytest.approx(0.209678, rel=SHAPES_TABLE)
    assert boom_turn(job, stance(job.rig)).y == pytest.approx(0.0032762, rel=SHAPES_TABLE)


def test_cantilever_under_its_own_weight() -> None:
    """24.93 lb/ft over 96 in: tip 0.015682 in (w L^4 / 8 E I), 9,573.1 lb-in at the root (w L^2 / 2)."""
    job = with_load(weightless(40.0, boom_lb_ft=24.93), 0.0)
    assert sags_in(job, stance(job.rig))["boom"] == pytest.approx(0.015682, rel=SHAPES_TABLE)
    root = cuts(job, stance(job.rig)).boom.forces.bend_up.at(0.0)
    assert root / (LBF * IN) == pytest.approx(9573.1, abs=0.1)


def test_overhang_tip() -> None:
    """P a^2 (L + a) / 3 E I = 0.297044 in for L 40, a 96: the overhang's own bending and its turn over the saddle."""
    job = with_load(weightless(40.0), 1000.0)
    sags = sags_in(job, stance(job.rig))
    assert sags["boom"] + sags["boom between saddles"] == pytest.approx(0.297044, rel=SHAPES_TABLE)


def test_side_arm_tip() -> None:
    """P L^3/3EI + P a^3/3EI2 + P a^2 L/GJ = 0.201641 in."""
    job = with_load(weightless(40.0, arm_in=24.0), 500.0)
    sags = sags_in(job, stance(job.rig, 90.0))
    assert sags["boom"] + sags["arm 1"] == pytest.approx(0.201641, rel=SHAPES_TABLE)


def test_twist_of_the_boom() -> None:
    """T L / G J = 0.0036090 rad for 12,000 in-lb over 96 in, J = 28.5 in4."""
    job = with_load(weightless(40.0, arm_in=24.0), 500.0)
    assert abs(boom_turn(job, stance(job.rig, 90.0)).x) == pytest.approx(0.0036090, rel=SHAPES_TABLE)
