"""Make-it-pass panel: the smallest changes of parts that bring the pose shown within its limits.

They are looked for in the background and listed least work first, as they come; choosing one changes the rig as one
undo step.
"""

from __future__ import annotations

from PySide6.QtWidgets import QListWidgetItem, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.sentence_list import SentenceList
from app.panels.waiting import Waiting
from app.panels.why import filled
from app.panels.widgets import add_button, caption, sentence
from app.workers import worker_tasks
from app.workers.background import Background
from engine.explain.cure_words import cure_words, none_words
from engine.planning.mend import Cure, Mending
from engine.schema.model import Job, Pose
from engine.shop.edits import REPLACE

LINES_SEEN = 18

WHAT_IT_DOES = (
    "Thicker plates, larger pins, longer or better welds, stronger tubes: one part alone first, then up to four "
    "together. Each is judged like the rig itself, in this pose with this load. Choosing one changes the rig; Undo "
    "takes it back."
)
FOUND = "Least work first. Other poses are not judged here: look at the load chart after a change."
SO_FAR = "Those found so far, least work first."
CHANGED = "Something has changed since: look again."


class MakeItPassPanel(QWidget):
    """Changes of parts that cure the pose shown."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._asked: tuple[object, ...] = ()
        self.cures: tuple[Cure, ...] = ()
        self.background = Background(self)
        self.background.answered.connect(self._take)
        self.background.partly.connect(self._take_part)
        self.background.failed.connect(lambda why: self.said.setText(f"No change could be worked out: {why}"))
        column = QVBoxLayout(self)
        column.addWidget(caption(WHAT_IT_DOES))
        find = "find the smallest changes of parts that bring this pose within its limits"
        self.find_button = add_button(column, "Find the changes", find, self.find)
        self.said = sentence("what was found")
        self.list = SentenceList("changes of parts; Enter or a click makes one", LINES_SEEN)
        self.list.itemClicked.connect(self._choose)
        self.list.itemActivated.connect(self._choose)
        self.waiting = Waiting(self.background, "Changes of parts", has_answer=lambda: bool(self.cures))
        column.addWidget(self.said)
        column.addWidget(self.waiting)
        column.addWidget(self.list)
        column.addStretch(1)

    def find(self) -> None:
        """Look for the changes, in the background."""
        job, pose = self._document.job, self._document.pose
        self._asked = _question(job, pose)
        self._list((), "")
        self.background.ask(worker_tasks.mending, job, pose)

    def show_document(self, document: Document) -> None:
        """Drop what was found for another rig or pose; fill what there is in the units shown."""
        if self._asked and self._asked != _question(document.job, document.pose):
            self._asked = ()
            self.background.forget()
            self.waiting.clear()
            self._list((), CHANGED)
        else:
            self._list(self.cures, self.said.text())

    def _take_part(self, cures: tuple[Cure, ...]) -> None:
        self._list(cures, SO_FAR)

    def _take(self, mending: Mending) -> None:
        self._list(mending.cures, FOUND if mending.cures else filled(none_words(mending), self._document))

    def _list(self, cures: tuple[Cure, ...], said: str) -> None:
        self.cures, job = cures, self._document.job
        self.list.fill(
            [f"{number}. {filled(cure_words(cure, job), self._document)}" for number, cure in enumerate(cures, start=1)]
        )
        self.said.setText(said)

    def _choose(self, item: QListWidgetItem) -> None:
        row = self.list.row(item)
        if 0 <= row < len(self.cures):
            rig = self.cures[row].job.rig
            self._document.set_job(REPLACE(self._document.job, rig=rig), "Change parts so that it passes")


def _question(job: Job, pose: Pose) -> tuple[object, ...]:
    """All that the changes depend on."""
    parts = (job.truck, job.rig, job.load, job.floors, job.policy, job.approval, job.surroundings, job.stock)
    return (*parts, job.answers, pose)
