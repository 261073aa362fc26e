"""Rack panel: tubes that lie there and up to three jobs; the lightest rigs that do them all, each opened as a rig.

The open rig is the pattern: its truck, floors, allowances, sleeves, hinges, pins and arm lengths stay (``engine.rack``).
The search runs in the background, tells how far it has come, and can be stopped.
"""

from __future__ import annotations

import math

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app import questions
from app.background import Background
from app.document import Document
from app.panels.aim import used_words
from app.panels.fields import ChoiceField, QuantityField, TextField, caption, heading
from app.panels.rows import Rows
from engine.edits import REPLACE
from engine.errors import TailweightError
from engine.model import Estimate, Job
from engine.rack import JOBS_AT_MOST, Done, Found, Search, Tube, Want
from engine.sections import RectTube, RoundTube
from engine.shown import System, show
from engine.stock_sizes import RECT_TUBES, ROUND_TUBES, name_of_size
from engine.valid import checked

TYPED_RECT, TYPED_ROUND = "typed: square or flat", "typed: round"
SIZES: dict[str, RectTube | RoundTube] = {**RECT_TUBES, **ROUND_TUBES}
START_SIZE, START_LENGTH_M = "100 x 100 x 6 mm", 6.0
"""What the entry for a tube starts with; nothing lies on the rack before it is added."""

KNOWN = ("guess", "similar", "worked_out", "papers", "weighed")
PROGRESS_MS = 200
LONGEST_M, HEAVIEST_KG = 50.0, 200_000.0
"""As the rig files have them."""


