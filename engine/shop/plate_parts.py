"""Parts cut from plate or flat bar as they are to be cut: outline, holes and bend lines of each, at full size.

An outline runs counterclockwise from its datum end's lower corner, the longest side along x.  A lug is round about its
hole at the far end; gussets are the two triangles that a rectangle is cut into; a bent strap is its flat pattern.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal, NamedTuple

import msgspec

from engine.rig import strap_pieces
from engine.schema.connections import BentStrap
from engine.schema.model import Job, Rig
from engine.schema.sections import STEEL_DENSITY_KG_M3, FlatBar
from engine.shop.cut_list import numbered_pieces
from engine.shop.cut_pieces import Piece
from engine.shop.piece_holes import EACH_END, ROUND_END, PieceHole, piece_holes


class Corner(NamedTuple):
    """A corner of an outline; ``bulge`` bends the side from it to the next.

    It is the tangent of a quarter of the angle that the side turns through as an arc, 0 for a straight side; positive
    turns counterclockwise.
    """

    x_m: float
    y_m: float
    bulge: float = 0.0


class PlateHole(NamedTuple):
    """A hole of a plate part.  ``finish`` is ``drill`` where a flame may not cut it: a pin bears on it."""

    x_m: float
    y_m: float
    diameter_m: float
    finish: Literal["drill", "cut"] = "drill"


class BendLine(NamedTuple):
    """A line across a flat pattern where a bend begins or ends."""

    x_m: float
    width_m: float


class PlatePart(msgspec.Struct, kw_only=True, frozen=True):
    """A part of plate.

    Attributes
    ----------
    number : str
        As in the cut list, such as ``P-08``.
    name : str
    count : int
    thickness_m : float
    steel : str
    outline : tuple of Corner
        Closed, counterclockwise, without the first corner again at its end.
    holes : tuple of PlateHole
    bends : tuple of BendLine
    note : str
        As in the cut list.
    """

    number: str
    name: str
    count: int
    thickness_m: float
    steel: str
    outline: tuple[Corner, ...]
    holes: tuple[PlateHole, ...] = ()
    bends: tuple[BendLine, ...] = ()
    note: str = ""

    @property
    def size_m(self) -> tuple[float, float]:
        """Length and width of the rectangle round it."""
        xs, ys = [corner.x_m for corner in self.outline], [corner.y_m for corner in self.outline]
        return max(xs) - min(xs), max(ys) - min(ys)

    @property
    def perimeter_m(self) -> float:
        """Length of the outline, holes apart."""
        return math.fsum(side.length_m for side in sides(self.outline))

    @property
    def area_m2(self) -> float:
        """Area within the outline less that of the holes."""
        around = math.fsum(side.area_m2 for side in sides(self.outline))
        return around - math.fsum(math.pi / 4.0 * hole.diameter_m**2 for hole in self.holes)

    def depth_within_m(self, x_m: float, y_m: float) -> float:
        """How far a point is within the outline, from its nearest side; negative outside.  Outlines are convex."""
        return min(side.depth_m(x_m, y_m) for side in sides(self.outline))

    @property
    def mass_kg(self) -> float:
        """One part, its holes taken off."""
        return self.area_m2 * self.thickness_m * STEEL_DENSITY_KG_M3


class Side(NamedTuple):
    """One side of an outline, straight or an arc."""

    start: Corner
    end: Corner

    @property
    def turn_rad(self) -> float:
        """The angle that an arc turns through; 0 for a straight side."""
        return 4.0 * math.atan(self.start.bulge)

    @property
    def chord_m(self) -> float:
        """From end to end."""
        return math.hypot(self.end.x_m - self.start.x_m, self.end.y_m - self.start.y_m)

    @property
    def radius_m(self) -> float:
        """Radius of an arc; infinite for a straight side."""
        turn = abs(self.turn_rad)
        return math.inf if turn == 0.0 else self.chord_m / (2.0 * math.sin(turn / 2.0))

    @property
    def centre_m(self) -> tuple[float, float]:
        """Centre of an arc."""
        along_x, along_y = self.end.x_m - self.start.x_m, self.end.y_m - self.start.y_m
        # From the chord's middle to its left by the radius less the rise.
        off = (1.0 - self.start.bulge**2) / (4.0 * self.start.bulge)
        return (
            (self.start.x_m + self.end.x_m) / 2.0 - off * along_y,
            (self.start.y_m + self.end.y_m) / 2.0 + off * along_x,
        )

    @property
    def length_m(self) -> float:
        """Along the side."""
        turn = abs(self.turn_rad)
        return self.chord_m if turn == 0.0 else self.radius_m * turn

    def depth_m(self, x_m: float, y_m: float) -> float:
        """How far a point is to its inner side, along an arc from the arc itself."""
        along_x, along_y = self.end.x_m - self.start.x_m, self.end.y_m - self.start.y_m
        off_chord_m = (along_x * (y_m - self.start.y_m) - along_y * (x_m - self.start.x_m)) / self.chord_m
        if not self.start.bulge:
            return off_chord_m
        centre_x, centre_y = self.centre_m
        return max(off_chord_m, self.radius_m - math.hypot(x_m - centre_x, y_m - centre_y))

    @property
    def area_m2(self) -> float:
        """What it adds to the outline's area: its part of the corners' polygon, and an arc's segment."""
        polygon = (self.start.x_m * self.end.y_m - self.end.x_m * self.start.y_m) / 2.0
        turn = self.turn_rad
        return polygon if turn == 0.0 else polygon + self.radius_m**2 / 2.0 * (turn - math.sin(turn))


