"""Lines of weld where they can really be laid, what each is allowed, and the pull on it.

**What a line is allowed** (N/m) is the least of two limits: the throat, ``a 0.60 Fexx``, and the fusion face of either
part, ``leg 0.60 Fu``, each over the larger of 2.00 and 1.20 times the design factor and times a share for the weld's
quality.  A leg or a throat never counts for more than the thinner part.  The plate beside the weld is a limit of its
own: ``t Fb`` for what pulls straight at it, ``t Fv`` for what shears it (`plate_beside_N_m`).

**Where a line can be laid.**  A tube or plate stands on another part, its receiver.  A face counts for a fillet only
where the receiver's flat reaches at least one leg beyond it: the ledge.  A tube's flat ends at its corner radius, 2 t.
A face without a ledge counts nothing, unless the groove beside the receiver's corner is entered as filled
(``flare_bevel``).  A line whose end runs over a corner radius is cut to the flat, unless the groove there is filled.

**The pull on a line** is found by the elastic vector method on lines of unit throat: the force spreads evenly over
their length, bending and twist with the distance from their middle.  Where lines of one group have different throats,
each is held to its own allowed force; any spread of force in balance is safe for ductile welds.

Faces are seen from above, the front away from the truck: x points to the front, y to the left.

Sources: throat and base metal, AISC 360-22 J2.4 and J4.2(b); the plate, J4; flare-bevel throats, Table J2.2 (read in a
secondary copy); 1.20 times the design factor, ASME BTH-1 (from memory); the quality shares, ASME VIII UW-12 (from
memory, ``unverified_values.QUALITY_SHARE``).  The ledge rule is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal, NamedTuple

from engine.base.geometry import cos, dist, least, most, sin, sqrt
from engine.schema.connections import LEAST_WELD_M
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear
from engine.strength.unverified_values import FRACTURE_FACTOR

Face = Literal["front", "back", "left", "right"]
Kind = Literal["fillet", "flare_bevel", "pjp"]
FACES: tuple[Face, ...] = ("front", "back", "left", "right")

FLARE_SHARE = {"gas_metal_arc": 5.0 / 8.0, "stick": 5.0 / 16.0, "unknown": 5.0 / 16.0}
"""Throat of a filled flare-bevel groove over the corner's outside radius (AISC 360 Table J2.2, secondary copy)."""

LEAST_FLARE_RADIUS_M = 0.010
"""Under this radius the groove itself counts nothing, only a fillet laid over it (Table J2.2, secondary copy)."""

TUBE_CORNER = 2.0
"""Outside corner radius of rectangular tube over its wall, as in ``engine.schema.sections``."""

LENGTH_TOLERANCE_M = 1e-9
RING_PIECES = 32
"""Straight pieces of a round weld, inscribed in it: up to 1 % too little, never too much."""

OMEGA_BREAK = 2.00


# ---------------------------------------------------------------- what a line is allowed


class Deposit(NamedTuple):
    """A weld as laid: kind, leg, electrode strength and quality share; ``throat_m`` counts for ``pjp`` alone.

    Strength counts the leg, and the throat of a filled groove, ``short_m`` smaller than they are.
    """

    leg_m: float
    electrode_Pa: float
    quality: float
    kind: Kind = "fillet"
    throat_m: float = 0.0
    process: Literal["gas_metal_arc", "stick", "unknown"] = "unknown"
    short_m: float = 0.0

    def counted_m(self, size_m: float) -> float:
        """What counts of a leg, or of a groove's throat."""
        return most(size_m - self.short_m, LEAST_WELD_M)


class Joined(NamedTuple):
    """The two parts a weld joins: the thinner one's thickness and the lower tensile strength."""

    thinner_m: float
    tensile_Pa: float
    design_factor: float


def breaking_over(design_factor: float) -> float:
    """What a breaking strength is divided by: 2.00, or 1.20 times the design factor if that is more."""
    return most(OMEGA_BREAK, FRACTURE_FACTOR * design_factor)


def throat_N_m(throat_m: float, electrode_Pa: float, quality: float, design_factor: float) -> float:
    """Force on a metre of weld that its throat is allowed (AISC 360-22 J2.4)."""
    return throat_m * 0.60 * electrode_Pa * quality / breaking_over(design_factor)


