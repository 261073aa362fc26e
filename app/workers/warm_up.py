"""Compiles the formulas of a rig soon after it was opened or edited, so that drags run at full speed.

That takes about a second, on a thread: it delays no drag, and nothing shown depends on it. Dragging a pose meanwhile
does not put it off; editing the rig does. Python's garbage collection is off meanwhile: it runs on whichever thread
makes objects, and on this one it would delete what is left of closed windows. Qt's objects must be deleted on the
thread they belong to, or their timers fire into freed memory.
"""

from __future__ import annotations

import gc
import threading

from PySide6.QtCore import QObject, QTimer

from app.documents.document import Document
from engine.schema.model import Job, Pose
from engine.worst_case import evaluator

QUIET_MS = 400
"""The rig must not have changed for so long."""

LOOK_MS = 50
"""How often to look whether the thread has finished."""


class WarmUp(QObject):
    """Has the formulas of one document's rig compiled."""

    def __init__(self, document: Document, parent: QObject) -> None:
        super().__init__(parent)
        self._document = document
        self._timer = QTimer(self, singleShot=True, interval=QUIET_MS)
        self._timer.timeout.connect(self._start)
        self._parts: tuple[object, ...] = ()
        document.changed.connect(self._wait)
        self._wait(document)

    def close(self) -> None:
        """Watch the document no more."""
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

    def _start(self) -> None:
        if self._document.verdict.worst_case is None:
            self._parts = ()  # refused: none of its formulas is used, but another pose may be possible
            return
        if not _WORKER.start(self._document.job, self._document.pose):
            self._timer.start()


class _Worker:
    """The one thread that compiles, whichever window it works for; only the compiling runs on it."""

    def __init__(self) -> None:
        self._thread: threading.Thread | None = None
        self._collects = False

    def start(self, job: Job, pose: Pose) -> bool:
        """Start on a rig; False while another one is being compiled."""
        if self._thread is not None:
            return False
        self._collects = gc.isenabled()
        gc.disable()
        self._thread = threading.Thread(target=evaluator.record_ahead, args=(job, pose), name="warm-up")
        self._thread.start()
        QTimer.singleShot(LOOK_MS, self._look)
        return True

    def _look(self) -> None:
        if self._thread is not None and self._thread.is_alive():
            QTimer.singleShot(LOOK_MS, self._look)
            return
        self._thread = None
        if self._collects:
            gc.enable()


_WORKER = _Worker()
