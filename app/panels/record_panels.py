"""The maker's approval as entered, and the log of the rig with what is due."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look import hints
from app.panels.widgets import add_button, caption, copyable_sentence
from engine.base.formatting import System, show
from engine.schema.model import Approval, LogEntry

NO_APPROVAL = (
    "No approval is entered. Changing a truck's load handling needs the truck maker's written approval first; the "
    "approval request among the papers asks for it."
)
NO_LOG = "Nothing is on record yet."


class ApprovalPanel(QWidget):
    """What the maker has approved, and buttons to enter or take it away."""

    wanted = Signal()

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.said = copyable_sentence("the maker's approval")
        column, row = QVBoxLayout(self), QHBoxLayout()
        column.addWidget(self.said)
        self.enter = QPushButton()
        self.enter.clicked.connect(self.wanted)
        self.remove = QPushButton("Take it out")
        hints.name(self.remove, "take the approval out")
        self.remove.clicked.connect(lambda: document.set_value("approval", None, "Take the approval out"))
        row.addWidget(self.enter)
        row.addWidget(self.remove)
        row.addStretch(1)
        column.addLayout(row)
        column.addWidget(caption("Limits of the approval bound every allowed load."))
        column.addStretch(1)

    def entry_field(self, _path: str) -> QWidget:
        """The button that asks for the approval."""
        return self.enter

    def show_document(self, document: Document) -> None:
        """The approval as entered."""
        approval = document.job.approval
        self.said.setText(NO_APPROVAL if approval is None else approval_words(approval, document.units))
        self.enter.setText("Enter it..." if approval is None else "Change it...")
        hints.name(self.enter, "enter the maker's approval")
        self.remove.setVisible(approval is not None)


def approval_words(approval: Approval, units: System) -> str:
    """Reference, date and limits."""
    what = {"hook_load": "hook load"}.get(approval.limit_is, approval.limit_is.replace("_", " "))
    words = (
        f"{approval.reference}, {approval.date}{f', by {approval.by}' if approval.by else ''}: {what} at most "
        f"{show(approval.allowed_kg, 'kg_down', units)}, forks at most {show(approval.lift_max_m, 'length', units)} up."
    )
    if approval.lateral_kgm is not None:
        words += f" Sideways moment at most {show(approval.lateral_kgm, 'kgm_down', units)}."
    return words


class LogPanel(QWidget):
    """The log of the rig, the newest first."""

    wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.said = copyable_sentence("log of the rig")
        column = QVBoxLayout(self)
        add_button(column, "Add to the log...", "add a line to the log", self.wanted.emit)
        column.addWidget(self.said)
        column.addStretch(1)

    def show_document(self, document: Document) -> None:
        """The log as entered."""
        lines = [log_words(entry) for entry in reversed(document.job.log)]
        self.said.setText("\n\n".join(lines) or NO_LOG)


def log_words(entry: LogEntry) -> str:
    """A line of the log."""
    who = f", {entry.by}" if entry.by else ""
    due = f" Due again: {entry.next_due}." if entry.next_due else ""
    said = f": {entry.words}" if entry.words else ""
    return f"{entry.date}, {entry.kind.replace('_', ' ')}{who}{said}.{due}"