class RackPanel(QWidget):
    """Design before cutting steel."""

    told = Signal(str)
    made = Signal(object)
    """A whole job somebody wants to open."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.tubes: tuple[Tube, ...] = ()
        self.wants: tuple[Want, ...] = ()
        self._tube_values: dict[str, float] = {"length": START_LENGTH_M}
        self._want_values: dict[str, float] = {}
        self._search: Search | None = None
        self._asked: tuple[object, ...] = ()
        self.background = Background(self)
        self.background.answered.connect(self._take)
        self.background.failed.connect(self._fail)
        self._progress = QTimer(self, interval=PROGRESS_MS)
        self._progress.timeout.connect(self._show_progress)
        self.fields: dict[str, QuantityField] = {}
        column = QVBoxLayout(self)
        column.addWidget(caption("The open rig is the pattern: truck, floors, allowances, sleeves, hinges, pins and arm lengths stay. Tubes for jib mast, boom and arms are chosen from the rack."))
        self._build_tubes(column)
        self._build_jobs(column)
        self._build_search(column)
        column.addStretch(1)
        self._pick_size(START_SIZE)

    # -------------------------------------------------------- building

    def _build_tubes(self, column: QVBoxLayout) -> None:
        column.addWidget(heading("Tubes on the rack"))
        self.size = ChoiceField("size of the tube", (*SIZES, TYPED_RECT, TYPED_ROUND))
        self.size.entered.connect(self._pick_size)
        column.addWidget(caption("Common size, width before depth", self.size))
        column.addWidget(self.size)
        grid = _grid(column)
        for name, label in (("width", "Width, across"), ("depth", "Depth, upright"), ("diameter", "Diameter"), ("wall", "Wall"), ("length", "Length")):
            self._field(grid, f"tube {name}", label, "length", lambda value, n=name: self._enter_tube(n, value))
        self.condition = ChoiceField("condition of the tube", ("good", "rusty", "bent"))
        _row(grid, "Condition", self.condition)
        column.addWidget(caption("Rusty counts a millimetre less wall; bent is not used. The steel counts as unknown."))
        self.add_tube = _button(column, "Add to the rack", "add this tube to the rack", self._add_tube)
        self.tube_list = _list(column, "tubes on the rack", 6)
        self.remove_tube = _button(column, "Take off the rack", "take the chosen tube off the rack", self._remove_tube)

    def _build_jobs(self, column: QVBoxLayout) -> None:
        column.addWidget(heading("Jobs it must do (up to three)"))
        grid = _grid(column)
        self.job_name = TextField("name of the job")
        _row(grid, "Name", self.job_name)
        for name, label, kind in (
            ("load", "Load", "mass"), ("rigging", "Rigging", "mass"), ("height", "Hook height", "length"), ("reach", "Ahead of fork face", "length"),
        ):  # fmt: skip
            self._field(grid, f"job {name}", label, kind, lambda value, n=name: self._enter_want(n, value))
            self.fields[f"job {name}"].set_empty_words("enter it")
        self.known = ChoiceField("how the load is known", KNOWN)
        _row(grid, "Load known by", self.known)
        self.add_job = _button(column, "Add this job", "add this job", self._add_want)
        self.job_list = _list(column, "jobs wanted", 10)
        self.remove_job = _button(column, "Remove the job", "remove the chosen job", self._remove_want)

    def _build_search(self, column: QVBoxLayout) -> None:
        column.addWidget(heading("Lightest rigs"))
        self.find = _button(column, "Search", "search for the lightest rigs that do every job", self.start)
        self.stop = _button(column, "Stop", "stop the search", self.stop_search)
        self.stop.setEnabled(False)
        self.said = QLabel("Add tubes and jobs, then search.")
        self.said.setWordWrap(True)
        self.said.setAccessibleName("what the search says")
        column.addWidget(self.said)
        self.list = _list(column, "rigs found, lightest first", 16)
        self.list.itemActivated.connect(lambda _item: self.open_chosen())
        self.open = _button(column, "Open as a rig", "open the chosen rig", self.open_chosen)
        column.addWidget(caption("A rig opened from here is a drawing to be checked, with no approval: look at every caution and at its papers before cutting."))

    def _field(self, grid: QGridLayout, name: str, label: str, kind: str, act: object) -> None:
        field = QuantityField(name, kind, label)
        field.entered.connect(act)
        field.refused.connect(self.told)
        self.fields[name] = field
        _row(grid, label, field)

    # -------------------------------------------------------- tubes

    def _pick_size(self, name: str) -> None:
        size = SIZES.get(name)
        if isinstance(size, RoundTube):
            self._tube_values |= {"diameter": size.diameter_m, "wall": size.wall_m}
        elif size is not None:
            self._tube_values |= {"width": size.width_m, "depth": size.depth_m, "wall": size.wall_m}
        self.size.set_value(name)
        self._show_entries()

    def _enter_tube(self, name: str, value: float) -> None:
        if not 0.0 < value <= LONGEST_M:
            self.fields[f"tube {name}"].refuse(f"{name.capitalize()}: enter more than nothing, and no more than {show(LONGEST_M, 'length', self._document.units)}.")
            return
        self._tube_values[name] = value
        if name != "length":
            self.size.set_value(self._named_size() or (TYPED_ROUND if self._round else TYPED_RECT))
        self._show_entries()

    @property
    def _round(self) -> bool:
        name = self.size.currentData()
        return name == TYPED_ROUND or isinstance(SIZES.get(name), RoundTube)

    def _section(self) -> RectTube | RoundTube:
        """The section entered; raises ``ValueError`` where there is no such tube, ``KeyError`` where a size is missing."""
        sizes = self._tube_values
        if self._round:
            return RoundTube(diameter_m=sizes["diameter"], wall_m=sizes["wall"])
        return RectTube(width_m=sizes["width"], depth_m=sizes["depth"], wall_m=sizes["wall"])

    def _named_size(self) -> str | None:
        try:
            return name_of_size(self._section())
        except (ValueError, KeyError):
            return None

    def _add_tube(self) -> None:
        try:
            section = self._section()
        except (ValueError, KeyError) as error:
            self.told.emit(f"This is no tube: {error}" if isinstance(error, ValueError) else f"Enter the {error.args[0]} of the tube first.")
            return
        length_m, condition = self._tube_values["length"], self.condition.currentData()
        number = 1 + max((int(tube.name.split(":")[0]) for tube in self.tubes), default=0)
        name = f"{number}: {self._named_size() or section_words(section, self._document.units)}"
        self.tubes = (*self.tubes, Tube(name=name, section=section, length_m=length_m, condition=condition))
        self._show_lists()
        self.tube_list.setCurrentRow(len(self.tubes) - 1)

    def _remove_tube(self) -> None:
        row = self.tube_list.currentRow()
        self.tubes = tuple(tube for index, tube in enumerate(self.tubes) if index != row)
        self._show_lists()

    # -------------------------------------------------------- jobs wanted

    def _enter_want(self, name: str, value: float) -> None:
        most, kind = (HEAVIEST_KG, "mass") if name in ("load", "rigging") else (LONGEST_M, "length")
        if not (0.0 <= value <= most if name == "rigging" else 0.0 < value <= most):
            self.fields[f"job {name}"].refuse(f"{name.capitalize()}: enter more than nothing, and no more than {show(most, kind, self._document.units)}.")
            return
        self._want_values[name] = value
        self._show_entries()

    def _add_want(self) -> None:
        values = {"rigging": self._document.job.load.rigging_kg.best, **self._want_values}
        missing = [name for name in ("load", "height", "reach") if name not in values]
        if missing:
            self.told.emit(f"Enter the {' and the '.join(missing)} of the job first.")
            return
        if len(self.wants) == JOBS_AT_MOST:
            self.told.emit("Three jobs at most: remove one first.")
            return
        name = " ".join(self.job_name.text().split())[:80] or f"job {len(self.wants) + 1}"
        if any(want.name == name for want in self.wants):
            self.told.emit(f"There is a job called {name} already: give this one another name.")
            return
        want = Want(
            name=name,
            load_kg=Estimate(best=values["load"], known=self.known.currentData()),
            rigging_kg=values["rigging"],
            hook_height_m=values["height"],
            ahead_of_face_m=values["reach"],
        )
        self.wants = (*self.wants, want)
        self.job_name.clear()
        self._show_lists()
        self.job_list.setCurrentRow(len(self.wants) - 1)

    def _remove_want(self) -> None:
        row = self.job_list.currentRow()
        self.wants = tuple(want for index, want in enumerate(self.wants) if index != row)
        self._show_lists()

    # -------------------------------------------------------- searching

    @property
    def found(self) -> tuple[Found, ...]:
        """The rigs listed: those that do every job, else the nearest that does not."""
        if self._search is None:
            return ()
        return self._search.found or ((self._search.nearest,) if self._search.nearest else ())

    def start(self) -> None:
        """Search the rack, in the background."""
        if not self.tubes or not self.wants:
            self.told.emit("Add at least one tube and one job first.")
            return
        job = self._document.committed_job
        self._search, self._asked = None, self._question(job)
        self._list_found()
        self.said.setText("Searching...")
        self.stop.setEnabled(True)
        self._progress.start()
        self.background.ask(questions.rack, job, self.tubes, self.wants)

    def stop_search(self) -> None:
        """Give the search up."""
        self.background.forget()
        self._asked = ()
        self._end("Stopped. Nothing is listed, for a search that is not finished has not found the lightest.")

    def _end(self, words: str) -> None:
        self._progress.stop()
        self.stop.setEnabled(False)
        self.said.setText(words)

    def _fail(self, why: str) -> None:
        self._asked = ()
        self._end(f"The search failed: {why}")

    def _question(self, job: Job) -> tuple[object, ...]:
        return (job.truck, job.floors, job.policy, self.tubes, self.wants, job.rig, job.load, job.poses)

    def _drop_stale(self) -> None:
        """Take rigs away that were found from something else; opening one of them is no such change."""
        job = self._document.committed_job
        asked, now = self._asked, self._question(job)
        opened = any(found.job.rig == job.rig for found in self.found)
        if not asked or asked == now or (opened and asked[:5] == now[:5]):
            return
        self.background.forget()
        self._search, self._asked = None, ()
        self._list_found()
        self._end("The pattern, the rack or the jobs have changed since: search again.")

    def _show_progress(self) -> None:
        share = self.background.share
        looked = f"{show(share, 'share', 'metric')} of the rigs that can be cut looked at." if share else "Which rigs can be cut is being made out."
        self.said.setText(f"Searching... {looked}")

    def _take(self, search: Search) -> None:
        self._search = search
        self._list_found()

    def _list_found(self) -> None:
        units, search = self._document.units, self._search
        self.list.fill([f"{number}. {found_words(found, units)}" for number, found in enumerate(self.found, start=1)])
        self.open.setEnabled(bool(self.found))
        if search is not None:
            self._end(search_words(search))
            if self.list.currentRow() < 0:
                self.list.setCurrentRow(0 if self.found else -1)

    def open_chosen(self) -> None:
        """Hand the chosen rig over to be opened."""
        row = self.list.currentRow()
        if 0 <= row < len(self.found):
            job = self.found[row].job
            try:
                self.made.emit(checked(REPLACE(job, name=f"{job.name[:100]}, from the rack", units=self._document.units)))
            except TailweightError as error:
                self.told.emit(str(error))

    # -------------------------------------------------------- showing

    def show_document(self, document: Document) -> None:
        """Entries in the document's units; rigs found from another pattern are taken away."""
        self._show_entries()
        self._show_lists()
        self._list_found()

    def _show_entries(self) -> None:
        units = self._document.units
        rigging = self._document.job.load.rigging_kg.best
        for name, field in self.fields.items():
            group, entry = name.split()
            values = self._tube_values if group == "tube" else {"rigging": rigging, **self._want_values}
            field.set_value(values.get(entry), units)
            field.setVisible(entry not in (("width", "depth") if self._round else ("diameter",)))
            self._label(field).setVisible(not field.isHidden())

    def _label(self, field: QWidget) -> QWidget:
        return field.property("label")

    def _show_lists(self) -> None:
        units = self._document.units
        self.tube_list.fill([tube_words(tube, units) for tube in self.tubes])
        self.job_list.fill([want_words(want, units) for want in self.wants])
        self.remove_tube.setEnabled(bool(self.tubes))
        self.remove_job.setEnabled(bool(self.wants))
        self.add_job.setEnabled(len(self.wants) < JOBS_AT_MOST)
        self._drop_stale()


