"""The base on two forks, against the worked example of a rig turned over a floor stand at its left."""

from __future__ import annotations

import math

import numpy as np
import pytest

from engine.base.geometry import ZERO, Number
from engine.jit.python_code import float_function
from engine.jit.trace import Recorder
from engine.rig.check import Check
from engine.schema.sections import RectTube, properties
from engine.strength.base_on_forks import (
    Base,
    Case,
    Pull,
    Seat,
    at_tips_and_heels,
    blade_stiffness_N_m,
    cases,
    cross_end_six,
    cross_six,
    cross_stiffness_Nm_rad,
    free_share,
    hook_shift,
    pitch_play_rad,
    play_of,
    pull_of,
    roll_play_rad,
    seats,
    spring_share,
    yaw_play_rad,
)
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import CheckLabel, Linear, check_greatest_pull, worse_of
from engine.strength.load_window import Shift, check_within
from engine.strength.weld_lines import Deposit, Joined, laid, plate, pulls, tube_along

FOUR_FIGURES = 6e-4
BASE = Base(0.0, 0.95, 0.35, 0.6)
WEIGHT_N, TIPS_N, ROLL_NM = 4865.0, 6062.0, 4397.0


def constant(weight: float = WEIGHT_N, nose_down: float = TIPS_N * 0.95, roll: float = ROLL_NM) -> Pull:
    return Pull(Linear(weight, 0.0), Linear(nose_down, 0.0), Linear(roll, 0.0))


def numbers(seat: Seat) -> tuple[float, ...]:
    return tuple(float(part.fixed) for part in (seat.tip, seat.heel, seat.half_twist, seat.fork_moment))


def case(name: str) -> Case:
    return next(each for each in cases(BASE, constant(), play=True) if each.name == name)


def test_tips_and_heels_together() -> None:
    tips, heels = at_tips_and_heels(BASE, constant())
    assert (tips.fixed, heels.fixed) == pytest.approx((6062.0, -1197.0))


@pytest.mark.parametrize(
    ("name", "left", "right"),
    [
        ("free", (5731.0, 4030.0, 2028.0, 5444.0), (331.0, -5227.0, 2028.0, 314.5)),
        ("stiff", (3031.0, 6730.0, -536.9, 2879.0), (3031.0, -7927.0, 4593.0, 2879.0)),
        ("far tip clear, left near", (6062.0, 3699.0, 2343.0, 5759.0), (0.0, -4896.0, 1714.0, 0.0)),
    ],
)
def test_shares_of_the_worked_example(name: str, left: tuple[float, ...], right: tuple[float, ...]) -> None:
    found = case(name)
    assert found.window.from_kg == 0.0
    assert numbers(found.left) == pytest.approx(left, rel=FOUR_FIGURES, abs=0.5)
    assert numbers(found.right) == pytest.approx(right, rel=FOUR_FIGURES, abs=0.5)


def test_share_by_springs() -> None:
    """Blade 100 x 35 to 0.95 m, cross-member 150 x 80 x 8 between sleeves of 160; the last numbers by a space frame."""
    tip = blade_stiffness_N_m(0.1, 0.035, 0.95)
    cross = cross_stiffness_Nm_rad(properties(RectTube(width_m=0.15, depth_m=0.08, wall_m=0.008)).twist_m4, 0.6, 0.16)
    assert tip == pytest.approx(2.500e5, rel=FOUR_FIGURES)
    assert cross == pytest.approx(2.813e6, rel=FOUR_FIGURES)
    share = spring_share(BASE, tip, cross)
    assert share == pytest.approx(0.02960, rel=FOUR_FIGURES)
    assert free_share(BASE) == pytest.approx(0.3684, rel=FOUR_FIGURES)
    left, right = seats(BASE, constant(), constant().roll.times(share / 0.6))
    assert numbers(left) == pytest.approx((3248.0, 6513.0, -330.8, 3086.0), rel=FOUR_FIGURES)
    assert numbers(right) == pytest.approx((2814.0, -7710.0, 4387.0, 2673.0), rel=FOUR_FIGURES)
    by_frame = (3324.0, 6437.0), (2739.0, -7636.0)
    for seat, want in zip((left, right), by_frame, strict=True):
        assert (seat.tip.fixed, seat.heel.fixed) == pytest.approx(want, rel=0.03)


