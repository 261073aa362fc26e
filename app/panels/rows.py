"""A list of whole sentences, each wrapped over as many lines as it needs, its height told in lines of text."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSignalBlocker, QSize, Qt
from PySide6.QtWidgets import QListView, QListWidget, QSizePolicy, QStyledItemDelegate, QStyleOptionViewItem, QWidget

_WRAPPED = int(Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
ROOM_PX = 10
"""Round a row's text, and between rows."""


class _Wrapping(QStyledItemDelegate):
    """Makes a row as tall as its words are at the list's present width."""

    def sizeHint(self, option: QStyleOptionViewItem, index: object) -> QSize:
        width = option.widget.viewport().width() - 2 * ROOM_PX
        words = index.data(Qt.ItemDataRole.DisplayRole) or ""
        text = option.fontMetrics.boundingRect(QRect(0, 0, max(width, 40), 100_000), _WRAPPED, words)
        return QSize(40, text.height() + ROOM_PX)


class Rows(QListWidget):
    """Sentences to choose from."""

    def __init__(self, name: str, lines: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines = lines
        self.setAccessibleName(name)
        self.setWordWrap(True)
        self.setTextElideMode(Qt.TextElideMode.ElideNone)
        self.setItemDelegate(_Wrapping(self))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        # Always there: one that comes and goes changes the width the rows were measured for.
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(120, self.fontMetrics().height() * self._lines)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def fill(self, words: list[str]) -> None:
        """Put words in, the chosen row kept where it can be; nothing is touched while they are the same."""
        if [self.item(index).text() for index in range(self.count())] == words:
            return
        kept = self.currentRow()
        with QSignalBlocker(self):
            self.clear()
            self.addItems(words)
            self.setCurrentRow(min(kept, len(words) - 1))
