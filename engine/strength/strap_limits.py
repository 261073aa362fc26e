"""Limits of a saddle strap: top, corners, legs, feet and what the feet stand on (mechanics in `strap_contact`).

Everything here depends on rig and policy alone.  Each limit is a pair of weights for each way the boom can bear in the
strap, and what is allowed; `saddles` turns them into checks.

**Which ways count.**  Both, unless gaps are entered and one way touches so much sooner that the other one could only
engage at a twist which is over already: the sides where the boom's own wall at the saddle's edge is over by then (each
wall takes ``T/w_b`` at least), the top where the plate of a leg is.  For the first the side gap counts as drawn in by
the foot welds, for the second as it is entered.  What holds the boom down, and what pushes it aside, always counts.

**Feet.**  A leg on top of the bed needs a ledge outside it, on the bed's flat; welded on both faces a moment is a
couple of two lines, a line outside alone is bent open.  Where the leg does not stand over a side wall the bed's top is
a patch (`wall_patch`), and both legs together are one more.  A lapped leg hangs on two edges and, where there is a
ledge, a line below; its force stands off the weld by half its thickness, and bends the bed's side wall.  A gap that is
not entered is reckoned as `UNKNOWN_GAP_M` wide.
"""

from __future__ import annotations

import functools
from typing import Literal

import msgspec

from engine.base.geometry import least, most
from engine.base.plain_call import plain_call
from engine.rig import strap_pieces
from engine.rig.strap_pieces import Stand
from engine.schema.connections import FabricatedStrap, PlateFaces, StrapLapped, StrapOnTop, Weld
from engine.schema.model import Boom, Policy, Rig, Saddles
from engine.schema.sections import TUBE_OUTSIDE_RADIUS_PER_WALL, RectTube
from engine.schema.steel import design_wall_m, entered_wall_m
from engine.strength import strap_contact, wall_edge, wall_patch, weld_lines
from engine.strength.allowable_stress import AISC_OR_FACTOR, AllowableStress, allowable_stress, weld_throat_m
from engine.strength.bed import over_side_wall
from engine.strength.laid_welds import deposit_of, joined_of
from engine.strength.strap_contact import UNKNOWN_GAP_M, Contact, LegWeights, Moments, Strap, plate_Pa
from engine.strength.wall_patch import Patch, PatchLimits, Wall

PLATE_SOURCE = f"{AISC_OR_FACTOR}: elastic plate, frame of the strap"
WELD_SOURCE = f"{AISC_OR_FACTOR}: J2.4, J4.2, elastic vector method"


class StrapLimit(msgspec.Struct, frozen=True):
    """One limit of a strap: what a newton on top and a newton at a side mean for it, and what is allowed.

    ``top`` is for a top corner that presses, ``sides`` for a side that does, and for what holds the boom down.
    """

    kind: str
    unit: Literal["N", "Pa", ""]
    words: str
    source: str
    top: LegWeights
    sides: LegWeights
    allowed: float
    numbers: dict[str, float | str]


class StrapLimits(msgspec.Struct, frozen=True):
    """All limits of a strap, where the boom touches it, and whether top and sides count under twist.

    ``feet`` is the patch of both legs together on the bed's top, where they stand between its side walls.
    """

    at: Contact
    top_counts: bool
    sides_count: bool
    limits: tuple[StrapLimit, ...]
    feet: PatchLimits | None


class _Parts(msgspec.Struct, frozen=True):
    """What every limit is made of."""

    strap: Strap
    at: Contact
    moments: Moments
    steel: AllowableStress
    saddles: Saddles
    policy: Policy


