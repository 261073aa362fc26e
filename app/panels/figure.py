"""A wrapped text that changes with every step of a drag."""

from __future__ import annotations

import math

from PySide6.QtCore import QEvent, QPointF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look.text_metrics import text_metrics
from app.look.theme import Palette


class Figure(QWidget):
    """Words painted by the widget itself; what is around them is laid out again only when they need other room.

    A label asks for a new layout of everything around it whenever its text changes, which costs more than the drawing.
    """

    def __init__(self, bold: bool = True, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._text, self._bold = "", bold
        self._ground = QColor(Qt.GlobalColor.transparent)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self._take_font()

    def _take_font(self) -> None:
        self._face = text_metrics(self.font(), self._bold)
        self._lay()

    def _lay(self) -> None:
        self._lines = self._face.lines(self._text, self.width())

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._take_font()
            self.updateGeometry()

    def set_theme(self, colours: Palette) -> None:
        """The ground of the ruled boxes; painted here, so that the boxes under it need not be."""
        self._ground = QColor(colours.sheet)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.update()

    def text(self) -> str:
        """What is shown."""
        return self._text

    def setText(self, text: str) -> None:
        """Show another text."""
        if text == self._text:
            return
        self._text = text
        self.setAccessibleDescription(text)
        before = len(self._lines)
        self._lay()
        if len(self._lines) != before or self._face.longest_word_px(text) > self.width():
            self.updateGeometry()
        self.update()

    def heightForWidth(self, width: int) -> int:
        return math.ceil(len(self._face.lines(self._text, width)) * self._face.line_px)

    def sizeHint(self) -> QSize:
        width = max(self._least_width(), math.ceil(14 * self._face.size("n")[0]))
        return QSize(width, self.heightForWidth(width))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._least_width(), math.ceil(self._face.line_px))

    def _least_width(self) -> int:
        return math.ceil(self._face.longest_word_px(self._text))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self._ground)
        painter.setFont(self._face.font)
        painter.setPen(self.palette().color(QPalette.ColorRole.WindowText))
        down = self._face.ascent_px
        for line in self._lines:
            painter.drawText(QPointF(0.0, down), line)
            down += self._face.line_px
