"""The tipping bar of the margin block: how much of the restoring moment is used."""

from __future__ import annotations

import math

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look.theme import Palette
from app.panels.state_word import NO_VERDICT_YET


class TippingBar(QWidget):
    """Worst-case tipping use as a filled bar up to the point of going over, with the allowed line.

    The whisker runs back from the bar's end to the use with best values: its length is the uncertainty.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._use, self._allowed, self._whisker = math.nan, math.nan, math.nan
        self._state = ""
        self._colours: Palette | None = None
        self.setToolTip(f"Tipping use: {NO_VERDICT_YET}")
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName("tipping use")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(160, self.fontMetrics().height() + 8)

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.update()

    def set(self, use: float, allowed: float, whisker: float, state: str, words: str) -> None:
        """Shares of the restoring moment: used in the worst case, allowed, used with best values (NaN: not known)."""
        if (use, allowed, whisker, state) != (self._use, self._allowed, self._whisker, self._state):
            self._use, self._allowed, self._whisker, self._state = use, allowed, whisker, state
            self.update()
        if words != self.toolTip():
            self.setAccessibleDescription(words)
            self.setToolTip(words)

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._colours is None:
            return
        painter = QPainter(self)
        box = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        painter.fillRect(self.rect(), QColor(self._colours.field))
        look = self._colours.states.get(self._state, self._colours.no_verdict)
        if math.isfinite(self._use):
            filled = QRectF(box)
            filled.setWidth(box.width() * min(max(self._use, 0.0), 1.0))
            painter.fillRect(filled, QColor(look.ground))
            if look.hatch is not Qt.BrushStyle.NoBrush:
                painter.fillRect(filled, QBrush(QColor(look.text), look.hatch))
        painter.setPen(QPen(QColor(self._colours.ink), 1))
        painter.drawRect(box)
        if math.isfinite(self._whisker):
            best, worst = (box.left() + box.width() * min(max(share, 0.0), 1.0) for share in (self._whisker, self._use))
            middle = box.center().y()
            painter.setPen(QPen(QColor(look.text), 1))
            painter.drawLine(round(best), round(middle), round(worst), round(middle))
            painter.drawLine(round(best), round(middle - 5), round(best), round(middle + 5))
        if math.isfinite(self._allowed):
            x = round(box.left() + box.width() * self._allowed)
            painter.setPen(QPen(QColor(self._colours.tipping), 3))
            painter.drawLine(x, round(box.top()), x, round(box.bottom()))
