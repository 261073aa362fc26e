"""A wrapped text that changes with every step of a drag."""

from __future__ import annotations

import math

from PySide6.QtCore import QEvent, QPointF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look.text_metrics import TextMetrics, small_font, text_metrics
from app.look.theme import Palette


class Figure(QWidget):
    """Words painted by the widget itself; what is around them is laid out again only when they need other room.

    A label asks for a new layout of everything around it whenever its text changes, which costs more than the drawing.
    """

    def __init__(self, bold: bool = True, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._text, self._bold = "", bold
        self._kept: int | None = None
        self._ground = QColor(Qt.GlobalColor.transparent)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self._take_font()

    def _take_font(self) -> None:
        self._face = text_metrics(self.font(), self._bold)
        self._small = text_metrics(small_font(self.font()), self._bold)
        if self._kept is not None:
            self.setMinimumHeight(math.ceil(self._kept * self._face.line_px))
        self._lay()

    def keep_lines(self, lines: int) -> None:
        """Always have room for so many lines; words that would take more are set in small print."""
        self._kept = lines
        self._take_font()
        self.updateGeometry()

    def _lay(self) -> None:
        self._set_face, self._lines = self._set(self.width())

    @property
    def _height_px(self) -> float:
        return len(self._lines) * self._set_face.line_px

    def _set(self, width: int) -> tuple[TextMetrics, list[str]]:
        """The words in lines that fit into a width, and the face they are set in."""
        lines = self._face.lines(self._text, width)
        if self._kept is None or len(lines) <= self._kept:
            return self._face, lines
        return self._small, self._small.lines(self._text, width)

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
        self.setAccessibleDescription(text)
        before = self._height_px
        self._text = text
        self._lay()
        if self._height_px != before or self._face.longest_word_px(text) > self.width():
            self.updateGeometry()
        self.update()

    def heightForWidth(self, width: int) -> int:
        face, lines = self._set(width)
        return math.ceil(len(lines) * face.line_px)

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
        face = self._set_face
        painter.setFont(face.font)
        painter.setPen(self.palette().color(QPalette.ColorRole.WindowText))
        down = face.ascent_px
        for line in self._lines:
            painter.drawText(QPointF(0.0, down), line)
            down += face.line_px