# ---------------------------------------------------------------- words


def section_words(section: RectTube | RoundTube, units: System) -> str:
    """A section's sizes."""
    if isinstance(section, RoundTube):
        return f"round {show(section.diameter_m, 'length', units)} x {show(section.wall_m, 'length', units)}"
    return f"{show(section.width_m, 'length', units)} x {show(section.depth_m, 'length', units)} x {show(section.wall_m, 'length', units)}"


def tube_words(tube: Tube, units: System) -> str:
    """One tube on the rack."""
    condition = "" if tube.condition == "good" else f", {tube.condition.upper()}{': not used' if tube.condition == 'bent' else ''}"
    return f"{tube.name}, {show(tube.length_m, 'm', units)} long{condition}"


def want_words(want: Want, units: System) -> str:
    """One job wanted."""
    known = want.load_kg.known.replace("_", " ")
    return (
        f"{want.name}: {show(want.load_kg.best, 'kg', units)} ({known}) with {show(want.rigging_kg, 'kg', units)} of rigging, "
        f"hook {show(want.hook_height_m, 'm', units)} up, {show(want.ahead_of_face_m, 'm', units)} ahead of the fork face"
    )


def found_words(found: Found, units: System) -> str:
    """One rig: weight, tubes, and how it does each job."""
    tubes = ", ".join(f"{part} from {name}" for part, name in found.tubes)
    does = " ".join(_done_words(done, units) for done in found.done)
    head = "" if found.works else "DOES NOT DO IT. "
    return f"{head}Rig {show(found.rig_kg, 'kg', units)}: {tubes}. {does}"


