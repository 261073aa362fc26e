"""The one place where the engine's metres and axes become scene millimetres and screen angles, and back.

Scene units are millimetres (data in metres triples the cost of antialiased drawing).  The side view looks at the
truck from its right: scene x is forward, scene y is down, so y = -z.  The plan looks down with the truck's left
side up: y = -y.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from typing import TypeAlias

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainterPath, QPolygonF, QTransform

from engine.base.geometry import Axes, Frame, Vec
from engine.rig.hinge_boxes import Round

MM_PER_M = 1000.0

Spans: TypeAlias = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
"""From where to where a box reaches along a link's own x, y and z (m)."""


def side(point: Vec) -> QPointF:
    """Scene point (mm) of a place in the side view."""
    return QPointF(float(point.x) * MM_PER_M, float(point.z) * -MM_PER_M)


def plan(point: Vec) -> QPointF:
    """Scene point (mm) of a place in the plan."""
    return QPointF(float(point.x) * MM_PER_M, float(point.y) * -MM_PER_M)


def plan_line(points: Vec) -> QPolygonF:
    """Scene polyline (mm) through places in the plan, each component of ``points`` an array of shape (n,)."""
    return QPolygonF([QPointF(x * MM_PER_M, y * -MM_PER_M) for x, y, _ in points.array().tolist()])


def seen_from_above(axes: Axes) -> QTransform:
    """Takes scene points drawn in a link's own x and y (y up the sheet) to the plan; the link's origin stays."""
    return QTransform(float(axes.x.x), -float(axes.x.y), -float(axes.y.x), float(axes.y.y), 0.0, 0.0)


def metres(point: QPointF) -> tuple[float, float]:
    """Forward and up (side view) or left (plan) of a scene point, in metres."""
    return point.x() / MM_PER_M, -point.y() / MM_PER_M


def raised_deg(frame: Frame) -> float:
    """Scene rotation (degrees, clockwise positive) of a link seen from the side."""
    return -math.degrees(math.atan2(frame.axes.x.z, frame.axes.x.x))


def plumb_deg(gravity: Vec) -> float:
    """Scene rotation of a plumb line in the side view: 0 straight down the sheet."""
    return -math.degrees(math.atan2(gravity.x, -gravity.z))


def radians(angle_deg: float) -> float:
    """Radians of a typed or stepped angle."""
    return math.radians(angle_deg)


def level_shares(heading_rad: float) -> tuple[float, float]:
    """How much of a level length lies along the truck and across it, as shares of it."""
    return abs(math.cos(heading_rad)), abs(math.sin(heading_rad))


def box(frame: Frame, x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> list[Vec]:
    """The eight corners of a box given in a link's own axes (m)."""
    return [frame.at(a, b, c) for a in x for b in y for c in z]


ROUND_CORNERS = 24
"""Corners a round piece is drawn with: within 1 % of its radius."""


def side_shape(axes: Axes, *boxes: Spans | Round) -> QPainterPath:
    """Outlines of boxes in the side view (mm), to be placed at their link's origin: they hold while the axes do."""
    return _outlines([(float(axis.x), -float(axis.z)) for axis in axes], boxes)


def plan_shape(axes: Axes, *boxes: Spans | Round) -> QPainterPath:
    """Outlines of boxes in the plan (mm), to be placed at their link's origin: they hold while the axes do."""
    return _outlines([(float(axis.x), -float(axis.y)) for axis in axes], boxes)


def _outlines(axes_on_sheet: Sequence[tuple[float, float]], boxes: Sequence[Spans | Round]) -> QPainterPath:
    """Outlines of boxes and rounds, given the link's three axes as they lie on the sheet."""
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.WindingFill)  # boxes that overlap are filled all over
    (xx, xy), (yx, yy), (zx, zy) = ((MM_PER_M * across, MM_PER_M * down) for across, down in axes_on_sheet)
    for solid in boxes:
        corners = _round_corners(solid) if isinstance(solid, Round) else itertools.product(*solid)
        path.addPolygon(_hull([(a * xx + b * yx + c * zx, a * xy + b * yy + c * zy) for a, b, c in corners]))
        path.closeSubpath()
    return path


def _round_corners(piece: Round) -> Iterator[tuple[float, float, float]]:
    for step in range(ROUND_CORNERS):
        angle = 2.0 * math.pi * step / ROUND_CORNERS
        along, across = piece.at_m + piece.radius_m * math.cos(angle), piece.radius_m * math.sin(angle)
        for at in piece.along_pin:
            yield (along, across, at) if piece.deep else (along, at, across)


def outline(points: Iterable[QPointF]) -> QPolygonF:
    """Outline of a convex body from the projections of its corners."""
    return _hull([(point.x(), point.y()) for point in points])


def _hull(points: Iterable[tuple[float, float]]) -> QPolygonF:
    """Convex hull, by a monotone chain."""
    ordered = sorted({(round(x, 6), round(y, 6)) for x, y in points})
    if len(ordered) < 3:
        return QPolygonF([QPointF(*pair) for pair in ordered])
    return QPolygonF([QPointF(*pair) for pair in (*_half(ordered), *_half(ordered[::-1]))])


def _half(ordered: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    chain: list[tuple[float, float]] = []
    for point in ordered:
        while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0.0:
            chain.pop()
        chain.append(point)
    return chain[:-1]


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def distance(a: QPointF, b: QPointF) -> float:
    """Distance of two scene or screen points."""
    return math.hypot(a.x() - b.x(), a.y() - b.y())


def plumb_foot(point: Vec, gravity: Vec) -> Vec:
    """Where a plumb line from a point meets the floor."""
    return point + gravity.times(-point.z / gravity.z)


def turned(path: QPainterPath, about: QPointF, angle_rad: float) -> QPainterPath:
    """A scene path turned about a scene point, clockwise positive."""
    around = QTransform().translate(about.x(), about.y()).rotateRadians(angle_rad).translate(-about.x(), -about.y())
    return around.map(path)
