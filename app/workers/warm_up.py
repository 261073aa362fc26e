"""Soon after a rig was opened or edited its formulas are made machine code of, so that drags run at full speed.

It takes about a second, on a thread: the hand is not held up, and nothing shown depends on it.  A pose that is dragged
meanwhile does not put it off, an edit of the rig does.  The collector rests meanwhile: it would run on whichever thread
makes objects, and on that one it would take down what is left of closed windows.  Qt's objects must go on their own
thread, or their timers fire into nothing.
"""

from __future__ import annotations

import gc
import threading

from PySide6.QtCore import QObject, QTimer

from app.documents.document import Document
from engine.schema.model import Job, Pose
from engine.worst_case import evaluator

QUIET_MS = 400
"""How long the rig must not have changed."""

LOOK_MS = 50
"""How often it is looked whether the thread has finished."""


class WarmUp(QObject):
    """Watches one document."""

    def __init__(self, document: Document, parent: QObject) -> None:
        super().__init__(parent)
        self._document = document
        self._timer = QTimer(self, singleShot=True, interval=QUIET_MS)
        self._timer.timeout.connect(self._make)
        self._parts: tuple[object, ...] = ()
        document.changed.connect(self._wait)
        self._wait(document)

    def close(self) -> None:
        """Watch no longer."""
        self._timer.stop()
        self._document.changed.disconnect(self._wait)

    def _wait(self, document: Document) -> None:
        job = document.job
        parts = (job.truck, job.rig, job.load, job.policy, job.approval, *(arm.fitted for arm in document.pose.arms))
        if len(parts) != len(self._parts) or any(
            one is not other for one, other in zip(parts, self._parts, strict=True)
        ):
            self._parts = parts
            self._timer.start()

    def _make(self) -> None:
        if self._document.verdict.worst_case is None:
            self._parts = ()  # refused: no formula of it is asked for, but another pose may be possible
            return
        if not _WORKER.take(self._document.job, self._document.pose):
            self._timer.start()


class _Worker:
    """The one thread there is at a time, whichever window it works for; everything here but its work is on the main thread."""

    def __init__(self) -> None:
        self._thread: threading.Thread | None = None

    def take(self, job: Job, pose: Pose) -> bool:
        """Start on a rig; False while another is being worked on."""
        if self._thread is not None:
            return False
        self._collects = gc.isenabled()
        gc.disable()
        self._thread = threading.Thread(target=evaluator.record_ahead, args=(job, pose), name="readying")
        self._thread.start()
        QTimer.singleShot(LOOK_MS, self._look)
        return True

    def _look(self) -> None:
        if self._thread.is_alive():
            QTimer.singleShot(LOOK_MS, self._look)
            return
        self._thread = None
        if self._collects:
            gc.enable()


_WORKER = _Worker()
