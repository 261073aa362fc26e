"""The kinds of joint: each carries a frame, moves points and stops as its own pin has it."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.geometry import LEVEL, Frame, Vec
from engine.schema.joints import JOINTS, Axis, Joint, LevelJoint, StandingJoint, swings

KINDS = [StandingJoint(-2.0, 1.5), LevelJoint(-2.0, 1.5)]
NAMES = ["standing", "level"]
angles = st.floats(-math.pi, math.pi)
lengths = st.floats(-3.0, 3.0)

BASE = Frame(LEVEL.raised(0.2).turned(-0.4), Vec(1.0, 0.3, 2.0))
"""A link that leans and is turned."""


def test_there_is_a_kind_for_every_word_of_the_rig_file() -> None:
    assert tuple(JOINTS) == get_args(Axis)


def test_a_standing_joint_turns_the_arm_to_the_left_and_a_level_one_raises_it() -> None:
    flat = Frame(LEVEL, Vec(0.0, 0.0, 0.0))
    quarter = math.pi / 2.0
    assert tuple(StandingJoint(-3.0, 3.0).carried(flat, quarter).at(2.0)) == pytest.approx((0.0, 2.0, 0.0))
    assert tuple(LevelJoint(-3.0, 3.0).carried(flat, quarter).at(2.0)) == pytest.approx((0.0, 0.0, 2.0))


@pytest.mark.parametrize("joint", KINDS, ids=NAMES)
@given(turn=angles, x=lengths, y=lengths, z=lengths)
def test_a_point_moves_as_the_frame_carries_it(joint: Joint, turn: float, x: float, y: float, z: float) -> None:
    step = 1e-6
    before, here, after = (joint.carried(BASE, at).at(x, y, z) for at in (turn - step, turn, turn + step))
    slope = (after - before).times(1.0 / (2.0 * step))
    assert tuple(joint.motion(joint.carried(BASE, turn), here)) == pytest.approx(tuple(slope), abs=1e-7)


@pytest.mark.parametrize("joint", KINDS, ids=NAMES)
@given(one=angles, other=angles)
def test_turned_twice_is_turned_by_the_sum(joint: Joint, one: float, other: float) -> None:
    twice, once = joint.carried(joint.carried(BASE, one), other), joint.carried(BASE, one + other)
    assert tuple(twice.at(1.0, 0.2, 0.1)) == pytest.approx(tuple(once.at(1.0, 0.2, 0.1)), abs=1e-12)


@pytest.mark.parametrize("joint", KINDS, ids=NAMES)
def test_the_arms_end_starts_off_aside(joint: Joint) -> None:
    frame = joint.carried(BASE, 0.7)
    assert tuple(joint.motion(frame, frame.at(1.0))) == pytest.approx(tuple(joint.aside(frame.axes)), abs=1e-12)


@pytest.mark.parametrize("joint", KINDS, ids=NAMES)
@given(one=angles, other=angles, x=lengths)
def test_no_point_within_reach_travels_further_than_is_said(joint: Joint, one: float, other: float, x: float) -> None:
    gone = joint.carried(BASE, other).at(x) - joint.carried(BASE, one).at(x)
    assert float(gone.length()) <= joint.most_travel_m(other - one, abs(x)) + 1e-12


@pytest.mark.parametrize("joint", KINDS, ids=NAMES)
def test_it_stops_at_its_stops(joint: Joint) -> None:
    assert joint.stops == (-2.0, 1.5)
    assert [joint.stopped(turn) for turn in (-9.0, 0.4, 9.0)] == [-2.0, 0.4, 1.5]
    assert [bool(joint.allows(turn)) for turn in (-2.1, -2.0, 1.5, 1.6, math.nan)] == [False, True, True, False, False]


@pytest.mark.parametrize("joint", KINDS, ids=NAMES)
def test_whole_turns_are_taken_off_a_turn_that_is_asked_for(joint: Joint) -> None:
    assert joint.nearest(0.4 + 4.0 * math.pi) == pytest.approx(0.4)
    assert joint.nearest(2.5) == 1.5
    assert joint.stops[0] <= joint.nearest(math.inf) <= joint.stops[1]


def test_a_person_reads_which_side_an_arm_is_on() -> None:
    standing, level = KINDS
    assert [standing.direction(0.1), standing.direction(-0.1)] == ["left", "right"]
    assert [level.direction(0.1), level.direction(-0.1)] == ["up", "down"]


def test_only_the_standing_kind_swings() -> None:
    assert [swings(joint) for joint in KINDS] == [True, False]


def test_handles_turn_where_the_motion_is_seen_in_true_shape() -> None:
    standing, level = KINDS
    assert (standing.handle("plan"), standing.handle("side")) == ("turn", "slide")
    assert (level.handle("plan"), level.handle("side")) == (None, "turn")