def fusion_N_m(face_m: float, tensile_Pa: float, quality: float, design_factor: float) -> float:
    """Force on a metre of weld that a fusion face as wide as ``face_m`` is allowed (AISC 360-22 J2.4, J4.2(b))."""
    return face_m * 0.60 * tensile_Pa * quality / breaking_over(design_factor)


def plate_beside_N_m(thickness_m: float, stress_Pa: float, shear_Pa: float) -> tuple[float, float]:
    """Pull and shear on a metre that the plate beside a weld is allowed, all its welds together (AISC 360-22 J4)."""
    return thickness_m * stress_Pa, thickness_m * shear_Pa


def fillet_N_m(deposit: Deposit, joined: Joined) -> float:
    """Allowed force on a metre of fillet: the less of throat and fusion face.

    A weld part through, where a fillet is laid, counts with the throat entered where that is less.
    """
    leg = least(deposit.counted_m(deposit.leg_m), joined.thinner_m)
    if deposit.kind == "pjp":
        throat = least(leg / sqrt(2.0), deposit.throat_m)
        return _least(throat, throat, deposit, joined)
    return _least(leg / sqrt(2.0), leg, deposit, joined)


def groove_N_m(throat_m: float, deposit: Deposit, joined: Joined) -> float:
    """Allowed force on a metre of groove weld; the fusion face is as wide as the throat."""
    throat = least(throat_m, joined.thinner_m)
    return _least(throat, throat, deposit, joined)


def flare_bevel_throat_m(deposit: Deposit, corner_m: float) -> float:
    """Throat of a filled flare-bevel groove beside a corner of this outside radius; never over the thinner part.

    From 10 mm radius on 5/8 (gas metal arc) or 5/16 (stick, or not known) of it; under that the fillet over the groove.
    """
    if corner_m < LEAST_FLARE_RADIUS_M - LENGTH_TOLERANCE_M:
        return deposit.counted_m(deposit.leg_m) / sqrt(2.0)
    return deposit.counted_m(FLARE_SHARE[deposit.process] * corner_m)


def _least(throat_m: float, face_m: float, deposit: Deposit, joined: Joined) -> float:
    return least(
        throat_N_m(throat_m, deposit.electrode_Pa, deposit.quality, joined.design_factor),
        fusion_N_m(face_m, joined.tensile_Pa, deposit.quality, joined.design_factor),
    )


# ---------------------------------------------------------------- where a line can be laid


class Receiver(NamedTuple):
    """What a tube or plate stands on: how far its edges are from the standing part's middle, and its corner radii.

    ``corner_x_m`` is the radius along the front and back edges, ``corner_y_m`` along those at left and right; 0 for a
    plate.  An edge that is far away is infinite.
    """

    front_m: float
    back_m: float
    left_m: float
    right_m: float
    corner_x_m: float = 0.0
    corner_y_m: float = 0.0

    def flat_m(self, face: Face) -> float:
        """How far the flat reaches from the middle towards a face."""
        return self.edge_m(face) - self.corner_m(face)

    def edge_m(self, face: Face) -> float:
        """How far the part itself reaches from the middle towards a face."""
        return self[FACES.index(face)]

    def corner_m(self, face: Face) -> float:
        """Corner radius of the edge at a face."""
        return self.corner_x_m if face in ("front", "back") else self.corner_y_m


def plate(length_m: float, width_m: float) -> Receiver:
    """A plate under the middle of the standing part: ``length_m`` front to back."""
    return Receiver(length_m / 2.0, length_m / 2.0, width_m / 2.0, width_m / 2.0)


def tube_across(size_m: float, wall_m: float) -> Receiver:
    """A rectangular tube that runs left to right; ``size_m`` is its outside size front to back."""
    return Receiver(size_m / 2.0, size_m / 2.0, math.inf, math.inf, corner_x_m=TUBE_CORNER * wall_m)


def tube_along(size_m: float, wall_m: float) -> Receiver:
    """A rectangular tube that runs front to back; ``size_m`` is its outside size left to right."""
    return Receiver(math.inf, math.inf, size_m / 2.0, size_m / 2.0, corner_y_m=TUBE_CORNER * wall_m)


