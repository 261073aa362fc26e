"""What stands between a pose and its verdict: each reason in words, and a button that leads to the entry."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.panels.flow_layout import FlowLayout
from app.panels.widgets import sentence
from engine.base.formatting import fill
from engine.explain.entry_names import entry_words
from engine.rig.check import Problem
from engine.schema.model import Job

if TYPE_CHECKING:
    from engine.worst_case.verdict import Verdict

NO_LOAD = "No allowed load until this is put right:"
MOST_LINKS = 6
"""More reasons than this are counted: the first ones have to be settled anyway."""


class MissingFacts(QWidget):
    """A sentence where something cannot be, and under it a button for each entry to look at."""

    entry_wanted = Signal(str)
    """Path of the entry."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._asked: tuple[object, ...] = ()
        self.links: list[QPushButton] = []
        self.words = sentence("why there is no verdict")
        self._row = QWidget()
        self._flow = FlowLayout(self._row, gap=4)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self._row.setSizePolicy(policy)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.words)
        column.addWidget(self._row)
        self.setVisible(False)

    def show_verdict(self, job: Job, verdict: Verdict) -> None:
        """Show the reasons of a verdict; nothing where there are none."""
        reasons = reasons_of(verdict)
        asked = (*reasons, job.units)
        if asked == self._asked:
            return
        self._asked = asked
        for link in self.links:
            self._flow.takeAt(0)
            link.hide()  # it goes only with the next turn of the event loop: until then another may stand in its place
            link.deleteLater()
        self.links = []
        cannot = [NO_LOAD] if verdict.state == "REFUSED" else []
        cannot += [fill(each.words, each.numbers, job.units) for each in reasons if each.kind == "impossible"]
        self.words.setText(cannot[-1] if cannot else "")
        self.words.setVisible(bool(cannot))
        for problem in reasons[:MOST_LINKS]:
            self._add(problem, job)
        if rest := reasons[MOST_LINKS:]:
            self._add_link(f"and {len(rest)} more", "; ".join(entry_words(each.where, job) for each in rest), rest[0])
        self.setVisible(bool(reasons))
        self.updateGeometry()

    def _add(self, problem: Problem, job: Job) -> None:
        words = entry_words(problem.where, job)
        if problem.kind in ("missing", "not_entered"):
            words += ": missing"
        self._add_link(words, fill(problem.words, problem.numbers, job.units), problem)

    def _add_link(self, words: str, about: str, problem: Problem) -> None:
        button = QPushButton(words)
        button.setObjectName("link")
        button.setAccessibleName(f"go to {words}")
        button.setToolTip(about)
        button.clicked.connect(partial(self.entry_wanted.emit, problem.where))
        self.links.append(button)
        self._flow.addWidget(button)


def reasons_of(verdict: Verdict) -> tuple[Problem, ...]:
    """What stands between a pose and its verdict, each entry once."""
    reasons: dict[str, Problem] = {}
    for problem in (*verdict.problems, *verdict.not_entered):
        reasons.setdefault(problem.where, problem)
    return tuple(reasons.values())
