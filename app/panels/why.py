"""Why panel: cause, order and remedy in one sentence each."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.widgets import caption, heading
from engine.base.formatting import fill
from engine.explain.phrases import LOAD_CONDITIONS
from engine.explain.why import Statement, Why
from engine.worst_case.verdict import STATE_WORDS

LOOKING = "A remedy is being looked for."


def words_of(state: str) -> str:
    """What the question is called for a state."""
    return "Why?" if state == "WITHIN" else "Why not?"


class WhyPanel(QWidget):
    """Three sentences on the pose shown."""

    def __init__(self, reason: object, parent: QWidget | None = None) -> None:
        """``reason`` works out the sentences of a document; it may take a moment and is asked for once a change."""
        super().__init__(parent)
        self._reason = reason
        self.background = reason.background
        self._title = heading("")
        self.sentences = {name: _sentence(name) for name in ("Cause", "Order", "Remedy")}
        column = QVBoxLayout(self)
        column.setSpacing(6)
        column.addWidget(self._title)
        for name, label in self.sentences.items():
            column.addSpacing(4)
            column.addWidget(caption(name))
            column.addWidget(label)
        column.addSpacing(8)
        column.addWidget(caption(LOAD_CONDITIONS))
        column.addStretch(1)

    @property
    def title(self) -> str:
        return self._title.text()

    def show_document(self, document: Document) -> None:
        """Explain the pose shown."""
        state = document.verdict.state
        self._title.setText(f"{words_of(state)} {STATE_WORDS[state]}.")
        found: Why = self._reason(document)
        for name, said in zip(self.sentences, (found.cause, found.order, found.remedy), strict=True):
            text = LOOKING if said is None else filled(said, document)
            if self.sentences[name].text() != text:
                self.sentences[name].setText(text)


def filled(said: Statement, document: Document) -> str:
    """A sentence in the document's units, its first letter large."""
    text = fill(said.words, said.numbers, document.units)
    return text[:1].upper() + text[1:]


def _sentence(name: str) -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setAccessibleName(name.lower())
    label.setTextInteractionFlags(
        Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
    )
    label.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    return label
