"""Make-it-pass panel: the smallest changes of parts with which the rig holds what is wanted of it.

Wanted is the pose shown, a load in a pin hole, that load in every pin hole, or a whole move.  The changes are looked
for in the background and listed least work first, as they come; choosing one changes the rig as one undo step.  The
same load may be asked the other way round: how far out the hook may be with it; choosing a place goes there.
"""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QListWidgetItem, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.fields import ChoiceField, QuantityField
from app.panels.sentence_list import SentenceList
from app.panels.waiting import Waiting
from app.panels.why import filled
from app.panels.widgets import add_button, add_entry_grid, add_row, caption, sentence
from app.workers import worker_tasks
from app.workers.background import Background
from engine.explain.cure_words import cure_words, left_out_words, none_words
from engine.explain.reach_words import beyond_words, reached_words
from engine.planning.longest_reach import LongestReach, Reached
from engine.planning.mend import Cure, Mending
from engine.planning.mend_wanted import Wanted
from engine.rig.feasibility import usable_holes
from engine.schema.model import Job
from engine.shop.edits import REPLACE

LINES_SEEN = 18

WHAT_IT_DOES = (
    "Thicker plates, larger pins, longer or better welds, stronger tubes: one part alone first, then up to four "
    "together, then as many as it takes. Each is judged like the rig itself. Choosing one changes the rig, not the "
    "load or the pose; Undo takes it back."
)
FOUND = "Least work first. Only what is asked for here is judged: look at the load chart after a change."
REACHED = "At the hook height shown, the longest reach first. Choosing one goes there."
SO_FAR = "Those found so far, least work first."
NO_LOAD = "Enter how heavy the load is."
CHANGED = "Something has changed since: look again."

POSE, HOLES, MOVE = "this pose", "every pin hole, with the arms and the fork height of this pose", "move: "


