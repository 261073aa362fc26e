"""Rack panel: the steel that lies there and up to three jobs; the lightest rigs that do them all, each opened as a rig.

Steel and jobs are the open rig's own: they are saved with it, every entry can be undone, and the build sheet's cutting plan is
laid out on the same steel.  The open rig is the pattern: its truck, floors, allowances, sleeves, hinges, pins and arm lengths
stay (``engine.planning.stock_search``).  The search runs in the background, tells how far it has come, and can be stopped.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.fields import ChoiceField, QuantityField, TextField, caption, heading
from app.panels.go_to_point import used_words
from app.panels.rows import Rows
from app.workers import worker_tasks
from app.workers.background import Background
from engine.base.errors import TailweightError
from engine.base.formatting import System, show
from engine.planning.stock_search import JobResult, RackRig, StockSearch
from engine.planning.stock_tubes import tubes_of
from engine.schema.model import JOBS_AT_MOST, Estimate, Job, NoGo, Stock, WantedJob
from engine.schema.sections import FlatBar, RectTube, RoundTube, Section, SolidRound
from engine.schema.steel import GRADES, UNKNOWN
from engine.schema.stock_sizes import RECT_TUBES, ROUND_TUBES, name_of_size
from engine.schema.validation import checked
from engine.shop.cutting_plan import usable_section
from engine.shop.edits import REPLACE

TYPED_RECT, TYPED_ROUND, TYPED_FLAT, TYPED_BAR = (
    "typed: square or flat tube",
    "typed: round tube",
    "typed: flat bar",
    "typed: round bar",
)
SIZES: dict[str, RectTube | RoundTube] = {**RECT_TUBES, **ROUND_TUBES}
START_SIZE, START_LENGTH_M = "100 x 100 x 6 mm", 6.0
"""What the entry for a piece of steel starts with; nothing lies on the rack before it is added."""

ASKED: dict[type, tuple[str, ...]] = {
    RectTube: ("width", "depth", "wall"),
    RoundTube: ("diameter", "wall"),
    FlatBar: ("width", "depth"),
    SolidRound: ("diameter",),
}
"""Sizes asked for, each the entry of the section with ``_m``."""

TYPED: dict[str, type] = {TYPED_RECT: RectTube, TYPED_ROUND: RoundTube, TYPED_FLAT: FlatBar, TYPED_BAR: SolidRound}

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
        self._values: dict[str, dict[str, float]] = {
            "steel": {"length": START_LENGTH_M, "count": 1.0},
            "job": {},
            "stretch": {},
        }
        """What is typed and belongs to nothing yet, by the group of its fields."""
        self._search: StockSearch | None = None
        self._asked: tuple[object, ...] = ()
        self.background = Background(self)
        self.background.answered.connect(self._take)
        self.background.failed.connect(self._fail)
        self._progress = QTimer(self, interval=PROGRESS_MS)
        self._progress.timeout.connect(self._show_progress)
        self.fields: dict[str, QuantityField] = {}
        column = QVBoxLayout(self)
        column.addWidget(
            caption(
                "The open rig is the pattern: truck, floors, allowances, sleeves, hinges, pins and arm lengths stay. Tubes for jib mast, boom and arms are chosen from the rack. The build sheet's cutting plan is laid out on the same steel."
            )
        )
        self._build_steel(column)
        self._build_stretches(column)
        self._build_jobs(column)
        self._build_search(column)
        column.addStretch(1)
        self._pick_size(START_SIZE)

    # -------------------------------------------------------- building

    def _build_steel(self, column: QVBoxLayout) -> None:
        column.addWidget(heading("Steel on the rack"))
        self.size = ChoiceField("size of the steel", (*SIZES, *TYPED))
        self.size.entered.connect(self._pick_size)
        column.addWidget(caption("Common size, width before depth", self.size))
        column.addWidget(self.size)
        grid = _grid(column)
        for name, label in (
            ("width", "Width, across"),
            ("depth", "Depth, upright"),
            ("diameter", "Diameter"),
            ("wall", "Wall"),
            ("length", "Length"),
        ):
            self._field(grid, f"steel {name}", label, "length", lambda value, n=name: self._enter_steel(n, value))
        self._field(grid, "steel count", "How many", "count", lambda value: self._enter_steel("count", value))
        self.condition = ChoiceField("condition of the steel", ("good", "rusty", "bent"))
        _row(grid, "Condition", self.condition)
        self.grade = ChoiceField("grade of the steel", (UNKNOWN, *GRADES))
        _row(grid, "Grade, by its papers", self.grade)
        self.steel_name = TextField("mark of the steel")
        _row(grid, "Mark, if any", self.steel_name)
        column.addWidget(caption("A rusty tube counts a millimetre less wall; rusty bars and bent steel are not used."))
        self.add_steel = _button(column, "Add to the rack", "add this steel to the rack", self._add_steel)
        self.steel_list = _list(column, "steel on the rack", 6)
        self.steel_list.currentRowChanged.connect(lambda _row: self._show_stretches())
        self.remove_steel = _button(
            column, "Take off the rack", "take the chosen steel off the rack", self._remove_steel
        )
        grid = _grid(column)
        self._field(grid, "saw kerf", "Lost to each cut", "length", self._enter_kerf)

    def _build_stretches(self, column: QVBoxLayout) -> None:
        column.addWidget(
            caption("Stretches of the chosen steel not to be used, from its datum end: old holes, a bend, a gouge")
        )
        grid = _grid(column)
        for name in ("from", "to"):
            self._field(
                grid,
                f"stretch {name}",
                name.capitalize(),
                "length",
                lambda value, n=name: self._enter_stretch(n, value),
            )
            self.fields[f"stretch {name}"].set_empty_words("enter it")
        self.because = TextField("why the stretch is not to be used")
        _row(grid, "Why", self.because)
        self.add_stretch = _button(
            column, "Leave this stretch out", "leave this stretch of the chosen steel out", self._add_stretch
        )
        self.use_whole = _button(column, "Use all of it again", "use all of the chosen steel again", self._use_whole)

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
        column.addWidget(
            caption(
                "A rig opened from here is a drawing to be checked, with no approval: look at every caution and at its papers before cutting."
            )
        )

    def _field(self, grid: QGridLayout, name: str, label: str, kind: str, act: object) -> None:
        field = QuantityField(name, kind, label)
        field.entered.connect(act)
        field.refused.connect(self.told)
        self.fields[name] = field
        _row(grid, label, field)

    # -------------------------------------------------------- steel

    @property
    def stock(self) -> tuple[Stock, ...]:
        """What lies on the rack."""
        return self._document.committed_job.stock

    def _set(self, entry: str, value: object, text: str) -> bool:
        """Change something of the open rig as one undo step; False where it was refused, which is told."""
        try:
            self._document.set_value(entry, value, text)
        except TailweightError as error:
            self.told.emit(str(error))
            return False
        return True

    def _pick_size(self, name: str) -> None:
        size = SIZES.get(name)
        if size is not None:
            self._values["steel"] |= {entry: getattr(size, f"{entry}_m") for entry in ASKED[type(size)]}
        self.size.set_value(name)
        self._show_entries()

    def _enter_steel(self, name: str, value: float) -> None:
        field = self.fields[f"steel {name}"]
        if name == "count":
            if not 1 <= round(value) <= MOST_ALIKE:
                field.refuse(f"How many: enter a whole number from 1 to {MOST_ALIKE}.")
                return
            value = float(round(value))
        elif not 0.0 < value <= LONGEST_M:
            field.refuse(
                f"{name.capitalize()}: enter more than nothing, and no more than {show(LONGEST_M, 'length', self._document.units)}."
            )
            return
        self._values["steel"][name] = value
        if name not in ("length", "count"):
            kind = self._kind
            self.size.set_value(self._named_size() or next(typed for typed, made in TYPED.items() if made is kind))
        self._show_entries()

    @property
    def _kind(self) -> type:
        """The kind of section that is entered."""
        name = self.size.currentData()
        return TYPED.get(name) or type(SIZES[name])

    def _section(self) -> Section:
        """The section entered; raises ``ValueError`` where there is no such steel, ``KeyError`` where a size is missing."""
        return self._kind(**{f"{entry}_m": self._values["steel"][entry] for entry in ASKED[self._kind]})

    def _named_size(self) -> str | None:
        try:
            return name_of_size(self._section())
        except (ValueError, KeyError):
            return None

    def _add_steel(self) -> None:
        try:
            section = self._section()
        except (ValueError, KeyError) as error:
            self.told.emit(
                f"There is no such steel: {error}"
                if isinstance(error, ValueError)
                else f"Enter the {error.args[0]} of the steel first."
            )
            return
        values, name = self._values["steel"], _typed(self.steel_name) or _unused("no. {}", self.stock)
        added = Stock(
            name=name,
            section=section,
            length_m=values["length"],
            count=int(values["count"]),
            steel=self.grade.currentData(),
            condition=self.condition.currentData(),
        )
        if self._set("stock", (*self.stock, added), f"Put {name} on the rack"):
            self.steel_name.clear()
            self.steel_list.setCurrentRow(len(self.stock) - 1)

    def _remove_steel(self) -> None:
        self._remove("stock", self.stock, self.steel_list.currentRow(), "Take {} off the rack")

    def _remove(self, entry: str, rows: Sequence[Stock | WantedJob], row: int, text: str) -> None:
        """Take one of the rows of an entry away."""
        if 0 <= row < len(rows):
            self._set(entry, (*rows[:row], *rows[row + 1 :]), text.format(rows[row].name))

    def _enter_kerf(self, value: float) -> None:
        if not self._set("kerf_m", value, "Change what a cut takes"):
            self.fields["saw kerf"].refuse("Lost to each cut: enter nothing up to 20 mm.")

    # -------------------------------------------------------- stretches not to be used

    @property
    def chosen(self) -> Stock | None:
        """The steel chosen in the list."""
        row = self.steel_list.currentRow()
        return self.stock[row] if 0 <= row < len(self.stock) else None

    def _enter_stretch(self, name: str, value: float) -> None:
        if not 0.0 <= value <= LONGEST_M:
            self.fields[f"stretch {name}"].refuse(
                f"{name.capitalize()}: enter nothing up to {show(LONGEST_M, 'length', self._document.units)}."
            )
            return
        self._values["stretch"][name] = value
        self._show_entries()

    def _add_stretch(self) -> None:
        values = self._values["stretch"]
        missing = [name for name in ("from", "to") if name not in values]
        if missing or self.chosen is None:
            self.told.emit(
                f"Enter {' and '.join(missing)} of the stretch first." if missing else "Choose the steel first."
            )
            return
        why = _typed(self.because) or "old holes"
        try:
            zone = NoGo(from_m=values["from"], to_m=values["to"], why=why)
        except ValueError:
            self.told.emit("The stretch must end further from the datum end than it begins.")
            return
        if self._set(
            f"{self._row_path}.no_go", (*self.chosen.no_go, zone), f"Leave out a stretch of {self.chosen.name}"
        ):
            self._values["stretch"] = {}
            self.because.clear()
            self._show_entries()

    def _use_whole(self) -> None:
        if self.chosen is not None and self.chosen.no_go:
            self._set(f"{self._row_path}.no_go", (), f"Use all of {self.chosen.name}")

    @property
    def _row_path(self) -> str:
        return f"stock[{self.steel_list.currentRow()}]"

    def _show_stretches(self) -> None:
        self.add_stretch.setEnabled(self.chosen is not None)
        self.use_whole.setEnabled(self.chosen is not None and bool(self.chosen.no_go))

    # -------------------------------------------------------- jobs wanted

    @property
    def wants(self) -> tuple[WantedJob, ...]:
        """The jobs wanted."""
        return self._document.committed_job.wanted

    def _enter_want(self, name: str, value: float) -> None:
        most, kind = (HEAVIEST_KG, "mass") if name in ("load", "rigging") else (LONGEST_M, "length")
        if not (0.0 <= value <= most if name == "rigging" else 0.0 < value <= most):
            self.fields[f"job {name}"].refuse(
                f"{name.capitalize()}: enter more than nothing, and no more than {show(most, kind, self._document.units)}."
            )
            return
        self._values["job"][name] = value
        self._show_entries()

    def _add_want(self) -> None:
        values = {"rigging": self._document.job.load.rigging_kg.best, **self._values["job"]}
        missing = [name for name in ("load", "height", "reach") if name not in values]
        if missing:
            self.told.emit(f"Enter the {' and the '.join(missing)} of the job first.")
            return
        if len(self.wants) == JOBS_AT_MOST:
            self.told.emit("Three jobs at most: remove one first.")
            return
        name = _typed(self.job_name) or _unused("job {}", self.wants)
        if any(want.name == name for want in self.wants):
            self.told.emit(f"There is a job called {name} already: give this one another name.")
            return
        want = WantedJob(
            name=name,
            load_kg=Estimate(best=values["load"], known=self.known.currentData()),
            rigging_kg=values["rigging"],
            hook_height_m=values["height"],
            ahead_of_face_m=values["reach"],
        )
        if self._set("wanted", (*self.wants, want), f"Want {name} done"):
            self.job_name.clear()
            self.job_list.setCurrentRow(len(self.wants) - 1)

    def _remove_want(self) -> None:
        self._remove("wanted", self.wants, self.job_list.currentRow(), "Want {} no more")

    # -------------------------------------------------------- searching

    @property
    def found(self) -> tuple[RackRig, ...]:
        """The rigs listed: those that do every job, else the nearest that does not."""
        if self._search is None:
            return ()
        return self._search.rigs or ((self._search.nearest,) if self._search.nearest else ())

    def start(self) -> None:
        """Search the rack, in the background."""
        if not tubes_of(self.stock) or not self.wants:
            self.told.emit("Add at least one tube and one job first.")
            return
        job = self._document.committed_job
        self._search, self._asked = None, self._question(job)
        self._list_found()
        self.said.setText("Searching...")
        self.stop.setEnabled(True)
        self._progress.start()
        self.background.ask(worker_tasks.rack, job)

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
        return (job.truck, job.floors, job.policy, job.stock, job.kerf_m, job.wanted, job.rig, job.load, job.poses)

    def _drop_stale(self) -> None:
        """Take rigs away that were found from something else; opening one of them is no such change."""
        job = self._document.committed_job
        asked, now = self._asked, self._question(job)
        opened = any(found.job.rig == job.rig for found in self.found)
        if not asked or asked == now or (opened and asked[:6] == now[:6]):
            return
        self.background.forget()
        self._search, self._asked = None, ()
        self._list_found()
        self._end("The pattern, the rack or the jobs have changed since: search again.")

    def _show_progress(self) -> None:
        share = self.background.share
        looked = (
            f"{show(share, 'share', 'metric')} of the rigs that can be cut looked at."
            if share
            else "Which rigs can be cut is being made out."
        )
        self.said.setText(f"Searching... {looked}")

    def _take(self, search: StockSearch) -> None:
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
                self.made.emit(
                    checked(REPLACE(job, name=f"{job.name[:100]}, from the rack", units=self._document.units))
                )
            except TailweightError as error:
                self.told.emit(str(error))

    # -------------------------------------------------------- showing

    def show_document(self, document: Document) -> None:
        """Entries in the document's units; rigs found from another pattern are taken away."""
        self._show_entries()
        self._show_lists()
        self._list_found()

    def _show_entries(self) -> None:
        units, job = self._document.units, self._document.job
        known = {"job": {"rigging": job.load.rigging_kg.best}, "saw": {"kerf": job.kerf_m}}
        asked = ASKED[self._kind]
        for name, field in self.fields.items():
            group, entry = name.split()
            field.set_value({**known.get(group, {}), **self._values.get(group, {})}.get(entry), units)
            if group == "steel":
                field.setVisible(entry in (*asked, "length", "count"))
                self._label(field).setVisible(not field.isHidden())

    def _label(self, field: QWidget) -> QWidget:
        return field.property("label")

    def _show_lists(self) -> None:
        units = self._document.units
        self.steel_list.fill([steel_words(bar, units) for bar in self.stock])
        self.job_list.fill([want_words(want, units) for want in self.wants])
        self.remove_steel.setEnabled(bool(self.stock))
        self.remove_job.setEnabled(bool(self.wants))
        self.add_job.setEnabled(len(self.wants) < JOBS_AT_MOST)
        self._show_stretches()
        self._drop_stale()


