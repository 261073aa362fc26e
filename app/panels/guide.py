"""The guide in a window of its own: pages on the left, words on the right."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QHBoxLayout, QListWidget, QTextBrowser, QWidget

from app.panels.guide_pages import PAGES

WIDE, HIGH = 92, 34
"""Characters and lines of the guide."""


class Guide(QDialog):
    """The built-in guide; it stays open beside the window."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("How to - Tailweight")
        self.setModal(False)
        self.list = QListWidget()
        self.list.setAccessibleName("pages of the guide")
        self.list.addItems([page.title for page in PAGES])
        self.text = QTextBrowser()
        self.text.setAccessibleName("page of the guide")
        self.text.setOpenLinks(False)
        metrics = self.fontMetrics()
        self.list.setFixedWidth(max(metrics.horizontalAdvance(page.title) for page in PAGES) + 40)
        row = QHBoxLayout(self)
        row.addWidget(self.list)
        row.addWidget(self.text, 1)
        self.list.currentRowChanged.connect(self._show)
        self.resize(self.list.width() + metrics.averageCharWidth() * WIDE, metrics.height() * HIGH)

    def _show(self, row: int) -> None:
        self.text.setMarkdown(PAGES[row].text.strip())

    def open_at(self, row: int) -> None:
        """Show a page and bring the guide to the front."""
        self.list.setCurrentRow(row)
        screen = self.screen().availableGeometry()
        self.resize(self.size().boundedTo(screen.size()))
        self.show()
        self.raise_()
        self.activateWindow()
        self.list.setFocus(Qt.FocusReason.ShortcutFocusReason)
