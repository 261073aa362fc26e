"""A table of words to read: as high as its rows, columns no wider than they need, what is longer is wrapped."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QTableWidget, QTableWidgetItem

from app.look import hints

COLUMN_LETTERS = 18
"""Words wider than so many letters are wrapped."""


class WordsTable(QTableWidget):
    """Nothing in it can be typed; it scrolls sideways alone."""

    def __init__(self, name: str) -> None:
        super().__init__()
        hints.name(self, name)
        self.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self.setWordWrap(True)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def show_words(self, heads: Sequence[str], names: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        """Show rows under the heads of the columns, each with its name before it; no names, no heads of rows."""
        self.setRowCount(len(rows))
        self.setColumnCount(len(heads))
        self.setHorizontalHeaderLabels(list(heads))
        self.verticalHeader().setVisible(bool(names))
        self.setVerticalHeaderLabels(list(names))
        for line, row in enumerate(rows):
            for at, words in enumerate(row):
                self.setItem(line, at, QTableWidgetItem(words))
        self._fit()

    def _fit(self) -> None:
        """Columns and rows as large as their words, and the table as high as its rows."""
        widest = COLUMN_LETTERS * self.fontMetrics().averageCharWidth()
        for at in range(self.columnCount()):
            self.setColumnWidth(at, max(min(self.sizeHintForColumn(at), widest), self._heading_width(at)))
        self.resizeRowsToContents()
        tall = self.horizontalHeader().sizeHint().height() + 2 * self.frameWidth()
        tall += sum(self.rowHeight(line) for line in range(self.rowCount()))
        self.setFixedHeight(tall + self.horizontalScrollBar().sizeHint().height())

    def changeEvent(self, event: QEvent) -> None:
        """Fit anew to another size of text."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange) and self.columnCount():
            self._fit()

    def _heading_width(self, at: int) -> int:
        """Of the longest line of a column's heading, with a little air."""
        metrics = self.horizontalHeader().fontMetrics()
        lines = str(self.model().headerData(at, Qt.Orientation.Horizontal)).split("\n")
        return max(metrics.horizontalAdvance(line) for line in lines) + 2 * metrics.averageCharWidth()
