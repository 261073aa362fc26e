"""Holes in plates, shims, lugs and sleeves, by hand."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.schema.connections import (
    BentStrap,
    DropInPin,
    EndPlate,
    FabricatedStrap,
    FaceLugs,
    HeelPin,
    Pin,
    StayLink,
    StayLug,
    StayPoint,
    StrapLapped,
    StrapOnTop,
    ThroughSleeve,
)
from engine.schema.model import Hinge, Job
from engine.schema.sections import RectTube
from engine.shop.piece_holes import PieceHole, piece_holes
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")
LUGS = FaceLugs(thickness_m=0.02, width_m=0.06, on_face_m=0.2, reach_m=0.05)
PLATE = EndPlate(thickness_m=0.025, height_m=0.24, width_m=0.12)
SLEEVE = ThroughSleeve(length_m=0.18, outer_m=0.06, bore_m=0.0256)


def found(job: Job, piece: str) -> PieceHole:
    (hole,) = [hole for hole in piece_holes(job) if hole.piece == piece]
    return hole


def placed(hole: PieceHole) -> tuple[object, ...]:
    """Count, datum and place from it, edge and place from it, diameter."""
    return (
        hole.count,
        hole.datum,
        pytest.approx(hole.from_datum_m),
        hole.edge,
        pytest.approx(hole.from_edge_m),
        hole.diameter_m,
    )


# ---------------------------------------------------------------- straps, shims, heels


def with_saddles(**changes: object) -> Job:
    """Straps 80 long lapped 54 mm, a shim of 1 mm under the boom; its holes of 20.5 mm are 45 mm over its underside."""
    rig = BOATYARD.rig
    sizes = {
        "strap_length_m": 0.08,
        "strap_make": FabricatedStrap(),
        "strap_foot": StrapLapped(lap_m=0.054),
        "shims": "steel",
        "shim_side_m": 0.018,
        "shim_top_m": 0.001,
        "pin_hole_m": None,
        "pin_at": "front",
    }
    boom = REPLACE(rig.boom, hole_edge_m=0.045, pin=Pin(diameter_m=0.02, hole_m=0.0205))
    saddles = REPLACE(rig.saddles, **{**sizes, **changes})
    return REPLACE(BOATYARD, rig=REPLACE(rig, saddles=saddles, boom=boom))


def test_the_boom_pin_goes_through_both_legs_at_its_saddle() -> None:
    """Up from the lower end: 54 on the bed's side, 1 of shim, 45 in the boom: 46 mm over the bed."""
    leg = found(with_saddles(), "saddle strap leg, front saddle")
    assert placed(leg) == (2, "lower end", 0.100, "either edge", 0.040, 0.0205)
    rear = found(with_saddles(pin_at="rear", pin_hole_m=0.021), "saddle strap leg, rear saddle")
    assert rear.diameter_m == 0.021
    on_top = found(with_saddles(strap_foot=StrapOnTop()), "saddle strap leg, front saddle")
    assert on_top.from_datum_m == pytest.approx(0.046)


def test_a_bent_strap_is_marked_from_both_its_ends() -> None:
    strap = found(with_saddles(strap_make=BentStrap(inside_radius_m=0.02)), "saddle strap, front")
    assert placed(strap) == (1, "each end", 0.100, "either edge", 0.040, 0.0205)


def test_the_shims_beside_the_boom_are_drilled_as_the_straps_are() -> None:
    shim = found(with_saddles(pin_hole_m=0.021), "saddle side shim, front saddle")
    assert placed(shim) == (2, "lower edge", 0.045, "either end", 0.040, 0.021)
    for none in ({"shims": "none"}, {"shim_side_m": 0.0}):
        assert not any("shim" in hole.piece for hole in piece_holes(with_saddles(**none)))


@pytest.mark.parametrize(
    ("below_m", "up_m"),
    [
        # On the bottom wall of 8 mm, half a hole of 22.5 over it.
        (None, 0.01925),
        # Inside 84 less a wall of 8 and a fork of 40: 76 - 40 - 3 of gap - 11 of pin.
        (0.003, 0.022),
        # As low as the sleeve lets it, however large the gap entered.
        (0.02, 0.01925),
    ],
)
def test_a_heel_pin_goes_through_both_sides_of_each_sleeve(below_m: float | None, up_m: float) -> None:
    rig, truck = BOATYARD.rig, BOATYARD.truck
    hold = HeelPin(pin=Pin(diameter_m=0.022, hole_m=0.0225), below_m=below_m)
    section = RectTube(width_m=0.16, depth_m=0.084, wall_m=0.008)
    sleeves = REPLACE(rig.sleeves, heel_hold=hold, section=section)
    truck = REPLACE(truck, forks=REPLACE(truck.forks, thickness_m=0.04))
    sleeve = found(REPLACE(BOATYARD, truck=truck, rig=REPLACE(rig, sleeves=sleeves)), "sleeve")
    assert sleeve.through == "through both sides"
    assert placed(sleeve) == (2, "heel end", 0.045, "underside", pytest.approx(up_m), 0.0225)


