"""Limits panel: every limit sorted by use; the chosen one shows its sum in its own row."""

from __future__ import annotations

import math

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.canvas.ghosts import Held
from app.look.theme import Palette
from app.panels.limit_rows import LimitRows, most_used_first
from app.panels.widgets import caption
from app.panels.worst_uses import worst_uses_of_each
from engine.base.formatting import System, fill, show
from engine.planning.compare import LimitDifference, differences
from engine.rig.check import Check
from engine.rig.completeness import NOT_CHECKED, NOT_CHECKED_WORDS
from engine.schema.model import Job
from engine.worst_case.verdict import Verdict

HOW = "Every limit of this pose at its worst case, the most used first. Choose one to see its place and its sum."


class LimitsPanel(QWidget):
    """All checks of the shown pose."""

    chosen = Signal(object)
    """The check somebody wants to see on the drawing, or None."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._held: Held | None = None
        self._compared = caption("")
        self._compared.setVisible(False)
        self._list = LimitRows("limits by use")
        self._list.chosen.connect(self.chosen)
        self._cautions = caption("")
        self._cautions.setAccessibleName("what is assumed or not checked")
        column = QVBoxLayout(self)
        column.addWidget(caption(HOW))
        column.addWidget(self._compared)
        column.addWidget(self._list)
        column.addWidget(self._cautions)
        column.addStretch(1)

    def set_theme(self, colours: Palette) -> None:
        self._list.set_theme(colours)

    def hold(self, held: Held | None) -> None:
        """Compare every limit with a held pose's from now on, or with nothing."""
        self._held = held

    def _differences(self, job: Job, verdict: Verdict) -> dict[tuple[str, str], str]:
        """What each limit was in the held pose, in words."""
        held = self._held
        self._compared.setVisible(held is not None)
        if held is None:
            return {}
        then, now = _allowed_words(held.verdict, job.units), _allowed_words(verdict, job.units)
        self._compared.setText(f"Held: {held.name} ({held.job.name}), allowed load {then}; now {now}.")
        return {
            (entry.part, entry.kind): _change_words(entry, job.units) for entry in differences(held.verdict, verdict)
        }

    def show_verdict(self, job: Job, verdict: Verdict) -> None:
        """List the verdict's checks; the chosen part stays chosen while it is there."""
        rows = sorted(worst_uses_of_each(verdict), key=most_used_first)
        self._list.show_rows(rows, job, self._differences(job, verdict))
        notes = [fill(note.words, note.numbers, job.units) for note in (*verdict.not_entered, *verdict.cautions)]
        self._cautions.setText("\n".join([*notes, f"{NOT_CHECKED_WORDS} {'; '.join(NOT_CHECKED)}."]))

    @property
    def chosen_check(self) -> Check | None:
        """The check whose sum is shown."""
        return self._list.chosen_check

    @property
    def checks(self) -> list[Check]:
        """The listed checks, in their order."""
        return self._list.checks

    @property
    def rows(self) -> list[str]:
        """The listed limits as they read."""
        return self._list.rows

    @property
    def cautions_text(self) -> str:
        """What is assumed or not checked, as shown."""
        return self._cautions.text()

    @property
    def sum_text(self) -> str:
        """The sum in the row chosen, as shown."""
        return self._list.sum.text()

    def choose(self, row: int) -> None:
        """Choose the limit in a row."""
        self._list.setCurrentRow(row)


def _allowed_words(verdict: Verdict, units: System) -> str:
    return "none given" if verdict.allowed_load_kg is None else show(verdict.allowed_load_kg, "kg_down", units)


def _change_words(entry: LimitDifference, units: System) -> str:
    """What a limit was in the held pose, and the change in points of use."""
    if entry.use_then is None:
        return ", held: not there"
    words = f", held {show(entry.use_then, 'use', units)}"
    if not math.isfinite(entry.change):
        return words
    points = round(100.0 * entry.change)
    return f"{words} ({points:+d} points)" if points else f"{words} (no change)"
