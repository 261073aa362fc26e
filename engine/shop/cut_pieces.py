"""A piece to cut, and what pieces of one stock come to: count, length and mass of each section and steel."""

from __future__ import annotations

import math
from collections.abc import Mapping

import msgspec

from engine.schema.sections import (
    FlatBar,
    RectTube,
    RoundTube,
    Section,
    SolidRound,
    mass_per_length_kg_m,
    outer_depth_m,
)


class Piece(msgspec.Struct, kw_only=True, frozen=True):
    """One part to cut: ``length_m`` is the saw's setting, ``mitre_rad`` the angle of one end off square.

    A rectangle that is cut corner to corner says how many ``triangles`` all of them give; 0 is a piece as it is.
    ``note`` is a template of ``numbers`` where there are any (`engine.base.formatting.fill`), else plain words.
    """

    part: str
    section: Section
    length_m: float
    mitre_rad: float = 0.0
    count: int = 1
    steel: str
    note: str = ""
    numbers: Mapping[str, float] = {}
    triangles: int = 0

    @property
    def mass_each_kg(self) -> float:
        """Steel of one piece, from the nominal wall; a mitred piece is as heavy as its length on the axis."""
        axis_m = self.length_m - outer_depth_m(self.section) / 2.0 * math.tan(abs(self.mitre_rad))
        return mass_per_length_kg_m(self.section) * axis_m


class Total(msgspec.Struct, kw_only=True, frozen=True):
    """All pieces of one section and steel; ``length_m`` without kerfs."""

    section: Section
    steel: str
    count: int
    length_m: float
    mass_kg: float


def totals(listed: tuple[Piece, ...]) -> tuple[Total, ...]:
    """Count, length and mass of each section and steel, in the order of the pieces."""
    return tuple(
        Total(
            section=group[0].section,
            steel=group[0].steel,
            count=sum(piece.count for piece in group),
            length_m=math.fsum(piece.count * piece.length_m for piece in group),
            mass_kg=math.fsum(piece.count * piece.mass_each_kg for piece in group),
        )
        for group in by_stock(listed).values()
    )


def by_stock(listed: tuple[Piece, ...]) -> dict[tuple[object, str], list[Piece]]:
    """Pieces of the same section and steel together, in the order of the pieces."""
    groups: dict[tuple[object, str], list[Piece]] = {}
    for piece in listed:
        groups.setdefault((stock_key(piece.section), piece.steel), []).append(piece)
    return groups


def stock_key(section: Section) -> tuple[object, ...]:
    """Equal for two sections cut from the same stock, whichever side stands up; to a hundredth of a millimetre."""
    match section:
        case RectTube():
            return ("rect tube", *sorted(_rounded(section.width_m, section.depth_m)), *_rounded(section.wall_m))
        case RoundTube():
            return ("round tube", *_rounded(section.diameter_m, section.wall_m))
        case SolidRound():
            return ("round bar", *_rounded(section.diameter_m))
        case FlatBar():
            return ("flat bar", *sorted(_rounded(section.width_m, section.depth_m)))


def _rounded(*sizes_m: float) -> tuple[float, ...]:
    return tuple(round(size * 1e5) for size in sizes_m)
