"""The ruler along one side of a view, in the person's units; it follows the view's scale and place."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.canvas.ruler_steps import LABEL_EVERY_PX, STEPS_M, ruler_step
from app.canvas.style import Ink
from app.canvas.transform import MM_PER_M
from app.canvas.view import DrawingView
from engine.base.formatting import System, feet_inches


class Ruler(QWidget):
    """An upright or level ruler of one view."""

    def __init__(self, view: DrawingView, upright: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view, self._upright = view, upright
        self._units: System = "metric"
        self._ink: Ink | None = None
        self.setAccessibleName("upright ruler" if upright else "ruler")
        view.looked.connect(self.update)

    def set_ink(self, ink: Ink, units: System) -> None:
        """Take the theme and the units."""
        self._ink, self._units = ink, units
        self.setFont(ink.font)
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance("-00 ft") + 10, 10) if self._upright else QSize(10, metrics.height() + 9)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    @property
    def units(self) -> System:
        return self._units

    def label(self, value_m: float) -> str:
        """Figure beside a tick."""
        if self._units == "us":
            return feet_inches(value_m, 2)
        return f"{value_m:.2f}".rstrip("0").rstrip(".") if value_m else "0"

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._ink is None:
            return
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._ink.colours.paper))
        painter.setPen(self._ink.edge)
        metrics, px_per_m = self.fontMetrics(), self._view.px_per_mm * MM_PER_M
        room = LABEL_EVERY_PX
        if not self._upright:
            room = max(room, metrics.horizontalAdvance("00 ft 00 in"))
        step = ruler_step(max(room, 2.5 * metrics.height()) / px_per_m, STEPS_M[self._units])
        corner = self._view.mapToScene(0, 0)
        offset = self._view.viewport().mapTo(self.window(), QPoint(0, 0)) - self.mapTo(self.window(), QPoint(0, 0))
        if self._upright:
            top = -corner.y() / MM_PER_M
            for value in _multiples(step, top - self.height() / px_per_m - step, top + step):
                self._upright_tick(painter, value, (top - value) * px_per_m + offset.y())
        else:
            left = corner.x() / MM_PER_M
            for value in _multiples(step, left - step, left + self.width() / px_per_m + step):
                self._level_tick(painter, value, (value - left) * px_per_m + offset.x())

    def _upright_tick(self, painter: QPainter, value_m: float, y: float) -> None:
        painter.drawLine(QPointF(self.width() - 6, y), QPointF(self.width(), y))
        half = self.fontMetrics().height() / 2.0
        box = QRectF(0, y - half, self.width() - 8, 2.0 * half)
        self._paint_figure(painter, box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, value_m)

    def _level_tick(self, painter: QPainter, value_m: float, x: float) -> None:
        painter.drawLine(QPointF(x, 0), QPointF(x, 5))
        half = self.fontMetrics().horizontalAdvance(self.label(value_m)) / 2.0 + 1.0
        box = QRectF(x - half, 5, 2.0 * half, self.fontMetrics().height())
        self._paint_figure(painter, box, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop, value_m)

    def _paint_figure(self, painter: QPainter, box: QRectF, align: Qt.AlignmentFlag, value_m: float) -> None:
        """Write the figure of a tick, or nothing where half of it would be past the ruler's end."""
        if QRectF(self.rect()).contains(box):
            painter.drawText(box, int(align), self.label(value_m))


def _multiples(step: float, low: float, high: float) -> Iterator[float]:
    """Whole multiples of a step from one to just below ``low`` up to ``high``."""
    return (count * step for count in range(int(low // step), int(high // step) + 1))
