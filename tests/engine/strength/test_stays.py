"""Stays of a level hinge, against the worked example (M 1,051 N·m, outer force 2,210 N) and statics."""

from __future__ import annotations

import math

import numpy as np
import pytest

from engine.schema.sections import RectTube, properties
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear
from engine.strength.stays import (
    Point,
    StayLine,
    arm_sixes,
    barrel_bound,
    barrels,
    inner_force,
    stay_line,
    stay_pull,
    stop_push,
    strut_N,
)

FOUR_FIGURES = 5e-4
MOMENT, FORCE_N, NONE = Linear(1051.0, 0.0), 2210.0, Linear(0.0, 0.0)
INNER, ARM, RAISED = Point(-0.40, 0.30), Point(0.50, 0.05), 0.6


@pytest.mark.parametrize(
    ("lever_mm", "pull_N", "barrel_N"), [(60.0, 17_520.0, 9863.0), (100.0, 10_510.0, 6360.0), (150.0, 7007.0, 4608.0)]
)
def test_a_short_lever_loads_the_hinge(lever_mm: float, pull_N: float, barrel_N: float) -> None:
    line = StayLine(0.5, lever_mm / 1000.0, (0.0, 1.0), (0.0, 1.0))
    found = float(stay_pull(MOMENT, line).fixed)
    assert found == pytest.approx(pull_N, rel=FOUR_FIGURES)
    assert barrel_bound(found, FORCE_N, 0.0, 0.2) == pytest.approx(barrel_N, rel=FOUR_FIGURES)


def test_a_stay_between_two_points() -> None:
    line = stay_line(INNER, ARM, RAISED)
    assert line.length_m == pytest.approx(0.7848, rel=FOUR_FIGURES)
    assert line.lever_m == pytest.approx(0.3119, rel=FOUR_FIGURES)
    pull = float(stay_pull(MOMENT, line).fixed)
    assert pull == pytest.approx(3370.0, rel=FOUR_FIGURES)
    assert barrel_bound(pull, FORCE_N, 0.0, 0.2) == pytest.approx(2790.0, rel=FOUR_FIGURES)


def test_a_stay_from_below_pushes() -> None:
    line = stay_line(Point(-0.1, -0.3), Point(0.5, -0.05), 0.2)
    assert line.lever_m < 0.0
    assert stay_pull(MOMENT, line).fixed < 0.0


def test_many_angles_at_once() -> None:
    angles = np.array([0.0, 0.3, RAISED])
    found = stay_line(INNER, ARM, angles)
    for index, angle in enumerate(angles):
        one = stay_line(INNER, ARM, float(angle))
        at_angle = found.length_m[index], found.lever_m[index]  # type: ignore[index]
        assert at_angle == pytest.approx((one.length_m, one.lever_m))


def test_the_direction_of_a_stay_in_both_links_axes() -> None:
    line = stay_line(INNER, ARM, RAISED)
    for x, z in (line.on_arm, line.on_inner):
        assert math.hypot(float(x), float(z)) == pytest.approx(1.0)
    (arm_x, arm_z), (inner_x, inner_z) = line.on_arm, line.on_inner
    assert arm_x * inner_x + arm_z * inner_z == pytest.approx(math.cos(RAISED))
    assert arm_x * inner_z - arm_z * inner_x == pytest.approx(math.sin(RAISED))
    on_inner = inner_force(Linear(1000.0, 0.0), line)
    assert [part.fixed for part in on_inner] == pytest.approx([-1000.0 * float(part) for part in line.on_inner])


def test_barrels_carry_force_stay_and_couple_and_never_pass_the_bound() -> None:
    line = stay_line(INNER, ARM, RAISED)
    pull = stay_pull(MOMENT, line)
    force = Linear(-600.0, 0.0), Linear(-2127.0, 0.0)
    couple = Linear(300.0, 0.0), Linear(-100.0, 0.0)
    found = barrels(pull, line, force, couple)
    total = [sum(float(barrel[index].fixed) for barrel in found) for index in (0, 1)]
    want = [float(part.fixed) + float(pull.fixed) * float(way) for part, way in zip(force, line.on_arm, strict=True)]
    assert total == pytest.approx(want)
    greatest = max(math.hypot(float(x.fixed), float(z.fixed)) for x, z in found)
    assert greatest <= barrel_bound(float(pull.fixed), math.hypot(600.0, 2127.0), math.hypot(300.0, 100.0), 1.0)


def test_an_arm_in_balance_has_no_moment_left_at_its_hinge() -> None:
    """Load 2,000 N at 1.2 m and 500 N/m of arm: bent at the stay by what hangs outboard, by nothing at the hinge."""
    own, load, reach = 500.0, 2000.0, 1.2
    down = load + own * reach
    six = SectionForces(NONE, Linear(-down, 0.0), NONE, NONE, Linear(load * reach + own * reach**2 / 2.0, 0.0), NONE)
    line = stay_line(INNER, ARM, 0.0)
    pull = stay_pull(six.bend_up, line)
    outboard, inboard = arm_sixes(six, pull, line, ARM, own)
    beyond = reach - 0.5
    assert outboard.bend_up.fixed == pytest.approx(load * beyond + own * beyond**2 / 2.0)
    # From just inboard of the stay back to the hinge; the shear is the hinge's, with the arm's own weight between.
    at_hinge = float(inboard.bend_up.fixed) - 0.5 * float(inboard.shear_up.fixed) - own * 0.5**2 / 2.0
    assert at_hinge == pytest.approx(0.0, abs=1e-6)
    assert inboard.axial.fixed < 0.0, "the stay presses the arm against its hinge"


def test_a_stop_holds_one_way() -> None:
    assert stop_push(MOMENT, Point(0.2, -0.05)).fixed == pytest.approx(1051.0 / 0.2)
    assert stop_push(MOMENT.times(-1.0), Point(0.2, -0.05)).fixed < 0.0


def test_a_strut_buckles_at_its_own_length() -> None:
    """40 x 40 x 3, 2.0 m: Euler pi^2 E I/L^2 with r 15.0 mm, KL/r 133: 0.877 Fe A over 3."""
    section = properties(RectTube(width_m=0.04, depth_m=0.04, wall_m=0.003))
    euler = math.pi**2 * 199.948e9 * section.second_moment_up_m4 / 2.0**2
    slender = 2.0 / math.sqrt(section.second_moment_up_m4 / section.area_m2)
    assert slender < 4.71 * math.sqrt(199.948e9 / 195e6), "between yielding and Euler"
    fe = euler / section.area_m2
    assert strut_N(section, 195e6, 2.0, 3.0) == pytest.approx(
        0.658 ** (195e6 / fe) * 195e6 * section.area_m2 / 3.0, rel=1e-3
    )
    assert strut_N(section, 195e6, 4.0, 1.0) == pytest.approx(0.877 * euler / 4.0 / 1.67, rel=1e-3)
