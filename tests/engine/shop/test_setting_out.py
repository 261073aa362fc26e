"""Holes for hinge sleeves in the tubes they go through, by hand."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.schema.connections import FaceLugs, ThroughSleeve
from engine.schema.joints import Axis
from engine.schema.model import Rig
from engine.schema.sections import RectTube
from engine.shop.cut_list import pieces
from engine.shop.setting_out import HoleSchedule, hole_schedules
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")
SLEEVE = ThroughSleeve(length_m=0.18, outer_m=0.06, bore_m=0.0255)
LUGS = FaceLugs(thickness_m=0.02, width_m=0.06, on_face_m=0.2, reach_m=0.05)


def with_ends(inner: object, outer: object, axis: Axis = "standing") -> Rig:
    """A boom of 2.4 m, 100 x 140, and arms of 0.7 and 0.5 m, 80 x 90, with hinges alike; a hook 0.04 from the end."""
    rig = BOATYARD.rig
    tube = RectTube(width_m=0.08, depth_m=0.09, wall_m=0.005)
    arms = tuple(
        REPLACE(
            arm,
            section=tube,
            length_m=length_m,
            axis=axis,
            hinge=REPLACE(arm.hinge, inner_end=inner, outer_end=outer),
        )
        for arm, length_m in zip(rig.arms, (0.7, 0.5), strict=True)
    )
    boom = REPLACE(rig.boom, section=RectTube(width_m=0.1, depth_m=0.14, wall_m=0.006), length_m=2.4)
    return REPLACE(rig, boom=boom, arms=arms, hook=REPLACE(rig.hook, end=REPLACE(rig.hook.end, edge_m=0.04)))


def for_sleeves(schedule: HoleSchedule) -> list[tuple[str, object, object, float]]:
    return [
        (hole.name, pytest.approx(hole.from_datum_m), pytest.approx(hole.from_edge_m), hole.diameter_m)
        for hole in schedule.holes
        if "sleeve" in hole.name
    ]


def test_an_arm_s_sleeve_goes_through_top_and_bottom_at_the_hinge_pin() -> None:
    """Arm 1 ends 50 mm short of the next pin, arm 2 40 mm past the hook; the tube is 80 wide, 40 of it past the pin."""
    _, inner, outer = hole_schedules(with_ends(LUGS, SLEEVE))
    name = "sleeve hole, through top and bottom"
    assert for_sleeves(inner) == [(name, 0.65, 0.04, 0.06)]
    assert for_sleeves(outer) == [(name, 0.54, 0.04, 0.06)]
    assert (inner.length_m, inner.end_m) == (pytest.approx(0.69), pytest.approx(0.04))
    assert [hole.name for hole in outer.holes] == ["hook pin", name]


def test_a_sleeve_on_the_link_before_an_arm_goes_through_that_link() -> None:
    """The boom, 100 wide, runs 50 mm past the pin at 2.4 m; arm 1, 80 wide, 40 mm past the next arm's pin."""
    boom, inner, outer = hole_schedules(with_ends(SLEEVE, LUGS))
    name = "sleeve hole, through top and bottom"
    assert for_sleeves(boom) == [(name, 2.4, 0.05, 0.06)]
    assert (boom.length_m, boom.end_m) == (pytest.approx(2.45), pytest.approx(0.05))
    assert for_sleeves(inner) == [(name, 0.04, 0.04, 0.06)]
    assert for_sleeves(outer) == []


def test_a_level_hinge_s_sleeve_goes_through_both_sides() -> None:
    """Up from the underside of a tube 90 deep, which runs 45 mm past the pin."""
    _, _, outer = hole_schedules(with_ends(LUGS, SLEEVE, "level"))
    assert for_sleeves(outer) == [("sleeve hole, through both sides", 0.54, 0.045, 0.06)]
    assert outer.end_m == pytest.approx(0.045)


def test_a_half_coped_tube_ends_at_the_hinge_pin() -> None:
    _, _, outer = hole_schedules(with_ends(LUGS, REPLACE(SLEEVE, coped="half")))
    assert for_sleeves(outer) == [("half-round cope at the sleeve, through top and bottom", 0.54, 0.04, 0.06)]
    assert outer.end_m == pytest.approx(0.0)


@pytest.mark.parametrize(("axis", "walls"), [("standing", "top and bottom wall"), ("level", "both side walls")])
def test_the_cut_list_says_how_the_tubes_end_at_a_sleeve(axis: Axis, walls: str) -> None:
    job = REPLACE(BOATYARD, rig=with_ends(SLEEVE, LUGS, axis))
    notes = {piece.part: piece.note for piece in pieces(job)}
    assert f"front end drilled at the pin for the sleeve, {walls} rounded about it" in notes["boom"]
    outer_end = f"outer end drilled at the pin for the sleeve, {walls} rounded about it"
    on_edge = "on edge, its deeper side upright"
    assert notes["arm 1 tube"] == f"{on_edge}; inner end square; {outer_end}"
    half = REPLACE(BOATYARD, rig=with_ends(LUGS, REPLACE(SLEEVE, coped="half"), axis))
    notes = {piece.part: piece.note for piece in pieces(half)}
    assert notes["arm 1 tube"] == f"{on_edge}; inner end cut half round to the sleeve"
