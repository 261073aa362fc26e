"""The design factor on local buckling, against values worked by hand (unknown steel at 195 MPa, factor 3)."""

from __future__ import annotations

import math

import pytest

from engine.schema.model import Policy
from engine.schema.sections import RectTube, RoundTube
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear
from engine.strength.members import (
    Member,
    combined_use,
    member_of,
    nominal_bending_Nm,
    nominal_shear_N,
    with_local_buckling,
)

FOUR_FIGURES = 5e-4
POLICY = Policy(unknown_yield_Pa=195e6)
NONE = Linear(0.0, 0.0)


def of(tube: RectTube | RoundTube) -> Member:
    return member_of(tube, "unknown", POLICY, unbraced_m=0.0, column_m=0.0)


def square(size_mm: float, wall_mm: float) -> RectTube:
    return RectTube(width_m=size_mm / 1000.0, depth_m=size_mm / 1000.0, wall_m=wall_mm / 1000.0)


@pytest.mark.parametrize(
    ("tube", "before_Nm", "after_Nm"), [(square(100.0, 2.0), 1599.0, 1455.0), (square(150.0, 2.5), 4559.0, 2820.0)]
)
def test_a_thin_tube_is_allowed_less(tube: RectTube, before_Nm: float, after_Nm: float) -> None:
    """Slenderness 47.00 and 57.00 against 44.83: the elastic moment times (44.83/47)^2 or (44.83/57)^2, over 3."""
    found = of(tube)
    assert found.allowed_bend_up_Nm == pytest.approx(before_Nm, rel=FOUR_FIGURES)
    assert with_local_buckling(found).allowed_bend_up_Nm == pytest.approx(after_Nm, rel=FOUR_FIGURES)


@pytest.mark.parametrize("tube", [square(100.0, 5.0), RoundTube(diameter_m=0.1, wall_m=0.005)], ids=["square", "round"])
def test_a_tube_that_yields_before_it_buckles_keeps_all(tube: RectTube | RoundTube) -> None:
    found, cut = of(tube), with_local_buckling(of(tube))
    for name in ("allowed_bend_up_Nm", "allowed_shear_up_N", "allowed_twist_Nm"):
        assert getattr(cut, name) == pytest.approx(getattr(found, name), rel=1e-12)


def test_what_a_thin_tube_is_allowed_in_bending_shear_and_twist() -> None:
    """min(Mn/1.67, min(Mn, Fy S)/3); shear and twist at 1/sqrt 3 of yield over 3, cut by Vn/(0.6 Fy A) and its like."""
    tube = square(300.0, 3.0)
    found, cut = of(tube), with_local_buckling(of(tube))
    nominal = nominal_bending_Nm(tube, 0.003, 195e6)
    assert nominal < 195e6 * found.section.elastic_up_m3
    assert cut.allowed_bend_up_Nm == pytest.approx(nominal / 3.0)
    shear = nominal_shear_N(tube, 0.003, 195e6)
    assert shear < 0.6 * 195e6 * found.area_up_m2
    assert cut.allowed_shear_up_N == pytest.approx(min(shear / 1.67, shear / 0.6 / math.sqrt(3.0) / 3.0))
    assert cut.allowed_twist_Nm < found.allowed_twist_Nm
    assert (cut.bend_up_Nm, cut.twist_Nm, cut.push_N) == (found.bend_up_Nm, found.twist_Nm, found.push_N)


def test_bending_alone_uses_a_thin_tube_up_at_its_allowed_moment_in_the_combined_check_too() -> None:
    cut = with_local_buckling(of(square(150.0, 2.5)))
    six = SectionForces(NONE, NONE, NONE, NONE, Linear(cut.allowed_bend_up_Nm, 0.0), NONE)
    assert combined_use(cut, six)(0.0) == pytest.approx(1.0)