class WeldLine(NamedTuple):
    """A counted line: the face it lies on, its ends (x, y) from the standing part's middle, what it is allowed."""

    face: str
    kind: str
    start_m: tuple[float, float]
    end_m: tuple[float, float]
    allowed_N_m: float

    @property
    def length_m(self) -> float:
        """From end to end."""
        return dist(self.start_m, self.end_m)


Reason = Literal["not_welded", "beyond", "no_ledge", "no_flat"]


class LeftOut(NamedTuple):
    """A face that counts nothing, why, and how far the receiver's flat reaches beyond it (negative: falls short)."""

    face: str
    reason: Reason
    ledge_m: float


WORDS: dict[Reason, str] = {
    "not_welded": "{face}: not welded",
    "beyond": "{face}: stands beyond what it is welded to",
    "no_ledge": "{face}: the flat reaches {ledge:length} beyond it, a leg of {leg:weld} has no room",
    "no_flat": "{face}: no flat under it",
}
"""What the weld list says of a face left out."""


def laid(
    width_m: float,
    depth_m: float,
    receiver: Receiver,
    deposit: Deposit,
    joined: Joined,
    faces: Iterable[Face] = FACES,
) -> WeldGroup:
    """The lines that count where a rectangular tube or plate stands on a receiver.

    Parameters
    ----------
    width_m, depth_m : float
        Outside size left to right and front to back.
    receiver : Receiver
        What it stands on.
    deposit : Deposit
    joined : Joined
    faces : iterable of Face
        Faces that are welded, as entered.

    Returns
    -------
    WeldGroup
        Counted lines, and faces left out with the reason.
    """
    welded, half = set(faces), {"front": depth_m / 2.0, "back": depth_m / 2.0}
    kinds: dict[Face, Kind] = {}
    left_out: list[LeftOut] = []
    for face in FACES:
        size = half.get(face, width_m / 2.0)
        match _kind(size, face, receiver, deposit) if face in welded else "not_welded":
            case "fillet" | "flare_bevel" | "pjp" as kind:
                kinds[face] = kind
            case reason:
                left_out.append(LeftOut(face, reason, receiver.flat_m(face) - size))
    lines = []
    for face, kind in kinds.items():
        line = _line(
            face, kind, (width_m / 2.0, depth_m / 2.0), receiver, kinds, _allowed(kind, face, receiver, deposit, joined)
        )
        if line.length_m > LENGTH_TOLERANCE_M:
            lines.append(line)
        else:
            left_out.append(LeftOut(face, "no_flat", 0.0))
    return group(lines, left_out)


def _kind(half_m: float, face: Face, receiver: Receiver, deposit: Deposit) -> Kind | Reason:
    """How a face counts: as ``fillet``, ``flare_bevel`` or ``pjp``, or the reason why not."""
    ledge = receiver.flat_m(face) - half_m
    if deposit.kind == "pjp":
        return "pjp" if ledge >= -LENGTH_TOLERANCE_M else _without_ledge(half_m, face, receiver)
    if ledge >= deposit.leg_m - LENGTH_TOLERANCE_M:
        return "fillet"
    filled = deposit.kind == "flare_bevel" and receiver.corner_m(face) > 0.0
    if filled and receiver.edge_m(face) >= half_m - LENGTH_TOLERANCE_M:
        return "flare_bevel"
    return _without_ledge(half_m, face, receiver)


def _without_ledge(half_m: float, face: Face, receiver: Receiver) -> Reason:
    return "no_ledge" if receiver.edge_m(face) >= half_m - LENGTH_TOLERANCE_M else "beyond"


def _allowed(kind: Kind, face: Face, receiver: Receiver, deposit: Deposit, joined: Joined) -> float:
    if kind == "fillet":
        return fillet_N_m(deposit, joined)
    if kind == "pjp":
        return groove_N_m(deposit.throat_m, deposit, joined)
    return groove_N_m(flare_bevel_throat_m(deposit, receiver.corner_m(face)), deposit, joined)