class MakeItPassPanel(QWidget):
    """Changes of parts with which the rig holds what is wanted, and how far out it holds a load."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._asked: tuple[object, ...] = ()
        self._load_kg: float | None = None
        """The load as typed; None for the one that is entered."""
        self._hole: int | None = None
        """The pin hole as chosen; None for that of the pose."""
        self.cures: tuple[Cure, ...] = ()
        self.places: tuple[Reached, ...] = ()
        self.background = Background(self)
        self.background.answered.connect(self._take)
        self.background.partly.connect(self._take_part)
        self.background.failed.connect(lambda why: self.said.setText(f"No change could be worked out: {why}"))
        column = QVBoxLayout(self)
        column.addWidget(caption(WHAT_IT_DOES))
        self._build_wish(column)
        buttons = QHBoxLayout()
        find = "find the smallest changes of parts with which the rig holds this"
        self.find_button = add_button(buttons, "Find the changes", find, self.find)
        far = "find how far out the hook may be with this load"
        self.reach_button = add_button(buttons, "Longest reach", far, self.find_reach)
        buttons.addStretch(1)
        column.addLayout(buttons)
        self.said = sentence("what was found")
        self.list = SentenceList("changes of parts, or places; Enter or a click makes one", LINES_SEEN)
        self.list.itemClicked.connect(self._choose)
        self.list.itemActivated.connect(self._choose)
        self.waiting = Waiting(self.background, "What was asked", has_answer=lambda: bool(self.cures or self.places))
        column.addWidget(self.said)
        column.addWidget(self.waiting)
        column.addWidget(self.list)
        column.addStretch(1)
        self.show_document(document)

    def _build_wish(self, column: QVBoxLayout) -> None:
        grid = add_entry_grid(column)
        self.where = ChoiceField("what the rig shall hold", (POSE,), words=str)
        self.where.entered.connect(lambda _: self.show_document(self._document))
        add_row(grid, "What must hold", self.where)
        self.load = QuantityField("load it shall hold", "mass", "Load")
        self.load.entered.connect(self._enter_load)
        self.load.may_be_empty = True
        self.load.emptied.connect(lambda: self._enter_load(None))
        self.load.refused.connect(self.told)
        add_row(grid, "Load", self.load)
        self.hole = ChoiceField("pin hole it shall hold the load in", (1,), words=str)
        self.hole.entered.connect(self._enter_hole)
        add_row(grid, "Pin hole", self.hole)

    # -------------------------------------------------------- what is wanted

    def _enter_load(self, load_kg: float | None) -> None:
        self._load_kg = load_kg
        self.show_document(self._document)

    def _enter_hole(self, hole: int) -> None:
        self._hole = hole
        self.show_document(self._document)

    @property
    def wanted(self) -> Wanted:
        """What the rig shall do."""
        document, where = self._document, self.where.currentData()
        pose = document.pose
        if self._hole is not None:
            pose = REPLACE(pose, hole=self._hole, free_out_m=None)
        moves = [move for move in document.job.moves if where == MOVE + move.name]
        return Wanted(pose=pose, load_kg=self._load_kg, every_hole=where == HOLES, move=moves[0] if moves else None)

    def find(self) -> None:
        """Look for the changes, in the background."""
        job, wanted = self._document.job, self.wanted
        self._asked = _question(job, wanted)
        self._list("")
        self.background.ask(worker_tasks.mending, job, wanted)

    def find_reach(self) -> None:
        """Look for the longest reach, in the background."""
        job, wanted = self._document.job, self.wanted
        self._asked = _question(job, wanted)
        self._list("")
        load_kg = job.load.mass_kg.best if wanted.load_kg is None else wanted.load_kg
        if load_kg is None:
            self._list(NO_LOAD)
            return
        self.background.ask(worker_tasks.farthest, job, wanted.pose, load_kg)

    def show_document(self, document: Document) -> None:
        """Drop what was found for another rig or wish; fill what there is in the units shown."""
        job, pose, units = document.job, document.pose, document.units
        self.where.set_choices((POSE, HOLES, *(MOVE + move.name for move in job.moves)))
        self.load.set_value(job.load.mass_kg.best if self._load_kg is None else self._load_kg, units)
        holes = usable_holes(job)
        self.hole.set_choices(holes or (1,))
        if self._hole not in holes:
            self._hole = None
        self.hole.set_value(self._hole or pose.hole or (holes or (1,))[0])
        self.hole.setEnabled(self.where.currentData() == POSE)
        if self._asked and self._asked != _question(job, self.wanted):
            self._asked = ()
            self.background.forget()
            self.waiting.clear()
            self._list(CHANGED)
        else:
            self._list(self.said.text(), self.cures, self.places)

    # -------------------------------------------------------- answers

    def _take_part(self, cures: tuple[Cure, ...]) -> None:
        self._list(SO_FAR, cures)

    def _take(self, answer: Mending | LongestReach | None) -> None:
        document = self._document
        if isinstance(answer, LongestReach):
            words = filled(beyond_words(answer), document)
            self._list(f"{REACHED} {words}" if answer.found else words, places=answer.found)
        elif answer is not None:
            words = FOUND if answer.cures else filled(none_words(answer), document)
            self._list(words + left_out_words(answer), answer.cures)

    def _list(self, said: str, cures: tuple[Cure, ...] = (), places: tuple[Reached, ...] = ()) -> None:
        self.cures, self.places, job = cures, places, self._document.job
        rows = [cure_words(cure, job) for cure in cures] or [reached_words(place) for place in places]
        self.list.fill([f"{number}. {filled(row, self._document)}" for number, row in enumerate(rows, start=1)])
        self.said.setText(said)

    def _choose(self, item: QListWidgetItem) -> None:
        document, row = self._document, self.list.row(item)
        if 0 <= row < len(self.cures):
            rig = self.cures[row].job.rig
            document.set_job(REPLACE(document.job, rig=rig), "Change parts so that it passes")
        elif 0 <= row < len(self.places):
            pose = REPLACE(self.places[row].pose, name=document.pose.name)
            document.set_pose(pose, "Go to the longest reach")


def _question(job: Job, wanted: Wanted) -> tuple[object, ...]:
    """All that the answers depend on."""
    parts = (job.truck, job.rig, job.load, job.floors, job.policy, job.approval, job.surroundings, job.stock)
    return (*parts, job.poses, job.answers, wanted)
