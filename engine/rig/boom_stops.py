"""The stops at the boom's ends: where one has to be made, and how large a plate is too large for the saddles."""

from __future__ import annotations

from typing import Literal

from engine.rig import strap_pieces
from engine.rig.hinge_pieces import link_ends
from engine.schema.connections import EndPlate, FaceLugs, ThroughSleeve
from engine.schema.model import Rig

STOP_M = 0.015
"""Thickness of the plate that stops the boom at its end (common practice, no source)."""

BoomEnd = Literal["rear", "front"]

_ENDS: dict[str | None, tuple[BoomEnd, ...]] = {"both": ("rear", "front"), "rear": ("rear",), "front": ("front",)}


def made_stops(rig: Rig) -> tuple[BoomEnd, ...]:
    """The ends of the boom that want a plate of their own as a stop: not one where the first hinge's piece stops it."""
    ends = _ENDS.get(rig.boom.stops, ())
    return tuple(end for end in ends if end == "rear" or not hinge_stops(rig))


def stop_size_m(rig: Rig) -> tuple[float, float]:
    """A stop's width and height: as large as a strap's outside, up from the boom's underside."""
    saddles, boom = rig.saddles, rig.boom
    return strap_pieces.over_legs_m(saddles, boom), strap_pieces.inside_m(saddles, boom)[1] + saddles.strap_thickness_m


def stops_m3(rig: Rig) -> float:
    """Steel of the stops that have to be made."""
    width_m, height_m = stop_size_m(rig)
    return len(made_stops(rig)) * width_m * height_m * STOP_M


def hinge_stops(rig: Rig) -> bool:
    """Whether the piece of the first hinge on the boom's front end is too large for the saddles, and so a stop."""
    if not rig.arms:
        return False
    tube, _ = link_ends(rig, 0, None)
    match rig.arms[0].hinge.inner_end:
        case ThroughSleeve() as sleeve:
            along_pin_m, across_pin_m = sleeve.length_m, sleeve.outer_m
        case EndPlate() as plate:
            along_pin_m, across_pin_m = plate.height_m, plate.width_m
        case FaceLugs() as lugs:
            along_pin_m = tube.along_pin_m + 2.0 * (lugs.packing_m + lugs.thickness_m)
            across_pin_m = lugs.width_m
        case None:
            return False
    up_m, across_m = (along_pin_m, across_pin_m) if tube.deep else (across_pin_m, along_pin_m)
    inside_m, over_underside_m = strap_pieces.inside_m(rig.saddles, rig.boom)
    return across_m > inside_m or up_m / 2.0 > over_underside_m - rig.boom.section.depth_m / 2.0
