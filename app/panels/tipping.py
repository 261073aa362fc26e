"""Rear wheels and tip-up: how the rear weight goes as the load grows, and why a truck that starts to tip goes so fast.

Both curves show loads or leans past what is allowed.  They explain, and never stand on a paper.
"""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.documents.document import Document
from app.look.theme import Palette
from app.panels.lift_plot import LiftPlot
from app.panels.tip_plot import TipPlot
from app.panels.widgets import caption, copyable_sentence, heading
from engine.explain import tip_words
from engine.explain.shown import shown_figures
from engine.handling.lift_curve import lift_curve
from engine.handling.tip_curve import tip_curve_of

HOW_LIFT = (
    "More load on the hook in this pose, all else as it is. The limits also count swing, levers, "
    "braking and soft tyres: the most that may hang comes well before."
)

HOW_TIP = (
    "What brings the truck back as it tips over the front wheels. Values as entered, one stiff body, slow, the load "
    "pulling at the hook."
)


class TippingPanel(QWidget):
    """The rear weight of the pose shown against the load, and its tip-up curve."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.lift, self.tip = LiftPlot(), TipPlot()
        self._lift_says = copyable_sentence("where the truck tips")
        self._tip_says = copyable_sentence("where nothing brings the truck back")
        self._how_lift, self._how_tip = caption(HOW_LIFT), caption(HOW_TIP)
        self._tip_title = heading("Once it starts to tip")
        self._only_why = copyable_sentence("what the limit is")
        self._only_why.setText(tip_words.ONLY_WHY)
        column = QVBoxLayout(self)
        for widget in (
            heading("Rear wheels against load"),
            self._lift_says,
            self._how_lift,
            self.lift,
            self._tip_title,
            self._only_why,
            self._tip_says,
            self._how_tip,
            self.tip,
        ):
            column.addWidget(widget)
        column.addStretch(1)

    @property
    def lift_text(self) -> str:
        """What is said of the rear weight."""
        return self._lift_says.text()

    @property
    def tip_text(self) -> str:
        """What is said of the tip-up curve."""
        said = (self._only_why, self._tip_says)
        return " ".join(label.text() for label in said if not label.isHidden())

    def set_theme(self, colours: Palette) -> None:
        self.lift.set_theme(colours)
        self.tip.set_theme(colours)

    def show_document(self, document: Document) -> None:
        """The curves of the document's pose; without a verdict once what is missing."""
        self._show_lift(document)
        self._show_tip(document)
        has_verdict = document.verdict.worst_case is not None
        self._tip_title.setVisible(has_verdict)
        self._tip_says.setVisible(has_verdict)

    def _show_lift(self, document: Document) -> None:
        job, pose, verdict, units = document.job, document.pose, document.verdict, document.units
        curve = lift_curve(job, pose, verdict)
        self._how_lift.setVisible(curve is not None)
        if curve is None:
            self._lift_says.setText(tip_words.no_lift_curve_words(job, verdict))
            self.lift.show_curve(None, lambda _point: "", units)
            return
        figures = shown_figures(job, pose, verdict)
        self._lift_says.setText(tip_words.lift_sentence(curve, verdict, units))
        self.lift.show_curve(curve, partial(tip_words.lift_words, curve, figures=figures, system=units), units)

    def _show_tip(self, document: Document) -> None:
        verdict, units = document.verdict, document.units
        curve = tip_curve_of(verdict)
        self._how_tip.setVisible(curve is not None)
        self._only_why.setVisible(curve is not None)
        if curve is None:
            self._tip_says.setText(tip_words.WHEELS_UP)
            self.tip.show_curve(None, lambda _lean: "", units)
            return
        self._tip_says.setText(tip_words.tip_sentence(curve, verdict, units))
        self.tip.show_curve(curve, partial(tip_words.tip_words, curve, system=units), units)