@plain_call
@functools.lru_cache(maxsize=64)
def strap_limits(rig: Rig, policy: Policy) -> StrapLimits:
    """Every limit of one strap of a rig; both are alike."""
    parts = _parts(rig, policy)
    bed = strap_pieces.stand_of(rig.saddles)
    limits = [*_plate(parts), *_corner(parts)]
    feet = None
    if bed is not None:
        limits += _foot(parts, bed, strap_pieces.leg_middle_m(rig.saddles, rig.boom))
        feet = _both_feet(parts, bed, strap_pieces.leg_middle_m(rig.saddles, rig.boom))
    top, sides = _ways(rig, parts)
    return StrapLimits(parts.at, top, sides, tuple(limits), feet)


def strap_of(saddles: Saddles, boom: Boom) -> tuple[Strap, Contact]:
    """A strap as wide and high as it is with its shims, and where the boom touches it."""
    width, height = strap_pieces.inside_m(saddles, boom, UNKNOWN_GAP_M)
    section, under = boom.section, strap_pieces.shim_m(saddles)[1]
    strap = Strap(
        saddles.strap_thickness_m,
        saddles.strap_length_m,
        (width - section.width_m) / 2.0,
        height - section.depth_m + under,
    )
    corner = TUBE_OUTSIDE_RADIUS_PER_WALL * section.wall_m
    at = strap_contact.contact(section.width_m, section.depth_m, corner, strap)
    return strap, at._replace(low_m=at.low_m + under, high_m=at.high_m + under)


def _parts(rig: Rig, policy: Policy) -> _Parts:
    saddles = rig.saddles
    strap, at = strap_of(saddles, rig.boom)
    on_one_line = isinstance(saddles.strap_foot, StrapOnTop) and saddles.foot_faces == "outside"
    make = saddles.strap_make
    corner = make.corner_faces if isinstance(make, FabricatedStrap) else "bent"
    found = strap_contact.moments(at, strap.thickness_m, foot="outside" if on_one_line else "both", corner=corner)
    steel = allowable_stress(saddles.steel, policy, strap.thickness_m)
    return _Parts(strap, at, found, steel, saddles, policy)


# ---------------------------------------------------------------- which ways count


def _ways(rig: Rig, parts: _Parts) -> tuple[bool, bool]:
    """Whether top and sides count under twist."""
    saddles = rig.saddles
    if saddles.side_gap_m is None or saddles.top_gap_m is None:
        return True, True
    free = parts.strap._replace(side_gap_m=saddles.side_gap_m, top_gap_m=saddles.top_gap_m)
    left = strap_contact.left_side_gap_m(saddles.side_gap_m, saddles.weld_shrink_m)
    sides_from_Nm = strap_contact.contact_modes(parts.at, free._replace(side_gap_m=left)).sides_from_Nm
    top_from_Nm = strap_contact.contact_modes(parts.at, free).top_from_Nm
    pushed = plate_Pa(parts.strap, 0.0, 0.0, parts.moments.push_foot)
    wall_m = entered_wall_m(rig.boom.section, rig.boom.steel)  # a thinner one gives sooner, and asks less of the strap
    sides_over = sides_from_Nm / parts.at.flat_width_m > edge_N(rig.boom, saddles, parts.policy, wall_m=wall_m)
    top_over = top_from_Nm / parts.at.flat_depth_m * pushed.push > parts.steel.stress_Pa
    return not top_over, not sides_over


def bearing_m(saddles: Saddles) -> float:
    """Length of boom that bears at a saddle's edge: half the strap on steel shims (common practice), else none.

    Wood and polymer are crushed long before steel spreads the force; shims of no thickness are none.
    """
    packed = saddles.shims == "steel" and strap_pieces.shim_m(saddles)[1] > 0.0
    return saddles.strap_length_m / 2.0 if packed else 0.0


def edge_N(
    boom: Boom, saddles: Saddles, policy: Policy, to_end_m: float = float("inf"), wall_m: float | None = None
) -> float:
    """Force that one side wall of the boom takes from a saddle's edge, ``to_end_m`` from the boom's end.

    ``wall_m`` counts in place of the design wall.
    """
    steel = allowable_stress(boom.steel, policy, boom.section)
    return wall_edge.allowed_N(
        design_wall_m(boom.section, boom.steel) if wall_m is None else wall_m,
        boom.section.depth_m,
        steel.grade.yield_Pa,
        policy.design_factor,
        bearing_m=bearing_m(saddles),
        to_end_m=to_end_m,
    )