def test_a_soft_cross_member_frees_the_sleeves_and_a_rigid_one_leaves_the_tips_little() -> None:
    assert spring_share(BASE, 2.5e5, 0.0) == pytest.approx(free_share(BASE))
    assert spring_share(BASE, 2.5e5, 1e15) == pytest.approx(2.5e5 / (2.5e5 + 1e8), rel=1e-3)


@pytest.mark.parametrize(
    ("pull", "name"),
    [
        (constant(5000.0, 4000.0 * 0.95, 0.6 * 2000.0), "far heel clear, left near"),
        (constant(5000.0, 6000.0 * 0.95, 0.6 * 2000.0), "near heel clear, left near"),
        (constant(5000.0, 6000.0 * 0.95, -0.6 * 2000.0), "near heel clear, right near"),
        (constant(roll=-ROLL_NM), "far tip clear, right near"),
    ],
)
def test_the_contact_that_hangs_clear_is_the_first_that_can(pull: Pull, name: str) -> None:
    """The contact of the name is at 0, the other three carry all, and no other contact could hang clear before it."""
    open_now = [each for each in cases(BASE, pull, play=True)[2:] if each.window.from_kg == 0.0]
    assert [each.name for each in open_now] == [name]
    (found,) = open_now
    clear, near = name.split(",")[0], name.split()[-2]
    near_seat, far_seat = (found.left, found.right) if near == "left" else (found.right, found.left)
    reactions = {
        "far tip clear": far_seat.tip,
        "far heel clear": far_seat.heel,
        "near heel clear": near_seat.heel,
    }
    assert reactions[clear].fixed == pytest.approx(0.0, abs=1e-9)
    assert min(near_seat.tip.fixed, far_seat.tip.fixed, near_seat.heel.fixed) >= -1e-9


def test_no_contact_hangs_clear_where_the_load_is_in_the_middle_or_the_sleeves_are_tight() -> None:
    middle = cases(BASE, constant(roll=0.0), play=True)[2:]
    assert all(each.window.from_kg == math.inf or numbers(each.left) == numbers(each.right) for each in middle)
    assert [each.name for each in cases(BASE, constant(), play=False)] == ["free", "stiff"]


def test_every_case_balances_the_pull() -> None:
    pull = Pull(Linear(3000.0, 9.8), Linear(1500.0, 30.0), Linear(-200.0, 12.0))
    base = Base(0.05, 1.0, 0.4, 0.7)
    for each in cases(base, pull, play=True):
        for load in (0.0, 130.0):
            left, right = each.left, each.right
            forces = [seat.at(load) for side in (left, right) for seat in (side.tip, side.heel)]
            assert sum(forces) == pytest.approx(pull.weight.at(load))
            moment = (forces[0] + forces[2]) * base.tip_m + (forces[1] + forces[3]) * base.heel_m
            assert moment == pytest.approx(pull.nose_down.at(load))
            assert left.fork_moment.at(load) + right.fork_moment.at(load) == pytest.approx(moment)
            assert (forces[0] + forces[1] - forces[2] - forces[3]) * 0.35 == pytest.approx(pull.roll.at(load))
            at_foot = pull.nose_down.at(load) - pull.weight.at(load) * base.foot_m
            assert left.half_twist.at(load) + right.half_twist.at(load) == pytest.approx(at_foot)


def test_the_pull_from_a_cut_at_the_fork_face() -> None:
    """A load of 1 N at (2, 0.5): the cut feels -1 upwards, 2 nose down and a twist of -0.5; the left side is loaded."""
    values = [Linear(value, 0.0) for value in (0.0, -1.0, 0.0, -0.5, 2.0, 0.0)]
    pull = pull_of(SectionForces(*values))
    assert [part.fixed for part in pull] == [1.0, 2.0, 0.5]


