"""Stay-clear panel: how far everybody keeps away, of what that is made, and whether it is drawn."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look import hints
from app.panels.widgets import caption, sentence
from engine.base.formatting import System, show
from engine.rig.exclusion_zone import ExclusionZone, exclusion_zone

HOW = (
    "A circle about the front axle that a falling load or rig stays inside (common practice, no source). It holds for "
    "this pose only: arms that drift and a load that swings carry further. Never stand under the load."
)


class StayClearPanel(QWidget):
    """The circle in words, and a switch that draws it."""

    wanted = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.said = sentence("stay-clear circle")
        self.drawn = QCheckBox("Draw it")
        hints.name(self.drawn, "draw the stay-clear circle")
        self.drawn.clicked.connect(self.wanted)
        column = QVBoxLayout(self)
        column.addWidget(self.said)
        column.addWidget(self.drawn)
        column.addWidget(caption(HOW))
        column.addStretch(1)

    def show_document(self, document: Document) -> None:
        """The circle of the pose shown."""
        zone = exclusion_zone(document.verdict.placed, document.job.load)
        self.said.setText(zone_words(zone, document.units))


def zone_words(zone: ExclusionZone, units: System) -> str:
    """The radius and what it is the sum of."""
    radius, reach, half, height = (
        show(float(length), "mm_up", units) for length in (zone.radius_m, zone.reach_m, zone.half_load_m, zone.height_m)
    )
    return (
        f"Everybody stays {radius} or more from the middle of the front axle: {reach} to the load, {half} half the "
        f"load's diagonal, {height} height of the hook."
    )
