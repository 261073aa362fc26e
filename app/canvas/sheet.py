"""A drawing to look at, without handles: it fits what is drawn into the room there is."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QGraphicsScene, QGraphicsView, QSizePolicy, QWidget


class Sheet(QGraphicsView):
    """A drawing to look at: it fits itself and has no handles."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setScene(QGraphicsScene(self))
        self.setAccessibleName(name)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setInteractive(False)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSceneRect(QRectF(-60_000, -60_000, 120_000, 120_000))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def fit(self, bounds: QRectF, room_px: tuple[float, float, float, float] = (12.0, 12.0, 12.0, 12.0)) -> float:
        """Show a scene rectangle with room at left, top, right and bottom; returns the scale (px per mm)."""
        left, top, right, bottom = room_px
        width = max(self.viewport().width() - left - right, 40.0)
        height = max(self.viewport().height() - top - bottom, 40.0)
        scale = min(width / max(bounds.width(), 1.0), height / max(bounds.height(), 1.0))
        self.resetTransform()
        self.scale(scale, scale)
        self.centerOn(bounds.center() + QPointF(right - left, bottom - top) / 2.0 / scale)
        return scale
