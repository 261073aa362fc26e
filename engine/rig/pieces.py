"""Whether a measured size agrees with what the pieces add up to: bed under boom, barrels on their ends.

A size that follows from the pieces is worked out from them; a measured one beside it is only held against that.
Up to 1 mm off is a tape's reading, up to 3 mm a caution, more and something stands there that was not entered (common
practice, no source).
"""

from __future__ import annotations

from typing import Literal

from engine.rig import strap_pieces
from engine.schema.connections import StayLug
from engine.schema.model import Saddles
from engine.schema.sections import RectTube, RoundTube, outer_depth_m

AGREES_M = 0.001
CAUTION_M = 0.003
TOLERANCE_M = 1e-9

BED_END_M = 0.003
"""Thickness of the plates that close a bed's ends (common practice, no source)."""


def agreement(measured_m: float, of_pieces_m: float) -> Literal["agrees", "caution", "not_entered"]:
    """How a measured size stands against what the pieces add up to."""
    off = abs(measured_m - of_pieces_m)
    if off <= AGREES_M + TOLERANCE_M:
        return "agrees"
    return "caution" if off <= CAUTION_M + TOLERANCE_M else "not_entered"


def seat_m(bed_depth_m: float, cap_m: float = 0.0) -> float:
    """From the mast's top to the boom's underside: bed and cap."""
    return bed_depth_m + cap_m


def seat_of(saddles: Saddles) -> float | None:
    """The seat that bed, cap and the shim under the boom add up to, as far as entered; none without bed and cap."""
    section, shim_m = saddles.bed_section, strap_pieces.shim_m(saddles)[1]
    if section is None:
        return None if saddles.cap is None else seat_m(0.0, saddles.cap_m) + shim_m
    return seat_m(outer_depth_m(section), saddles.cap_m) + shim_m


def sleeve_spacing_m(length_m: float, lug_m: float, gap_m: float) -> float:
    """Between the middles of the two lugs above and below a through sleeve."""
    return length_m + lug_m + 2.0 * gap_m


def face_lug_spacing_m(depth_m: float, lug_m: float, packing_m: float) -> float:
    """Between the middles of the two lugs on a tube's top and bottom faces."""
    return depth_m + lug_m + 2.0 * packing_m


def end_plate_height_m(spacing_m: float, barrel_m: float) -> float:
    """Least height of an end plate that carries two barrels."""
    return spacing_m + barrel_m


def stay_lug_m(section: RectTube | RoundTube, pin_m: float, lug: StayLug) -> float:
    """Length of a stay's lug on a tube, from the tube's face to its round end; the pin is ``pin_m`` off the middle."""
    return abs(pin_m) - outer_depth_m(section) / 2.0 + lug.edge_m
