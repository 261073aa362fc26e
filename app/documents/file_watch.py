"""Notices that the open file is no longer what was read from it: changed or removed by something else.

The system's own notice comes when it can (not from every network folder); besides, the window asks whenever it comes to
the front, and saving asks last of all.
"""

from __future__ import annotations

from PySide6.QtCore import QFileSystemWatcher, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication

from app.documents import files
from app.documents.document import Document

SETTLE_MS = 150
"""Programs that save write several times in a row; look when they are through."""


class FileWatch(QObject):
    """Watches the file of one document."""

    changed = Signal()
    """The file holds something else now."""

    gone = Signal()
    """The file is not there any more, or cannot be read."""

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._document = document
        self._told: tuple[object, ...] = ()
        self._watcher = QFileSystemWatcher(self)
        self._settle = QTimer(self, singleShot=True, interval=SETTLE_MS)
        self._settle.timeout.connect(self.look)
        self._watcher.fileChanged.connect(lambda _path: self._settle.start())
        self._watcher.directoryChanged.connect(lambda _path: self._settle.start())
        document.filed.connect(self._follow)
        self._follow()

    def _follow(self) -> None:
        """Watch the file and its folder: a file replaced by a rename is a new one to the system."""
        path = self._document.path
        wanted = [] if path is None else [str(place) for place in (path, path.parent) if place.exists()]
        watched = [*self._watcher.files(), *self._watcher.directories()]
        if old := [place for place in watched if place not in wanted]:
            self._watcher.removePaths(old)
        if new := [place for place in wanted if place not in watched]:
            self._watcher.addPaths(new)

    def look(self) -> None:
        """Compare the file with what was read from it; tell of each change once, and never into a drag."""
        document = self._document
        if document.path is None or document.stamp is None:
            return
        if QGuiApplication.mouseButtons() != Qt.MouseButton.NoButton:
            self._settle.start()
            return
        self._follow()
        document.look_at_file()
        now = files.stamp_of(document.path)
        if now == document.stamp:
            self._told = ()
        elif self._told != (document.path, document.stamp, now):
            self._told = (document.path, document.stamp, now)
            (self.gone if now is None else self.changed).emit()

    def stop(self) -> None:
        """The window closes."""
        self._settle.stop()
        self._document.filed.disconnect(self._follow)
        if watched := [*self._watcher.files(), *self._watcher.directories()]:
            self._watcher.removePaths(watched)
