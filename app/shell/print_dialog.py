"""Print: every paper of the pose shown and its drawing, each with a preview, onto a printer or into a PDF file."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QEvent, QEventLoop, Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import ChoiceField
from app.papers.titles import BIG_PAGES, TITLES
from app.shell.page_options import PageOptions
from app.shell.page_preview import PagePreview, size_dialog
from app.shell.picture_pages import SHOWN, NotYetError, PicturePages
from engine.base.errors import TailweightError
from engine.base.formatting import System

if TYPE_CHECKING:
    from app.papers.layout import Sheet

DRAWING = "drawing"
"""The paper that has choices of its own."""

REST_MS = 150
"""A preview is made once the hand has rested so long on a paper."""

TAKES_SECONDS = "This paper takes some seconds to work out."
MAKING = "Working it out..."


class PrintDialog(QDialog):
    """Chooses a paper; prints nothing itself."""

    wanted = Signal(str, str, object)
    """Name of the paper, "print" or "pdf", and the sheet if it is made already, else None."""

    page_chosen = Signal(str)

    def __init__(
        self,
        parent: QWidget,
        make: Callable[[str], Sheet],
        pages: PicturePages,
        page: str,
        units: System,
        *,
        slow: frozenset[str],
    ) -> None:
        """``make`` lays out a paper on the page chosen last; the ``slow`` ones get a preview only when asked for."""
        super().__init__(parent)
        self.setWindowTitle("Print")
        self._make, self._pages, self._slow = make, pages, slow
        self._made: dict[object, Sheet] = {}
        self.list = QListWidget()
        self.list.setAccessibleName("papers")
        for kind, title in TITLES.items():
            item = QListWidgetItem(title)
            item.setData(Qt.ItemDataRole.UserRole, kind)
            self.list.addItem(item)
        self.page = ChoiceField("page size", ())
        for name in ("a4", "letter"):
            self.page.addItem(BIG_PAGES[name], name)
        self.page.set_value(page)
        self._page_row = QWidget()
        form = QFormLayout(self._page_row)
        form.setContentsMargins(0, 0, 0, 0)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        form.addRow("Pa&ge", self.page)
        self.options = PageOptions(pages, SHOWN, page, units)
        self.preview = PagePreview()
        self.show_it = QPushButton("Make the pre&view")
        self._lay_out()
        self._at_rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._at_rest.timeout.connect(self.refresh)
        self.list.currentRowChanged.connect(self._choose)
        self.page.entered.connect(self._turn_page)
        self.options.changed.connect(self.refresh)
        self.show_it.clicked.connect(lambda: self._show(self._sheet))
        pages.came.connect(self._came)
        self.list.setCurrentRow(list(TITLES).index("pick"))
        self.list.setFocus()

    def _lay_out(self) -> None:
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        self.print = self.buttons.addButton("&Print...", QDialogButtonBox.ButtonRole.AcceptRole)
        self.pdf = self.buttons.addButton("P&DF...", QDialogButtonBox.ButtonRole.ActionRole)
        self.buttons.accepted.connect(lambda: self._take("print"))
        self.pdf.clicked.connect(lambda: self._take("pdf"))
        self.buttons.rejected.connect(self.reject)
        left = QVBoxLayout()
        left.addWidget(self.list, 1)
        left.addWidget(self._page_row)
        left.addWidget(self.options)
        right = QVBoxLayout()
        right.addWidget(self.preview, 1)
        right.addWidget(self.show_it)
        body = QHBoxLayout()
        body.addLayout(left, 2)
        body.addLayout(right, 3)
        column = QVBoxLayout(self)
        column.addLayout(body, 1)
        column.addWidget(self.buttons)
        self.show_it.setAutoDefault(False)
        self.print.setDefault(True)
        size_dialog(self)

    @property
    def kind(self) -> str:
        """The paper chosen."""
        return str(self.list.currentItem().data(Qt.ItemDataRole.UserRole))

    def refresh(self) -> None:
        """Show the paper chosen, or a button where that would take seconds."""
        self._at_rest.stop()
        waits = self.kind in self._slow and self._key not in self._made
        self.show_it.setVisible(waits)
        if waits:
            self.preview.say(TAKES_SECONDS)
            self._allow(True)
            return
        self._show(self._sheet)

    @property
    def _key(self) -> tuple[object, ...]:
        return (self.options.choice,) if self.kind == DRAWING else (self.kind, self.page.currentData())

    def _sheet(self) -> Sheet:
        key = self._key
        if key not in self._made or self.kind == DRAWING:  # the chart on a drawing may be a newer one
            self._made[key] = self._pages.sheet(self.options.choice) if self.kind == DRAWING else self._make(self.kind)
        return self._made[key]

    def _show(self, make: Callable[[], Sheet]) -> None:
        if self.kind in self._slow:
            self.preview.say(MAKING)
            self.show_it.setVisible(False)
            QCoreApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest.value)
            QCoreApplication.processEvents(QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents)
        try:
            self.preview.show_sheet(make())
        except (TailweightError, NotYetError) as error:
            self.preview.say(str(error))
            self._allow(False)
            return
        self._allow(True)

    def _allow(self, allowed: bool) -> None:
        for button in (self.print, self.pdf):
            button.setEnabled(allowed)

    def _choose(self) -> None:
        drawing = self.kind == DRAWING
        self._page_row.setVisible(not drawing)
        self.options.setVisible(drawing)
        self._at_rest.start()

    def _turn_page(self, page: object) -> None:
        self.page_chosen.emit(str(page))
        self.refresh()

    def _came(self) -> None:
        if self.isVisible() and self.kind == DRAWING:
            self.refresh()

    def _take(self, how: str) -> None:
        """Go to the printer or to a file with the sheet shown."""
        self._at_rest.stop()
        kind, key = self.kind, self._key
        try:
            sheet = self._sheet() if kind == DRAWING else self._made.get(key)
        except (TailweightError, NotYetError) as error:
            self.preview.say(str(error))
            return
        self.accept()
        self.wanted.emit(kind, how, sheet)
