"""Why a pose is as it is: cause and order at once, the remedy from the background process."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.documents.document import Document
from app.workers import worker_tasks
from app.workers.background import Background
from app.workers.working_process import WorkingProcess
from engine.explain.why import Statement, Why, remedy_of, why
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import Verdict

if TYPE_CHECKING:
    from engine.planning.remedy import Advice, RemedyTrial

FAILED = "No remedy could be worked out; this pick is not to be made like this."


class Reason(QObject):
    """Explains a document; cause and order are worked out once for each job and pose."""

    remedy_came = Signal()
    """A remedy has come for what was asked last, or one more has been tried."""

    def __init__(self, parent: QObject, process: WorkingProcess) -> None:
        super().__init__(parent)
        self._asked: tuple[Job, Pose, Verdict] | None = None
        self._answer: Why | None = None
        self.tried: tuple[RemedyTrial, ...] = ()
        """What was tried so far while there is no remedy yet."""
        self.background = Background(self, process)
        self.background.answered.connect(self._take)
        self.background.partly.connect(self._take_tried)
        self.background.failed.connect(self._fail)

    def __call__(self, document: Document) -> Why:
        """Cause, order and remedy of the pose shown; the remedy is None while it is worked out."""
        job, pose, verdict = document.job, document.pose, document.verdict
        if self._answer is not None and self._is_of(job, pose, verdict):
            return self._answer
        self._asked = (job, pose, verdict)
        answer, self.tried = why(job, pose, verdict), ()
        self._answer = answer
        if answer.remedy is None:
            self.background.ask(worker_tasks.remedy, job, pose)
        else:
            self.background.forget()
        return answer

    def ask_again(self) -> None:
        """Look for a remedy again, after that was stopped."""
        if self._asked is not None:
            job, pose, _ = self._asked
            self._take_tried(())
            self.background.ask(worker_tasks.remedy, job, pose)

    def _take_tried(self, tried: tuple[RemedyTrial, ...]) -> None:
        self.tried = tried
        self.remedy_came.emit()

    def _is_of(self, *now: object) -> bool:
        return self._asked is not None and all(a is b for a, b in zip(now, self._asked, strict=True))

    def _fail(self, _why: str) -> None:
        self._answered(Statement(words=FAILED))

    def _take(self, advice: Advice) -> None:
        self._answered(remedy_of(advice) or Statement(words=FAILED))

    def _answered(self, remedy: Statement) -> None:
        if self._asked is not None:
            self._answer = why(*self._asked, remedy)
            self.remedy_came.emit()
