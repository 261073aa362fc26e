"""A layout in lines, as words in a paragraph."""

from __future__ import annotations

import bisect

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget

LINES_AT_MOST = 5


class FlowLayout(QLayout):
    """Widgets beside each other, as many to a line as there is room for."""

    def __init__(self, parent: QWidget | None = None, gap: int = 2) -> None:
        super().__init__(parent)
        self._items: list[QLayoutItem] = []
        self._gap = gap

    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    def count(self) -> int:
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._lay(QRect(0, 0, width, 0), move=False)

    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        self._lay(rect, move=True)

    def sizeHint(self) -> QSize:
        return self.minimumSize()

    def minimumSize(self) -> QSize:
        """Wide enough for all widgets to stand in `LINES_AT_MOST` lines: in more they would be taller than a screen."""
        widths = [item.sizeHint().width() for item in self._items]
        if not widths:
            return QSize()
        line = max(item.sizeHint().height() for item in self._items)
        tallest = LINES_AT_MOST * (line + self._gap)
        choices = range(max(widths), sum(widths) + self._gap * len(widths) + 1)
        width = choices[bisect.bisect_left(choices, True, key=lambda width: self.heightForWidth(width) <= tallest)]
        return QSize(width, self.heightForWidth(width))

    def _lay(self, rect: QRect, move: bool) -> int:
        """Lay the widgets out, or only see how: the height they take."""
        x, y, line = rect.left(), rect.top(), 0
        for item in self._items:
            hint = item.sizeHint()
            if x + hint.width() > rect.left() + rect.width() and line:
                x, y, line = rect.left(), y + line + self._gap, 0
            if move:
                item.setGeometry(QRect(QPoint(x, y), hint))
            x += hint.width() + self._gap
            line = max(line, hint.height())
        return y + line - rect.top()
