"""The panels beside the drawing, one shown at a time, each made when it is first asked for.

Their names stand in a row that wraps instead of scrolling out of sight.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QButtonGroup, QSizePolicy, QStackedWidget, QToolButton, QVBoxLayout, QWidget

from app.panels.flow_layout import FlowLayout

LINES_OF_A_PANEL = 4
"""Lines of text of the panel that are always to be seen."""


class TabStrip(QWidget):
    """A row of names and, under it, the panel of the chosen one."""

    currentChanged = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._makers: dict[int, Callable[[], QWidget]] = {}
        """What makes the panels nobody has asked for yet, by index."""
        self._places: list[QWidget] = []
        """The panel at each index, or an empty widget in its place."""
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
        empty = QWidget()
        index = self._stack.addWidget(empty)
        self._places.append(empty)
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
            panel, empty = self._makers.pop(index)(), self._places[index]
            self._places[index] = panel
            self._stack.insertWidget(index, panel)
            if self._stack.currentWidget() is empty:
                self._stack.setCurrentIndex(index)
            self._stack.removeWidget(empty)
            empty.deleteLater()
        return self._places[index]

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
