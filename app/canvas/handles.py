"""Handles: what is taken hold of on the drawing, and which of them is under the pointer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from PySide6.QtCore import QPointF
from PySide6.QtGui import QBrush, QColor, QPainterPath, QPolygonF, QTransform
from PySide6.QtWidgets import QGraphicsPathItem

from app.canvas.marks import FIXED_SIZE
from app.canvas.style import Ink
from app.canvas.transform import distance

RADIUS_PX = 6.5
GRIP_PX = RADIUS_PX + 3.0
"""Half of what a handle covers: its ring and a little of its arrow heads."""

GRAB_PX = 16.0
"""A handle is under the pointer within this distance."""

HandleKind = Literal["raise", "slide", "turn", "free"]
"""How a handle is dragged: up and down, forward and back, round with its part, or anywhere."""

_ARROWS_DEG: dict[HandleKind, tuple[int, ...]] = {
    "raise": (90, 270),
    "slide": (0, 180),
    "turn": (45, 225),
    "free": (0, 90, 180, 270),
}


class Handle(QGraphicsPathItem):
    """Something to take hold of: a ring with arrow heads; it only shows itself, gestures do the work."""

    def __init__(self, ink: Ink, name: str, kind: HandleKind, hint: str) -> None:
        super().__init__(_handle_path(kind))
        self.name = name
        self.setFlag(FIXED_SIZE)
        self.setPen(ink.handle)
        self.setBrush(ink.handle_fill)
        self.setToolTip(hint)
        self._ink = ink

    def set_held(self, held: bool) -> None:
        """Filled while it is dragged or hovered."""
        self.setBrush(QBrush(QColor(self._ink.colours.handle)) if held else self._ink.handle_fill)


def _handle_path(kind: HandleKind) -> QPainterPath:
    """A ring with an arrow head in each direction it can be dragged."""
    path = QPainterPath()
    path.addEllipse(QPointF(), RADIUS_PX, RADIUS_PX)
    head = QPainterPath()
    head.addPolygon(QPolygonF([QPointF(RADIUS_PX + 6, 0), QPointF(RADIUS_PX + 1.5, -4), QPointF(RADIUS_PX + 1.5, 4)]))
    head.closeSubpath()
    for angle_deg in _ARROWS_DEG[kind]:
        path.addPath(QTransform().rotate(angle_deg).map(head))
    return path


def nearest_handle(spots: Mapping[str, tuple[QPointF, bool]], at: QPointF, within_px: float = GRAB_PX) -> str | None:
    """Name of the visible handle nearest to a screen point, if one is near enough; later ones win ties.

    ``spots`` gives for each handle its screen point and whether it is visible.
    """
    nearest_px, nearest = within_px, None
    for name, (spot, visible) in spots.items():
        if visible and (away_px := distance(spot, at)) <= nearest_px:
            nearest_px, nearest = away_px, name
    return nearest
