"""The window's page: banner, verdict block, and under them the drawing beside its panels."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget


class Page(QWidget):
    """Widgets under each other, the last with all room that is left.

    Its least height is what the words of all of them take at the present width: wrapped text needs more height in less
    width, which no main window asks for by itself.
    """

    def __init__(self, *widgets: QWidget) -> None:
        super().__init__()
        self.setObjectName("page")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        for widget in widgets:
            self._column.addWidget(widget)
        self._column.setStretch(len(widgets) - 1, 1)

    def minimumSizeHint(self) -> QSize:
        width = self._column.minimumSize().width()
        return QSize(width, self._column.minimumHeightForWidth(max(self.window().width(), width)))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()
