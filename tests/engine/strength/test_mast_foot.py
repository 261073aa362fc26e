"""The mast's foot: base plate and gussets, against the worked example and hand sums."""

from __future__ import annotations

import math

import pytest

from engine.strength.bed import least_plate_m
from engine.strength.linear_in_load import Linear
from engine.strength.mast_foot import (
    Gusset,
    base_plate_terms,
    carrying_width_m,
    gusset_lines,
    most_outstand,
    not_counted,
    reaches_side_walls,
    spread_over,
    up_the_mast,
)
from engine.strength.weld_lines import group

FOUR_FIGURES = 5e-4
MOMENT, NONE = Linear(-4417.0, 0.0), Linear(0.0, 0.0)


def per_metre(terms: tuple[tuple[float, Linear], ...]) -> float:
    return sum(weight * abs(value.fixed) for weight, value in terms)


def test_a_base_plate_on_a_wider_cross_member() -> None:
    """Mast 100 on 200 x 100 x 5: 4,417/0.1 x 0.0475 over 160 of plate: 34.79 mm at 65 MPa."""
    carrying = carrying_width_m(0.1, 0.0475, 0.16)
    assert carrying == pytest.approx(0.16)
    terms = base_plate_terms(MOMENT, NONE, 0.1, 0.0475, carrying, both_walls=False)
    assert least_plate_m(per_metre(terms), 65e6) * 1000.0 == pytest.approx(34.79, rel=FOUR_FIGURES)


def test_a_plate_that_reaches_both_side_walls_is_held_by_both() -> None:
    terms = base_plate_terms(MOMENT, Linear(3000.0, 0.0), 0.1, 0.0475, 0.195, both_walls=True)
    assert per_metre(terms) == pytest.approx((4417.0 * 0.0475 / 0.195 + 1500.0 * 0.0475) / 0.195)
    assert not reaches_side_walls(0.16, 0.2, 0.005)
    assert reaches_side_walls(0.18, 0.2, 0.005)
    assert reaches_side_walls(0.22, 0.2, 0.005)


GUSSET = Gusset("front", 0.1, 0.15, 0.01, (-0.04, 0.04))


def test_a_gusset_counts_when_it_is_stout_welded_and_stands_on_steel() -> None:
    """100 out, 150 up: 100 x 150/180.3 = 83.21 mm from the corner, 8.321 t of the 17.93 t allowed."""
    assert GUSSET.outstand_m * 1000.0 == pytest.approx(83.21, rel=FOUR_FIGURES)
    assert GUSSET.outstand_m / GUSSET.thickness_m == pytest.approx(8.321, rel=FOUR_FIGURES)
    assert most_outstand(195e6) == pytest.approx(17.93, rel=FOUR_FIGURES)
    assert not_counted(GUSSET, 195e6, welded=True, beneath=True) is None
    assert not_counted(GUSSET, 195e6, welded=False, beneath=True) == "weld"
    assert not_counted(GUSSET, 195e6, welded=True, beneath=False) == "beneath"
    thin = GUSSET._replace(thickness_m=0.0045)
    assert not_counted(thin, 195e6, welded=True, beneath=True) == "slender"


def test_only_six_tenths_of_the_height_count_along_the_base() -> None:
    assert GUSSET.effective_m == pytest.approx(0.09)
    assert GUSSET._replace(up_m=0.3).effective_m == pytest.approx(0.1)


def test_gussets_spread_evenly_over_their_face() -> None:
    assert spread_over(0.12, 1) == pytest.approx((0.0,))
    assert spread_over(0.12, 2) == pytest.approx((-0.03, 0.03))
    assert spread_over(0.12, 3) == pytest.approx((-0.04, 0.0, 0.04))


def test_a_gusset_gives_two_lines_of_weld() -> None:
    """On a mast of 120: second moment 4 (0.09^3/12 + 0.09 x 0.105^2) of a metre's width, outermost point 150 mm off."""
    lines = gusset_lines(0.06, GUSSET._replace(offsets_m=(0.0,)), 2e5) + gusset_lines(
        0.06, GUSSET._replace(face="back", offsets_m=(0.0,)), 2e5
    )
    assert [(line.start_m, line.end_m) for line in lines[:2]] == [
        (pytest.approx((0.06, -0.005)), pytest.approx((0.15, -0.005))),
        (pytest.approx((0.06, 0.005)), pytest.approx((0.15, 0.005))),
    ]
    found = group(lines)
    assert found.length_m == pytest.approx(0.36)
    normal = max(abs(point.normal[1]) for point in found.points)
    assert normal == pytest.approx(0.15 / (4.0 * (0.09**3 / 12.0 + 0.09 * 0.105**2)))
    assert math.isfinite(found.allowed_N_m)


def test_the_lines_up_the_mast_carry_the_same_force_and_bend_with_it() -> None:
    """q = 1 along 0.09: 0.18 on two lines of 0.15 is 0.6; its lever 0.045 over 0.15^2/3 makes 1.08: 1.2355."""
    shear, bending = 0.18 / 0.3, 0.18 * 0.045 / (0.15**2 / 3.0)
    assert up_the_mast(GUSSET) == pytest.approx(math.hypot(shear, bending))
    assert up_the_mast(GUSSET) == pytest.approx(1.2355, rel=1e-4)
