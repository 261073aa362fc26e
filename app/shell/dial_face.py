"""A dial of the helper view, like that of a bathroom scale."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look.theme import Palette
from engine.base.formatting import System, compared, show, step_of
from engine.explain.dials import Dial

NUMBER_SIZE, WORDS_SIZE = 1.2, 0.6
"""Sizes of a dial's number and of the words in its box, beside its font: that of its limit."""

SCALE_SHARE = 0.3
"""Radius of the scale that a box is made for, as a share of the box's height."""

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
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        return QSize(self.needed_px(), self.fontMetrics().height() * 3)

    def needed_px(self) -> int:
        """Width of a box as high as this one that holds the scale and all its words."""
        if self._dial is None:
            return 0
        texts = self._texts(self._dial)
        beside = max(texts.number.width_px, texts.limit.width_px) + 2.0 * SCALE_SHARE * self.height()
        return round(max(beside, texts.name.width_px, texts.foot.width_px) + 4.0 * self._edge_px)

    def set(self, dial: Dial, units: System, colours: Palette) -> None:
        """Show a dial."""
        self._dial, self._units, self._colours = dial, units, colours
        self.setAccessibleName(dial.name)
        self.setAccessibleDescription(f"{self.number} {dial.words}; zero: {dial.zero_words}")
        self.update()

    @property
    def number(self) -> str:
        """What the dial reads, with its unit."""
        return self._left(self._dial)[0] if self._dial else ""

    def _left(self, dial: Dial) -> tuple[str, str]:
        """What is left with its unit, or what is short of it, each to the careful side."""
        if dial.left >= 0.0:
            return self._compared(dial)[1], "left"
        return show(-dial.left, f"{dial.unit}_up", self._units), "short" if dial.unit == "kg" else "over"

    def _compared(self, dial: Dial) -> tuple[str, str]:
        """What must stay and what is left, fine enough to be told apart."""
        limit, left = compared(dial.limit, dial.left, over=dial.left < dial.limit, kind=dial.unit, system=self._units)
        if left == limit and dial.left > dial.limit:
            step = step_of(dial.unit, self._units, dial.left, 1)
            left = step.text(step.count(dial.left, "down"))
        return limit, left

    @property
    def _edge_px(self) -> float:
        return 0.2 * QFontMetricsF(self.font()).height()

    def _texts(self, dial: Dial) -> _Texts:
        limit = self._compared(dial)[0] if dial.left >= 0.0 else show(dial.limit, f"{dial.unit}_up", self._units)
        must = "must keep" if dial.limit else "must stay over"
        words, bold = resized(self.font(), WORDS_SIZE), resized(self.font(), NUMBER_SIZE, bold=True)
        number, over = self._left(dial)
        return _Texts(
            name=_Row((dial.name, resized(self.font(), WORDS_SIZE, bold=True))),
            number=_Row((number, bold), (f" {over}", words)),
            limit=_Row((f"{must} ", words), (limit, self.font())),
            foot=_Row((f"worst case; zero: {dial.zero_words}", words)),
        )

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
        texts, edge = self._texts(dial), self._edge_px
        painter.setPen(QPen(QColor(colours.line), 1))
        painter.setBrush(QColor(colours.sheet))
        painter.drawRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5))
        short = dial.left < dial.limit
        inside = QRectF(self.rect()).adjusted(edge, 0.5 * edge, -edge, -0.5 * edge)
        middle = inside.adjusted(0.0, texts.name.height_px + 0.5 * edge, 0.0, -texts.foot.height_px - 0.5 * edge)
        beside = max(texts.number.width_px, texts.limit.width_px) + 1.5 * edge
        radius = max(min((middle.width() - beside) / 2.0, middle.height() / 1.55), 10.0)
        centre = QPointF(middle.left() + radius, middle.center().y() + 0.23 * radius)
        _paint_scale(painter, dial, colours, centre, radius)
        self._paint_needle(painter, centre, radius, dial.best, QPen(QColor(colours.faint_ink), 2, Qt.PenStyle.DashLine))
        line = QPen(QColor(colours.tipping if short else colours.ink), 4)
        self._paint_needle(painter, centre, radius, dial.left, line)
        painter.setBrush(QColor(colours.ink))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawEllipse(centre, 0.08 * radius, 0.08 * radius)
        left = middle.left() + 2.0 * radius + 1.5 * edge
        top = middle.center().y() - (texts.number.height_px + texts.limit.height_px) / 2.0
        texts.name.paint(painter, QPointF(inside.left(), inside.top()), inside.width(), colours.ink)
        ink = colours.tipping if short else colours.ink
        texts.number.paint(painter, QPointF(left, top), inside.right() - left, ink)
        below = QPointF(left, top + texts.number.height_px)
        texts.limit.paint(painter, below, inside.right() - left, colours.ink)
        foot = QPointF(inside.left(), inside.bottom() - texts.foot.height_px)
        texts.foot.paint(painter, foot, inside.width(), colours.faint_ink)

    def _paint_needle(self, painter: QPainter, centre: QPointF, radius: float, value: float, line: QPen) -> None:
        painter.save()
        painter.translate(centre)
        painter.rotate(self.turn_deg(value))
        painter.setPen(line)
        painter.drawLine(QPointF(0.0, 0.1 * radius), QPointF(0.0, -0.86 * radius))
        painter.restore()


class _Row:
    """Words on one line, each with a font of its own; they are painted smaller where the line is too short."""

    def __init__(self, *words: tuple[str, QFont]) -> None:
        self._words = [(text.replace(" ", "\u00a0"), font) for text, font in words]
        sizes = [QFontMetricsF(font) for _, font in self._words]
        self.width_px = sum(size.horizontalAdvance(text) for size, (text, _) in zip(sizes, self._words, strict=True))
        self.height_px = max(size.height() for size in sizes)
        self._ascent_px = max(size.ascent() for size in sizes)

    def paint(self, painter: QPainter, at: QPointF, most_px: float, ink: str) -> None:
        """Paint to the right of and under a point."""
        painter.save()
        painter.translate(at)
        scale = min(most_px / self.width_px, 1.0) if self.width_px else 1.0
        painter.scale(scale, scale)
        painter.setPen(QColor(ink))
        across = 0.0
        for text, font in self._words:
            painter.setFont(font)
            painter.drawText(QPointF(across, self._ascent_px), text)
            across += QFontMetricsF(font).horizontalAdvance(text)
        painter.restore()


class _Texts(NamedTuple):
    """What is written in a dial's box."""

    name: _Row
    number: _Row
    limit: _Row
    foot: _Row


def resized(font: QFont, share: float, bold: bool = False) -> QFont:
    """A font of a share of another's size."""
    other = QFont(font)
    other.setPointSizeF(font.pointSizeF() * share)
    other.setBold(bold)
    return other


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
