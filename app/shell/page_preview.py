"""Preview of a paper: its pages under each other, as wide as there is room."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QPixmap, QResizeEvent
from PySide6.QtWidgets import QDialog, QFrame, QLabel, QScrollArea, QVBoxLayout, QWidget

from engine.base.lazy import lazy

if TYPE_CHECKING:
    from app.papers import output
    from app.papers.layout import Sheet
else:
    output = lazy("app.papers.output")

EDGE_PX = 10


DIALOG_EMS, ROOM = (64, 44), 0.9
"""Size of a dialog with a preview in heights of a line, and the most of the screen that it takes."""


def size_dialog(dialog: QDialog) -> None:
    """Make a dialog with a preview as large as a page wants, and no larger than the screen."""
    line_px, screen = dialog.fontMetrics().height(), dialog.screen().availableSize()
    wide, tall = (ems * line_px for ems in DIALOG_EMS)
    dialog.resize(min(wide, int(ROOM * screen.width())), min(tall, int(ROOM * screen.height())))


class PagePreview(QScrollArea):
    """Shows one paper, or says why there is none."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("preview")
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self.setWidgetResizable(True)
        self._sheet: Sheet | None = None
        self._words = ""
        self.pages: list[QLabel] = []

    def show_sheet(self, sheet: Sheet) -> None:
        """Show the pages of a paper, from the first."""
        self._sheet = sheet
        self._fill()
        self.verticalScrollBar().setValue(0)

    def say(self, words: str) -> None:
        """Show no page, and say why."""
        self._sheet, self._words = None, words
        self._fill()

    def _fill(self) -> None:
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(EDGE_PX, EDGE_PX, EDGE_PX, EDGE_PX)
        self.pages = []
        if self._sheet is None:
            label = QLabel(self._words)
            label.setWordWrap(True)
            column.addWidget(label)
        else:
            width_px = max(self.viewport().width() - 2 * EDGE_PX - 2, 100)
            for number in range(len(self._sheet.pages)):
                page = QLabel()
                page.setFrameShape(QFrame.Shape.Box)
                image = output.page_image(self._sheet, number, width_px, self.devicePixelRatioF())
                page.setPixmap(QPixmap.fromImage(image))
                page.setAccessibleName(f"page {number + 1} of {len(self._sheet.pages)}")
                column.addWidget(page)
                self.pages.append(page)
        column.addStretch(1)
        self.setWidget(body)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._fill()
