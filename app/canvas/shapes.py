"""Plain shapes given in metres, as painter paths in scene millimetres (y down), and the box an arm takes up."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath, QPolygonF

from app.canvas.transform import MM_PER_M, Spans
from engine.schema.model import Arm
from engine.schema.sections import outer_depth_m, outer_width_m


def polygon(points: Sequence[tuple[float, float]]) -> QPainterPath:
    """Closed outline through points given in metres, forward and up."""
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(x * MM_PER_M, -z * MM_PER_M) for x, z in points]))
    path.closeSubpath()
    return path


def rectangle(x_from: float, x_to: float, z_from: float, z_to: float) -> QPainterPath:
    """Rectangle in metres, forward and up."""
    path = QPainterPath()
    path.addRect(QRectF(QPointF(x_from * MM_PER_M, -z_to * MM_PER_M), QPointF(x_to * MM_PER_M, -z_from * MM_PER_M)))
    return path


def circle(x: float, z: float, radius: float) -> QPainterPath:
    """Circle in metres."""
    path = QPainterPath()
    path.addEllipse(QPointF(x * MM_PER_M, -z * MM_PER_M), radius * MM_PER_M, radius * MM_PER_M)
    return path


def line(*points: tuple[float, float]) -> QPainterPath:
    """Open line through points in metres."""
    path = QPainterPath(QPointF(points[0][0] * MM_PER_M, -points[0][1] * MM_PER_M))
    for x, z in points[1:]:
        path.lineTo(x * MM_PER_M, -z * MM_PER_M)
    return path


def arm_spans(arm: Arm) -> Spans:
    """The box of an arm's tube along its own axes."""
    half_width, half_depth = outer_width_m(arm.section) / 2.0, outer_depth_m(arm.section) / 2.0
    return (0.0, arm.length_m), (-half_width, half_width), (-half_depth, half_depth)
