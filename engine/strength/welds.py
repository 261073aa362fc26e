"""Fillet welds: groups of lines by the elastic vector method, and the least leg.

A weld group is a line figure of unit throat.  Force spreads evenly over its length, bending and twist in proportion to
the distance from its middle.  The components are added as vectors at the worst points, and the resultant on a metre of
weld is held against what the throat is allowed.  AISC 360 J2.4, with no gain for the direction of the pull.
"""

from __future__ import annotations

import math

import msgspec

from engine.base.geometry import cos, sin
from engine.schema.sections import RectTube, RoundTube
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear
from engine.strength.unverified_values import MINIMUM_LEGS_M

ROUND_POINTS = 16
"""Points checked on a round weld; they stand on a polygon around it, so no point of the circle is missed (2 % high)."""


class LineGroup(msgspec.Struct, frozen=True):
    """Lines of unit throat: length (m), second moments ``up_m3`` and ``side_m3``, polar ``twist_m3``, worst points.

    ``up`` is bending in the plane of the depth (the points' first coordinate), ``side`` in that of the width.
    """

    length_m: float
    up_m3: float
    side_m3: float
    twist_m3: float
    points_m: tuple[tuple[float, float], ...]


def box(width_m: float, depth_m: float) -> LineGroup:
    """All round a rectangle: ``L = 2 (b + d)``, ``S = b d + d^2/3``, ``J = (b + d)^3 / 6``."""
    b, d = width_m, depth_m
    up, side = (b * d + d**2 / 3.0) * d / 2.0, (b * d + b**2 / 3.0) * b / 2.0
    return LineGroup(2.0 * (b + d), up, side, (b + d) ** 3 / 6.0, _corners(b, d))


def front_and_back(width_m: float, depth_m: float) -> LineGroup:
    """Two lines as long as the width, the depth apart."""
    b, d = width_m, depth_m
    up, side = b * d**2 / 2.0, b**3 / 6.0
    return LineGroup(2.0 * b, up, side, up + side, _corners(b, d))


def both_sides(width_m: float, depth_m: float) -> LineGroup:
    """Two lines as long as the depth, the width apart."""
    b, d = width_m, depth_m
    up, side = d**3 / 6.0, d * b**2 / 2.0
    return LineGroup(2.0 * d, up, side, up + side, _corners(b, d))


def ring(diameter_m: float) -> LineGroup:
    """Round a circle of radius r: ``L = 2 pi r``, ``I = pi r^3``, ``J = 2 pi r^3``."""
    r = diameter_m / 2.0
    out = r / cos(math.pi / ROUND_POINTS)
    angles = [2.0 * math.pi * index / ROUND_POINTS for index in range(ROUND_POINTS)]
    points = tuple((out * cos(angle), out * sin(angle)) for angle in angles)
    return LineGroup(2.0 * math.pi * r, math.pi * r**3, math.pi * r**3, 2.0 * math.pi * r**3, points)


def _corners(width_m: float, depth_m: float) -> tuple[tuple[float, float], ...]:
    return tuple((i * depth_m / 2.0, j * width_m / 2.0) for i in (1, -1) for j in (1, -1))


def around(section: RectTube | RoundTube, outline: str) -> LineGroup:
    """Weld group of a tube's end on what it stands on; round tube is always welded all round."""
    if isinstance(section, RoundTube):
        return ring(section.diameter_m)
    shape = {"all_round": box, "front_and_back": front_and_back, "both_sides": both_sides}[outline]
    return shape(section.width_m, section.depth_m)


def pulls(group: LineGroup, forces: SectionForces) -> list[tuple[Linear, Linear, Linear]]:
    """Pull on a metre of weld (N/m) at each of the worst points: along the member, and two components across it.

    The member stands on the group along its own z; x is the depth, y the width (a standing `Cut`).
    """
    axial, across_x, across_y, twist, about_y, about_x = forces
    direct = 1.0 / group.length_m
    points = []
    for x, y in group.points_m:
        normal = axial.times(direct).plus(about_y, -x / group.up_m3).plus(about_x, y / group.side_m3)
        points.append(
            (
                normal,
                across_x.times(direct).plus(twist, -y / group.twist_m3),
                across_y.times(direct).plus(twist, x / group.twist_m3),
            )
        )
    return points


def least_leg_m(thinner_m: float) -> float:
    """Least leg (m) for the thinner of the parts joined."""
    return next(leg for up_to, leg in MINIMUM_LEGS_M if thinner_m <= up_to + 1e-9)
