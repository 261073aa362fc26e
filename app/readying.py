"""In a quiet moment after a rig was opened or edited, its formulas are written out, so that the next drag runs at full speed.

It takes a few tenths of a second, on a thread: the hand is not held up, and nothing shown depends on it.
"""

from __future__ import annotations

import gc
import threading

from PySide6.QtCore import QObject, QTimer

from app.document import Document
from engine import bench
from engine.model import Job, Pose

QUIET_MS = 400
"""How long nothing must have changed."""


class Readying(QObject):
    """Watches one document."""

    def __init__(self, document: Document, parent: QObject) -> None:
        super().__init__(parent)
        self._document = document
        self._timer = QTimer(self, singleShot=True, interval=QUIET_MS)
        self._timer.timeout.connect(self._make)
        self._thread: threading.Thread | None = None
        document.changed.connect(self._wait)
        self._timer.start()

    def close(self) -> None:
        """Watch no longer."""
        self._timer.stop()
        self._document.changed.disconnect(self._wait)

    def _wait(self, _document: Document) -> None:
        self._timer.start()

    def _make(self) -> None:
        if self._document.verdict.doubt is None:
            return  # refused: no formula of it is asked for
        if self._thread is not None and self._thread.is_alive():
            self._timer.start()
            return
        self._thread = threading.Thread(
            target=_make_ready, args=(self._document.job, self._document.pose), name="readying", daemon=True
        )
        self._thread.start()


def _make_ready(job: Job, pose: Pose) -> None:
    """With the collector off: on this thread it would take down what is left of closed windows, which crashes Qt."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        bench.ready(job, pose)
    finally:
        if was_on:
            gc.enable()
