"""Grades and the wall to reckon with.

Minimum values: ASTM A500 shaped 46/58 and 50/62 ksi, A36 36/58 ksi (AISC shapes and materials tables, A36 read in a
secondary copy); EN grades from memory and marked so in the table itself.
"""

from __future__ import annotations

import pytest

from engine.schema.sections import RectTube
from engine.schema.steel import DESIGN_WALL, GRADES, UNKNOWN, design_wall_m, grade, is_assumed

KSI = 6_894_757.293168361


@pytest.mark.parametrize(("name", "yields", "breaks"), [("A500 B", 46, 58), ("A500 C", 50, 62), ("A36", 36, 58)])
def test_us_grades_have_their_standards_minimum_values(name: str, yields: float, breaks: float) -> None:
    assert grade(name, 230e6).yield_Pa == pytest.approx(yields * KSI)
    assert grade(name, 230e6).tensile_Pa == pytest.approx(breaks * KSI)


def test_what_is_from_memory_says_so() -> None:
    assert [g.name for g in GRADES.values() if "from memory" in g.source] == ["S235", "S275", "S355"]
    assert all(g.source for g in GRADES.values())


@pytest.mark.parametrize("name", [UNKNOWN, "some tube from the rack"])
def test_unknown_steel_takes_the_yield_the_person_allows_it_and_is_flagged(name: str) -> None:
    assumed = grade(name, 200e6)
    assert assumed.yield_Pa == 200e6
    assert assumed.name == UNKNOWN
    assert is_assumed(name) and "not known" in assumed.source


def test_named_tube_is_reckoned_thinner_than_its_name_and_measured_tube_as_measured() -> None:
    """0.93 of the nominal wall for tube by grade, AISC 360 B4.2; a caliper wall needs no such allowance."""
    tube = RectTube(width_m=0.1, depth_m=0.1, wall_m=0.006)
    assert design_wall_m(tube, "A500 B") == pytest.approx(DESIGN_WALL * 0.006)
    assert design_wall_m(tube, UNKNOWN) == 0.006
