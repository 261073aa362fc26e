"""Doubt panel: which entry costs most in the worst case, and what measuring it would buy."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.panels.widgets import caption, heading
from engine.base.formatting import show
from engine.schema.model import Job, Pose
from engine.worst_case.entry_costs import EntryCost, costliest_entries, entries_to_measure
from engine.worst_case.verdict import Verdict


class WorstCasePanel(QWidget):
    """The dearest entries of the shown pose, in sentences."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head, self._settles, self._list = heading("What the doubt costs"), _words(), _words()
        self._settles.setAccessibleName("what would settle it")
        self._list.setAccessibleName("entries that cost most")
        column = QVBoxLayout(self)
        column.addWidget(self._head)
        column.addWidget(
            caption(
                "Every number is taken at its worst at once. These entries cost most; measuring one gives its share back."
            )
        )
        column.addWidget(self._settles)
        column.addWidget(self._list)
        column.addStretch(1)

    @property
    def text(self) -> str:
        """All that is said, for tests."""
        return f"{self._settles.text()}\n{self._list.text()}"

    def show_verdict(self, job: Job, pose: Pose, verdict: Verdict) -> None:
        """Rank the entries of this verdict."""
        worst = verdict.worst_case
        if worst is None:
            self._settles.setText("There is no verdict here, so there is nothing to weigh up yet.")
            self._list.setText("")
            return
        units = job.units
        check, use = verdict.checks[worst.worst_index], worst.use[worst.worst_index]
        words = f"Most used at worst: {check.name}, {show(use, 'share', units)} (best values {show(float(check.use), 'share', units)})."
        if verdict.state == "NOT PROVEN":
            words += f" {settling_words(entries_to_measure(worst))}"
        self._settles.setText(words)
        self._list.setText("\n\n".join(cost_words(cost, job) for cost in costliest_entries(worst)))


def settling_words(entries: tuple[object, ...]) -> str:
    """What to measure to turn NOT PROVEN into WITHIN."""
    if not entries:
        return "Measuring alone does not settle it: less load, less reach or a stronger part is needed."
    advice = "; ".join(entry.advice for entry in entries)
    return f"{advice}: NOT PROVEN becomes WITHIN, if it comes out as entered."


def cost_words(cost: EntryCost, job: Job) -> str:
    """One entry in a sentence or two."""
    share, then = show(cost.share, "share", job.units), show(cost.use_then, "share", job.units)
    name = cost.entry.name[:1].upper() + cost.entry.name[1:]
    words = f"{name}: {share} of the doubt. {cost.entry.advice}: the use comes down to {then}"
    return words + (", and NOT PROVEN becomes WITHIN." if cost.settles else ".")


def _words() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
