"""One way of measuring: its readings, what they come to, and a button that takes the result into the rig."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import NamedTuple

from PySide6.QtWidgets import QGridLayout, QPushButton, QWidget

from app.look import hints
from app.panels.fields import ChoiceField, QuantityField
from app.panels.widgets import add_row, caption, heading, sentence
from engine.base.errors import TailweightError
from engine.base.formatting import System
from engine.explain import refusals


class Reading(NamedTuple):
    """One reading to enter: its name, its label, and its kind of quantity (see `engine.base.formatting.show`)."""

    name: str
    label: str
    kind: str


class ReadingForm(QWidget):
    """Readings of one measurement.

    Once all are entered ``conclude`` says in words what they come to, or raises when nothing can be told; ``take`` is
    called when somebody takes the result.
    """

    def __init__(
        self,
        title: str,
        how: str,
        readings: tuple[Reading, ...],
        take_words: str,
        conclude: Callable[[Mapping[str, float]], str],
        take: Callable[[], None],
    ) -> None:
        super().__init__()
        self._conclude = conclude
        self._values: dict[str, float] = {}
        self._units: System = "metric"
        self.fields: dict[str, QuantityField] = {}
        grid = self._grid = QGridLayout(self)
        grid.setContentsMargins(0, 4, 0, 4)
        grid.setColumnStretch(1, 1)
        grid.addWidget(heading(title), 0, 0, 1, 2)
        grid.addWidget(caption(how), 1, 0, 1, 2)
        for name, label, kind in readings:
            field = QuantityField(f"{title}: {label}", kind, label)
            field.set_empty_words("not entered")
            field.entered.connect(partial(self._enter, name))
            self.fields[name] = field
            add_row(grid, label, field)
        self.said = sentence(f"{title}: what it says")
        self.take = QPushButton(take_words)
        hints.name(self.take, f"{title}: {take_words}")
        self.take.setEnabled(False)
        self.take.clicked.connect(take)
        self._add_conclusion()

    def _add_conclusion(self) -> None:
        for widget in (self.said, self.take):
            self._grid.addWidget(widget, self._grid.rowCount(), 0, 1, 2)

    def add_choice(self, label: str, choice: ChoiceField) -> None:
        """Add one more entry, chosen from a few words, between the typed ones and the conclusion."""
        for widget in (self.said, self.take):
            self._grid.removeWidget(widget)
        add_row(self._grid, label, choice)
        choice.entered.connect(lambda _choice: self.conclude())
        self._add_conclusion()

    @property
    def values(self) -> Mapping[str, float]:
        """The readings entered so far, by name."""
        return self._values

    def set_units(self, units: System) -> None:
        """Show the readings in other units, and say again what they come to."""
        self._units = units
        for name, field in self.fields.items():
            field.set_value(self._values.get(name), units)
        self.conclude()

    def clear(self) -> None:
        """Forget the readings."""
        self._values.clear()
        self.set_units(self._units)

    def _enter(self, name: str, value: float) -> None:
        self._values[name] = value
        self.fields[name].set_value(value, self._units)
        self.conclude()

    def conclude(self) -> None:
        """Say what the readings come to, once they are all there."""
        self.take.setEnabled(False)
        if set(self._values) < set(self.fields):
            self.said.setText("")
            return
        try:
            self.said.setText(self._conclude(self._values))
            self.take.setEnabled(True)
        except TailweightError as error:
            self.said.setText(refusals.sentence(error, self._units))


def as_sentence(words: str) -> str:
    """Words with a capital letter at the start and a full stop at the end."""
    return words[:1].upper() + words[1:] + ("" if words.endswith(".") else ".")