# ---------------------------------------------------------------- plate


def _plate(parts: _Parts) -> list[StrapLimit]:
    strap, m, steel = parts.strap, parts.moments, parts.steel
    make = parts.saddles.strap_make
    inside = getattr(make, "inside_radius_m", None)
    curved = 1.0 if inside is None else strap_contact.winkler(strap.thickness_m, inside)
    size: dict[str, float | str] = {"strap": strap.length_m, "thick": strap.thickness_m}
    at_bend = "in the bend" if inside is not None else "below the corner"

    def stress(kind: str, words: str, top: LegWeights, sides: LegWeights) -> StrapLimit:
        told = f"{{demand:Pa}} {words}, {{strap:length}} by {{thick:part}}; allowed {{allowed:Pa}}"
        return StrapLimit(kind, "Pa", told, PLATE_SOURCE, top, sides, steel.stress_Pa, size)

    net_m = strap.length_m - (parts.saddles.pin_hole_m or 0.0)
    pull, section = LegWeights(1.0, 0.0), most(net_m, 0.0) * strap.thickness_m
    words = "{demand:N} holds the boom down in one leg, {strap:length} by {thick:part}; allowed {allowed:N}"
    return [
        StrapLimit(
            "tension in a leg", "N", words, f"{AISC_OR_FACTOR}: D2", pull, pull, section * steel.stress_Pa, size
        ),
        stress(
            "bending of the top",
            "where the boom's corner bends the strap's top",
            plate_Pa(strap, 0.0, m.top, m.push_corner),
            plate_Pa(strap, 0.0, m.held_top, m.push_corner),
        ),
        stress(
            "leg at the corner",
            f"in the strap's leg {at_bend}",
            plate_Pa(strap, 1.0, m.top_corner, m.push_corner, curved),
            plate_Pa(strap, 1.0, m.held_corner, m.push_corner, curved),
        ),
        stress(
            "leg at the foot",
            "in the strap's leg at its foot",
            plate_Pa(strap, 1.0, m.top_foot, m.push_foot),
            plate_Pa(strap, 1.0, m.held_foot, m.push_foot),
        ),
    ]


# ---------------------------------------------------------------- welds across a plate


def _across(parts: _Parts, kind: str, place: str, weld: Weld, faces: PlateFaces, thinner_m: float) -> StrapLimit:
    """A weld across the strap's plate, at its foot or at a fabricated corner."""
    strap, m, saddles = parts.strap, parts.moments, parts.saddles
    joined = joined_of(
        parts.policy, (saddles.steel, strap.thickness_m, strap.thickness_m), (saddles.steel, thinner_m, thinner_m)
    )
    throat = weld_throat_m(weld, joined.thinner_m)
    allowed = weld_lines.fillet_N_m(deposit_of(weld), joined) / throat
    top_m, held_m, push_m = (
        (m.top_foot, m.held_foot, m.push_foot) if place == "foot" else (m.top_corner, m.held_corner, m.push_corner)
    )
    if faces == "both":
        per_throat = 1.0 / throat
        top, sides = (
            LegWeights(*(weight * per_throat for weight in strap_contact.both_faces_N_m(strap, moment_m, push_m)))
            for moment_m in (top_m, held_m)
        )
    else:
        top, sides = (strap_contact.one_line_Pa(strap, throat, moment_m, push_m) for moment_m in (top_m, held_m))
    lines = "on both faces" if faces == "both" else "outside only, bent open"
    words = (
        f"{{demand:Pa}} on the throat of a {{leg:weld}} weld {lines}, {{strap:length}} long, at the strap's {place}; "
        "allowed {allowed:Pa}"
    )
    numbers: dict[str, float | str] = {"leg": weld.leg_m, "strap": strap.length_m}
    return StrapLimit(kind, "Pa", words, WELD_SOURCE, top, sides, allowed, numbers)


