"""Margin block: state, tipping bar, rear weight, light front wheel, what gives first, hook load, allowed load.

Set like the title block of a drawing: ruled boxes, a small caption over each figure.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.look.theme import Palette
from app.panels.figure import Figure
from app.panels.state_word import NO_VERDICT_YET, StateWord
from app.panels.tipping_bar import TippingBar
from app.panels.widgets import caption
from app.panels.worst_uses import used_words, worst_uses
from engine.base.formatting import System, fill
from engine.base.lazy import lazy
from engine.schema.model import Job

if TYPE_CHECKING:
    from engine.explain import shown
    from engine.explain.shown import ShownFigures
    from engine.schema.model import Pose
    from engine.worst_case import verdict as verdicts
    from engine.worst_case.verdict import State, Verdict
else:
    shown = lazy("engine.explain.shown")
    verdicts = lazy("engine.worst_case.verdict")

ASSUMED = "steel of unknown grade, yield assumed"
"""Said beside the state wherever a part's steel is not known."""

WORST_CASE = "the worst case does not pass"

NOT_COVERED = "the plate does not cover the sideways moment: ask the maker"

WITH_THE_LOAD_ON = "With the load on, rig bent and truck leaned; as entered, without allowances"

_BOXES = {"Rear weight left": 4, "Light front wheel": 4, "Gives first": 5, "Hook load": 3, "Allowed load here": 4}