def sides(outline: tuple[Corner, ...]) -> tuple[Side, ...]:
    """Every side of an outline, the closing one last."""
    return tuple(map(Side, outline, (*outline[1:], outline[0])))


def plate_parts(job: Job) -> tuple[PlatePart, ...]:
    """Every part of plate or flat bar, in the order and with the numbers of the cut list."""
    holes = piece_holes(job)
    return tuple(
        _part(number, piece, [hole for hole in holes if hole.piece == piece.part], job.rig)
        for number, piece in numbered_pieces(job)
        if isinstance(piece.section, FlatBar)
    )


def _part(number: str, piece: Piece, holes: list[PieceHole], rig: Rig) -> PlatePart:
    section = piece.section
    assert isinstance(section, FlatBar)
    long_m, wide_m = piece.length_m, section.width_m
    count = piece.count
    if piece.triangles:
        outline, count = _triangle(long_m, wide_m), piece.triangles
    elif any(hole.datum == ROUND_END for hole in holes):
        outline = _lug(long_m, wide_m, min(hole.from_datum_m or 0.0 for hole in holes))
    else:
        outline = _rectangle(long_m, wide_m)
    placed = [place for hole in holes for place in _places(hole, long_m, wide_m)]
    bends = _bend_lines(piece, rig, wide_m)
    if wide_m > long_m and not bends:  # the longest side lies along x
        outline, placed = (
            _turned(outline, long_m),
            [hole._replace(x_m=hole.y_m, y_m=long_m - hole.x_m) for hole in placed],
        )
    return PlatePart(
        number=number,
        name=piece.part,
        count=count,
        thickness_m=section.depth_m,
        steel=piece.steel,
        outline=outline,
        holes=tuple(placed),
        bends=bends,
        note=piece.note,
    )


def _rectangle(long_m: float, wide_m: float) -> tuple[Corner, ...]:
    return Corner(0.0, 0.0), Corner(long_m, 0.0), Corner(long_m, wide_m), Corner(0.0, wide_m)


def _triangle(long_m: float, wide_m: float) -> tuple[Corner, ...]:
    return Corner(0.0, 0.0), Corner(long_m, 0.0), Corner(0.0, wide_m)


QUARTER_BULGE = math.tan(math.pi / 8.0)


def _lug(long_m: float, wide_m: float, edge_m: float) -> tuple[Corner, ...]:
    """Round about its hole at the far end: a half circle, or quarter circles at the corners of a wider lug."""
    straight_m, between_m = long_m - edge_m, wide_m - 2.0 * edge_m
    end = [Corner(0.0, 0.0), Corner(straight_m, 0.0, QUARTER_BULGE)]
    if between_m > 1e-9:
        end += [Corner(long_m, edge_m), Corner(long_m, edge_m + between_m, QUARTER_BULGE)]
    else:
        end += [Corner(long_m, edge_m, QUARTER_BULGE)]
    return (*end, Corner(straight_m, wide_m), Corner(0.0, wide_m))


def _turned(outline: tuple[Corner, ...], long_m: float) -> tuple[Corner, ...]:
    """The outline turned a quarter clockwise, so that what was upright lies along x."""
    turned = [Corner(corner.y_m, long_m - corner.x_m, corner.bulge) for corner in outline]
    lowest = min(range(len(turned)), key=lambda place: (turned[place].y_m, turned[place].x_m))
    return (*turned[lowest:], *turned[:lowest])


def _places(hole: PieceHole, long_m: float, wide_m: float) -> Iterator[PlateHole]:
    """Where a hole of the list of holes stands in the outline."""
    from_datum_m, from_edge_m = hole.from_datum_m, hole.from_edge_m
    assert from_datum_m is not None and from_edge_m is not None  # only bores along an axis have neither
    if hole.datum == LOWER_EDGE:
        yield PlateHole(from_edge_m, from_datum_m, hole.diameter_m)
    elif hole.datum == ROUND_END:
        yield PlateHole(long_m - from_datum_m, from_edge_m, hole.diameter_m)
    else:
        yield PlateHole(from_datum_m, from_edge_m, hole.diameter_m)
        if hole.datum == EACH_END:
            yield PlateHole(long_m - from_datum_m, wide_m - from_edge_m, hole.diameter_m)


LOWER_EDGE = "lower edge"
"""A shim's long edge, which its hole is measured up from."""


def _bend_lines(piece: Piece, rig: Rig, wide_m: float) -> tuple[BendLine, ...]:
    """Where the two bends of a strap begin and end on its flat pattern."""
    make = rig.saddles.strap_make
    if not isinstance(make, BentStrap) or not piece.part.startswith(BENT_STRAP):
        return ()
    leg_m = strap_pieces.leg_m(rig.saddles, rig.boom) - make.inside_radius_m
    bend_m = math.pi / 2.0 * (make.inside_radius_m + strap_pieces.NEUTRAL_LINE * rig.saddles.strap_thickness_m)
    at_m = (leg_m, leg_m + bend_m, piece.length_m - leg_m - bend_m, piece.length_m - leg_m)
    return tuple(BendLine(x_m, wide_m) for x_m in at_m)


BENT_STRAP = "saddle strap, "
"""How the pieces of a strap in one piece are called."""
