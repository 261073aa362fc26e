"""Grades and the wall to reckon with.

Minimum values: ASTM A500 shaped 46/58 and 50/62 ksi, A36 36/58 ksi (AISC shapes and materials tables, A36 read in a
secondary copy); EN grades from memory and marked so in the table itself.
"""

from __future__ import annotations

import pytest

from engine.schema.model import Policy
from engine.schema.sections import RectTube, RoundTube
from engine.schema.steel import DESIGN_WALL, GRADES, UNKNOWN, UNKNOWN_YIELD_PA, design_wall_m, grade, is_assumed
from engine.strength.allowable_stress import allowable_stress

KSI = 6_894_757.293168361
TUBE = RectTube(width_m=0.1, depth_m=0.1, wall_m=0.006)


@pytest.mark.parametrize(("name", "yields", "breaks"), [("A500 B", 46, 58), ("A500 C", 50, 62), ("A36", 36, 58)])
def test_us_grades_have_their_standards_minimum_values(name: str, yields: float, breaks: float) -> None:
    assert grade(name, 230e6, TUBE).yield_Pa == pytest.approx(yields * KSI)
    assert grade(name, 230e6, TUBE).tensile_Pa == pytest.approx(breaks * KSI)


def test_unknown_steel_is_the_weakest_that_is_sold_as_tube_and_weaker_as_bar_and_when_thick() -> None:
    """P195TR1 tube 195 MPa, 185 over 16 mm; S185 bar 185 and 175; both break at 290 MPa or later."""
    thick = RoundTube(diameter_m=0.2, wall_m=0.0161)
    pieces = (TUBE, RoundTube(diameter_m=0.2, wall_m=0.016), thick, 0.016, 0.0161, 0.1)
    yields = [grade(UNKNOWN, UNKNOWN_YIELD_PA, piece).yield_Pa / 1e6 for piece in pieces]
    assert yields == [195, 195, 185, 185, 175, 175]
    assert {grade(UNKNOWN, taken, piece).tensile_Pa for taken in (100e6, 235e6) for piece in pieces} == {290e6}


@pytest.mark.parametrize(
    ("name", "yields_MPa"),
    [
        ("S235", (235, 225, 225, 215, 215, 215, 195, 185)),
        ("S275", (275, 265, 265, 255, 245, 235, 225, 215)),
        ("S355", (355, 345, 345, 335, 325, 315, 295, 285)),
    ],
)
def test_european_grades_step_down_with_the_thickness(name: str, yields_MPa: tuple[float, ...]) -> None:
    """EN 10025-2, from memory: to 16, 40, 63, 80, 100, 150 and 200 mm."""
    thicknesses_m = (0.016, 0.017, 0.04, 0.05, 0.08, 0.1, 0.15, 0.2)
    assert [grade(name, 195e6, thick).yield_Pa / 1e6 for thick in thicknesses_m] == list(yields_MPa)


def test_allowed_stresses_of_unknown_tube() -> None:
    """195 MPa over 3 and over 2; shear at 1/sqrt 3, bearing at 1.25 of it."""
    for factor, expected in ((3.0, (65.00, 37.53, 81.25)), (2.0, (97.50, 56.29, 121.9))):
        found = allowable_stress(UNKNOWN, Policy(design_factor=factor), TUBE)
        assert (found.stress_Pa / 1e6, found.shear_Pa / 1e6, found.bearing_Pa / 1e6) == pytest.approx(
            expected, rel=5e-4
        )


def test_what_is_from_memory_says_so() -> None:
    assert [g.name for g in GRADES.values() if "from memory" in g.source] == ["S235", "S275", "S355"]
    assert all(g.source for g in GRADES.values())


@pytest.mark.parametrize("name", [UNKNOWN, "some tube from the rack"])
def test_unknown_steel_takes_the_yield_the_person_allows_it_and_is_flagged(name: str) -> None:
    assumed = grade(name, 200e6, TUBE)
    assert assumed.yield_Pa == 200e6
    assert assumed.name == UNKNOWN
    assert is_assumed(name) and "not known" in assumed.source


def test_named_tube_is_reckoned_thinner_than_its_name_and_measured_tube_as_measured() -> None:
    """0.93 of the nominal wall for tube by grade, AISC 360 B4.2; a caliper wall needs no such allowance."""
    tube = RectTube(width_m=0.1, depth_m=0.1, wall_m=0.006)
    assert design_wall_m(tube, "A500 B") == pytest.approx(DESIGN_WALL * 0.006)
    assert design_wall_m(tube, UNKNOWN) == 0.006
