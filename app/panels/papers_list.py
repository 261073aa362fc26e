"""Papers panel: one row for each paper with what the pose still lacks, as a PDF file or on a printer."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.missing_facts import MissingFacts
from app.panels.widgets import caption, heading, sentence

WHAT_FOR = {
    "helper": "What the helper watches, and when to stop.",
    "pick": "This pick on one sheet, to sign before the lift.",
    "placard": "Allowed loads by hole and hook height, to hang in the cab.",
    "build": "What to cut, drill and weld.",
    "approval": "The letter to the truck maker.",
    "proof": "The proof-load test, planned and recorded.",
    "check": "The sums that matter, to redo by hand.",
    "drawing": "Side view and plan, to be measured with a ruler.",
    "log": "Everything on record for this rig.",
}

NOT_APPROVED = "Every paper says PLANNING ONLY until the maker's approval is entered."
REFUSED = "There is no verdict on this pose: papers say so and give no load. Missing:"
READY = "Nothing is missing for this pose."


class PapersPanel(QWidget):
    """The papers of the pose shown."""

    wanted = Signal(str, str)
    """A paper, and "pdf" or "print"."""

    looked_at = Signal(str)
    """A paper whose row the keyboard or the pointer went to."""

    entry_wanted = Signal(str)
    """Path of an entry that the papers lack."""

    def __init__(self, titles: Mapping[str, str], parent: QWidget | None = None) -> None:
        """``titles`` of the papers by their names."""
        super().__init__(parent)
        self.said = sentence("what the papers lack")
        self.facts = MissingFacts()
        self.facts.entry_wanted.connect(self.entry_wanted)
        self.buttons: dict[tuple[str, str], QPushButton] = {}
        column = QVBoxLayout(self)
        column.setSpacing(4)
        column.addWidget(self.said)
        column.addWidget(self.facts)
        for kind, title in titles.items():
            self._add(column, kind, title)
        column.addStretch(1)

    def _add(self, column: QVBoxLayout, kind: str, title: str) -> None:
        row = QHBoxLayout()
        row.addWidget(heading(title), 1)
        for text, how in (("PDF...", "pdf"), ("Print...", "print")):
            button = QPushButton(text)
            button.setAccessibleName(f"{title}: {text.rstrip('.')}")
            button.setToolTip(WHAT_FOR[kind])
            button.clicked.connect(partial(self.wanted.emit, kind, how))
            button.installEventFilter(self)
            self.buttons[kind, how] = button
            row.addWidget(button)
        column.addLayout(row)
        column.addWidget(caption(WHAT_FOR[kind]))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The row of a button that the keyboard comes to is looked at."""
        if event.type() == QEvent.Type.FocusIn:
            self.looked_at.emit(next(kind for (kind, _), button in self.buttons.items() if button is watched))
        return super().eventFilter(watched, event)

    def show_document(self, document: Document) -> None:
        """What the pose shown lacks."""
        job, verdict = document.job, document.verdict
        said = [REFUSED if verdict.state == "REFUSED" else READY]
        if job.approval is None:
            said.append(NOT_APPROVED)
        self.facts.show_verdict(job, verdict)
        self.said.setText(" ".join(said))
