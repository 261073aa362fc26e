"""Why panel: cause, order and remedy in one sentence each."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.questions import Questions
from app.panels.waiting import Waiting
from app.panels.widgets import add_button, caption, copyable_sentence, heading
from app.workers.reason import Reason
from engine.base.formatting import fill
from engine.explain.limit_entries import entry_of
from engine.explain.phrases import LOAD_CONDITIONS
from engine.explain.why import Statement, tried_words

LOOKING = "A remedy is being looked for."
NOT_LOOKED = "No remedy: the search for one was stopped."


def question_words(state: str) -> str:
    """What the question is called in a state."""
    return "Why?" if state == "WITHIN" else "Why not?"


class WhyPanel(QWidget):
    """Three sentences on the pose shown."""

    entry_wanted = Signal(str)
    """Path of the entry that the cause rests on."""

    def __init__(self, reason: Reason, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._path = ""
        self._reason = reason
        self.background = reason.background
        self._title = heading("")
        self.sentences = {name: copyable_sentence(name.lower()) for name in ("Cause", "Order", "Remedy")}
        column = QVBoxLayout(self)
        column.setSpacing(6)
        column.addWidget(self._title)
        self.waiting = Waiting(self.background, "Remedy", has_answer=lambda: False, again=reason.ask_again)
        self.background.stopped.connect(self._say_not_looked)
        for name, label in self.sentences.items():
            column.addSpacing(4)
            column.addWidget(caption(name))
            if name == "Remedy":
                column.addWidget(self.waiting)
            column.addWidget(label)
            if name == "Cause":
                to = "open the entry that this limit rests on"
                self.entry_button = add_button(column, "Open its entry", to, self._open_entry)
        self.questions = Questions()
        column.addWidget(self.questions)
        column.addSpacing(8)
        column.addWidget(caption(LOAD_CONDITIONS))
        column.addStretch(1)

    @property
    def title(self) -> str:
        return self._title.text()

    def show_document(self, document: Document) -> None:
        """Explain the pose shown."""
        state = document.verdict.state
        self._title.setText(f"{question_words(state)} {document.verdict.state_words}.")
        self.questions.show_document(document)
        governing = document.verdict.governing
        over = governing is not None and state in ("OVER", "NOT PROVEN")
        self._path = entry_of(document.job, document.pose, governing) if governing is not None and over else ""
        self.entry_button.setVisible(bool(self._path))
        why = self._reason(document)
        if why.remedy is not None:
            self.waiting.clear()
        for label, statement in zip(self.sentences.values(), (why.cause, why.order, why.remedy), strict=True):
            text = self._tried(document) if statement is None else filled(statement, document)
            if label.text() != text:
                label.setText(text)

    def _open_entry(self) -> None:
        self.entry_wanted.emit(self._path)

    def _say_not_looked(self) -> None:
        label = self.sentences["Remedy"]
        label.setText(label.text().replace(LOOKING, NOT_LOOKED))

    def _tried(self, document: Document) -> str:
        """What was tried so far, while there is no remedy yet."""
        heading_words = LOOKING if self.background.asks else NOT_LOOKED
        return "\n".join([heading_words, *(filled(tried_words(trial), document) for trial in self._reason.tried)])


def filled(statement: Statement, document: Document) -> str:
    """A statement in the document's units, its first letter large."""
    text = fill(statement.words, statement.numbers, document.units)
    return text[:1].upper() + text[1:]
