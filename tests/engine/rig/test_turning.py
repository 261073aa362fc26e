"""What a turn pulls everything on the truck with, beside numbers by hand."""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.base.geometry import GRAVITY_M_S2, Vec
from engine.limits import balance
from engine.rig.kinematics import STEER_AXLE, figures, place
from engine.rig.turning import HUNG, Field, Turn, TurningPolicy, fields_of
from engine.schema.model import Policy
from engine.strength.cuts import pull_directions
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")
WALK = Turn(radius_m=2.0, speed_m_s=1.4, slowing_m_s2=1.4**2 / (2.0 * 0.5))
AXLE, LOAD = Vec(0.0, 0.0, 0.0), Vec(2.4, 0.0, 1.0)


def in_g(field: Field, place_m: Vec) -> tuple[float, float]:
    pull = field.at(place_m)
    return float(pull.x) / GRAVITY_M_S2, float(pull.y) / GRAVITY_M_S2


def by_rotation(turn: Turn, left: bool, share_of_speed: float, slowing: float, place_m: Vec) -> list[float]:
    """Pull at a place as -w x (w x r) - dw/dt x r about the point turned about."""
    side = 1.0 if left else -1.0
    r = np.array([place_m.x, place_m.y - side * turn.radius_m, 0.0])
    rate = np.array([0.0, 0.0, side * share_of_speed * turn.speed_m_s / turn.radius_m])
    growing = np.array([0.0, 0.0, -side * slowing / turn.radius_m])
    return list(-np.cross(rate, np.cross(rate, r)) - np.cross(growing, r))


def test_walking_pace_round_two_metres() -> None:
    """1.4 m/s, R 2.0 m: v2/R is 0.0999 g outward at the axle, and w2 x is 0.1199 g forward at 2.40 m; hung, twice."""
    steady = REPLACE(WALK, slowing_m_s2=0.0).fields
    outward = max(in_g(field, AXLE)[1] for field in steady)
    forward = max(in_g(field, LOAD)[0] for field in steady)
    assert (outward, forward) == (pytest.approx(0.09993, abs=1e-5), pytest.approx(0.1199, abs=1e-4))
    assert (HUNG * outward, HUNG * forward) == (pytest.approx(0.1999, abs=1e-4), pytest.approx(0.2398, abs=1e-4))
    assert min(in_g(field, AXLE)[1] for field in steady) == -outward, "to either side"


def test_a_stop_on_the_way_round_pulls_to_the_side() -> None:
    """Stopping in 0.5 m: 0.240 g to the side at 2.40 m more than the turn's own 0.0999 g; hung, 0.480 g."""
    own = max(in_g(field, LOAD)[1] for field in REPLACE(WALK, slowing_m_s2=0.0).fields)
    both = max(in_g(field, LOAD)[1] for field in WALK.fields)
    assert both - own == pytest.approx(0.240, abs=5e-4)
    assert HUNG * (both - own) == pytest.approx(0.480, abs=1e-3)
    at_rest = max(in_g(field, LOAD)[1] for field in REPLACE(WALK, speed_m_s=0.0).fields)
    assert at_rest == pytest.approx(both - own), "a stop ends at no speed at all"


def test_the_pulls_are_those_of_a_turning_body() -> None:
    """Every one of the eight, at places off the middle too, from the rotation itself."""
    for place_m in (AXLE, LOAD, Vec(-1.7, 0.55, 0.6), Vec(2.0, -1.3, 2.0)):
        expected = [
            by_rotation(WALK, left, speed, sign * WALK.slowing_m_s2, place_m)[:2]
            for left, speed, sign in itertools.product((True, False), (1.0, 0.0), (1.0, -1.0))
        ]
        pulls = [list(field.at(place_m))[:2] for field in WALK.fields]
        assert np.allclose(sorted(map(tuple, expected)), sorted(map(tuple, pulls)), atol=1e-9)


def test_the_worst_of_two_turns_is_worse_than_the_same_stop_straight_on() -> None:
    """The straight stop is the mean of a stop to the left and one to the right."""
    for forward in (1.0, -1.0):
        stops = [field for field in REPLACE(WALK, speed_m_s=0.0).fields if field.x * forward > 0.0]
        mean = np.mean([list(field.at(LOAD))[:2] for field in stops], axis=0)
        assert mean == pytest.approx([forward * WALK.slowing_m_s2, 0.0])


def test_tipping_moments_in_a_turn_are_the_sum_over_all_weights() -> None:
    """Hand sum: every body as a point under its own pull, over each line; what hangs pulls twice, dynamic factor on."""
    policy = TurningPolicy(dynamic_factor=1.2, turn=WALK)
    placed = place(BOATYARD, figures(BOATYARD, BOATYARD.poses[0]))
    ways = itertools.product((True, False), (1.0, 0.0), (-1.0, 1.0))
    for field, (left, speed, sign) in zip(WALK.fields, ways, strict=True):
        weighed = balance.weigh(placed, REPLACE(balance.allowances_of(policy), field=field))
        for line in weighed.lines:
            a, b = np.array(line.a_m, float), np.array(line.b_m, float)
            along = (b - a) / np.linalg.norm(b - a)
            holding = {"truck": 0.0, "rig": 0.0, "hung": 0.0}
            for body in placed.bodies:
                if line.left_out and body.link == STEER_AXLE:
                    continue
                hangs = body.group in ("rigging", "load")
                pull = np.array(by_rotation(WALK, left, speed, sign * WALK.slowing_m_s2, body.position_m))
                weight = np.array(placed.gravity, float) * GRAVITY_M_S2
                force = float(body.mass_kg) * (1.2 * (weight + 2.0 * pull) if hangs else weight + pull)
                moment = along @ np.cross(np.array(body.position_m, float) - a, force)
                holding["hung" if hangs else body.group] += moment
            assert float(line.restoring_Nm) == pytest.approx(holding["truck"], abs=1e-6), line.name
            assert float(line.load_Nm) == pytest.approx(-holding["rig"] - holding["hung"], abs=1e-6), line.name


def test_a_load_hung_at_rest_swings_out_twice_as_far_as_it_would_hang() -> None:
    """A pendulum of 1 m whose hook is pulled aside with 0.01 g at once, integrated: 0.02 at its furthest."""
    share, length_m, step_s = 0.01, 1.0, 1e-4
    angle = rate = furthest = 0.0
    for _ in range(20_000):
        pull = GRAVITY_M_S2 / length_m * (share * math.cos(angle) - math.sin(angle))
        rate += pull * step_s
        angle += rate * step_s
        furthest = max(furthest, math.tan(angle))
    assert furthest == pytest.approx(HUNG * share, rel=1e-3)


def test_only_the_allowances_of_a_turn_have_a_field() -> None:
    placed = place(BOATYARD, figures(BOATYARD, BOATYARD.poses[0]))
    assert fields_of(Policy()) == () and len(fields_of(TurningPolicy(turn=WALK))) == 8
    assert len(pull_directions(placed, Policy(swing_rad=0.0))) == 1
    assert len(pull_directions(placed, TurningPolicy(swing_rad=0.0, turn=WALK))) == 8
    assert len(pull_directions(placed, TurningPolicy(swing_rad=0.05, turn=WALK))) == 32
