"""The mast's foot: straight on the cross-member, on a base plate, and with gussets.

The weld and its ledges are in ``weld_lines``, the cross-member's wall under the mast in ``wall_patch`` (across it is
nose down, along it sideways).

**Base plate.**  The mast's walls pull at it with ``R = M/d``, c from the side walls that hold it.  A plate that reaches
both side walls is held by both, ``M c/(d + 2c)``; one that does not is a patch of its own size on the wall, and is bent
by ``R c`` all the same.  It carries on a width of ``min(mast + 2c, plate)``.

**Gussets** count only with all their sizes, their weld, and steel beneath the toe.  Counted, each gives two lines of
weld, ``min(out, 0.6 up)`` long (common practice, no source), to the foot's (``gussets``).  The mast itself gains
nothing from them: it is checked bare at its foot, which asks more of it than the section above the gussets does.  A
gusset's outstand from the free edge may be at most ``0.56 t sqrt(E/Fy)``.

Sources: statics, elastic plate; outstand AISC 360-22 Table B4.1a (from memory).
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from engine.base.geometry import hypot, least, sqrt
from engine.schema.steel import ELASTIC_MODULUS_PA
from engine.strength.linear_in_load import Linear
from engine.strength.unverified_values import GUSSET_OUTSTAND
from engine.strength.weld_lines import LENGTH_TOLERANCE_M, Face, WeldLine

BEARS_ON_WALL = 1.5
"""A plate's edge within so many walls of a side wall's middle bears on it."""

EFFECTIVE_UP = 0.6


# ---------------------------------------------------------------- base plate


def reaches_side_walls(plate_m: float, tube_m: float, wall_m: float) -> bool:
    """Whether a plate on the middle of a tube's wall bears on both side walls."""
    return (tube_m - wall_m - plate_m) / 2.0 <= BEARS_ON_WALL * wall_m + LENGTH_TOLERANCE_M


def base_plate_terms(
    moment: Linear, axial: Linear, depth_m: float, reach_m: float, carrying_m: float, *, both_walls: bool
) -> tuple[tuple[float, Linear], ...]:
    """Moment on each metre of a base plate's width, as a weighted sum of magnitudes (N).

    Parameters
    ----------
    moment, axial : Linear
        At the mast's foot.
    depth_m, reach_m : float
        The mast's depth d, and c from its wall to the side wall that holds the plate.
    carrying_m : float
        Width that carries, `carrying_width_m`.
    both_walls : bool
        Whether the plate reaches both side walls.
    """
    share = reach_m / (depth_m + 2.0 * reach_m) if both_walls else reach_m / depth_m
    return (share / carrying_m, moment), (reach_m / 2.0 / carrying_m, axial)


def carrying_width_m(mast_m: float, reach_m: float, plate_m: float) -> float:
    """Width of a base plate that carries: the mast's and c at each side, at most the plate's."""
    return least(mast_m + 2.0 * reach_m, plate_m)


# ---------------------------------------------------------------- gussets


class Gusset(NamedTuple):
    """One or more alike at a face (m): along the base, up the mast, thickness; and where they stand across the face."""

    face: Face
    out_m: float
    up_m: float
    thickness_m: float
    offsets_m: tuple[float, ...]

    @property
    def effective_m(self) -> float:
        """Length of the rectangle that counts at the foot."""
        return least(self.out_m, EFFECTIVE_UP * self.up_m)

    @property
    def outstand_m(self) -> float:
        """From the corner to the free edge."""
        return self.out_m * self.up_m / hypot(self.out_m, self.up_m)


def most_outstand(yield_Pa: float) -> float:
    """Outstand over thickness up to which a gusset does not buckle first."""
    return GUSSET_OUTSTAND * sqrt(ELASTIC_MODULUS_PA / yield_Pa)


Missing = Literal["start", "weld", "round", "beneath", "room", "slender"]

MISSING: dict[Missing, str] = {
    "start": "the sizes of plate and weld are start values: measure them and say so",
    "weld": "the weld is not entered, or nobody can see it",
    "round": "the jib mast is a round tube, and no rule here says what its wall holds beside a plate",
    "beneath": "the toe must stand on a base plate, right over a side wall of the cross-member or a sleeve",
    "room": "the base plate leaves no room for a leg of weld beside it",
    "slender": "the plate is too thin for its size and would buckle first",
}
"""What keeps a gusset from counting."""


def not_counted(gusset: Gusset, yield_Pa: float, *, welded: bool, beneath: bool) -> Missing | None:
    """Why a gusset counts nothing, or none."""
    if not welded:
        return "weld"
    if not beneath:
        return "beneath"
    return "slender" if gusset.outstand_m > most_outstand(yield_Pa) * gusset.thickness_m else None


def gusset_lines(half_m: float, gusset: Gusset, allowed_N_m: float) -> list[WeldLine]:
    """Two lines of weld beside each gusset's effective length, on what the mast stands on.

    ``half_m`` is half the mast's size towards the face.
    """
    upright = gusset.face in ("front", "back")
    sign = 1.0 if gusset.face in ("front", "left") else -1.0
    start, end = sign * half_m, sign * (half_m + gusset.effective_m)
    lines = []
    for offset in gusset.offsets_m:
        for side in (offset - gusset.thickness_m / 2.0, offset + gusset.thickness_m / 2.0):
            first, second = ((start, side), (end, side)) if upright else ((side, start), (side, end))
            lines.append(WeldLine(f"gusset {gusset.face}", "fillet", first, second, allowed_N_m))
    return lines


def up_the_mast(gusset: Gusset) -> float:
    """Pull on a metre of the two lines up the mast over that of the two along the base, at most.

    The base lines pull evenly by q on a length r of the height: q r along the mast's lines, and their lever of half the
    length bends these by ``3 q r^2``.
    """
    ratio = gusset.effective_m / gusset.up_m
    return ratio * hypot(1.0, 3.0 * ratio)


def spread_over(face_m: float, count: int) -> tuple[float, ...]:
    """Where so many gussets stand across a face, evenly spread: each in the middle of its own share."""
    return tuple(face_m * ((index + 0.5) / count - 0.5) for index in range(count))