def _corner(parts: _Parts) -> list[StrapLimit]:
    make = parts.saddles.strap_make
    if not isinstance(make, FabricatedStrap) or make.corner_weld is None:
        return []
    return [_across(parts, "corner weld", "corner", make.corner_weld, make.corner_faces, parts.strap.thickness_m)]


# ---------------------------------------------------------------- feet


def _foot(parts: _Parts, bed: Stand, leg_y_m: float) -> list[StrapLimit]:
    match parts.saddles.strap_foot:
        case StrapOnTop():
            return _on_top(parts, bed, leg_y_m)
        case StrapLapped() as foot:
            return _lapped(parts, bed, foot.lap_m)
        case None:
            return []


def _wall(parts: _Parts, bed: RectTube, *, side: bool) -> Wall:
    steel = parts.saddles.steel
    width, depth = (bed.depth_m, bed.width_m) if side else (bed.width_m, bed.depth_m)
    yield_Pa = allowable_stress(steel, parts.policy, bed).grade.yield_Pa
    return Wall(width, depth, design_wall_m(bed, steel), yield_Pa, entered_wall_m(bed, steel))


def _under_m(parts: _Parts, bed: Stand) -> float:
    """Thickness that counts of what the straps are welded to."""
    return bed.wall_m if bed.tube is None else design_wall_m(bed.tube, parts.saddles.steel)


def _over_side_wall(parts: _Parts, bed: Stand, tube: RectTube, leg_y_m: float) -> bool:
    """Whether a leg stands over a side wall of a bed made of tube."""
    return over_side_wall(leg_y_m, bed.width_m, entered_wall_m(tube, parts.saddles.steel))


def _has_ledge(bed: Stand, outside_m: float, leg_m: float) -> bool:
    """Whether the bed's flat reaches a weld's leg beyond the outside of a strap's leg (from the bed's middle)."""
    return bed.width_m / 2.0 - bed.corner_m - outside_m >= leg_m - weld_lines.LENGTH_TOLERANCE_M


def _on_top(parts: _Parts, bed: Stand, leg_y_m: float) -> list[StrapLimit]:
    saddles, strap, m = parts.saddles, parts.strap, parts.moments
    wall_m = _under_m(parts, bed)
    weld = _across(parts, "foot weld", "foot", saddles.strap_weld, saddles.foot_faces, wall_m)
    if not _has_ledge(bed, leg_y_m + strap.thickness_m / 2.0, saddles.strap_weld.leg_m):
        words = "{demand:Pa} at the strap's foot: outside its leg the bed's top has no room for a {leg:weld} weld"
        weld = msgspec.structs.replace(weld, allowed=0.0, words=words)
    if bed.tube is None or _over_side_wall(parts, bed, bed.tube, leg_y_m):
        return [weld]
    wall = _wall(parts, bed.tube, side=False)
    patch = wall_patch.patch_limits(wall, Patch(strap.thickness_m, strap.length_m), parts.policy.design_factor)

    def used(moment_m: float) -> LegWeights:
        return LegWeights(1.0 / patch.push_N + moment_m / patch.across_Nm, m.push_foot / patch.across_Nm)

    words = (
        "the foot of the strap's leg, {thick:part} thick, folds the bed's top wall of {wall:part} between its side "
        "walls: force and moment use {demand:share}"
    )
    source = f"{AISC_OR_FACTOR}: AISC 360-10 K2, K3 (from memory)"
    numbers: dict[str, float | str] = {"thick": strap.thickness_m, "wall": wall_m}
    folds = StrapLimit("bed's wall under a leg", "", words, source, used(m.top_foot), used(m.held_foot), 1.0, numbers)
    return [weld, folds]