MOST_ALIKE = 60
"""Lengths of one kind of steel, as the rig files have it."""


# ---------------------------------------------------------------- words


def section_words(section: Section, units: System) -> str:
    """A section's sizes."""
    sizes = " x ".join(show(getattr(section, f"{entry}_m"), "length", units) for entry in ASKED[type(section)])
    return {RoundTube: "round ", FlatBar: "flat bar ", SolidRound: "round bar "}.get(type(section), "") + sizes


def steel_words(bar: Stock, units: System) -> str:
    """One line of the rack."""
    number = f"{bar.count} of them, each " if bar.count > 1 else ""
    grade = "" if bar.steel == UNKNOWN else f", {bar.steel}"
    condition = "" if bar.condition == "good" else f", {bar.condition.upper()}"
    unused = ": not used" if usable_section(bar.section, bar.condition) is None else ""
    left_out = "".join(
        f"; NOT {show(zone.from_m, 'length', units)} to {show(zone.to_m, 'length', units)} ({zone.why})"
        for zone in bar.no_go
    )
    size = name_of_size(bar.section) or section_words(bar.section, units)
    return f"{bar.name}: {size}, {number}{show(bar.length_m, 'm', units)} long{grade}{condition}{unused}{left_out}"


def want_words(want: WantedJob, units: System) -> str:
    """One job wanted."""
    known = want.load_kg.known.replace("_", " ")
    return (
        f"{want.name}: {show(want.load_kg.best, 'kg', units)} ({known}) with {show(want.rigging_kg, 'kg', units)} of rigging, "
        f"hook {show(want.hook_height_m, 'm', units)} up, {show(want.ahead_of_face_m, 'm', units)} ahead of the fork face"
    )