def _line(
    face: Face, kind: Kind, half_m: tuple[float, float], receiver: Receiver, kinds: dict[Face, Kind], allowed_N_m: float
) -> WeldLine:
    """A face's line, cut to the flat at an end whose own face is not a filled groove."""
    half_width, half_depth = half_m

    def end(towards: Face, half: float) -> float:
        return half if kinds.get(towards) == "flare_bevel" else least(half, receiver.flat_m(towards))

    if face in ("front", "back"):
        x = half_depth if face == "front" else -half_depth
        left, right = end("left", half_width), -end("right", half_width)
        return WeldLine(face, kind, (x, right), (x, most(left, right)), allowed_N_m)
    y = half_width if face == "left" else -half_width
    front, back = end("front", half_depth), -end("back", half_depth)
    return WeldLine(face, kind, (back, y), (most(front, back), y), allowed_N_m)


def laid_round(diameter_m: float, receiver: Receiver, deposit: Deposit, joined: Joined) -> WeldGroup:
    """The pieces of a fillet round a tube or bar that lie wholly on the receiver's flat; other kinds count nothing.

    Left out are faces (quarters of the circle) without any such piece.
    """
    radius, leg, allowed = diameter_m / 2.0, deposit.leg_m, fillet_N_m(deposit, joined)
    lines = []
    corners = [2.0 * math.pi * (index + 0.5) / RING_PIECES for index in range(RING_PIECES)]
    for start, end in zip(corners, [*corners[1:], corners[0] + 2.0 * math.pi], strict=True):
        face = _facing((start + end) / 2.0)
        ends = [(cos(angle), sin(angle)) for angle in (start, end)]
        toe = radius + leg
        if deposit.kind == "fillet" and all(_on_flat(toe * x, toe * y, receiver) for x, y in ends):
            first, second = ((radius * x, radius * y) for x, y in ends)
            lines.append(WeldLine(face, "fillet", first, second, allowed))
    counted = {line.face for line in lines}
    left_out = [LeftOut(face, "no_ledge", receiver.flat_m(face) - radius) for face in FACES if face not in counted]
    return group(lines, left_out)


def _facing(angle_rad: float) -> Face:
    x, y = cos(angle_rad), sin(angle_rad)
    if abs(x) >= abs(y):
        return "front" if x > 0.0 else "back"
    return "left" if y > 0.0 else "right"


def _on_flat(x_m: float, y_m: float, receiver: Receiver) -> bool:
    tolerance = LENGTH_TOLERANCE_M
    return (
        -receiver.flat_m("back") - tolerance <= x_m <= receiver.flat_m("front") + tolerance
        and -receiver.flat_m("right") - tolerance <= y_m <= receiver.flat_m("left") + tolerance
    )


# ---------------------------------------------------------------- the pull on a group of lines


class PointWeights(NamedTuple):
    """Pull on a metre of weld at one point, as weights on the six components.

    ``normal`` weighs axial force, bending up and bending sideways; ``along_x`` and ``along_y`` the forces along x and y
    and the twist.  ``allowed_N_m`` is that of the point's line.
    """

    normal: tuple[float, float, float]
    along_x: tuple[float, float, float]
    along_y: tuple[float, float, float]
    allowed_N_m: float


class WeldGroup(NamedTuple):
    """Lines that carry together, the faces left out, and what the pull at their ends is made of.

    ``allowed_N_m`` is that of the weakest line; 0 where the lines cannot carry a moment every way (none, or all on one
    line), so that such a group is over at any load.
    """

    lines: tuple[WeldLine, ...]
    left_out: tuple[LeftOut, ...]
    length_m: float
    points: tuple[PointWeights, ...]
    allowed_N_m: float


NO_GROUP = PointWeights((1.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), 0.0)


