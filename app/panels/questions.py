"""Questions about entries that are hardly right: the number that was meant, or the word that the entry is right."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look import hints
from app.panels.widgets import caption, copyable_sentence
from engine.base.errors import TailweightError
from engine.base.formatting import fill
from engine.explain import refusals
from engine.rig.check import Problem
from engine.schema.model import Job
from engine.shop.answers import corrected, said_right
from engine.worst_case.verdict import Verdict

RIGHT = "It is right"


class Questions(QWidget):
    """One row for each question: its words, and a button for each answer."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document: Document | None = None
        self._asked: tuple[Problem, ...] = ()
        self._rows: list[QWidget] = []
        self.buttons: list[QPushButton] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.addWidget(caption("Is this right?"))
        self._wrong = QLabel(self)
        self._wrong.setObjectName("wrong")
        self._wrong.setWordWrap(True)
        self.setVisible(False)

    def show_document(self, document: Document) -> None:
        """Ask what the verdict on the pose shown asks."""
        self._document = document
        asked = questions_of(document.verdict)
        if asked == self._asked:
            return
        self._asked = asked
        for row in self._rows:
            self._column.removeWidget(row)
            row.deleteLater()
        self.buttons = []
        self._rows = [self._row(problem, document) for problem in asked]
        for row in self._rows:
            self._column.addWidget(row)
        self._wrong.setText("")
        self._column.addWidget(self._wrong)
        self.setVisible(bool(asked))

    def _row(self, problem: Problem, document: Document) -> QWidget:
        row = QWidget()
        column, answers = QVBoxLayout(row), QHBoxLayout()
        column.setContentsMargins(0, 4, 0, 4)
        words = copyable_sentence("question")
        words.setText(fill(problem.words, problem.numbers, document.units))
        column.addWidget(words)
        if "meant" in problem.numbers:
            meant = fill(f"Use {_meant_template(problem)}", problem.numbers, document.units)
            self._add(answers, meant, partial(self._answer, problem, corrected, meant))
        if problem.kind == "asked":
            self._add(answers, RIGHT, partial(self._answer, problem, said_right, "say that an entry is right"))
        answers.addStretch(1)
        column.addLayout(answers)
        return row

    def _add(self, row: QHBoxLayout, text: str, act: Callable[[], None]) -> None:
        button = QPushButton(text)
        hints.name(button, text)
        button.clicked.connect(lambda _checked=False: act())
        self.buttons.append(button)
        row.addWidget(button)

    def _answer(self, problem: Problem, change: Callable[[Job, Problem], Job], text: str) -> None:
        document = self._document
        assert document is not None  # a question is shown only with a document
        try:
            document.set_job(change(document.committed_job, problem), text[:1].lower() + text[1:])
        except TailweightError as error:
            self._wrong.setText(refusals.sentence(error, document.units))


def _meant_template(problem: Problem) -> str:
    """How the problem's own words show the number that was meant."""
    start = problem.words.index("{meant")
    return problem.words[start : problem.words.index("}", start) + 1]


def questions_of(verdict: Verdict) -> tuple[Problem, ...]:
    """What a verdict asks, and what it refuses and offers a number for."""
    return tuple(
        problem
        for problem in (*verdict.problems, *verdict.not_entered)
        if problem.kind == "asked" or "meant" in problem.numbers
    )
