"""What is drawn at a hinge: true sizes, each piece on its own link, nothing where nothing is entered."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.rig.hinge_boxes import Round, boom_short_m, end_solids, tube_span_m
from engine.rig.hinge_pieces import drawn_at_hinge, link_ends, open_questions
from engine.schema.connections import EndPlate, FaceLugs, ThroughSleeve
from engine.schema.defaults import joint_of_kind
from tests.samples import read_once

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
BOATYARD = read_once(SAMPLES / "skerry_point_boatyard.rig.json")


def test_the_boatyards_first_hinge_is_lugs_about_a_sleeve() -> None:
    """Lugs 74 wide, 25 thick, 200 along the boom on 40 of packing, 50 to the pin; sleeve of 60, 178 long."""
    hinge = BOATYARD.rig.arms[0].hinge
    boom, arm = link_ends(BOATYARD.rig, 0, None)
    upper, round_end, lower, _, packing, _ = end_solids(hinge, boom, outer=False)
    assert upper[0] == pytest.approx((-0.25, 0.0)) and upper[1] == pytest.approx((-0.037, 0.037))
    assert round_end == Round(pytest.approx(0.037), upper[2], True)
    assert upper[2] == pytest.approx((0.09, 0.115)) and lower[2] == pytest.approx((-0.115, -0.09))
    assert packing[1] == pytest.approx((-0.031, 0.031))
    assert packing[0] == pytest.approx((-0.25, -0.05)) and packing[2] == pytest.approx((0.05, 0.09))
    sleeve, rounded = end_solids(hinge, arm, outer=True)
    assert sleeve == Round(0.03, (pytest.approx(-0.089), pytest.approx(0.089)), True)
    # The tube, 90 x 90, runs past the pin and is rounded about it.
    assert rounded == Round(0.045, (pytest.approx(-0.045), pytest.approx(0.045)), True)


def test_tubes_end_where_their_pieces_begin() -> None:
    """The boom 50 short of the pin; arm 1, square from its pin on, to the end plate of 25, 40 off the next pin."""
    assert boom_short_m(BOATYARD.rig) == pytest.approx(0.05)
    assert tube_span_m(BOATYARD.rig, 0) == pytest.approx((0.0, 0.6 - 0.065))
    bare = REPLACE(BOATYARD.rig.arms[0].hinge, inner_end=None, outer_end=None)
    arms = (REPLACE(BOATYARD.rig.arms[0], hinge=bare), BOATYARD.rig.arms[1])
    rig = REPLACE(BOATYARD.rig, arms=arms)
    assert boom_short_m(rig) == 0.0 and tube_span_m(rig, 0)[0] == 0.0
    assert end_solids(bare, link_ends(rig, 0, None)[1], outer=True) == ()


def test_a_plate_carries_barrels_on_the_arm_and_lugs_before_it() -> None:
    plate = EndPlate(thickness_m=0.02, height_m=0.31, width_m=0.12)
    hinge = REPLACE(
        BOATYARD.rig.arms[0].hinge,
        inner_end=plate,
        outer_end=plate,
        spacing_m=0.2,
        barrel_outer_m=0.05,
        barrel_length_m=0.05,
        lug_edge_m=0.04,
        shear_planes=2,
    )
    boom, arm = link_ends(BOATYARD.rig, 0, None)
    inner, outer = (
        [solid for solid in end_solids(hinge, tube, outer=side) if not isinstance(solid, Round)]
        for tube, side in ((boom, False), (arm, True))
    )
    barrels = [solid for solid in end_solids(hinge, arm, outer=True) if isinstance(solid, Round)]
    assert inner[0][0] == pytest.approx((-0.06, -0.04)) and outer[0][0] == pytest.approx((0.025, 0.045))
    assert barrels[0].along_pin == pytest.approx((0.075, 0.125)) and barrels[0].radius_m == 0.025
    # Lugs of 25 on both sides of barrels from 75 to 125, a gap of 1 between.
    assert sorted(box[2][0] for box in inner[1:]) == pytest.approx([-0.151, -0.074, 0.049, 0.126])


def test_a_level_hinges_pin_lies_across() -> None:
    hinge = BOATYARD.rig.arms[0].hinge
    arms = (REPLACE(BOATYARD.rig.arms[0], axis="level"), BOATYARD.rig.arms[1])
    rig = REPLACE(BOATYARD.rig, arms=arms)
    sleeve, _ = end_solids(hinge, link_ends(rig, 0, None)[1], outer=True)
    assert sleeve == Round(0.03, (pytest.approx(-0.089), pytest.approx(0.089)), False)


@pytest.mark.parametrize(("inner", "outer"), [(EndPlate, ThroughSleeve), (FaceLugs, ThroughSleeve)])
def test_a_piece_drawn_in_fits_its_hinge_and_waits_for_its_weld(inner: type, outer: type) -> None:
    hinge = REPLACE(BOATYARD.rig.arms[0].hinge, inner_end=None, outer_end=None)
    rig = BOATYARD.rig
    for side, kind in (("outer", outer), ("inner", inner)):
        arms = (REPLACE(rig.arms[0], hinge=hinge), rig.arms[1])
        rig = REPLACE(rig, arms=arms)
        drawn = drawn_at_hinge(rig, 0, joint_of_kind(kind, None), outer=side == "outer")
        hinge = REPLACE(hinge, **{f"{side}_end": drawn})
    questions = open_questions(hinge, link_ends(rig, 0, None), ("boom", "arm 1"))
    assert {row.where.rpartition(".")[2] for row in questions} <= {"weld", "weld_tube"} and len(questions) == 2
