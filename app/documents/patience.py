"""Waits for a drive only so long.  A share that hangs holds a thread of its own, never the window.

The system has no time limit for a call on a file: on a network share whose other end is gone it may come back in a
minute or never.  So every call on a person's folder is made on a thread, and after a while it is given up: to the
caller that is the system's own error *timed out*.  While that call is still out, everything else in its folder waits
for it no longer than its own limit after that call began, which soon is not at all.
"""

from __future__ import annotations

import errno
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Generic, TypeVar

from PySide6.QtCore import Qt, QThread
from PySide6.QtGui import QGuiApplication

from engine.base.file_fault import of_kind

Result = TypeVar("Result")

LOOK_S = 2.0
"""Longest wait for a look at a file or for reading one."""

WRITE_S = 10.0
"""Longest wait for a save: a sleeping disk starts within that time."""

UNSEEN_S = 0.2
"""A wait that nobody notices; after it the pointer says that the program waits."""

_out: dict[str, Call[Any]] = {}
"""The call of each folder that was given up and has not come back."""


class Call(Generic[Result]):
    """One piece of work on a thread of its own.

    Parameters
    ----------
    path : Path
        The file or folder that it is about.
    work : callable
        Gets a function that says whether the answer is still wanted; what must not happen late asks it.
    """

    def __init__(self, path: Path, work: Callable[[Callable[[], bool]], Result]) -> None:
        self._folder, self._work = str(path.parent), work
        self._done, self._given_up = threading.Event(), threading.Event()
        self._result: Result | None = None
        self._fault: BaseException | None = None
        self._before = _still_out(self._folder)
        self._began_s = time.monotonic()
        if self._before is None:
            self._start()

    def result(self, limit_s: float) -> Result:
        """What the work returned or raised.

        Raises
        ------
        OSError
            ``ETIMEDOUT`` when it did not come back in time.
        """
        before = self._before
        if before is not None:
            before.wait(limit_s - (time.monotonic() - before._began_s))
            if not before._done.is_set():
                raise of_kind(errno.ETIMEDOUT)
            self._start()
        self.wait(limit_s)
        if not self._done.is_set():
            self._given_up.set()
            _out[self._folder] = self
            raise of_kind(errno.ETIMEDOUT)
        if self._fault is not None:
            raise self._fault
        return self._result  # type: ignore[return-value]

    def wait(self, limit_s: float) -> None:
        """Wait until it is done, no longer than a number of seconds."""
        if limit_s > 0.0 and not self._done.wait(min(UNSEEN_S, limit_s)):
            self._wait_seen(limit_s - UNSEEN_S)

    def _start(self) -> None:
        threading.Thread(target=self._run, name="a call on a file", daemon=True).start()

    def _wait_seen(self, limit_s: float) -> None:
        application = QGuiApplication.instance()
        shown = isinstance(application, QGuiApplication) and QThread.currentThread() is application.thread()
        if shown:
            QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            self._done.wait(max(limit_s, 0.0))
        finally:
            if shown:
                QGuiApplication.restoreOverrideCursor()

    def _run(self) -> None:
        try:
            self._result = self._work(lambda: not self._given_up.is_set())
        except BaseException as fault:
            self._fault = fault
        self._done.set()


def _still_out(folder: str) -> Call[Any] | None:
    """The call in a folder that was given up and has not come back."""
    call = _out.get(folder)
    if call is not None and call._done.is_set():
        del _out[folder]
        return None
    return call


def within(path: Path, limit_s: float, work: Callable[[], Result]) -> Result:
    """What a piece of work on a file returns or raises, or ``ETIMEDOUT`` (an `OSError`) after so many seconds."""
    return Call(path, lambda _wanted: work()).result(limit_s)


def within_all(paths: list[Path], limit_s: float, look: Callable[[Path], Result]) -> list[Result | OSError]:
    """What a look at each of several files returns, or why it did not, all within one limit."""

    def one(path: Path) -> Call[Result]:
        return Call(path, lambda _wanted: look(path))

    calls, until_s = [one(path) for path in paths], time.monotonic() + limit_s
    found: list[Result | OSError] = []
    for call in calls:
        try:
            found.append(call.result(max(until_s - time.monotonic(), 0.0)))
        except OSError as error:
            found.append(error)
    return found