def _done_words(done: Done, units: System) -> str:
    if not math.isfinite(done.use):
        return f"{done.want}: NOT DONE, {done.governing or 'refused'}."
    head = "" if done.works else "NOT DONE, "
    return f"{done.want}: {head}{used_words(done.use, units)} used, {show(done.allowed_kg, 'kg_down', units)} allowed, governs {done.governing}."


def search_words(search: Search) -> str:
    """What the search came to."""
    looked = f"{search.looked_at} of {search.of} rigs looked at"
    if search.found:
        return f"Lightest first, every job within the limits in its worst case ({looked})."
    if search.nearest is None:
        return "NOTHING: no rig can be cut from these tubes. Longer or more tubes, nearer jobs, or another pattern."
    return f"NONE does every job ({looked}). The nearest is listed: it DOES NOT do them."


# ---------------------------------------------------------------- pieces


def _grid(column: QVBoxLayout) -> QGridLayout:
    grid = QGridLayout()
    grid.setColumnStretch(1, 1)
    column.addLayout(grid)
    return grid


def _row(grid: QGridLayout, label: str, field: QWidget) -> None:
    row, words = grid.rowCount(), caption(label, field)
    field.setProperty("label", words)
    grid.addWidget(words, row, 0)
    grid.addWidget(field, row, 1)


def _button(column: QVBoxLayout, text: str, name: str, act: object) -> QPushButton:
    button = QPushButton(text)
    button.setAccessibleName(name)
    button.clicked.connect(act)
    column.addWidget(button)
    return button


def _list(column: QVBoxLayout, name: str, lines: int) -> Rows:
    made = Rows(name, lines)
    column.addWidget(made)
    return made
