"""Surroundings panel: ceiling, beams, door heads and benches as boxes, and how near the rig comes to each."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.forms import Form
from app.panels.widgets import caption, heading, sentence
from engine.base.formatting import fill
from engine.explain.shown import gap_text
from engine.schema.model import fall_is_known

HOW = "Look up: beams, doors, lights, lines. Boxes are measured from the front axle, the centreline and the floor."


class SurroundingsPanel(QWidget):
    """Boxes to keep clear of, and the clearance in the shown pose."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.form = Form(document, ("surroundings",))
        self.form.refused.connect(self.told)
        self.clearances = sentence("clearances")
        column = QVBoxLayout(self)
        column.addWidget(heading("What stands round the truck"))
        column.addWidget(caption(HOW))
        column.addWidget(self.clearances)
        column.addWidget(self.form)
        column.addStretch(1)

    def entry_field(self, path: str) -> QWidget | None:
        """The field of an entry."""
        return self.form.entry_field(path)

    def show_document(self, document: Document) -> None:
        """The boxes, and how near the shown pose comes to them."""
        self.form.show_document(document)
        room = document.verdict.room
        rows = sorted(zip(room.checks, room.worst_m, strict=True), key=lambda row: -float(row[0].use))
        said = [gap_text(check, worst_m, document.units) for check, worst_m in rows]
        if not document.job.surroundings:
            said.insert(0, "No box is entered: the load is checked against the floor and the rig, nothing else.")
        elif not fall_is_known(document.job, document.pose):
            said.insert(0, f"The slope at ‘{document.pose.floor}’ is not known: it is taken as level here.")
        self.clearances.setText("\n".join(said))


def collision_words(document: Document) -> str:
    """What is in the way of the shown pose, in one sentence; empty when it is clear."""
    said = [fill(check.words, check.shown_numbers, document.units) for check in document.verdict.room.short]
    more = f", and {len(said) - 1} more" if len(said) > 1 else ""
    return f"Something is in the way: {said[0]}{more}." if said else ""
