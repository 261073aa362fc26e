"""The weld list's words at a hinge: a standing pin goes through top and bottom wall, a level one through the sides."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import msgspec
import pytest

from engine.schema.model import Job
from engine.schema.sections import RectTube
from engine.shop.cut_list import pieces
from engine.shop.weld_list import weld_list
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")

Axis = Literal["standing", "level"]


def with_hinge(
    axis: Axis, coped: Literal["half", "through"] = "through", plate_m: float = 0.12, sleeve_m: float = 0.055
) -> Job:
    """The boatyard's second hinge, a sleeve in arm 2 and an end plate on arm 1, with its pin standing or level."""
    rig = BOATYARD.rig
    inner, outer = rig.arms
    hinge = outer.hinge
    ends = {
        "inner_end": REPLACE(hinge.inner_end, width_m=plate_m),
        "outer_end": REPLACE(hinge.outer_end, coped=coped, outer_m=sleeve_m),
    }
    tube = RectTube(width_m=0.075, depth_m=0.075, wall_m=0.0064)
    arm = REPLACE(outer, section=tube, axis=axis, hinge=REPLACE(hinge, **ends))
    return REPLACE(BOATYARD, rig=REPLACE(rig, arms=(inner, arm)))


def notes(job: Job, name: str) -> list[str]:
    return [line.note for line in weld_list(job) if line.name == name]


@pytest.mark.parametrize(
    ("axis", "crossed", "beside"),
    [("standing", "top and bottom wall", "side walls"), ("level", "side walls", "top and bottom wall")],
)
def test_a_sleeve_is_welded_round_at_the_walls_its_pin_goes_through(axis: Axis, crossed: str, beside: str) -> None:
    sleeve, round_it = "arm 2 hinge, outer end: sleeve", f"round it at the {crossed}, the length that counts"
    assert notes(with_hinge(axis), sleeve) == [round_it]
    # 75 mm of tube with walls of 6.4: a sleeve of 63 mm reaches both other walls, one of 55 does not.
    assert notes(with_hinge(axis, "half", sleeve_m=0.063), sleeve) == [round_it, f"along the {beside}"]
    assert notes(with_hinge(axis, "half", sleeve_m=0.055), sleeve) == [round_it]


@pytest.mark.parametrize(("axis", "counted"), [("standing", "top, bottom"), ("level", "one side, the other side")])
def test_an_end_plate_no_wider_than_its_tube_is_welded_at_the_ends_of_its_length(axis: Axis, counted: str) -> None:
    """90 mm of plate on 90 mm of tube leave no ledge there; the plate's length of 240 mm runs along the pin."""
    (note,) = notes(with_hinge(axis, plate_m=0.09), "arm 2 hinge, inner end: end plate")
    assert note == f"counted at {counted}: no room for a fillet elsewhere"


@pytest.mark.parametrize(("axis", "lies"), [("standing", "upright"), ("level", "across the rig")])
def test_the_cut_list_says_which_way_an_end_plate_s_length_lies(axis: Axis, lies: str) -> None:
    (plate,) = [piece for piece in pieces(with_hinge(axis)) if piece.part == "arm 2 hinge, inner end: end plate"]
    assert (plate.length_m, plate.note) == (0.24, f"length {lies}, along the hinge pin")