def test_cross_member_at_the_masts_face_and_at_its_sleeve() -> None:
    """W_i 9,761 N, T 4,594 N·m, mast 150 wide: 2,196 N·m; weld all round 192.6 and 34.53 N/mm."""
    none = Linear(0.0, 0.0)
    seat = Seat(Linear(9761.0, 0.0), none, none, Linear(4594.0, 0.0), none)
    six = cross_six(seat, Linear(400.0, 0.0), 0.6, 0.15)
    assert six.bend_up.fixed == pytest.approx(2196.0, rel=FOUR_FIGURES)
    assert six.bend_side.fixed == pytest.approx(200.0 * 0.225)
    section = properties(RectTube(width_m=0.15, depth_m=0.08, wall_m=0.008))
    assert six.bend_up.fixed / section.elastic_up_m3 == pytest.approx(27.20e6, rel=FOUR_FIGURES)
    assert six.twist.fixed / section.torsion_m3 == pytest.approx(28.43e6, rel=FOUR_FIGURES)
    assert six.shear_up.fixed / (2.0 * 0.008 * (0.08 - 0.024)) == pytest.approx(10.89e6, rel=FOUR_FIGURES)
    end = cross_end_six(seat, none, 0.1)
    deposit, joined = Deposit(0.006, 413.7e6, 0.7), Joined(0.008, 290e6, 3.0)
    cut = laid(0.08, 0.15, tube_along(0.08, 0.008), deposit, joined)
    whole = laid(0.08, 0.15, plate(1.0, 1.0), deposit, joined)
    for group, twisted, bent in ((whole, 192.6, 34.53), (cut, 647.8, 635.5)):
        for part, want in (("twist", twisted), ("bend_side", bent)):
            alone = SectionForces(*(value if name == part else none for name, value in end._asdict().items()))
            q = max(math.hypot(*(each.fixed for each in point)) for point in pulls(group, alone))
            assert q / 1000.0 == pytest.approx(want, rel=FOUR_FIGURES)


def test_play_of_a_sleeve_of_160_by_80_on_a_blade_of_100_by_35() -> None:
    play = play_of(0.16, 0.08, 0.008, 0.1, 0.035)
    assert play.up_m == pytest.approx(0.029)
    assert roll_play_rad(play.up_m, 0.6) == pytest.approx(0.04833, rel=FOUR_FIGURES)
    assert math.degrees(roll_play_rad(play.up_m, 0.6)) == pytest.approx(2.769, rel=FOUR_FIGURES)
    assert math.degrees(roll_play_rad(0.006, 0.6)) == pytest.approx(0.573, rel=FOUR_FIGURES)
    assert math.degrees(pitch_play_rad(play.up_m, BASE)) == pytest.approx(1.749, rel=FOUR_FIGURES)
    assert yaw_play_rad(play.side_m, 0.95) == pytest.approx(0.04632, rel=FOUR_FIGURES)


def test_a_pin_gap_of_6_mm_moves_a_hook_2_m_up_and_2_5_m_out() -> None:
    shift = hook_shift(pitch_play_rad(0.006, BASE), 0.01, 0.02, 2.0, 2.5)
    assert shift.forward_m == pytest.approx(0.01263, rel=FOUR_FIGURES)
    assert shift.down_m == pytest.approx(0.01579, rel=FOUR_FIGURES)
    assert shift.aside_m == pytest.approx(0.07)


def test_arrays_and_recorded_formulas_give_the_same_cases_as_floats() -> None:
    """The far heel's uplift and the near fork's moment, worst of all cases, for three bases at once and one by one."""
    item = CheckLabel("part", "kind", ZERO, "N", "", "")

    def limits(*numbers: Number) -> tuple[Number, ...]:
        foot, w0, w1, m0, m1, k0, k1, load = numbers
        pull = Pull(Linear(w0, w1), Linear(m0, m1), Linear(k0, k1))
        worst = None
        for each in cases(Base(0.05, 1.0, foot, 0.6), pull, play=True):

            def check(shift: Shift, load_kg: Number, each: Case = each) -> Check:
                uplift = shift(each.right.heel).times(-1.0), shift(each.left.heel).times(-1.0)
                return check_greatest_pull(item, (*uplift, shift(each.left.fork_moment)), 4000.0, load_kg)

            found = check_within(each.window, load, check)
            worst = found if worst is None else worse_of(worst, found)
        assert worst is not None
        return worst.use, worst.allowed_load_kg

    rows = [
        (0.35, 1500.0, 9.8, 800.0, 20.0, -100.0, 12.0, 250.0),
        (0.45, 1200.0, 9.8, 300.0, 9.0, 400.0, -3.0, 100.0),
        (0.30, 2500.0, 9.8, 1500.0, 15.0, 0.0, 0.0, 0.0),
    ]
    arrays = limits(*(np.array(column) for column in zip(*rows, strict=True)))
    recorder = Recorder()
    written = float_function(recorder, limits(*(recorder.new_input() for _ in rows[0])))  # type: ignore[arg-type]
    for index, row in enumerate(rows):
        plain = limits(*row)
        assert plain == tuple(float(part[index]) for part in arrays)  # type: ignore[index]
        assert plain == tuple(written(row))
