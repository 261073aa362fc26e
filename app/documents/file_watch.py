"""Watches whether something else changes or removes the open file.

The system reports changes where it can, which is not in every network folder. So the window also looks whenever it
comes to the front, and saving looks once more.
"""

from __future__ import annotations

from PySide6.QtCore import QFileSystemWatcher, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication

from app.documents import files
from app.documents.document import Document

SETTLE_MS = 150
"""A program that saves writes several times in a row; wait until it has finished."""


class FileWatch(QObject):
    """Watches the file of one document."""

    changed = Signal(object)
    """The file (its path) holds something else now."""

    gone = Signal(object)
    """The file (its path) is not there any more, or cannot be read."""

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._document = document
        self._reported: tuple[object, ...] = ()
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
        wanted = [] if path is None else [str(place) for place in (path, path.parent) if place.exists()]
        watched = [*self._watcher.files(), *self._watcher.directories()]
        if old := [place for place in watched if place not in wanted]:
            self._watcher.removePaths(old)
        if new := [place for place in wanted if place not in watched]:
            self._watcher.addPaths(new)

    def look(self) -> None:
        """Compare the file with what was read from it; report each change once, and never during a drag."""
        document, path = self._document, self._document.path
        if path is None or document.stamp is None:
            return
        if QGuiApplication.mouseButtons() != Qt.MouseButton.NoButton:
            self._settle.start()
            return
        self._follow()
        document.look_at_file()
        now = files.stamp_of(path)
        if now == document.stamp:
            self._reported = ()
        elif self._reported != (path, document.stamp, now):
            self._reported = (path, document.stamp, now)
            (self.gone if now is None else self.changed).emit(path)

    def stop(self) -> None:
        """The window closes: watch no more."""
        self._settle.stop()
        self._document.filed.disconnect(self._follow)
        if watched := [*self._watcher.files(), *self._watcher.directories()]:
            self._watcher.removePaths(watched)
