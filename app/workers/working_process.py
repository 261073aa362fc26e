"""A process for long computations, so that they cost a drag no frame; it answers one question at a time.

A thread would share the interpreter's lock with the drag; a process does not. It starts with the first question, not
with the window, and keeps the rig it was asked about before (`app.workers.known_parts`).

Several askers may share one. Of each only the newest question counts: it makes the asker's running one stop when it
next looks, and the answer and the parts of that one are dropped. Other askers' questions wait for their turn.
"""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, Any, Protocol

from PySide6.QtCore import QObject, QTimer, Signal

from app.workers import answering
from app.workers.answering import Question
from engine.base.lazy import lazy

if TYPE_CHECKING:
    import multiprocessing
    from concurrent import futures
    from concurrent.futures import Future, ProcessPoolExecutor
    from multiprocessing.connection import Connection
else:
    # Not before the first question: a process pool takes its time to load.
    multiprocessing, futures = lazy("multiprocessing"), lazy("concurrent.futures")

LOOK_MS = 30
"""How often to look for parts of an answer while a question is worked on."""

GIVEN_UP = 0
"""The number of no question: the running one is to stop."""


class Asker(Protocol):
    """Who asks questions and is handed their answers."""

    def take(self, answer: object, error: str) -> None:
        """Take the answer to the newest question, or why there is none."""
        ...

    def take_part(self, trying: str, part: object) -> None:
        """Take what is being tried, and all that has come so far; None where that is nothing new."""
        ...


class WorkingProcess(QObject):
    """Answers the newest question of each asker, one after the other."""

    _came = Signal(int, object, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool: ProcessPoolExecutor | None = None
        self._allowed: Any = None
        self._share: Any = None
        self._parts: Connection | None = None
        self._number = GIVEN_UP
        self._running: Asker | None = None
        self._waiting: dict[Asker, tuple[Question, tuple[Any, ...]]] = {}
        self._came.connect(self._take)
        self._is_broken = False
        self._look_again = QTimer(self, interval=LOOK_MS)
        self._look_again.timeout.connect(self._look)

    def is_busy_for(self, asker: Asker) -> bool:
        """Whether a question of an asker is being worked on, even one that was given up, or waits."""
        return asker is self._running or asker in self._waiting

    def has_begun_for(self, asker: Asker) -> bool:
        """Whether the newest question of an asker is the one being worked on."""
        return asker is self._running and self._allowed.value != GIVEN_UP

    @property
    def share(self) -> float:
        """How far the running question says it has come, from 0 to 1."""
        return self._share.value if self._share is not None else 0.0

    @property
    def identifiers(self) -> tuple[int, ...]:
        """The system's number of the process, once there is one."""
        return () if self._pool is None else tuple(self._pool._processes)

    def ask(self, asker: Asker, question: Question, arguments: tuple[Any, ...]) -> None:
        """Ask a question; whatever the same asker asked before is given up."""
        self.forget(asker)
        self._waiting[asker] = (question, arguments)
        self._ask_next()

    def forget(self, asker: Asker) -> None:
        """Give up whatever an asker asked."""
        self._waiting.pop(asker, None)
        if asker is self._running:
            self._allowed.value = GIVEN_UP

    def _ask_next(self) -> None:
        if self._running is not None or not self._waiting:
            return
        asker = self._running = next(iter(self._waiting))
        question, arguments = self._waiting.pop(asker)
        pool = self._running_pool()
        self._number += 1
        number = self._allowed.value = self._number
        self._share.value = 0.0
        self._look_again.start()
        pool.submit(answering.answer, number, question, arguments).add_done_callback(
            lambda future, n=number: self._deliver(n, future)
        )

    def _running_pool(self) -> ProcessPoolExecutor:
        pool = self._pool
        if pool is None:
            context = multiprocessing.get_context("spawn")
            self._allowed, self._share = context.Value("q", GIVEN_UP), context.Value("d", 0.0)
            self._parts, pipe = context.Pipe(duplex=False)
            given = (self._allowed, self._share, pipe)
            pool = self._pool = futures.ProcessPoolExecutor(1, context, initializer=answering.begin, initargs=given)
        return pool

    def _deliver(self, number: int, future: Future[Any]) -> None:
        """Hand an answer over to the window's thread; runs on the pool's own thread."""
        if future.cancelled():
            return
        error = future.exception()
        self._is_broken |= isinstance(error, futures.BrokenExecutor)
        try:
            self._came.emit(
                number, None if error else future.result(), "" if error is None else str(error) or type(error).__name__
            )
        except RuntimeError:
            return  # the window is gone

    def _look(self) -> None:
        """Pass on the newest part that has come, if it belongs to the question that may go on."""
        newest, words = None, None
        with contextlib.suppress(EOFError, OSError):  # the process has ended: its question fails by itself
            while self._parts is not None and self._parts.poll():
                number, trying, part = self._parts.recv()
                if number == self._allowed.value:
                    words, newest = trying, newest if part is None else part
        if self._running is not None and words is not None:
            self._running.take_part(words, newest)

    def _take(self, number: int, answer: object, error: str) -> None:
        if number != self._number:
            return
        self._look_again.stop()
        asker, self._running = self._running, None
        wanted = self._allowed.value == number
        self._allowed.value = GIVEN_UP
        self._look()  # empties the pipe: what came before the answer is of no use any more
        if self._is_broken:
            self._end_process()  # the next question starts another
        self._ask_next()
        if wanted and asker is not None:
            asker.take(answer, error)

    def close(self) -> None:
        """End the process."""
        self._waiting.clear()
        self._look_again.stop()
        self._running = None
        self._end_process()

    def _end_process(self) -> None:
        if self._pool is not None and self._parts is not None:
            self._allowed.value = GIVEN_UP
            self._pool.shutdown(wait=False, cancel_futures=True)
            self._parts.close()  # or the process might wait for somebody to read what it has to say
            self._pool, self._parts, self._is_broken = None, None, False