class MarginPanel(QFrame):
    """The block over the drawing that is always there."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("ruled")
        self.setAccessibleName("margin")
        self.word, self.bar = StateWord(), TippingBar()
        self.why = QPushButton("Why?")
        self.why.setEnabled(False)
        self.why.setAccessibleName("why: cause, order and remedy")
        self.why.setToolTip("Cause, order and remedy in one sentence each (F1)")
        self._state_words = Figure(bold=False)
        self._figures = {name: (Figure(), Figure(bold=False)) for name in _BOXES}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(0)
        grid.addWidget(_boxed(self.word, self._state_words, self.bar), 0, 0)
        grid.setColumnStretch(0, 5)
        for column, (name, stretch) in enumerate(_BOXES.items(), start=1):
            big, small = self._figures[name]
            big.setAccessibleName(name)
            head = _side_by_side(caption(name), self.why) if name == "Gives first" else caption(name)
            grid.addWidget(_boxed(head, big, small), 0, column)
            grid.setColumnStretch(column, stretch)
        # Two lines of small print, as most verdicts have: the drawing under the block stays where it is when one comes.
        self._state_words.setText("The limits are being worked out\n")
        for name in _BOXES:
            self._set(name, NO_VERDICT_YET, "\n")

    def text(self, box: str) -> str:
        """A box's figure and its small print."""
        big, small = self._figures[box]
        return f"{big.text()} {small.text()}".strip()

    def set_theme(self, colours: Palette) -> None:
        figures = (figure for pair in self._figures.values() for figure in pair)
        for part in (self.word, self.bar, self._state_words, *figures):
            part.set_theme(colours)

    def show_verdict(self, job: Job, pose: Pose, verdict: Verdict) -> None:
        """Put a verdict's figures in."""
        self.word.set(verdict.state)
        self.why.setEnabled(True)
        words = verdicts.STATE_WORDS[verdict.state].removeprefix(f"{verdict.state.capitalize()}: ")
        if any("steel" in caution.where for caution in verdict.cautions):
            words += f"; {ASSUMED}"
        if "in the way" in verdict.state_words:
            words = verdict.state_words
        elif verdict.not_entered and verdict.state == "NOT PROVEN":
            words = fill("{part} is not {lacks}", verdict.not_entered[0].numbers, job.units)
        elif verdict.state == "NOT PROVEN" and any(
            check.leaves_unproven and use > 1.0 for check, use in worst_uses(verdict)
        ):
            words = NOT_COVERED
        elif verdict.state == "NOT PROVEN":
            words = WORST_CASE
        self._state_words.setText(words[:1].upper() + words[1:])
        notes = (*verdict.not_entered, *verdict.cautions)
        self._hint(self._state_words, "\n".join(fill(note.words, note.numbers, job.units) for note in notes))
        figures = shown.shown_figures(job, pose, verdict)
        self._show_tipping(job.units, figures, verdict.state)
        self._show_weights(job.units, figures)
        self._show_limit(job.units, figures)
        self._show_masses(job.units, figures)

    @staticmethod
    def _hint(widget: QWidget, words: str) -> None:
        if words != widget.toolTip():
            widget.setToolTip(words)

    def _show_tipping(self, units: System, figures: ShownFigures, state: State) -> None:
        worst, as_entered = figures.tipping_use, figures.tipping_use_as_entered
        if figures.tipping is None or worst is None or as_entered is None:
            self.bar.set(math.nan, math.nan, math.nan, state, "Tipping use is not known")
            return
        words = (
            f"Tipping use {shown.figure_text(figures, 'tipping_use', units)} in the worst case, "
            f"{shown.figure_text(figures, 'tipping_use_as_entered', units)} as entered ({figures.tipping.kind}); "
            f"allowed {shown.figure_text(figures, 'tipping_use_allowed', units)}; at 100 % the truck goes over"
        )
        self.bar.set(worst, figures.tipping_use_allowed, as_entered, state, words)

    def _show_weights(self, units: System, figures: ShownFigures) -> None:
        settled, worst = figures.settled, figures.worst
        if settled is None:
            self._set("Rear weight left", shown.NOT_KNOWN, "")
            self._set("Light front wheel", shown.NOT_KNOWN, "")
            return
        of_bare, of_all, of_bare_wheel = (
            shown.figure_text(figures, name, units) for name in ("rear_of_bare", "rear_of_all", "light_of_bare")
        )
        worst_rear, worst_light = (
            "" if worst is None else f"; worst case {shown.figure_text(worst, name, units)}"
            for name in ("rear_left_kg", "light_wheel_kg")
        )
        rear, light = (shown.figure_text(settled, name, units) for name in ("rear_left_kg", "light_wheel_kg"))
        self._set("Rear weight left", rear, f"{of_bare} of bare, {of_all} of all{worst_rear}")
        for box in ("Rear weight left", "Light front wheel"):
            self._hint(self._figures[box][0], WITH_THE_LOAD_ON)
        self._set("Light front wheel", light, f"{figures.light_side}, {of_bare_wheel} of bare{worst_light}")

    def _show_limit(self, units: System, figures: ShownFigures) -> None:
        governing, use = figures.governing, figures.governing_use
        if governing is None or use is None or figures.allowed_load_kg is None:
            self._set("Gives first", shown.NOT_KNOWN, "")
            self._set("Allowed load here", "none given", "")
            return
        words = used_words(governing, use, units)
        self._set("Gives first", governing.part, words if governing.of == "room" else f"{governing.kind}, {words}")
        allowed, hook_load, as_entered = (
            shown.figure_text(figures, name, units)
            for name in ("allowed_load_kg", "allowed_hook_load_kg", "allowed_as_entered_kg")
        )
        self._set("Allowed load here", allowed, f"hook load {hook_load}; as entered load {as_entered}")
        self._hint(self._figures["Gives first"][0], governing.name)

    def _show_masses(self, units: System, figures: ShownFigures) -> None:
        if not figures.hook_load_kg:
            self._set("Hook load", "none", "hook empty")
            return
        load, rigging, both = (
            shown.figure_text(figures, name, units) for name in ("load_kg", "rigging_kg", "hook_load_kg")
        )
        self._set("Hook load", both, f"load {load} + rigging {rigging}")

    def _set(self, box: str, big: str, small: str) -> None:
        for label, text in zip(self._figures[box], (big, small), strict=True):
            label.setText(text)


def _side_by_side(first: QWidget, second: QWidget) -> QWidget:
    pair = QWidget()
    row = QHBoxLayout(pair)
    row.setContentsMargins(0, 0, 0, 0)
    row.addWidget(first, 1)
    row.addWidget(second)
    return pair


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
