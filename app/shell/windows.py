"""All windows of the program: each has a document of its own; a file is open in only one of them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QObject, QSettings
from PySide6.QtWidgets import QWidget

from app.documents import files
from app.documents.document import Document
from app.shell import preferences
from app.shell.window import Window
from engine.base.formatting import System
from engine.base.lazy import lazy

if TYPE_CHECKING:
    from app.documents import recovery
    from app.panels import recovered
else:
    recovered, recovery = lazy("app.panels.recovered"), lazy("app.documents.recovery")

CASCADE_PX = 28
"""A new window opens this far below and to the right of the one before."""


class Windows(QObject):
    """Opens windows and lists those that are open."""

    def __init__(self, settings: QSettings | None = None) -> None:
        super().__init__()
        QCoreApplication.setApplicationName("Tailweight")  # names the data folder
        self._settings = settings or QSettings("Tailweight", "Tailweight")
        self.all: list[Window] = []
        self.recovered: recovered.RecoveredSheet | None = None

    def open(self, document: Document, units: System | None = None) -> Window:
        """Open a window on a document, in the person's units or in others asked for."""
        document.prefer_units(units or preferences.units_of(self._settings))
        window = Window(document, self._settings, elsewhere=self)
        window.closed.connect(lambda: self._forget(window))
        window.appearance.chosen.connect(lambda: self._follow_look(window))
        if self.all:
            before = self.all[-1].geometry().translated(CASCADE_PX, CASCADE_PX)
            window.setGeometry(preferences.brought_in(before, self.all[-1].screen().availableGeometry()))
        else:
            preferences.place(window, self._settings)
        self.all.append(window)
        window.hint.offer()
        window.show()
        window.raise_()
        window.activateWindow()
        return window

    def show_holder(self, path: Path, asking: QWidget) -> bool:
        """Bring the other window that has this file open to the front; False if there is none."""
        for window in self.all:
            if (
                window is not asking
                and window.document.path is not None
                and files.same_file(path, window.document.path)
            ):
                _bring_up(window)
                return True
        return False

    def quit(self) -> None:
        """Close every window, or none: each is asked before the first one closes."""
        for window in list(self.all):
            if window.document.unsaved:
                _bring_up(window)
            if not window.may_close():
                return
        for window in list(self.all):
            window.close_unasked()

    def _forget(self, window: Window) -> None:
        if window in self.all:
            self.all.remove(window)
        # The document too: its children, which keep its file and its record, refer to it, so nobody else frees it.
        window.document.deleteLater()
        window.deleteLater()

    def _follow_look(self, chosen: Window) -> None:
        """Give the other windows the look chosen in one of them: it is the program's, not one window's."""
        for window in self.all:
            if window is not chosen:
                window.apply_look()

    # -------------------------------------------------------- what a stopped program left behind

    def offer_recovery(self, window: Window, place: Path | None = None) -> recovered.RecoveredSheet | None:
        """Offer what was not saved when the program stopped; None if there is nothing."""
        records = recovery.left_behind(place)
        if not records:
            return None
        sheet = self.recovered = recovered.RecoveredSheet(records, window)
        sheet.wanted.connect(lambda left: self.recover(left, window))
        sheet.open()
        return sheet

    def recover(self, left: recovery.LeftBehind, window: Window) -> Window:
        """Open a record in this window if it holds nothing yet, else in one of its own; returns the window.

        Raises
        ------
        ValueError
            When the record cannot be opened (``left.wrong`` says why).
        """
        record, job = left.record, left.job
        if record is None or job is None:
            raise ValueError(left.wrong)
        document = window.document
        if window not in self.all or document.unsaved or document.path is not None:
            document = Document(job)
            window = self.open(document)
        document.recover(job, record.index, left.file, record.stamp)
        window.views.fit()
        left.discard()  # the window's own record holds it now
        window.commands.files.watch.look()
        return window


def _bring_up(window: Window) -> None:
    """Bring a window to the front, also one that was put away."""
    window.showNormal() if window.isMinimized() else window.show()
    window.raise_()
    window.activateWindow()
