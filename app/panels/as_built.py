"""As-built panel: what was measured against what was drawn, and what each difference costs."""

from __future__ import annotations

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.widgets import add_button, caption, heading, sentence
from engine.base.formatting import System, show
from engine.explain.entry_names import kind_of, place_words
from engine.planning.as_built import DifferenceCost, compare
from engine.schema.quantities import Estimate
from engine.shop.edits import REPLACE

HOW = (
    "Keep the rig as drawn before cutting. Then enter under Build what was measured: walls by caliper, holes as "
    "drilled, weld legs by gauge, parts weighed. Every verdict is of the rig as built."
)

HARDLY_KG = 0.5
"""A difference that changes the allowed load by less costs nothing."""


class AsBuiltPanel(QWidget):
    """Keep the rig as drawn, then enter what was built under Build; the differences stand here."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        column = QVBoxLayout(self)
        column.addWidget(heading("As built"))
        column.addWidget(caption(HOW))
        self.keep = add_button(column, "Keep this as the drawn rig", "keep this as the drawn rig", self._keep)
        self.forget = add_button(column, "Forget the drawn rig", "forget the drawn rig", self._forget)
        self.said = sentence("as built against as drawn")
        column.addWidget(self.said)
        column.addStretch(1)

    def show_document(self, document: Document) -> None:
        """The differences and their costs in the shown pose."""
        comparison = compare(document.committed_job, document.pose)
        self.forget.setEnabled(comparison is not None)
        if comparison is None:
            self.said.setText("No drawn rig is kept.")
            return
        units = document.units
        drawn, built = _load_words(comparison.drawn_kg, units), _load_words(comparison.built_kg, units)
        lines = [f"Allowed load here: {drawn} as drawn, {built} as built."]
        lines += [cost_words(cost, units) for cost in comparison.costs] or ["Built as drawn."]
        self.said.setText("\n\n".join(lines))

    def _keep(self) -> None:
        document = self._document
        document.set_job(REPLACE(document.committed_job, drawn=document.committed_job.rig), "Keep the drawn rig")

    def _forget(self) -> None:
        document = self._document
        document.set_job(REPLACE(document.committed_job, drawn=None), "Forget the drawn rig")


def cost_words(cost: DifferenceCost, units: System) -> str:
    """One difference in a sentence: the entry, both values, what it costs alone."""
    difference = cost.difference
    entry = difference.path.removeprefix("rig.")
    name = entry.rpartition(".")[2].partition("[")[0]
    drawn, built = value_words(difference.drawn, name, units), value_words(difference.built, name, units)
    words = f"{place_words(entry)}: drawn {drawn}, built {built}."
    if cost.change_kg is None:
        return f"{words} What it costs alone cannot be said{': ' + cost.governing if cost.governing else ''}."
    if abs(cost.change_kg) < HARDLY_KG:
        return f"{words} Costs nothing here."
    way, kind = ("costs", "kg_up") if cost.change_kg < 0.0 else ("gains", "kg_down")
    return f"{words} Alone it {way} {show(abs(cost.change_kg), kind, units)} of allowed load ({cost.governing})."


def value_words(value: object, name: str, units: System) -> str:
    """A value of the rig for a person; ``name`` is the entry's."""
    match value:
        case None:
            return "not known"
        case Estimate():
            return f"{show(float(value.best), kind_of(name), units)} ({value.known.replace('_', ' ')})"
        case bool() | str():
            return str(value).replace("_", " ")
        case float():
            return show(value, kind_of(name), units)
        case tuple():
            return f"{len(value)} of them"
        case msgspec.Struct():
            return type(value).__name__
    return str(value)


def _load_words(load_kg: float | None, units: System) -> str:
    return "none given" if load_kg is None else show(load_kg, "kg_down", units)
