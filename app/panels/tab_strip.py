"""The panels beside the drawing, one shown at a time, with a row of names that wraps instead of scrolling out of sight."""

from __future__ import annotations

import bisect
from collections.abc import Callable

from PySide6.QtCore import QPoint, QRect, QSize, Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QLayout,
    QLayoutItem,
    QSizePolicy,
    QStackedWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)


class FlowLayout(QLayout):
    """Lays widgets out in lines, as words in a paragraph."""

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
        """Wide enough for all of them to stand in `LINES_AT_MOST` lines: in less they would want more height than a screen has."""
        widths = [item.sizeHint().width() for item in self._items]
        if not widths:
            return QSize()
        line = max(item.sizeHint().height() for item in self._items)
        most = LINES_AT_MOST * (line + self._gap)
        wide = range(max(widths), sum(widths) + self._gap * len(widths) + 1)
        width = wide[bisect.bisect_left(wide, True, key=lambda width: self.heightForWidth(width) <= most)]
        return QSize(width, self.heightForWidth(width))

    def _lay(self, rect: QRect, move: bool) -> int:
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


LINES_AT_MOST = 5
LINES_OF_A_PANEL = 4


class TabStrip(QWidget):
    """A row of names and, under it, the panel of the chosen one, made when it is first asked for."""

    currentChanged = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._makers: dict[int, Callable[[], QWidget]] = {}
        self._group = QButtonGroup(self)
        self._group.idClicked.connect(self.setCurrentIndex)
        self._names = QWidget()
        self._flow = FlowLayout(self._names)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self._names.setSizePolicy(policy)
        self._stack = QStackedWidget()
        # The tallest panel must not make the window taller than the screen: panels scroll or shrink.
        self._stack.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 4, 4, 0)
        column.setSpacing(3)
        column.addWidget(self._names)
        column.addWidget(self._stack, 1)

    def minimumSizeHint(self) -> QSize:
        """All names, and a few lines of the panel under them."""
        return super().minimumSizeHint() + QSize(0, LINES_OF_A_PANEL * self.fontMetrics().height())

    def add(self, name: str, make: Callable[[], QWidget]) -> int:
        """Add a name and what makes its panel; returns its index."""
        index = self._stack.addWidget(QWidget())
        self._makers[index] = make
        button = QToolButton()
        button.setText(name)
        button.setCheckable(True)
        button.setChecked(index == 0)
        button.setAccessibleName(f"{name} panel")
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setObjectName("register")
        self._group.addButton(button, index)
        self._flow.addWidget(button)
        return index

    def count(self) -> int:
        """How many panels there are."""
        return self._stack.count()

    def tabText(self, index: int) -> str:
        """Name of a panel."""
        return self._group.button(index).text()

    def widget(self, index: int) -> QWidget:
        """Panel at an index."""
        if index in self._makers:
            panel, empty = self._makers.pop(index)(), self._stack.widget(index)
            self._stack.insertWidget(index, panel)
            if self._stack.currentWidget() is empty:
                self._stack.setCurrentIndex(index)
            self._stack.removeWidget(empty)
            empty.deleteLater()
        return self._stack.widget(index)

    def made(self) -> list[QWidget]:
        """Panels that have been asked for."""
        return [self._stack.widget(index) for index in range(self.count()) if index not in self._makers]

    def currentIndex(self) -> int:
        """Index of the panel shown."""
        return self._stack.currentIndex()

    def currentWidget(self) -> QWidget:
        """The panel shown."""
        return self.widget(self.currentIndex())

    def setCurrentIndex(self, index: int) -> None:
        """Show another panel."""
        changed = index != self._stack.currentIndex()
        self.widget(index)
        self._stack.setCurrentIndex(index)
        self._group.button(index).setChecked(True)
        if changed:
            self.currentChanged.emit(index)
