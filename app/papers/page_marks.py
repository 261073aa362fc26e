"""What stands on a page: a text set to a width, a rule, a ruled box; each knows its rectangle and how it is painted.

One unit is half a point, so that a type size is a whole number of units and the drawing's own marks, made for a screen,
come out at their usual size.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QGuiApplication, QPainter, QPen, QTextLayout, QTextOption

UNITS_PER_INCH = 144.0
MM = UNITS_PER_INCH / 25.4
"""Units in a millimetre of paper."""

RULE, HEAVY = 0.8, 2.0
"""Widths of a thin and a heavy rule, in units."""

BODY, SMALL, LARGE, TITLE_SIZE = 17, 14, 22, 30
"""Type sizes in half points."""

INK, FAINT, SHADE, GHOST = QColor("#000000"), QColor("#505050"), QColor("#e8e8e8"), QColor("#e4e4e4")


class Mark(NamedTuple):
    """One thing on a page: its kind, the rectangle it needs, its words, and how it is painted."""

    kind: str
    box: QRectF
    words: str
    paint: Callable[[QPainter], None]


_ALIGN = {
    "left": Qt.AlignmentFlag.AlignLeft,
    "right": Qt.AlignmentFlag.AlignRight,
    "middle": Qt.AlignmentFlag.AlignHCenter,
}


def font(size: int, bold: bool = False) -> QFont:
    """The program's own typeface at a size in half points, unhinted so that screen and paper measure alike."""
    typeface = QFont(QGuiApplication.font())
    typeface.setPixelSize(size)
    typeface.setBold(bold)
    typeface.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    typeface.setFeature(QFont.Tag("liga"), 0)  # so that words can be searched for and copied letter by letter
    return typeface


class Words:
    """A text set to a width: the height it needs, and how it is painted at a place."""

    def __init__(
        self,
        text: str,
        width: float,
        size: int = BODY,
        *,
        bold: bool = False,
        align: str = "left",
        colour: QColor = INK,
    ) -> None:
        self.text, self.colour = text, colour
        self._layout = QTextLayout(text, font(size, bold))
        option = QTextOption(_ALIGN[align])
        option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        self._layout.setTextOption(option)
        self._layout.setCacheEnabled(True)
        self._layout.beginLayout()
        self.height, self._box = 0.0, QRectF()
        while (line := self._layout.createLine()).isValid():
            line.setLineWidth(width)
            line.setPosition(QPointF(0.0, self.height))
            self.height += line.height()
            self._box |= line.naturalTextRect()
        self._layout.endLayout()

    def mark(self, at: QPointF) -> Mark:
        """The text at a place on the page."""
        return Mark("text", self._box.translated(at), self.text, lambda painter: self._paint(painter, at))

    def _paint(self, painter: QPainter, at: QPointF) -> None:
        painter.setPen(self.colour)
        self._layout.draw(painter, at)


def rule(x0: float, y0: float, x1: float, y1: float, width: float = RULE) -> Mark:
    """A line from one point to another."""
    pen = QPen(INK, width)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)

    def paint(painter: QPainter) -> None:
        painter.setPen(pen)
        painter.drawLine(QPointF(x0, y0), QPointF(x1, y1))

    return Mark("line", QRectF(QPointF(x0, y0), QPointF(x1, y1)).normalized(), "", paint)


def frame(box: QRectF, width: float = RULE, fill: QColor | None = None) -> Mark:
    """A ruled box, shaded if a fill is given."""

    def paint(painter: QPainter) -> None:
        painter.setPen(QPen(INK, width) if width else Qt.PenStyle.NoPen)
        painter.setBrush(QBrush(fill) if fill is not None else Qt.BrushStyle.NoBrush)
        painter.drawRect(box)

    return Mark("frame", box, "", paint)