def test_sleeves_without_a_heel_pin_have_no_hole() -> None:
    sleeves = REPLACE(BOATYARD.rig.sleeves, heel_hold=None)
    job = REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, sleeves=sleeves))
    assert not any(hole.piece.startswith("sleeve") for hole in piece_holes(job))


# ---------------------------------------------------------------- hinges, stays, hook


def with_hinge(**changes: object) -> Job:
    """Arm 1 with its pin of 25 mm in holes of 25.5."""
    rig = BOATYARD.rig
    pin = Pin(diameter_m=0.025, hole_m=0.0255)
    hinge: Hinge = REPLACE(rig.arms[0].hinge, pin=pin, lug_edge_m=0.04, **changes)
    return REPLACE(BOATYARD, rig=REPLACE(rig, arms=(REPLACE(rig.arms[0], hinge=hinge), rig.arms[1])))


def at_the_hinge(job: Job) -> list[str]:
    return [hole.piece for hole in piece_holes(job) if hole.piece.startswith("arm 1")]


def test_lugs_on_a_tube_s_faces_and_the_sleeve_between_them() -> None:
    """Lugs 60 wide have their hole 30 mm from each side and, as that is less than the edge entered, from the end."""
    job = with_hinge(inner_end=LUGS, outer_end=SLEEVE)
    assert at_the_hinge(job) == ["arm 1 hinge, inner end: lug", "arm 1 hinge, outer end: sleeve"]
    lug = found(job, "arm 1 hinge, inner end: lug")
    assert placed(lug) == (2, "round end", 0.030, "either side", 0.030, 0.0255)
    bore = found(job, "arm 1 hinge, outer end: sleeve")
    assert (bore.count, bore.datum, bore.from_datum_m, bore.diameter_m) == (1, "on its axis", None, 0.0256)


@pytest.mark.parametrize(("planes", "count"), [(1, 2), (2, 4)])
def test_lugs_on_an_end_plate_and_the_barrels(planes: int, count: int) -> None:
    job = with_hinge(inner_end=PLATE, outer_end=None, shear_planes=planes)
    assert at_the_hinge(job) == ["arm 1 barrel", "arm 1 lug"]
    assert placed(found(job, "arm 1 lug")) == (count, "round end", 0.040, "either side", 0.040, 0.0255)
    barrel = found(job, "arm 1 barrel")
    assert (barrel.count, barrel.from_datum_m, barrel.diameter_m) == (2, None, 0.0255)


def test_a_stay_s_two_lugs() -> None:
    lug = StayLug(thickness_m=0.02, on_face_m=0.16, edge_m=0.04, pin=Pin(diameter_m=0.022, hole_m=0.0225))
    stay = StayLink(
        at_inner=StayPoint(x_m=-0.4, z_m=0.2),
        at_arm=StayPoint(x_m=0.5, z_m=0.15),
        make="tie",
        length_min_m=0.6,
        length_max_m=1.1,
        end_lug=lug,
    )
    rig = BOATYARD.rig
    arms = (REPLACE(rig.arms[0], axis="level", stay=stay), rig.arms[1])
    job = REPLACE(BOATYARD, rig=REPLACE(rig, arms=arms))
    for end in ("inner", "outer"):
        hole = found(job, f"arm 1 stay, {end} lug")
        assert placed(hole) == (1, "round end", 0.040, "either side", 0.080, 0.0225)


def test_the_head_of_a_standing_hook_pin_is_bored_for_it() -> None:
    end = DropInPin(diameter_m=0.025, head_m=0.05, hole_m=0.026, drop_m=0.1, edge_m=0.06)
    rig = BOATYARD.rig
    job = REPLACE(BOATYARD, rig=REPLACE(rig, hook=REPLACE(rig.hook, end=end)))
    head = found(job, "head of the hook's standing pin")
    assert (head.from_datum_m, head.diameter_m) == (None, 0.025)