def _both_feet(parts: _Parts, bed: Stand, leg_y_m: float) -> PatchLimits | None:
    """Both feet as one patch on the bed's top: they stand nearer to each other than the wall is wide."""
    if bed.tube is None or not isinstance(parts.saddles.strap_foot, StrapOnTop):
        return None
    if _over_side_wall(parts, bed, bed.tube, leg_y_m):
        return None
    across = least(2.0 * leg_y_m + parts.strap.thickness_m, bed.width_m)
    wall = _wall(parts, bed.tube, side=False)
    return wall_patch.patch_limits(wall, Patch(across, parts.strap.length_m), parts.policy.design_factor)


def lap_edge_m(saddles: Saddles, bed: Stand, lap_m: float) -> tuple[float, bool]:
    """Length of the weld along each edge of a lapped leg, on the bed's flat, and whether there is a ledge below it."""
    corner, leg = bed.corner_m, saddles.strap_weld.leg_m
    below = lap_m + leg <= bed.depth_m - corner + weld_lines.LENGTH_TOLERANCE_M
    return most(least(lap_m, bed.depth_m - corner) - corner, 0.0), below


def _lapped(parts: _Parts, bed: Stand, lap_m: float) -> list[StrapLimit]:
    saddles, strap, m = parts.saddles, parts.strap, parts.moments
    wall_m, weld = _under_m(parts, bed), saddles.strap_weld
    joined = joined_of(
        parts.policy, (saddles.steel, strap.thickness_m, strap.thickness_m), (saddles.steel, bed.tube or wall_m, wall_m)
    )
    throat = weld_throat_m(weld, joined.thinner_m)
    edge_m, below = lap_edge_m(saddles, bed, lap_m)
    allowed = weld_lines.fillet_N_m(deposit_of(weld), joined) / throat
    numbers: dict[str, float | str] = {"leg": weld.leg_m, "edge": edge_m, "strap": strap.length_m}
    words = "{demand:Pa} on the throat of a {leg:weld} weld along {edge:length} of each edge"
    words += ", and {strap:length} below" if below else ", none below: the bed's flat ends there"
    words += ", of a leg lapped on the bed's side; allowed {allowed:Pa}"
    if edge_m <= 0.0:
        words, allowed, edge_m = (
            "{demand:Pa} on a lapped leg that does not reach the flat of the bed's side",
            0.0,
            lap_m,
        )

    def pulled(moment_m: float) -> LegWeights:
        lines = strap if below else strap._replace(length_m=0.0)
        return LegWeights(*(one / throat for one in strap_contact.lap_N_m(lines, edge_m, moment_m, m.push_foot)))

    foot = StrapLimit("foot weld", "Pa", words, WELD_SOURCE, pulled(m.top_foot), pulled(m.held_foot), allowed, numbers)
    return [foot] if bed.tube is None else [foot, _side_wall(parts, bed.tube, lap_m)]


def _side_wall(parts: _Parts, bed: RectTube, lap_m: float) -> StrapLimit:
    """The bed's side wall behind a lapped leg, bent by what the leg's foot carries and by the leg's standing off."""
    strap, m = parts.strap, parts.moments
    wall = _wall(parts, bed, side=True)
    patch = Patch(least(lap_m, bed.depth_m), strap.length_m)
    across = 1.0 / wall_patch.patch_limits(wall, patch, parts.policy.design_factor).across_Nm
    off_m, push = strap.thickness_m / 2.0, m.push_foot * across
    words = (
        "the strap's lapped leg bends the bed's side wall, {wall:part} thick: {demand:share} of the moment it is "
        "allowed"
    )
    return StrapLimit(
        "bed's side wall at a leg",
        "",
        words,
        f"{AISC_OR_FACTOR}: AISC 360-10 K3 (from memory)",
        LegWeights((m.top_foot + off_m) * across, push),
        LegWeights((m.held_foot + off_m) * across, push),
        1.0,
        {"wall": wall.wall_m},
    )
