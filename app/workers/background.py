"""Asks questions of a working process and answers the latest one; what it says meanwhile is passed on.

Newer questions drop older ones, their answers and their parts. A question may be stopped by the person: what has come
so far is then all there is. What is asked step by step waits for its turn at every step, so that others who share the
process come in between.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from PySide6.QtCore import QObject, Signal

from app.workers.answering import Question
from app.workers.working_process import WorkingProcess

MARK_MS = 100
"""Work that takes less is not spoken of."""


class Step(NamedTuple):
    """One of several questions, each of which is answered better than the one before."""

    question: Question
    arguments: tuple[Any, ...]
    work: float
    """How long it takes, in any unit that all steps share."""


class Background(QObject):
    """Asks one question at a time, in a process of its own or in one that it shares."""

    begun = Signal()
    """A question has been asked."""

    partly = Signal(object)
    """All that has come so far of the answer to the latest question: not yet the answer."""

    answered = Signal(object)
    """The answer to the latest question."""

    failed = Signal(str)
    """Why the latest question has no answer."""

    stopped = Signal()
    """The person stopped the latest question before it was answered."""

    ended = Signal()
    """The latest question is answered, has failed, or was given up."""

    def __init__(self, parent: QObject | None = None, process: WorkingProcess | None = None) -> None:
        super().__init__(parent)
        self._process = process or WorkingProcess(self)
        self._asks = False
        self._trying = ""
        self._steps: tuple[Step, ...] = ()
        self._done = 0

    def share_process(self, process: WorkingProcess) -> None:
        """Ask another process from now on, together with others; before the first question."""
        self._process = process

    @property
    def process(self) -> WorkingProcess:
        """The process that is asked."""
        return self._process

    @property
    def busy(self) -> bool:
        """Whether a question is being worked on, even one that was given up, or waits."""
        return self._process.is_busy_for(self)

    @property
    def asks(self) -> bool:
        """Whether the latest question still has no answer and is wanted."""
        return self._asks

    @property
    def has_begun(self) -> bool:
        """Whether the latest question is the one being worked on; other askers' may come first."""
        return self._process.has_begun_for(self)

    @property
    def share(self) -> float:
        """How far the latest question says it has come, from 0 to 1; of several steps, all of them."""
        if not self._steps:
            return 0.0
        share = self._process.share if self._process.has_begun_for(self) else 0.0
        works = [step.work for step in self._steps]
        return (sum(works[: self._done]) + share * works[self._done]) / sum(works)

    @property
    def trying(self) -> str:
        """What is being tried for the latest question, in a few words; empty where it does not say."""
        return self._trying

    def ask(self, question: Question, *arguments: Any) -> None:
        """Ask a question; whatever was asked before is given up."""
        self.ask_in_steps((Step(question, arguments, 1.0),))

    def ask_in_steps(self, steps: tuple[Step, ...]) -> None:
        """Ask one question after another; whatever was asked before is given up.

        The answer to the last of them is the answer, that to each of the others a part of it.
        """
        self._asks, self._steps = True, steps
        self._ask_step(0)
        self.begun.emit()

    def _ask_step(self, number: int) -> None:
        step, self._done, self._trying = self._steps[number], number, ""
        self._process.ask(self, step.question, step.arguments)

    def forget(self) -> None:
        """Give up whatever was asked."""
        self._process.forget(self)
        self._end()

    def stop(self) -> None:
        """Give up what was asked because the person said so; what has come so far stays."""
        if self._asks:
            self.forget()
            self.stopped.emit()

    def _end(self) -> None:
        if self._asks:
            self._asks, self._trying, self._steps = False, "", ()
            self.ended.emit()

    def take(self, answer: object, error: str) -> None:
        """Take the answer to the latest question, or why there is none."""
        if not error and answer is not None and self._done + 1 < len(self._steps):
            steps = self._steps
            self.partly.emit(answer)  # first: the next answer may be there before its question's call is over
            if self._steps is steps:  # nobody stopped it or asked anew
                self._ask_step(self._done + 1)
            return
        self._end()
        if error:
            self.failed.emit(error)
        elif answer is not None:
            self.answered.emit(answer)

    def take_part(self, trying: str, part: object) -> None:
        """Take what is being tried, and all that has come so far; None where that is nothing new."""
        self._trying = trying
        if part is not None:
            self.partly.emit(part)

    def close(self) -> None:
        """Give up what was asked, and end the process unless others share it."""
        self.forget()
        if self._process.parent() is self:
            self._process.close()
