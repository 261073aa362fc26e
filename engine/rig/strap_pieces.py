"""The saddle straps as pieces: how wide and how high they stand round the boom and its shims, and how far they reach.

A gap that is not entered adds nothing here, as no steel is invented for it; what is reckoned for strength in its place
stands in ``engine.strength.strap_contact``.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.base.geometry import hypot, least, most, sqrt
from engine.schema.connections import BentStrap, FabricatedStrap, StrapLapped
from engine.schema.model import Boom, Rig, Saddles
from engine.schema.sections import TUBE_OUTSIDE_RADIUS_PER_WALL, RectTube, outer_depth_m

NEUTRAL_LINE = 0.44
"""Neutral line of a bend from its inside, over the thickness (common practice, no source)."""


class Stand(NamedTuple):
    """What the straps stand on: outside sizes, corner radius, thickness of the wall or plate; ``tube`` where it is one.

    A plate's flat reaches to its edges.
    """

    width_m: float
    depth_m: float
    corner_m: float
    wall_m: float
    tube: RectTube | None = None


def stand_of(saddles: Saddles) -> Stand | None:
    """The saddle bed, or the cap the straps stand on without one; none where neither is entered."""
    section, cap = saddles.bed_section, saddles.cap
    if isinstance(section, RectTube):
        corner_m = TUBE_OUTSIDE_RADIUS_PER_WALL * section.wall_m
        return Stand(section.width_m, section.depth_m, corner_m, section.wall_m, section)
    if section is not None:
        return Stand(section.width_m, section.depth_m, 0.0, section.depth_m)
    return None if cap is None else Stand(cap.width_m, cap.thickness_m, 0.0, cap.thickness_m)


def shim_m(saddles: Saddles) -> tuple[float, float]:
    """Thickness of the shims at each side of the boom, and over and under it."""
    return (0.0, 0.0) if saddles.shims == "none" else (saddles.shim_side_m, saddles.shim_top_m)


def inside_m(saddles: Saddles, boom: Boom, unknown_gap_m: float = 0.0) -> tuple[float, float]:
    """Inside width of a strap, and its height from the boom's underside."""
    at_side, at_top = (unknown_gap_m if gap is None else gap for gap in (saddles.side_gap_m, saddles.top_gap_m))
    side, top = shim_m(saddles)
    return boom.section.width_m + 2.0 * (at_side + side), boom.section.depth_m + at_top + top


def below_m(saddles: Saddles) -> float:
    """How far a strap's legs reach below the boom's underside: through the shim under it, and down the bed's side."""
    lap = saddles.strap_foot.lap_m if isinstance(saddles.strap_foot, StrapLapped) else 0.0
    return lap + shim_m(saddles)[1]


def leg_m(saddles: Saddles, boom: Boom) -> float:
    """A leg's length from its foot to the underside of the strap's top."""
    return inside_m(saddles, boom)[1] + below_m(saddles)


def over_legs_m(saddles: Saddles, boom: Boom) -> float:
    """Over the outsides of a strap's legs, across the boom."""
    return inside_m(saddles, boom)[0] + 2.0 * saddles.strap_thickness_m


def top_m(saddles: Saddles, boom: Boom) -> float:
    """Length of a strap's top: over its legs, and beyond each by the leg of the fillet that is laid under it there."""
    make, ledge_m = saddles.strap_make, 0.0
    if isinstance(make, FabricatedStrap) and make.corner_weld is not None and make.corner_weld.kind == "fillet":
        ledge_m = make.corner_weld.leg_m
    return over_legs_m(saddles, boom) + 2.0 * ledge_m


def ledge_beyond_m(saddles: Saddles) -> float:
    """How far the bed runs on past the straps, for the fillets up the edges of a lapped leg."""
    lapped = isinstance(saddles.strap_foot, StrapLapped) and saddles.strap_weld.kind == "fillet"
    return saddles.strap_weld.leg_m if lapped else 0.0