def group(lines: Iterable[WeldLine], left_out: Iterable[LeftOut] = ()) -> WeldGroup:
    """Lines as one group; their ends are the worst points, since the pull changes evenly along a line."""
    lines, left_out = tuple(lines), tuple(left_out)
    length = sum(line.length_m for line in lines)
    if length <= 0.0:
        return WeldGroup(lines, left_out, 0.0, (NO_GROUP,), 0.0)
    middle_x = sum(line.length_m * (line.start_m[0] + line.end_m[0]) / 2.0 for line in lines) / length
    middle_y = sum(line.length_m * (line.start_m[1] + line.end_m[1]) / 2.0 for line in lines) / length
    xx = yy = xy = 0.0
    for line in lines:
        (x0, y0), (x1, y1) = line.start_m, line.end_m
        x, y, dx, dy = (x0 + x1) / 2.0 - middle_x, (y0 + y1) / 2.0 - middle_y, x1 - x0, y1 - y0
        xx += line.length_m * (x * x + dx * dx / 12.0)
        yy += line.length_m * (y * y + dy * dy / 12.0)
        xy += line.length_m * (x * y + dx * dy / 12.0)
    if xx * yy - xy * xy <= 1e-9 * (xx + yy) ** 2:
        return WeldGroup(lines, left_out, length, (NO_GROUP,), 0.0)
    allowed_at: dict[tuple[float, float], float] = {}
    for line in lines:
        for end in (line.start_m, line.end_m):
            allowed_at[end] = least(line.allowed_N_m, allowed_at.get(end, math.inf))
    points = tuple(
        _weights(x, y, (middle_x, middle_y), (xx, yy, xy), length, allowed) for (x, y), allowed in allowed_at.items()
    )
    return WeldGroup(lines, left_out, length, points, least(*(line.allowed_N_m for line in lines)))


def _weights(
    x_m: float,
    y_m: float,
    middle_m: tuple[float, float],
    second_m3: tuple[float, float, float],
    length_m: float,
    allowed_N_m: float,
) -> PointWeights:
    """Weights at a point: moments are taken about the lines' own middle, with their product of inertia."""
    (mx, my), (xx, yy, xy) = middle_m, second_m3
    x, y, polar, determinant, direct = x_m - mx, y_m - my, xx + yy, xx * yy - xy * xy, 1.0 / length_m
    # normal = N/L + a x + b y with sum(normal x) = -bend_up - N mx and sum(normal y) = bend_side - N my.
    by_x, by_y = (yy * x - xy * y) / determinant, (xx * y - xy * x) / determinant
    return PointWeights(
        (direct - mx * by_x - my * by_y, -by_x, by_y),
        (direct - y * my / polar, y * mx / polar, -y / polar),
        (x * my / polar, direct - x * mx / polar, x / polar),
        allowed_N_m,
    )


def pulls(welds: WeldGroup, six: SectionForces) -> tuple[tuple[Linear, Linear, Linear], ...]:
    """Pull on a metre of weld (N/m) at every worst point: along the standing part, and the two ways across it.

    The part stands on the group along its own z; x is its depth, y its width (a standing ``Cut``).
    """
    return tuple(
        (
            _weighted((six.axial, six.bend_up, six.bend_side), point.normal),
            _weighted((six.shear_up, six.shear_side, six.twist), point.along_x),
            _weighted((six.shear_up, six.shear_side, six.twist), point.along_y),
        )
        for point in welds.points
    )


def pulls_on_weakest(welds: WeldGroup, six: SectionForces) -> tuple[tuple[Linear, Linear, Linear], ...]:
    """The same, each stretched by weakest over own allowed force: one limit, ``allowed_N_m``, serves every line."""
    shares = (1.0 if point.allowed_N_m <= 0.0 else welds.allowed_N_m / point.allowed_N_m for point in welds.points)
    return tuple(
        point if share == 1.0 else (point[0].times(share), point[1].times(share), point[2].times(share))
        for point, share in zip(pulls(welds, six), shares, strict=True)
    )


def pulls_beside(
    welds: WeldGroup, six: SectionForces
) -> tuple[tuple[tuple[Linear], ...], tuple[tuple[Linear, Linear], ...]]:
    """What pulls straight at the plate beside the lines and what shears it, at every worst point (N/m)."""
    at = pulls(welds, six)
    return tuple((normal,) for normal, _, _ in at), tuple((x, y) for _, x, y in at)


def _weighted(values: tuple[Linear, Linear, Linear], weights: tuple[float, float, float]) -> Linear:
    total = None
    for value, weight in zip(values, weights, strict=True):
        if weight != 0.0:
            total = value.times(weight) if total is None else total.plus(value, weight)
    return Linear(0.0, 0.0) if total is None else total
