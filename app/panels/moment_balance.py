"""Weigh-up: the moments about a tipping line.  What holds left of the fulcrum, what tips right of it.

The truck leans on its tyres as it does for every other figure.

The beam comes level as balance is lost and goes down on the right once it is.  Everything follows the document, in a
drag some sixteen times a second.
"""

from __future__ import annotations

import math

import msgspec
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.documents.document import Document
from app.look.theme import Palette
from app.panels.fields import ChoiceField
from app.panels.see_saw import MomentBars, SeeSaw
from app.panels.widgets import caption, heading, sentence
from engine.base.formatting import System, show
from engine.handling.moment_balance import MomentBalance, first_line_to_tip, moment_balance, most_used_line

MOST_USED = "the most used"
LINES = ("front", "left side", "right side", "rear")


class MomentBalancePanel(QWidget):
    """The see-saw over the most used tipping line, or over the one chosen."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.line = ChoiceField("tipping line weighed", (MOST_USED, *LINES))
        self.line.entered.connect(lambda _name: self._show())
        self._document: Document | None = None
        self.see_saw, self.bars = SeeSaw(), MomentBars()
        self._title, self._sum = heading(""), sentence("sums of the weigh-up")
        column = QVBoxLayout(self)
        column.addWidget(caption("Tipping line", self.line))
        column.addWidget(self.line)
        column.addWidget(self._title)
        column.addWidget(self.see_saw)
        column.addWidget(self._sum)
        column.addWidget(self.bars)
        column.addWidget(
            caption("Plain statics, values as entered, no allowances. Distances are square to plumb, from the line.")
        )
        column.addStretch(1)

    @property
    def title(self) -> str:
        return self._title.text()

    @property
    def sum_text(self) -> str:
        return self._sum.text()

    def set_theme(self, colours: Palette) -> None:
        self.see_saw.set_theme(colours)
        self.bars.set_theme(colours)

    def show_document(self, document: Document) -> None:
        """The weights of the pose shown, over the most used line or the one chosen."""
        self._document = document
        self._show()

    def _show(self) -> None:
        document = self._document
        if document is None:
            return
        balance, units = document.verdict.leaned, document.units
        if balance is None:
            self._title.setText("Nothing to weigh up")
            self._sum.setText(
                "There is no verdict on this pose: a fact is missing, or it cannot be. Put that right first."
            )
            self.see_saw.set(None, 0.0, units)
            self.bars.set(None, units)
            return
        chosen = self.line.currentData()
        line = next((line for line in balance.lines if line.name == chosen), most_used_line(balance))
        weights = moment_balance(document.verdict.hanging, line)
        if line is first_line_to_tip(balance):
            weights = msgspec.structs.replace(weights, lost_at_kg=balance.tipping_load_kg)
        self.see_saw.set(weights, float(line.use), units)
        self.bars.set(weights, units)
        self._title.setText(f"Over the {line.name} line")
        self._sum.setText(_sum_words(weights, units))
        self.see_saw.setAccessibleDescription(self._sum.text())


def _sum_words(balance: MomentBalance, units: System) -> str:
    """What holds, what tips, what is left, and when balance would be lost."""
    left_Nm, lost_kg, lost_m = (float(value) for value in (balance.left_Nm, balance.lost_at_kg, balance.lost_at_m))
    holds, tips, left = (
        show(moment_Nm, "Nm", units) for moment_Nm in (float(balance.holds_Nm), float(balance.tips_Nm), left_Nm)
    )
    words = f"Holds {holds}, tips {tips}: {left} left."
    if not left_Nm > 0.0:
        words = f"Holds {holds}, tips {tips}: NOTHING LEFT, it would go over."
    if math.isfinite(lost_kg):
        words += f" Balance would be lost with a load of {show(max(lost_kg, 0.0), 'kg_down', units)} here"
        if math.isfinite(lost_m) and lost_m > 0.0:
            words += f", or with this load {show(lost_m, 'mm', units)} past the line"
        words += "."
    else:
        words += " More load here does not tip over this line."
    if balance.left_out:
        words += f" Not counted over this line: {', '.join(balance.left_out)}."
    return words