def leg_middle_m(saddles: Saddles, boom: Boom) -> float:
    """A leg's middle from the boom's, across it."""
    return (inside_m(saddles, boom)[0] + saddles.strap_thickness_m) / 2.0


def flat_bar_m(saddles: Saddles, boom: Boom) -> float:
    """Flat bar for one strap: bent along the neutral line of its bends, otherwise a top over the ends of two legs."""
    width, _ = inside_m(saddles, boom)
    if not isinstance(saddles.strap_make, BentStrap):
        return top_m(saddles, boom) + 2.0 * leg_m(saddles, boom)
    inside = saddles.strap_make.inside_radius_m
    bends = math.pi * (inside + NEUTRAL_LINE * saddles.strap_thickness_m)
    return width - 2.0 * inside + 2.0 * (leg_m(saddles, boom) - inside) + bends


def shims_m3(saddles: Saddles, boom: Boom) -> float:
    """Steel of the shims in both straps: two beside the boom, one over it and one under; other stuff weighs little."""
    if saddles.shims != "steel":
        return 0.0
    (side, top), section = shim_m(saddles), boom.section
    return 4.0 * saddles.strap_length_m * (side * section.depth_m + top * section.width_m)


def inside_welds(saddles: Saddles) -> tuple[str, ...]:
    """Where the straps have welds on their inside faces: at their ``corners``, at their ``feet`` on top of the bed."""
    make = saddles.strap_make
    corners = isinstance(make, FabricatedStrap) and make.corner_weld is not None and make.corner_faces == "both"
    feet = not isinstance(saddles.strap_foot, StrapLapped) and saddles.foot_faces == "both"
    return ("corners",) * corners + ("feet",) * feet


def bend_rides_by_m(saddles: Saddles, boom: Boom) -> float:
    """How far a strap's bend stands inside the boom's corner; 0 where it clears it, or the strap is not bent."""
    if not isinstance(saddles.strap_make, BentStrap) or None in (saddles.side_gap_m, saddles.top_gap_m):
        return 0.0
    corner = TUBE_OUTSIDE_RADIUS_PER_WALL * boom.section.wall_m
    width, height = inside_m(saddles, boom)
    round_m = saddles.strap_make.inside_radius_m - corner
    # Between the middles of bend and corner, across and up.
    across = round_m - (width - boom.section.width_m) / 2.0
    up = round_m - (height - boom.section.depth_m)
    return most(hypot(most(across, 0.0), most(up, 0.0)) - most(round_m, 0.0), 0.0)


def room_for_a_fillet_m(saddles: Saddles, boom: Boom, above_m: float, beside_m: float) -> float:
    """Largest leg of a fillet inside a strap, there and beside the boom's corner, that clears the corner's round.

    Shims are taken as cut clear of it.
    """
    side, top = shim_m(saddles)
    corner = TUBE_OUTSIDE_RADIUS_PER_WALL * boom.section.wall_m
    return beside_m + side + above_m + top + (2.0 - sqrt(2.0)) * corner


def beside_the_bed_m(rig: Rig) -> float | None:
    """Free space between a lapped leg and the bed's side; negative where the bed is wider than the strap inside."""
    bed = stand_of(rig.saddles)
    if bed is None or not isinstance(rig.saddles.strap_foot, StrapLapped):
        return None
    return (inside_m(rig.saddles, rig.boom)[0] - bed.width_m) / 2.0


def bed_ends_m(rig: Rig) -> tuple[float, float]:
    """Rear and front end of the saddle bed, ahead of the jib mast's axis: under both straps and over the whole mast."""
    saddles = rig.saddles
    half_strap_m = saddles.strap_length_m / 2.0 + ledge_beyond_m(saddles)
    half_mast_m = outer_depth_m(rig.jib_mast.section) / 2.0
    return least(saddles.rear_x_m - half_strap_m, -half_mast_m), most(saddles.front_x_m + half_strap_m, half_mast_m)
