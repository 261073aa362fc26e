"""Rack panel: the steel that lies there and up to three jobs; the lightest rigs that do them all, each opened as a rig.

Steel and jobs are the open rig's own: they are saved with it, every entry can be undone, and the build sheet's cutting
plan is laid out on the same steel.  The open rig is the pattern: its truck, floors, allowances, sleeves, saddles,
hinges and pins stay (`engine.planning.stock_search`).  The search runs in the background, tells how far it has come,
and can be stopped.
"""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.rack_jobs import RackJobs
from app.panels.rack_steel import RackSteel
from app.panels.rack_words import NOT_COUNTED_WORDS, rig_words, search_words, splice_words, unused_words
from app.panels.sentence_list import SentenceList
from app.panels.waiting import Waiting
from app.panels.widgets import add_button, caption, heading, sentence
from app.workers import worker_tasks
from app.workers.background import Background
from engine.base.errors import TailweightError
from engine.explain import refusals
from engine.planning.stock_search import RackRig, StockSearch
from engine.planning.stock_tubes import tubes_of
from engine.planning.stock_unused import Unused
from engine.schema.model import Job
from engine.schema.validation import checked
from engine.shop.edits import REPLACE

PATTERN_WORDS = (
    "The open rig is the pattern: truck, floors, allowances, sleeves, saddles, hinges and pins stay. Tubes for jib "
    "mast, boom and arms are chosen from the rack, on edge or flat; so are the lengths of boom and arms, and a boom "
    "hole for each job. The build sheet's cutting plan is laid out on the same steel."
)
CHECK_WORDS = (
    "A rig opened from here is a drawing to be checked, with no approval: look at every caution and at its papers "
    "before cutting."
)


class RackPanel(QWidget):
    """Design before cutting steel."""

    told = Signal(str)
    rig_chosen = Signal(object)
    """A whole job somebody wants to open."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._search: StockSearch | None = None
        self._so_far: tuple[RackRig, ...] = ()
        self._unused: tuple[Unused, ...] = ()
        self._asked: tuple[object, ...] = ()
        self.background = Background(self)
        self.background.answered.connect(self._take)
        self.background.partly.connect(self._take_part)
        self.background.stopped.connect(self._stopped)
        self.background.failed.connect(self._fail)
        self.steel, self.jobs = RackSteel(document), RackJobs(document)
        column = QVBoxLayout(self)
        column.addWidget(caption(PATTERN_WORDS))
        for entry in (self.steel, self.jobs):
            entry.told.connect(self.told)
            column.addWidget(entry)
        self._build_search(column)
        column.addStretch(1)

    def _build_search(self, column: QVBoxLayout) -> None:
        column.addWidget(heading("Lightest rigs"))
        self.start_button = add_button(column, "Search", "search for the lightest rigs that do every job", self.start)
        self.said = sentence("what the search says", "Add tubes and jobs, then search.")
        self.waiting = Waiting(self.background, "Search of the rack, lightest first", has_answer=lambda: False)
        column.addWidget(self.said)
        column.addWidget(self.waiting)
        self.list = SentenceList("rigs found, lightest first", 16)
        column.addWidget(self.list)
        self.list.itemActivated.connect(lambda _item: self.open_chosen())
        self.open_button = add_button(column, "Open as a rig", "open the chosen rig", self.open_chosen)
        column.addWidget(caption(CHECK_WORDS))
        self.unused_heading = heading("")
        self.unused = SentenceList("why steel is not used", 14)
        self.splice = sentence("why no spliced boom is offered", "")
        for widget in (self.unused_heading, self.unused, self.splice):
            column.addWidget(widget)
        column.addWidget(caption(NOT_COUNTED_WORDS))

    # -------------------------------------------------------- searching

    @property
    def rigs(self) -> tuple[RackRig, ...]:
        """The rigs listed: those that do every job, lightest first, else the nearest that does not."""
        if self._search is None:
            return self._so_far
        return self._search.rigs or ((self._search.nearest,) if self._search.nearest else ())

    def start(self) -> None:
        """Search the rack, in the background."""
        if not tubes_of(self.steel.stock) or not self.jobs.wanted:
            self.told.emit("Add at least one tube and one job first.")
            return
        job = self._document.committed_job
        self._search, self._so_far, self._unused, self._asked = None, (), (), self._question(job)
        self._list_rigs()
        self.said.setText("")
        self.background.ask(worker_tasks.rack, job)

    def _take_part(self, rigs: tuple[RackRig, ...]) -> None:
        self._so_far = rigs
        self.said.setText("These do every job, and none is lighter than the first. The search goes on for others.")
        self._list_rigs()

    def _stopped(self) -> None:
        if not self._so_far:
            self._asked = ()
        words = "These do every job." if self._so_far else "No rig had been found yet."
        self.said.setText(words)

    def _fail(self, why: str) -> None:
        self._asked = ()
        self.said.setText(f"The search failed: {why}")

    def _question(self, job: Job) -> tuple[object, ...]:
        """All that the rigs depend on; the last three change when one of them is opened."""
        return (job.truck, job.floors, job.policy, job.stock, job.kerf_m, job.wanted, job.rig, job.load, job.poses)

    def _drop_stale(self, job: Job) -> None:
        """Take rigs away that were found from something else; opening one of them is no such change."""
        asked, now = self._asked, self._question(job)
        opened = any(rig.job.rig == job.rig for rig in self.rigs)
        if not asked or asked == now or (opened and asked[:6] == now[:6]):
            return
        self.background.forget()
        self.waiting.clear()
        self._search, self._so_far, self._unused, self._asked = None, (), (), ()
        self._list_rigs()
        self.said.setText("The pattern, the rack or the jobs have changed since: search again.")

    def _take(self, answer: tuple[StockSearch, tuple[Unused, ...]]) -> None:
        self._search, self._unused = answer
        self._list_rigs()

    def _list_rigs(self) -> None:
        units, search = self._document.units, self._search
        self.list.fill([f"{number}. {rig_words(rig, units)}" for number, rig in enumerate(self.rigs, start=1)])
        self.open_button.setEnabled(bool(self.rigs))
        self.unused.fill([unused_words(unused, units) for unused in self._unused])
        self.splice.setText(splice_words(self._unused))
        self.unused_heading.setText(
            "Steel that rig 1 does not use, each tried in its place" if self.rigs else "Why no rig can be cut"
        )
        self.unused_heading.setVisible(bool(self._unused))
        self.splice.setVisible(bool(self.splice.text()))
        if search is not None:
            self.said.setText(search_words(search, units))
            if self.list.currentRow() < 0:
                self.list.setCurrentRow(0 if self.rigs else -1)

    def open_chosen(self) -> None:
        """Hand the chosen rig over to be opened."""
        row = self.list.currentRow()
        if 0 <= row < len(self.rigs):
            job = self.rigs[row].job
            named = REPLACE(job, name=f"{job.name[:100]}, from the rack", units=self._document.units)
            try:
                self.rig_chosen.emit(checked(named))
            except TailweightError as error:
                self.told.emit(refusals.sentence(error, self._document.units))

    # -------------------------------------------------------- showing

    def show_document(self, document: Document) -> None:
        """Entries in the document's units; rigs found from another pattern are taken away."""
        for entry in (self.steel, self.jobs):
            entry.show_entries()
            entry.show_list()
        self._drop_stale(document.committed_job)
        self._list_rigs()
