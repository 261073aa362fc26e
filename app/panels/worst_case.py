"""Worst-case panel: which entry costs most in the worst case, and what measuring it would buy."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.panels.widgets import caption, heading, sentence
from engine.base.formatting import show
from engine.schema.model import Job
from engine.strength.cautions import thin_end_advice
from engine.worst_case.entry_costs import EntryCost, costliest_entries, entries_to_measure
from engine.worst_case.uncertain_inputs import Entry
from engine.worst_case.verdict import Verdict
from engine.worst_case.worst_case import WorstCase

HOW = (
    "Every number is taken at its worst at once, and welds and walls at their thin end. These entries cost most; "
    "measuring one gives its share back."
)


class WorstCasePanel(QWidget):
    """The costliest entries of the shown pose, in sentences."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._most_used = _selectable_sentence("what would settle it")
        self._costs = _selectable_sentence("entries that cost most")
        column = QVBoxLayout(self)
        column.addWidget(heading("What the doubt costs"))
        column.addWidget(caption(HOW))
        column.addWidget(self._most_used)
        column.addWidget(self._costs)
        column.addStretch(1)

    @property
    def text(self) -> str:
        """All that is said, for tests."""
        return f"{self._most_used.text()}\n{self._costs.text()}"

    def show_verdict(self, job: Job, verdict: Verdict) -> None:
        """Rank the entries of this verdict."""
        worst = verdict.worst_case
        if worst is None:
            self._most_used.setText("There is no verdict here, so there is nothing to weigh up yet.")
            self._costs.setText("")
            return
        self._most_used.setText(_most_used_words(job, verdict, worst))
        self._costs.setText("\n\n".join(cost_words(cost, job) for cost in costliest_entries(worst)))


def _most_used_words(job: Job, verdict: Verdict, worst: WorstCase) -> str:
    """The limit most used in the worst case, and what to measure if that is all that is missing."""
    check, index = verdict.checks[worst.worst_index], worst.worst_index
    use, nominal = show(worst.use[index], "use", job.units), show(float(check.use), "use", job.units)
    words = f"Most used at worst: {check.name}, {use} (as entered {nominal})."
    if verdict.state == "NOT PROVEN":
        entries = entries_to_measure(worst)
        words += f" {measure_words(entries)}" + ("" if entries else thin_end_advice(worst.job.rig))
    return words


def measure_words(entries: tuple[Entry, ...]) -> str:
    """What to measure to turn NOT PROVEN into WITHIN."""
    if not entries:
        return "Measuring these alone does not settle it: less load, less reach or a stronger part is needed."
    advice = "; ".join(entry.advice for entry in entries)
    return f"{advice}: NOT PROVEN becomes WITHIN, if it comes out as entered."


def cost_words(cost: EntryCost, job: Job) -> str:
    """One entry in a sentence or two."""
    share, then = show(cost.share, "share", job.units), show(cost.use_then, "use", job.units)
    name = cost.entry.name[:1].upper() + cost.entry.name[1:]
    words = f"{name}: {share} of the doubt. {cost.entry.advice}: the use comes down to {then}"
    return words + (", and NOT PROVEN becomes WITHIN." if cost.settles else ".")


def _selectable_sentence(name: str) -> QLabel:
    label = sentence(name)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
