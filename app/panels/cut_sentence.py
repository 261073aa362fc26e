"""A sentence for a place that may be too low for it: it is cut there, never painted over what stands beside it."""

from __future__ import annotations

import math

from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QLabel

from app.look.text_metrics import text_metrics


class CutSentence(QLabel):
    """Words that wrap, under a name to be read aloud by; where they may be cut, their hint has them in full."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.set_cut(False)

    def set_cut(self, is_cut: bool) -> None:
        """Whether it takes the room there is, be it one line; else it is as high as its words ask."""
        self._is_cut = is_cut
        self.setWordWrap(not is_cut)
        policy = self.sizePolicy()
        policy.setHeightForWidth(not is_cut)
        self.setSizePolicy(policy)
        self.updateGeometry()

    def setText(self, words: str) -> None:
        super().setText(words)
        self.setToolTip(words)

    @property
    def _lines(self) -> list[str]:
        return text_metrics(self.font()).lines(self.text(), self.width())

    def sizeHint(self) -> QSize:
        if not self._is_cut:
            return super().sizeHint()
        return QSize(0, math.ceil(max(len(self._lines), 1) * text_metrics(self.font()).line_px))

    def minimumSizeHint(self) -> QSize:
        return QSize(0, math.ceil(text_metrics(self.font()).line_px)) if self._is_cut else super().minimumSizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._is_cut and event.size().width() != event.oldSize().width():
            self.updateGeometry()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._is_cut:
            super().paintEvent(event)
            return
        text, lines = text_metrics(self.font()), self._lines
        shown = max(int((self.height() + 1.0) // text.line_px), 1)
        if len(lines) > shown:
            lines = [*lines[: shown - 1], text.elided(" ".join((lines[shown - 1], "…")), self.width())]
        painter, ink = QPainter(self), self.palette().color(self.foregroundRole()).name()
        top = max((self.height() - min(len(lines), shown) * text.line_px) / 2.0, 0.0)
        for at, line in enumerate(lines):
            text.paint(painter, line, 0.0, top + at * text.line_px, ink)
