"""The mast's foot: straight on the cross-member, on a base plate, and with gussets.

The weld and its ledges are in ``weld_lines``, the cross-member's wall under the mast in ``wall_patch`` (across it is
nose down, along it sideways).

**Base plate.**  The mast's walls pull at it with ``R = M/d``, c from the side walls that hold it.  A plate that reaches
both side walls is held by both, ``M c/(d + 2c)``; one that does not is a patch of its own size on the wall, and is bent
by ``R c`` all the same.  It carries on a width of ``min(mast + 2c, plate)``.

**Gussets** count only with all their sizes, their weld, and steel beneath the toe.  Counted, the mast is looked at
above them, and at the foot with rectangles ``min(out, 0.6 up)`` long (common practice, no source); each gives two
lines of weld.  Its outstand from the free edge may be at most ``0.56 t sqrt(E/Fy)``.

Sources: statics, elastic plate; outstand AISC 360-22 Table B4.1a (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal, NamedTuple

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
    return min(mast_m + 2.0 * reach_m, plate_m)


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
        return min(self.out_m, EFFECTIVE_UP * self.up_m)

    @property
    def outstand_m(self) -> float:
        """From the corner to the free edge."""
        return self.out_m * self.up_m / math.hypot(self.out_m, self.up_m)


def most_outstand(yield_Pa: float) -> float:
    """Outstand over thickness up to which a gusset does not buckle first."""
    return GUSSET_OUTSTAND * math.sqrt(ELASTIC_MODULUS_PA / yield_Pa)


Missing = Literal["weld", "beneath", "slender"]

MISSING: dict[Missing, str] = {
    "weld": "its weld is not entered",
    "beneath": "no side wall or sleeve stands beneath its toe",
    "slender": "it is too thin for its size and would buckle first",
}


def not_counted(gusset: Gusset, yield_Pa: float, *, welded: bool, beneath: bool) -> Missing | None:
    """Why a gusset counts nothing, or none."""
    if not welded:
        return "weld"
    if not beneath:
        return "beneath"
    return "slender" if gusset.outstand_m > most_outstand(yield_Pa) * gusset.thickness_m else None


class FootSection(NamedTuple):
    """Mast and gussets at the foot: area, and elastic section moduli nose down (up) and sideways."""

    area_m2: float
    elastic_up_m3: float
    elastic_side_m3: float


class MastSection(NamedTuple):
    """The mast alone: area, second moments nose down (up) and sideways, depth along the truck and width."""

    area_m2: float
    second_up_m4: float
    second_side_m4: float
    depth_m: float
    width_m: float


def foot_section(mast: MastSection, gussets: Iterable[Gusset]) -> FootSection:
    """Section of the mast with its counted gussets as rectangles, about their common middle."""
    # Of every piece: area, middle along the truck and across it, own second moments.
    pieces = [(mast.area_m2, 0.0, 0.0, mast.second_up_m4, mast.second_side_m4)]
    far = {
        "front": mast.depth_m / 2.0,
        "back": mast.depth_m / 2.0,
        "left": mast.width_m / 2.0,
        "right": mast.width_m / 2.0,
    }
    for gusset in gussets:
        length, thick = gusset.effective_m, gusset.thickness_m
        upright = gusset.face in ("front", "back")
        sign = 1.0 if gusset.face in ("front", "left") else -1.0
        half = (mast.depth_m if upright else mast.width_m) / 2.0
        far[gusset.face] = max(far[gusset.face], half + length)
        own = length * thick
        long_way, thin_way = own * length**2 / 12.0, own * thick**2 / 12.0
        for offset in gusset.offsets_m:
            out = sign * (half + length / 2.0)
            if upright:
                pieces.append((own, out, offset, long_way, thin_way))
            else:
                pieces.append((own, offset, out, thin_way, long_way))
    area = sum(piece[0] for piece in pieces)
    x = sum(piece[0] * piece[1] for piece in pieces) / area
    y = sum(piece[0] * piece[2] for piece in pieces) / area
    up = sum(own + part * (at - x) ** 2 for part, at, _, own, _ in pieces)
    side = sum(own + part * (at - y) ** 2 for part, _, at, _, own in pieces)
    return FootSection(area, up / max(far["front"] - x, far["back"] + x), side / max(far["left"] - y, far["right"] + y))


def gusset_lines(mast: MastSection, gusset: Gusset, allowed_N_m: float) -> list[WeldLine]:
    """Two lines of weld beside each gusset's effective length, on what the mast stands on."""
    upright = gusset.face in ("front", "back")
    sign = 1.0 if gusset.face in ("front", "left") else -1.0
    start = sign * (mast.depth_m if upright else mast.width_m) / 2.0
    end = start + sign * gusset.effective_m
    lines = []
    for offset in gusset.offsets_m:
        for side in (offset - gusset.thickness_m / 2.0, offset + gusset.thickness_m / 2.0):
            first, second = ((start, side), (end, side)) if upright else ((side, start), (side, end))
            lines.append(WeldLine(f"gusset {gusset.face}", "fillet", first, second, allowed_N_m))
    return lines
