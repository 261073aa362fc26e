"""The state word: WITHIN, NOT PROVEN, OVER or REFUSED, on the state's colour, with its hatch beside it."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look.theme import Palette

NO_VERDICT_YET = "being reckoned"
"""Stands wherever a verdict will, until there is one."""


class StateWord(QWidget):
    """The state: its word on its colour, with its hatch beside the word."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = ""
        self._colours: Palette | None = None
        self.setAccessibleName(f"state: {NO_VERDICT_YET}")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        font = self.font()
        font.setBold(True)
        return QSize(self.fontMetrics().horizontalAdvance("NOT PROVEN") * 2, int(self.fontMetrics().height() * 1.7))

    def minimumSizeHint(self) -> QSize:
        return QSize(int(self.fontMetrics().horizontalAdvance("NOT PROVEN") * 1.45) + 20, self.sizeHint().height())

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.update()

    def set(self, state: str) -> None:
        if state != self._state:
            self._state = state
            self.setAccessibleName(f"state: {state}")
            self.update()

    @property
    def state(self) -> str:
        """The state's word; empty until there is a verdict."""
        return self._state

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._colours is None:
            return
        painter = QPainter(self)
        look, word = self._colours.states.get(self._state, self._colours.no_verdict), self._state or "RECKONING"
        box = QRectF(self.rect())
        painter.fillRect(box, QColor(look.ground))
        font = self.font()
        font.setBold(True)
        font.setPointSizeF(font.pointSizeF() * 1.25)
        painter.setFont(font)
        width = painter.fontMetrics().horizontalAdvance(word) + 16
        if look.hatch is not Qt.BrushStyle.NoBrush:
            painter.fillRect(box.adjusted(width, 0, 0, 0), QBrush(QColor(look.text), look.hatch))
        painter.setPen(QColor(look.text))
        painter.drawText(
            box.adjusted(8, 0, 0, 0), int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), word
        )
