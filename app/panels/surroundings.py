"""Surroundings panel: ceiling, beams, door heads and benches as boxes, and how near the rig comes to each."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.forms import Form
from app.panels.widgets import caption, heading, sentence
from engine.base.formatting import System, show
from engine.handling.clearance import Gap, standing_gaps
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

    def show_document(self, document: Document) -> None:
        """The boxes, and how near the shown pose comes to them."""
        self.form.show_document(document)
        if not document.job.surroundings:
            self.clearances.setText("No box is entered: nothing is checked but the load against the floor.")
            return
        gaps = [gap_words(gap, document.units) for gap in standing_gaps(document.job, document.pose)]
        if not fall_is_known(document.job, document.pose):
            gaps.insert(0, f"The floor's fall at '{document.pose.floor}' is not known: it is taken as level here.")
        self.clearances.setText("\n".join(gaps))


def gap_words(gap: Gap, units: System) -> str:
    """One clearance in a sentence."""
    if gap.clear_m < 0.0:
        return f"RUNS INTO IT: {gap.part} is {show(-gap.clear_m, 'mm', units)} inside {gap.object}."
    return f"{gap.object}: {gap.part} comes nearest, {show(gap.clear_m, 'mm', units)} clear."


def collision_words(document: Document) -> str:
    """What the shown pose runs into, in one sentence; empty when it is clear."""
    if not document.job.surroundings:
        return ""
    hits = [gap for gap in standing_gaps(document.job, document.pose) if gap.clear_m < 0.0]
    return " ".join(gap_words(gap, document.units) for gap in hits)
