"""Margin block: state, tipping bar, rear weight, light front wheel, what gives first, allowed load.

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
from engine.base.formatting import fill, show
from engine.base.lazy import lazy
from engine.schema.model import Job

if TYPE_CHECKING:
    from engine.rig.check import Check
    from engine.worst_case import verdict as verdicts
    from engine.worst_case.verdict import Verdict
else:
    verdicts = lazy("engine.worst_case.verdict")

ASSUMED = "steel of unknown grade, yield assumed"
"""Said beside the state wherever a part's steel is not known."""

WORST_CASE = "the worst case does not pass"

NOT_COVERED = "the plate does not cover the sideways moment: ask the maker"

_BOXES = {"Rear weight left": 4, "Light front wheel": 4, "Gives first": 5, "Allowed load here": 4}


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

    def show_verdict(self, job: Job, verdict: Verdict) -> None:
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
        uses = worst_uses(verdict)
        self._show_tipping(job, verdict, uses)
        self._show_weights(job, verdict)
        self._show_limit(job, verdict, uses)

    @staticmethod
    def _hint(widget: QWidget, words: str) -> None:
        if words != widget.toolTip():
            widget.setToolTip(words)

    def _show_tipping(self, job: Job, verdict: Verdict, uses: list[tuple[Check, float]]) -> None:
        tipping = [(check, worst) for check, worst in uses if check.kind.startswith("tipping")]
        if not tipping:
            self.bar.set(math.nan, math.nan, math.nan, verdict.state, "Tipping use is not known")
            return
        allowed, units = float(job.policy.allowed_tipping_use), job.units
        check, worst = max(tipping, key=lambda pair: pair[1])
        best = float(check.use) * allowed
        worst *= allowed
        words = (
            f"Tipping use {show(worst, 'share', units)} at worst, {show(best, 'share', units)} with best values "
            f"({check.kind}); allowed {show(allowed, 'share', units)}; at 100 % the truck goes over"
        )
        self.bar.set(worst, allowed, best, verdict.state, words)

    def _show_weights(self, job: Job, verdict: Verdict) -> None:
        balance, units = verdict.balance, job.units
        if balance is None:
            self._set("Rear weight left", "not known", "")
            self._set("Light front wheel", "not known", "")
            return
        rear_kg, lightest_kg = float(balance.rear_kg), float(balance.light_front_kg)
        of_bare = show(rear_kg / job.truck.rear_axle_kg.best, "share", units)
        of_all = show(rear_kg / float(balance.normal_kg), "share", units)
        side = "left" if float(balance.left_front_kg) <= float(balance.right_front_kg) else "right"
        of_bare_wheel = show(lightest_kg / (job.truck.front_axle_kg.best / 2.0), "share", units)
        worst_rear, worst_light = "", ""
        if verdict.worst_case is not None:
            standing = verdict.worst_case.standing
            worst_rear = f"; at worst {show(standing.rear_weight_left_kg, 'kg', units)}"
            worst_light = f"; at worst {show(standing.light_front_wheel_kg, 'kg', units)}"
        self._set("Rear weight left", show(rear_kg, "kg", units), f"{of_bare} of bare, {of_all} of all{worst_rear}")
        self._set("Light front wheel", show(lightest_kg, "kg", units), f"{side}, {of_bare_wheel} of bare{worst_light}")

    def _show_limit(self, job: Job, verdict: Verdict, uses: list[tuple[Check, float]]) -> None:
        governing, allowed_kg = verdict.governing, verdict.allowed_load_kg
        nominal_kg, units = verdict.nominal_allowed_load_kg, job.units
        if governing is None or allowed_kg is None or nominal_kg is None:
            self._set("Gives first", "not known", "")
            self._set("Allowed load here", "none given", "")
            return
        worst = next(use for check, use in uses if check is governing)
        words = used_words(governing, worst, units)
        self._set("Gives first", governing.part, words if governing.of == "room" else f"{governing.kind}, {words}")
        rigging = show(job.load.rigging_kg.best, "kg", units)
        nominal = show(nominal_kg, "kg_down", units)
        small_print = f"plus {rigging} rigging; with best values {nominal}"
        self._set("Allowed load here", show(allowed_kg, "kg_down", units), small_print)
        self._hint(self._figures["Gives first"][0], governing.name)

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
