"""Long sums in a process of their own, so that they never cost a drag a frame; only the latest question counts.

A thread would share the interpreter's lock with the drag; a process does not.  It starts on the first question, not with
the window.  A newer question makes the running one stop at its next look at the counter, and its answer, if it still
comes, is dropped.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import sys
import threading
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, Signal

from engine.base.lazy import lazy

machine_code = lazy("engine.jit.machine_code")

Question = Callable[..., Any]
"""A function of a module (it is sent by name) taking its arguments and, last, ``stop``."""

_counter: Any = None
"""In the working process: the number of the latest question."""

_share: Any = None
"""In the working process: how far the running one has come, from 0 to 1."""


def _begin(counter: Any, share: Any) -> None:
    global _counter, _share  # the one way a pool hands a shared value to its process
    _counter, _share = counter, share
    _stand_back()
    threading.Thread(target=_end_with_the_window, daemon=True).start()


def _stand_back() -> None:
    """Leave the hand that drags a processor: one thread fewer than there are, and the window's process goes first."""
    machine_code.set_thread_count(max(1, (os.cpu_count() or 1) - 1))
    with contextlib.suppress(OSError, AttributeError):  # where a system has no such thing it is done without
        if sys.platform == "win32":
            kernel = ctypes.windll.kernel32
            kernel.GetCurrentProcess.restype = ctypes.c_void_p
            kernel.SetPriorityClass.argtypes = (ctypes.c_void_p, ctypes.c_uint32)
            kernel.SetPriorityClass(kernel.GetCurrentProcess(), BELOW_NORMAL_PRIORITY_CLASS)
        else:
            os.nice(NICER)


NICER = 3
"""How far it steps back (0 to 19): enough for the drag to go first, not so far that a busy computer starves it."""

BELOW_NORMAL_PRIORITY_CLASS = 0x4000
"""As Windows numbers it (processthreadsapi.h)."""


def _end_with_the_window() -> None:
    """End this process when the one with the window has ended, however that was: it would wait for questions for ever."""
    import multiprocessing  # as in ``_shared_pool``; here it is loaded already

    multiprocessing.parent_process().join()
    os._exit(1)


def tell(share: float) -> None:
    """For a question to say how far it has come."""
    _share.value = share


def _answer(number: int, question: Question, arguments: tuple[Any, ...]) -> Any:
    def stop() -> bool:
        return _counter.value != number

    if stop():
        return None
    tell(0.0)
    return question(*arguments, stop)


class Background(QObject):
    """Asks one question at a time; ``answered`` carries the answer to the latest one."""

    answered = Signal(object)
    failed = Signal(str)
    _came = Signal(int, object, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool: Any = None
        self._shared: Any = None
        self._share: Any = None
        self._number = 0
        self._waiting: tuple[Question, tuple[Any, ...]] | None = None
        self._busy = False
        self._came.connect(self._take)

    @property
    def busy(self) -> bool:
        """A question is being worked on or waits."""
        return self._busy

    @property
    def share(self) -> float:
        """How far the running question says it has come, from 0 to 1."""
        return self._share.value if self._share is not None else 0.0

    def ask(self, question: Question, *arguments: Any) -> None:
        """Ask; whatever was asked before is given up."""
        self._number += 1
        self._waiting = (question, arguments)
        if self._shared is not None:
            self._shared.value = self._number
        if not self._busy:
            self._send()

    def forget(self) -> None:
        """Give up whatever was asked."""
        self._number += 1
        self._waiting = None
        if self._shared is not None:
            self._shared.value = self._number

    def _send(self) -> None:
        question, arguments = self._waiting
        self._waiting, self._busy = None, True
        number = self._number
        pool = self._shared_pool()
        self._share.value = 0.0
        pool.submit(_answer, number, question, arguments).add_done_callback(
            lambda future, n=number: self._deliver(n, future)
        )

    def _shared_pool(self) -> Any:
        if self._pool is None:
            # Only on the first question: starting a process pool has no place in the way of the first paint.
            import multiprocessing
            from concurrent.futures import ProcessPoolExecutor

            context = multiprocessing.get_context("spawn")
            self._shared, self._share = context.Value("q", self._number), context.Value("d", 0.0)
            self._pool = ProcessPoolExecutor(1, context, initializer=_begin, initargs=(self._shared, self._share))
        return self._pool

    def _deliver(self, number: int, future: Any) -> None:
        """Runs on the pool's own thread: hand over to the window's."""
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
            self._send()
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
