"""The windows of the program: each has a document of its own; a file is open in one of them only."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QObject, QSettings
from PySide6.QtWidgets import QWidget

from app.documents import files
from app.documents.document import Document
from app.shell.window import Window
from engine.base.lazy import lazy

if TYPE_CHECKING:
    from app.documents.recovery import LeftBehind
    from app.panels.recovered import RecoveredSheet

recovered, recovery = lazy("app.panels.recovered"), lazy("app.documents.recovery")

CASCADE_PX = 28
"""A new window stands this far down and to the right of the one before."""


class Windows(QObject):
    """Opens windows and knows those that are open."""

    def __init__(self, settings: QSettings | None = None) -> None:
        super().__init__()
        QCoreApplication.setApplicationName("Tailweight")  # names the data folder
        self._settings = settings or QSettings("Tailweight", "Tailweight")
        self.all: list[Window] = []
        self.recovered: RecoveredSheet | None = None

    def open(self, document: Document) -> Window:
        """A window on a document."""
        window = Window(document, self._settings, elsewhere=self)
        window.closed.connect(lambda: self._forget(window))
        window.appearance.chosen.connect(lambda: self._follow_look(window))
        if self.all:
            window.move(self.all[-1].pos().x() + CASCADE_PX, self.all[-1].pos().y() + CASCADE_PX)
        self.all.append(window)
        window.show()
        window.raise_()
        window.activateWindow()
        return window

    def show_holder(self, path: Path, asking: QWidget) -> bool:
        """Bring the other window that has this file open to the front; ``False`` if there is none."""
        for window in self.all:
            if (
                window is not asking
                and window.document.path is not None
                and files.same_file(path, window.document.path)
            ):
                window.showNormal() if window.isMinimized() else window.show()
                window.raise_()
                window.activateWindow()
                return True
        return False

    def quit(self) -> None:
        """Close every window; one that refuses keeps itself and those after it open."""
        for window in list(self.all):
            if not window.close():
                return

    def _forget(self, window: Window) -> None:
        if window in self.all:
            self.all.remove(window)
        # The document too: those that keep its file and its record are its children and know it, so nobody else frees it.
        window.document.deleteLater()
        window.deleteLater()

    def _follow_look(self, chosen: Window) -> None:
        """Light, dark and text size are the program's, not one window's."""
        for window in self.all:
            if window is not chosen:
                window.apply_look()

    # -------------------------------------------------------- what a stopped program left

    def offer_recovery(self, window: Window, place: Path | None = None) -> RecoveredSheet | None:
        """Offer what was not saved when the program stopped, if there is anything."""
        found = recovery.left_behind(place)
        if not found:
            return None
        self.recovered = recovered.RecoveredSheet(found, window)
        self.recovered.wanted.connect(lambda each: self.recover(each, window))
        self.recovered.open()
        return self.recovered

    def recover(self, found: LeftBehind, window: Window) -> Window:
        """Open a record in this window if nothing is in it yet, else in one of its own."""
        record, job = found.record, found.job
        document = window.document
        if window not in self.all or document.unsaved or document.path is not None:
            document = Document(job)
            window = self.open(document)
        document.recover(job, record.index, found.file, record.stamp)
        window.views.fit()
        found.discard()  # the window's own record holds it now
        window.commands.files.watch.look()
        return window
