"""Verdict block: state, how much of rig and truck is used, what hangs and may hang, and what the wheels keep.

Set like the title block of a drawing: ruled boxes, a small caption over each figure.  Without a verdict the bars make
room for what is missing, each fact a button that leads to its field.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QPushButton, QVBoxLayout, QWidget

from app.look.theme import Palette
from app.panels.figure import Figure
from app.panels.load_table import LoadRow, LoadTable
from app.panels.missing_facts import MissingFacts
from app.panels.state_word import NO_VERDICT_YET, StateWord
from app.panels.use_bars import GIVES_FIRST, Bar, UseBars
from app.panels.widgets import caption
from engine.base.formatting import System, fill, show
from engine.base.lazy import lazy
from engine.schema.model import Job

if TYPE_CHECKING:
    from engine.explain import shown, state_sentence
    from engine.explain.shown import ShownFigures, SideUse
    from engine.rig.check import Check
    from engine.schema.model import Pose
    from engine.worst_case.verdict import Verdict
else:
    shown = lazy("engine.explain.shown")
    state_sentence = lazy("engine.explain.state_sentence")

WITH_THE_LOAD_ON = "With the load on, rig bent and truck leaned, in the worst case; without allowances"

REAR, LIGHT = "Rear wheels", "Lightest front wheel"

LINES_KEPT, LINES_KEPT_IN_TWO_ROWS = 4, 3
"""Lines that the sentence always has room for; in two rows a longer one is set in small print."""

NARROW = 150
"""Average characters of width under which the block takes two rows, if the names of limits do not ask for more."""


class VerdictBlock(QFrame):
    """The block over the drawing that is always there."""

    entry_wanted = Signal(str)
    """Path of an entry to show: somebody pressed what stands for it."""

    narrowed = Signal(bool)
    """The block takes two rows now, or one again."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("ruled")
        self.setAccessibleName("verdict")
        self.word, self.bars, self.table, self.facts = StateWord(), UseBars(), LoadTable(), MissingFacts()
        self.why = QPushButton("Why?")
        self.why.setEnabled(False)
        self.why.setAccessibleName("why: cause, order and remedy")
        self.why.setToolTip("Cause, order and remedy in one sentence each (F3)")
        self.sentence = Figure(bold=False)
        self._wheels = {name: (Figure(), Figure(bold=False)) for name in (REAR, LIGHT)}
        state = QWidget()
        self._state = QGridLayout(state)
        self._state.setContentsMargins(0, 0, 0, 0)
        self._state.setSpacing(2)
        self._state.setColumnStretch(0, 1)
        self._state.addWidget(self.word, 0, 0)
        self._state.addWidget(self.why, 0, 1, Qt.AlignmentFlag.AlignLeft)
        self._state.addWidget(self.sentence, 1, 0, 1, 2)
        self._boxes = [
            _boxed(state),
            _boxed(self.bars, self.facts),
            _boxed(self.table),
            *(_boxed(caption(name), *pair) for name, pair in self._wheels.items()),
        ]
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(0)
        self._narrow: bool | None = None
        self._arrange(narrow=False)
        self.facts.entry_wanted.connect(self.entry_wanted)
        self.sentence.setText("The limits are being worked out")
        for name in self._wheels:
            self._set(name, NO_VERDICT_YET, "\n")
        self.bars.setToolTip(NO_VERDICT_YET)
        self.table.set("", (LoadRow("now", None, NO_VERDICT_YET), LoadRow("most", None, NO_VERDICT_YET)), "")

    def _arrange(self, *, narrow: bool) -> None:
        """Five boxes in a row; in a narrow window word and bars over the figures."""
        if narrow == self._narrow:
            return
        self._narrow = narrow
        self.narrowed.emit(narrow)
        places = [(0, 0, 2, 3), (0, 2, 4, 7), (0, 6, 1, 2), (0, 7, 1, 2), (0, 8, 1, 2)]
        if narrow:
            places = [(0, 0, 2, 2), (0, 2, 4, 5), (1, 0, 2, 2), (1, 2, 2, 2), (1, 4, 2, 2)]
        for column in range(9):
            self._grid.setColumnStretch(column, 0)
        for box, (row, column, span, stretch) in zip(self._boxes, places, strict=True):
            self._grid.removeWidget(box)
            self._grid.addWidget(box, row, column, 1, span)
            self._grid.setColumnStretch(column, stretch)
        # The drawing under the block stays where it is when a sentence takes a line more or less.
        self.sentence.keep_lines(LINES_KEPT_IN_TWO_ROWS if narrow else LINES_KEPT)

    def _least_px(self, *, narrow: bool) -> int:
        """Least width of an arrangement: that of its widest row."""
        widths = [box.minimumSizeHint().width() for box in self._boxes]
        return max(sum(widths[:2]), sum(widths[2:])) if narrow else sum(widths)

    def minimumSizeHint(self) -> QSize:
        """As wide as two rows must be; in one row it stands only where there is room for that."""
        return QSize(self._least_px(narrow=True), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        names_px = self.bars.names_px - self.bars.minimumSizeHint().width()
        wide_px = max(self._least_px(narrow=False) + names_px, NARROW * self.fontMetrics().averageCharWidth())
        self._arrange(narrow=event.size().width() < wide_px)

    def text(self, box: str) -> str:
        """A wheel box's figure and its small print."""
        big, small = self._wheels[box]
        return f"{big.text()} {small.text()}".strip()

    def set_theme(self, colours: Palette) -> None:
        figures = (figure for pair in self._wheels.values() for figure in pair)
        for part in (self.word, self.bars, self.table, self.sentence, *figures):
            part.set_theme(colours)

    # -------------------------------------------------------- showing

    def show_verdict(self, job: Job, pose: Pose, verdict: Verdict, *, at_once: bool = False) -> None:
        """Put a verdict's figures in; ``at_once`` in a drag, where nobody reads hints."""
        units = job.units
        self.word.set(verdict.state)
        self.why.setEnabled(True)
        self.sentence.setText(state_sentence.of_verdict(job, pose, verdict))
        self._make_room(verdict)
        self.facts.show_verdict(job, verdict)
        figures = shown.shown_figures(job, pose, verdict, at_once=at_once)
        self._show_bars(units, figures, verdict, at_once=at_once)
        self._show_loads(units, figures)
        self._show_wheels(units, figures)
        if not at_once:
            self._show_hints(units, figures, verdict)

    def _show_bars(self, units: System, figures: ShownFigures, verdict: Verdict, *, at_once: bool) -> None:
        self.bars.set(
            bars_of(figures, units),
            shown.room_text(figures.room, units),
            room_short=figures.room is not None and figures.room.short,
            brief_room=shown.brief_room_text(figures.room, units),
            at_once=at_once,
        )
        self.bars.setVisible(bool(verdict.checks))

    def _make_room(self, verdict: Verdict) -> None:
        """Take the bars away before what is missing takes their place: showing a widget lays its box out at once."""
        if not verdict.checks:
            self.bars.setVisible(False)
        self.facts.setMinimumHeight(0 if verdict.checks else self.bars.sizeHint().height())

    def _show_hints(self, units: System, figures: ShownFigures, verdict: Verdict) -> None:
        notes = (*verdict.not_entered, *verdict.cautions)
        _hint(self.sentence, "\n".join(fill(note.words, note.numbers, units) for note in notes))
        _hint(self.bars, "\n".join((*self.bars.sentences, shown.tipping_text(figures, units))))
        _hint(self.table, shown.allowed_by_text(figures))
        of_bare, of_all, of_wheel = (
            shown.figure_text(figures, name, units) for name in ("rear_of_bare", "rear_of_all", "light_of_bare")
        )
        _hint(self._wheels[REAR][0], f"{WITH_THE_LOAD_ON}. As entered {of_bare} of bare, {of_all} of all")
        _hint(self._wheels[LIGHT][0], f"{WITH_THE_LOAD_ON}. As entered {of_wheel} of bare")

    def _show_loads(self, units: System, figures: ShownFigures) -> None:
        unit = "lb" if units == "us" else "kg"

        def row(*names: str) -> tuple[str, str, str]:
            texts = (shown.figure_text(figures, name, units).removesuffix(f" {unit}") for name in names)
            load, rigging, both = texts
            return load, rigging, both

        now, most = LoadRow("now", None, "hook empty"), LoadRow("most", None, "none given")
        if figures.hook_load_kg:
            now = LoadRow("now", row("load_kg", "rigging_kg", "hook_load_kg"))
        if figures.allowed_load_kg:
            most = LoadRow("most", row("allowed_load_kg", "allowed_rigging_kg", "allowed_hook_load_kg"))
        elif figures.allowed_load_kg is not None:
            most = LoadRow("most", None, "nothing")
        note = ""
        if figures.allowed_as_entered_kg is not None and figures.allowed_load_kg is not None:
            note = f"as entered: load {shown.figure_text(figures, 'allowed_as_entered_kg', units)}"
        self.table.set(unit, (now, most), note)

    def _show_wheels(self, units: System, figures: ShownFigures) -> None:
        if figures.settled is None:
            for name in self._wheels:
                self._set(name, shown.NOT_KNOWN, "")
            return
        rows = (
            (REAR, "rear_left_kg", "rear_must_keep_kg", ""),
            (LIGHT, "light_wheel_kg", "light_must_keep_kg", "light"),
        )
        for box, left, keep, side in rows:
            worst = figures.settled if figures.worst is None else figures.worst
            where = f"{figures.light_side}; " if side else ""
            entered = shown.figure_text(figures.settled, left, units)
            self._set(
                box,
                f"{shown.figure_text(worst, left, units)} left",
                f"must keep {shown.figure_text(figures, keep, units)}\n{where}as entered {entered}",
            )

    def _set(self, box: str, big: str, small: str) -> None:
        for label, text in zip(self._wheels[box], (big, small), strict=True):
            label.setText(text)


def bars_of(figures: ShownFigures, units: System) -> tuple[Bar, ...]:
    """The bars of rig and truck; none without a verdict."""
    sides = (("RIG", figures.rig_use), ("TRUCK", figures.truck_use))
    return tuple(_bar(side, use, figures, units) for side, use in sides if use is not None)


def _bar(side: str, use: SideUse, figures: ShownFigures, units: System) -> Bar:
    state = "WITHIN" if use.use <= 1.0 else "OVER" if not use.use_as_entered <= 1.0 else "NOT PROVEN"
    if state == "OVER" and use.check.leaves_unproven:
        state = "NOT PROVEN"
    governing, first, first_shown = figures.governing, "", ""
    if governing is use.check:
        first = GIVES_FIRST
    elif governing is not None and governing.side == side.lower():
        first, first_shown = f"{GIVES_FIRST}: {_limit_name(governing)}", show(figures.governing_use, "use", units)
    return Bar(
        side=side,
        limit=_limit_name(use.check),
        use=use.use,
        as_entered=use.use_as_entered,
        shown=show(use.use, "use", units),
        state=state,
        first=first,
        first_shown=first_shown,
    )


def _limit_name(check: Check) -> str:
    """A limit's name beside RIG or TRUCK, which says itself whose balance it is."""
    return check.kind if check.part == "truck balance" else check.name


def _hint(widget: QWidget, words: str) -> None:
    if words != widget.toolTip():
        widget.setToolTip(words)


def _boxed(*widgets: QWidget) -> QFrame:
    frame = QFrame()
    frame.setObjectName("ruled")
    column = QVBoxLayout(frame)
    column.setContentsMargins(7, 3, 7, 4)
    column.setSpacing(1)
    for widget in widgets:
        column.addWidget(widget)
    column.addStretch(1)
    return frame
