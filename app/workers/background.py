"""Long computations in a process of their own, so that they cost a drag no frame; only the latest question counts.

A thread would share the interpreter's lock with the drag; a process does not. It starts with the first question, not
with the window. A newer question makes the running one stop when it next looks at the counter; its answer, if it still
comes, is dropped. The process keeps the rig it was asked about before (`app.workers.known_parts`).
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import sys
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from app.workers.known_parts import KnownParts
from engine.base.lazy import lazy

if TYPE_CHECKING:
    import multiprocessing
    from concurrent import futures
    from concurrent.futures import Future, ProcessPoolExecutor

    from engine.jit import machine_code
else:
    # Not before the first question: a process pool takes its time to load.
    multiprocessing, futures = lazy("multiprocessing"), lazy("concurrent.futures")
    machine_code = lazy("engine.jit.machine_code")

Question = Callable[..., Any]
"""A module's function (it is sent by name); takes its arguments and, last, ``stop``, which says whether to give up."""

_counter: Any = None
"""In the background process: the number of the latest question."""

_share: Any = None
"""In the background process: how far the running question has come, from 0 to 1."""

_known = KnownParts()
"""In the background process: what the last question was about, so that what it taught is used again."""


def _begin(counter: Any, share: Any) -> None:
    global _counter, _share  # a pool hands shared values to its process in no other way
    _counter, _share = counter, share
    _yield_to_the_window()
    threading.Thread(target=_end_with_the_window, daemon=True).start()


def _yield_to_the_window() -> None:
    """Leave the drag a processor: use one thread fewer than there are, and let the window's process go first."""
    machine_code.set_thread_count(max(1, (os.cpu_count() or 1) - 1))
    with contextlib.suppress(OSError, AttributeError):  # some systems have no priorities
        if sys.platform == "win32":
            kernel = ctypes.windll.kernel32
            kernel.GetCurrentProcess.restype = ctypes.c_void_p
            kernel.SetPriorityClass.argtypes = (ctypes.c_void_p, ctypes.c_uint32)
            kernel.SetPriorityClass(kernel.GetCurrentProcess(), BELOW_NORMAL_PRIORITY_CLASS)
        else:
            os.nice(NICER)


NICER = 3
"""By how much the priority is lowered (0 to 19): the drag goes first, but a busy computer does not starve it."""

BELOW_NORMAL_PRIORITY_CLASS = 0x4000
"""As Windows numbers it (processthreadsapi.h)."""


def _end_with_the_window() -> None:
    """End this process when the window's process has ended, however it did; it would wait for questions for ever."""
    window = multiprocessing.parent_process()
    if window is not None:
        window.join()
    os._exit(1)


def tell(share: float) -> None:
    """Say how far a question has come, from 0 to 1; for the question's own function."""
    _share.value = share


def _answer(number: int, question: Question, arguments: tuple[Any, ...]) -> Any:
    def stop() -> bool:
        return _counter.value != number

    if stop():
        return None
    tell(0.0)
    return question(*_known.swapped(arguments), stop)


class Background(QObject):
    """Asks one question at a time, and answers the latest one."""

    answered = Signal(object)
    """The answer to the latest question."""

    failed = Signal(str)
    """Why the latest question has no answer."""

    _came = Signal(int, object, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool: ProcessPoolExecutor | None = None
        self._shared: Any = None
        self._share: Any = None
        self._number = 0
        self._waiting: tuple[Question, tuple[Any, ...]] | None = None
        self._busy = False
        self._came.connect(self._take)

    @property
    def busy(self) -> bool:
        """Whether a question is being worked on or waits."""
        return self._busy

    @property
    def share(self) -> float:
        """How far the running question says it has come, from 0 to 1."""
        return self._share.value if self._share is not None else 0.0

    def ask(self, question: Question, *arguments: Any) -> None:
        """Ask a question; whatever was asked before is given up."""
        self.forget()
        if self._busy:
            self._waiting = (question, arguments)
        else:
            self._send(question, arguments)

    def forget(self) -> None:
        """Give up whatever was asked."""
        self._number += 1
        self._waiting = None
        if self._shared is not None:
            self._shared.value = self._number

    def _send(self, question: Question, arguments: tuple[Any, ...]) -> None:
        self._waiting, self._busy = None, True
        number = self._number
        pool = self._running_pool()
        self._share.value = 0.0
        pool.submit(_answer, number, question, arguments).add_done_callback(
            lambda future, n=number: self._deliver(n, future)
        )

    def _running_pool(self) -> ProcessPoolExecutor:
        pool = self._pool
        if pool is None:
            context = multiprocessing.get_context("spawn")
            self._shared, self._share = context.Value("q", self._number), context.Value("d", 0.0)
            shared = (self._shared, self._share)
            pool = self._pool = futures.ProcessPoolExecutor(1, context, initializer=_begin, initargs=shared)
        return pool

    def _deliver(self, number: int, future: Future[Any]) -> None:
        """Hand an answer over to the window's thread; runs on the pool's own thread."""
        if future.cancelled():
            return
        error = future.exception()
        try:
            self._came.emit(
                number, None if error else future.result(), "" if error is None else str(error) or type(error).__name__
            )
        except RuntimeError:
            return  # the window is gone

    def _take(self, number: int, answer: object, error: str) -> None:
        self._busy = False
        if self._waiting is not None:
            self._send(*self._waiting)
        elif number == self._number:
            if error:
                self.failed.emit(error)
            elif answer is not None:
                self.answered.emit(answer)

    def close(self) -> None:
        """End the process."""
        self.forget()
        if self._pool is not None:
            self._pool.shutdown(wait=False, cancel_futures=True)
            self._pool = None
