"""As-built panel: what was measured against what was drawn, and what each difference costs."""

from __future__ import annotations

from typing import Any

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.forms import kind_of, label_of
from app.panels.widgets import caption, heading
from engine.base.formatting import System, show
from engine.planning.as_built import DifferenceCost, compare
from engine.schema.model import Estimate
from engine.shop.edits import REPLACE


class AsBuiltPanel(QWidget):
    """Keep the rig as drawn, then enter what was built under Rig; the differences stand here."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.keep = QPushButton("Keep this as the drawn rig")
        self.keep.setAccessibleName("keep this as the drawn rig")
        self.keep.clicked.connect(self._keep)
        self.forget = QPushButton("Forget the drawn rig")
        self.forget.setAccessibleName("forget the drawn rig")
        self.forget.clicked.connect(self._forget)
        self.said = QLabel()
        self.said.setWordWrap(True)
        self.said.setAccessibleName("as built against as drawn")
        column = QVBoxLayout(self)
        column.addWidget(heading("As built"))
        column.addWidget(
            caption(
                "Keep the rig as drawn before cutting. Then enter under Rig what was measured: walls by caliper, holes as "
                "drilled, weld legs by gauge, parts weighed. Every verdict is of the rig as built."
            )
        )
        column.addWidget(self.keep)
        column.addWidget(self.forget)
        column.addWidget(self.said)
        column.addStretch(1)

    def show_document(self, document: Document) -> None:
        """The differences and their costs in the shown pose."""
        found = compare(document.committed_job, document.pose)
        self.forget.setEnabled(found is not None)
        if found is None:
            self.said.setText("No drawn rig is kept.")
            return
        units = document.units
        lines = [
            f"Allowed load here: {_load(found.drawn_kg, units)} as drawn, {_load(found.built_kg, units)} as built."
        ]
        lines += [cost_words(cost, units) for cost in found.costs] or ["Built as drawn."]
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
    words = f"{_place(entry)}: drawn {value_words(difference.drawn, name, units)}, built {value_words(difference.built, name, units)}."
    if cost.change_kg is None:
        return f"{words} What it costs alone cannot be said{': ' + cost.governing if cost.governing else ''}."
    if abs(cost.change_kg) < 0.5:
        return f"{words} Costs nothing here."
    way = "costs" if cost.change_kg < 0.0 else "gains"
    return f"{words} Alone it {way} {show(abs(cost.change_kg), 'kg', units)} of allowed load ({cost.governing})."


def value_words(value: Any, name: str, units: System) -> str:
    """A value of the rig for a person."""
    if value is None:
        return "not known"
    if isinstance(value, Estimate):
        return f"{show(float(value.best), kind_of(name), units)} ({value.known.replace('_', ' ')})"
    if isinstance(value, bool | str):
        return str(value).replace("_", " ")
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return show(value, kind_of(name), units)
    if isinstance(value, tuple):
        return f"{len(value)} of them"
    return type(value).__name__ if isinstance(value, msgspec.Struct) else str(value)


def _place(entry: str) -> str:
    """Plain words for a path such as ``arms[1].section.wall_m``."""
    steps = [
        label_of(step.partition("[")[0]) + (f" {int(step.partition('[')[2][:-1]) + 1}" if "[" in step else "")
        for step in entry.split(".")
    ]
    words = ", ".join(steps)
    return words[:1].upper() + words[1:]


def _load(kg: float | None, units: System) -> str:
    return "none given" if kg is None else show(kg, "kg_down", units)
