"""Watches whether something else changes or removes the open file.

The system reports changes where it can, which is not in every network folder. So the window also looks whenever it
comes to the front, and saving looks once more.
"""

from __future__ import annotations

from PySide6.QtCore import QFileSystemWatcher, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication

from app.documents import files
from app.documents.document import Document
from engine.base.file_fault import FileFault

SETTLE_MS = 150
"""A program that saves writes several times in a row; wait until it has finished."""


class FileWatch(QObject):
    """Watches the file of one document."""

    changed = Signal(object)
    """The file (its path) holds something else now."""

    gone = Signal(object)
    """The file is not there any more, or cannot be read: why (a `FileFault`)."""

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._document = document
        self._reported: tuple[object, ...] = ()
        self._quiet = False
        self._watcher = QFileSystemWatcher(self)
        self._settle = QTimer(self, singleShot=True, interval=SETTLE_MS)
        self._settle.timeout.connect(self.look)
        self._watcher.fileChanged.connect(lambda _path: self._settle.start())
        self._watcher.directoryChanged.connect(lambda _path: self._settle.start())
        document.filed.connect(self._follow)
        self._follow()

    def _follow(self) -> None:
        """Watch the file and its folder: to the system, a file replaced by a rename is another file."""
        path = self._document.path
        wanted = [] if path is None else [str(place) for place in (path, path.parent) if files.fault_at(place) is None]
        watched = [*self._watcher.files(), *self._watcher.directories()]
        if old := [place for place in watched if place not in wanted]:
            self._watcher.removePaths(old)
        if new := [place for place in wanted if place not in watched]:
            self._watcher.addPaths(new)

    def look(self) -> None:
        """Compare the file with what was read from it; never during a drag.

        Each change is reported once. A file that cannot be reached is reported once until it is opened or saved: a bad
        line would ask again and again otherwise.
        """
        document, path = self._document, self._document.path
        if path is None or document.stamp is None:
            return
        if QGuiApplication.mouseButtons() != Qt.MouseButton.NoButton:
            self._settle.start()
            return
        self._follow()
        document.look_at_file()
        seen = files.look_at(path)
        if isinstance(seen, FileFault):
            if not self._quiet:
                self._quiet = True
                self.gone.emit(seen)
        elif seen == document.stamp:
            self._reported = ()
        elif self._reported != (path, document.stamp, seen):
            self._reported = (path, document.stamp, seen)
            self.changed.emit(path)

    def asked_about(self) -> None:
        """The person is being asked about the file as it is now: report nothing of that again."""
        path = self._document.path
        if path is None:
            return
        seen = files.look_at(path)
        if isinstance(seen, FileFault):
            self._quiet = True
        else:
            self._reported = (path, self._document.stamp, seen)

    def begin(self) -> None:
        """The file was opened or saved: what happens to it from now on is news."""
        self._reported, self._quiet = (), False

    def stop(self) -> None:
        """The window closes: watch no more."""
        self._settle.stop()
        self._document.filed.disconnect(self._follow)
        if watched := [*self._watcher.files(), *self._watcher.directories()]:
            self._watcher.removePaths(watched)
