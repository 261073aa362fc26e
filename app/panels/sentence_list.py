"""A list of whole sentences to choose from, each wrapped over as many lines as it needs, as tall as asked for."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSignalBlocker, QSize, Qt
from PySide6.QtWidgets import QListView, QListWidget, QSizePolicy, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from app.look import hints

_WRAPPED = int(Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
ROOM_PX = 10
"""Round a row's text, and between rows."""


class _Wrapping(QStyledItemDelegate):
    """Makes a row as tall as its words are at the list's present width."""

    def __init__(self, rows: QListWidget) -> None:
        super().__init__(rows)
        self._rows = rows

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        width = self._rows.viewport().width() - 2 * ROOM_PX
        words = index.data(Qt.ItemDataRole.DisplayRole) or ""
        metrics = option.fontMetrics
        text = metrics.boundingRect(QRect(0, 0, max(width, 40), 100_000), _WRAPPED, words)
        return QSize(40, text.height() + ROOM_PX)


class SentenceList(QListWidget):
    """Sentences, one row each, as high as so many lines of text; without sentences no empty box stands there."""

    def __init__(self, name: str, lines: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines = lines
        hints.name(self, name)
        self.setWordWrap(True)
        self.setTextElideMode(Qt.TextElideMode.ElideNone)
        self.setItemDelegate(_Wrapping(self))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        # Always there: one that comes and goes changes the width the rows were measured for.
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.hide()

    def sizeHint(self) -> QSize:
        return QSize(120, self.fontMetrics().height() * self._lines)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def fill(self, sentences: list[str]) -> None:
        """Put sentences in, the chosen row kept where it can be; nothing is touched while they are the same."""
        if [self.item(index).text() for index in range(self.count())] == sentences:
            return
        self.setVisible(bool(sentences))
        kept = self.currentRow()
        with QSignalBlocker(self):
            self.clear()
            self.addItems(sentences)
            self.setCurrentRow(min(kept, len(sentences) - 1))
