"""A dial of the helper view, like that of a bathroom scale."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look.theme import Palette
from engine.base.formatting import System, show
from engine.explain.dials import Dial

NUMBER_SIZE = 1.4
"""Size of a dial's number beside that of the words around it."""

DIAL_FROM_DEG, DIAL_SPAN_DEG = 210.0, 240.0
"""Zero is at the lower left, full at the lower right."""

SHARES_AT_STOPS = (-0.06, 1.04)
"""Shares of the full dial at which the needle rests on its stops."""


class DialFace(QWidget):
    """One dial: a needle at what is left in the worst case, a dashed one as entered, zero and the limit marked."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._dial: Dial | None = None
        self._colours: Palette | None = None
        self._units: System = "metric"
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        return QSize(self.fontMetrics().averageCharWidth() * 24, self.fontMetrics().height() * 8)

    def set(self, dial: Dial, units: System, colours: Palette) -> None:
        """Show a dial."""
        self._dial, self._units, self._colours = dial, units, colours
        self.setAccessibleName(dial.name)
        self.setAccessibleDescription(f"{self.number} {dial.words}; zero: {dial.zero_words}")
        self.update()

    @property
    def number(self) -> str:
        """What the dial reads, with its unit."""
        return show(self._dial.left, self._dial.unit, self._units).replace(" ", "\u00a0") if self._dial else ""

    def turn_deg(self, value: float) -> float:
        """Where the needle of a value stands, clockwise from straight up; past either end it rests on its stop."""
        full = self._dial.full if self._dial is not None else 0.0
        low, high = SHARES_AT_STOPS
        share = min(max(value / full if full > 0.0 else 0.0, low), high)
        return DIAL_SPAN_DEG * (share - 0.5)

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._dial is None or self._colours is None:
            return
        painter, colours, dial = QPainter(self), self._colours, self._dial
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        text = QFontMetricsF(self.font()).height()
        painter.setPen(QPen(QColor(colours.line), 1))
        painter.setBrush(QColor(colours.sheet))
        painter.drawRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5))
        radius = max(min(0.25 * self.width(), (self.height() - 0.8 * text) / 1.55), 10.0)
        centre = QPointF(0.4 * text + radius, (self.height() - 1.5 * radius) / 2.0 + radius)
        _paint_scale(painter, dial, colours, centre, radius)
        self._paint_needle(painter, centre, radius, dial.best, QPen(QColor(colours.faint_ink), 2, Qt.PenStyle.DashLine))
        short = dial.left < dial.limit
        self._paint_needle(
            painter, centre, radius, dial.left, QPen(QColor(colours.tipping if short else colours.ink), 4)
        )
        painter.setBrush(QColor(colours.ink))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawEllipse(centre, 0.28 * text, 0.28 * text)
        self._paint_texts(painter, dial, colours, centre.x() + radius + 0.6 * text, text)

    def _paint_needle(self, painter: QPainter, centre: QPointF, radius: float, value: float, line: QPen) -> None:
        painter.save()
        painter.translate(centre)
        painter.rotate(self.turn_deg(value))
        painter.setPen(line)
        painter.drawLine(QPointF(0.0, 0.1 * radius), QPointF(0.0, -0.86 * radius))
        painter.restore()

    def _paint_texts(self, painter: QPainter, dial: Dial, colours: Palette, left: float, text: float) -> None:
        """Paint name, number and zero beside the dial, from the top down; ``text`` is the height of a line (px)."""
        bold = QFont(self.font())
        bold.setBold(True)
        bold.setPointSizeF(self.font().pointSizeF() * NUMBER_SIZE)
        width, flags = self.width() - left - 0.3 * text, int(Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
        lines = (
            (self.font(), colours.ink, dial.name),
            (bold, colours.tipping if dial.left < dial.limit else colours.ink, self.number),
            (self.font(), colours.faint_ink, f"left at worst; zero: {dial.zero_words}"),
        )
        room = QRectF(left, 0.0, width, 1000.0)
        heights = [QFontMetricsF(font).boundingRect(room, flags, words).height() for font, _, words in lines]
        top = max((self.height() - sum(heights)) / 2.0, 1.0)
        for (font, colour, words), height in zip(lines, heights, strict=True):
            painter.setFont(font)
            painter.setPen(QColor(colour))
            painter.drawText(QRectF(left, top, width, height + 1.0), flags, words)
            top += height


def _paint_scale(painter: QPainter, dial: Dial, colours: Palette, centre: QPointF, radius: float) -> None:
    """Paint the arc with its ticks, and hatch it up to the limit."""
    around = QRectF(centre.x() - radius, centre.y() - radius, 2.0 * radius, 2.0 * radius)
    limit = DIAL_SPAN_DEG * min(max(dial.limit / dial.full if dial.full > 0.0 else 0.0, 0.0), 1.0)
    over = colours.states["OVER"]
    if limit > 0.0:
        painter.setPen(Qt.PenStyle.NoPen)
        for brush in (QBrush(QColor(over.ground)), QBrush(QColor(over.text), over.hatch)):
            painter.setBrush(brush)
            painter.drawPie(around, round(DIAL_FROM_DEG * 16), round(-limit * 16))
        painter.setBrush(QColor(colours.sheet))
        inner = around.adjusted(*(radius * side * 0.16 for side in (1.0, 1.0, -1.0, -1.0)))
        painter.drawEllipse(inner)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(colours.ink), 2))
    painter.drawArc(around, round(DIAL_FROM_DEG * 16), round(-DIAL_SPAN_DEG * 16))
    for tenth in range(11):
        painter.save()
        painter.translate(centre)
        painter.rotate(DIAL_SPAN_DEG * (tenth / 10.0 - 0.5))
        long = 0.16 if tenth in (0, 5, 10) else 0.09
        painter.setPen(QPen(QColor(colours.tipping if tenth == 0 else colours.ink), 4 if tenth == 0 else 1))
        painter.drawLine(QPointF(0.0, -radius), QPointF(0.0, -radius * (1.0 - long)))
        painter.restore()