def found_words(found: RackRig, units: System) -> str:
    """One rig: weight, tubes, and how it does each job."""
    tubes = ", ".join(f"{part} from {name}" for part, name in found.tubes)
    does = " ".join(_result_words(result, units) for result in found.results)
    head = "" if found.works else "DOES NOT DO IT. "
    return f"{head}Rig {show(found.rig_kg, 'kg', units)}: {tubes}. {does}"


def _result_words(result: JobResult, units: System) -> str:
    if not math.isfinite(result.use):
        return f"{result.wanted}: NOT DONE, {result.governing or 'refused'}."
    head = "" if result.works else "NOT DONE, "
    return f"{result.wanted}: {head}{used_words(result.use, units)} used, {show(result.allowed_kg, 'kg_down', units)} allowed, governs {result.governing}."


def search_words(search: StockSearch) -> str:
    """What the search came to."""
    looked = f"{search.looked_at} of {search.of} rigs looked at"
    if search.rigs:
        return f"Lightest first, every job within the limits in its worst case ({looked})."
    if search.nearest is None:
        return "NOTHING: no rig can be cut from these tubes. Longer or more tubes, nearer jobs, or another pattern."
    return f"NONE does every job ({looked}). The nearest is listed: it DOES NOT do them."


# ---------------------------------------------------------------- pieces


def _typed(field: TextField) -> str:
    """What a field says, as a name."""
    return " ".join(field.text().split())[:80]


def _unused(pattern: str, rows: Sequence[Stock | WantedJob]) -> str:
    """The first name of a pattern that none of the rows has."""
    names = {row.name for row in rows}
    return next(name for number in itertools.count(1) if (name := pattern.format(number)) not in names)


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
