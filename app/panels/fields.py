"""Entry fields: a number with its unit, typed in any unit, stepped by keys, wrong entries explained and kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget

from app.canvas.transform import radians
from app.panels.entry_names import choice_words
from engine.base.errors import UnitError
from engine.base.formatting import KG_PER_LB, M_PER_IN, M_S_PER_KMH, M_S_PER_MPH, System, show
from engine.base.lazy import lazy

if TYPE_CHECKING:
    from engine.base import units as typed_units
else:
    # The units library takes a tenth of a second to load: not before somebody types.
    typed_units = lazy("engine.base.units")

STEP: dict[System, dict[str, float]] = {
    "metric": {
        "length": 0.01,
        "mass": 1.0,
        "angle": radians(1.0),
        "fall": 0.001,
        "share": 0.01,
        "ratio": 0.05,
        "stress": 5e6,
        "count": 1,
        "speed": M_S_PER_KMH / 2.0,
    },
    "us": {
        "length": M_PER_IN / 2.0,
        "mass": KG_PER_LB,
        "angle": radians(1.0),
        "fall": 0.001,
        "share": 0.01,
        "ratio": 0.05,
        "stress": 6_894_757.0,
        "count": 1,
        "speed": M_S_PER_MPH / 4.0,
    },
}
"""What one press of an arrow key changes; Page Up and Page Down change ten times as much."""


class QuantityField(QLineEdit):
    """A number in SI, shown and typed with its unit; arrow keys step it.

    It never changes its own value: what is entered is emitted, and the owner sets what came of it.
    """

    entered = Signal(float)
    stepped = Signal(int)
    """Arrow keys, where the owner steps in its own way (``steps_itself`` False)."""
    refused = Signal(str)
    focused = Signal()
    """The keyboard came to this field."""
    emptied = Signal()
    """The text was deleted, in a field that may be empty."""
    may_be_empty = False

    def __init__(
        self, label: str, kind: str, where: str, parent: QWidget | None = None, steps_itself: bool = True
    ) -> None:
        super().__init__(parent)
        self._kind, self._where, self._steps_itself = kind, where, steps_itself
        self._value: float | None = None
        self._units: System = "metric"
        self._empty_words = "not known"
        self.setAccessibleName(label)
        self.editingFinished.connect(self._read)
        self.textEdited.connect(lambda _text: self._mark(""))
        self._set_text()

    @property
    def value(self) -> float | None:
        return self._value

    @property
    def wrong(self) -> str:
        """Why the typed text was refused; empty when it was not."""
        return self.property("why") or ""

    def set_empty_words(self, words: str) -> None:
        """What stands in the field while there is no value."""
        self._empty_words = words
        self._set_text()

    def set_value(self, value: float | None, units: System) -> None:
        """Show a value; text being typed is left alone."""
        if value == self._value and units == self._units:
            return
        self._value, self._units = value, units
        if not self.isModified():
            self._set_text()

    def _set_text(self) -> None:
        text = self._empty_words if self._value is None else show(self._value, self._kind, self._units)
        self.setText(text)
        self.setCursorPosition(0)
        other: System = "us" if self._units == "metric" else "metric"
        self.setToolTip("" if self._value is None else f"{text}  =  {show(self._value, self._kind, other)}")
        self._mark("")

    def _mark(self, why: str) -> None:
        if bool(why) != bool(self.property("wrong")):
            self.setProperty("wrong", bool(why))
            self.style().unpolish(self)
            self.style().polish(self)
        self.setProperty("why", why)
        self.setAccessibleDescription(why)

    def _read(self) -> None:
        if not self.isModified():
            return
        if self.may_be_empty and not self.text().strip():
            self.drop_typed()
            self.emptied.emit()
            return
        try:
            value = typed_units.parse(self.text(), self._kind, self._units, self._where)
        except UnitError as error:
            self.refuse(str(error))
            return
        self.setModified(False)
        self._set_text()
        self.entered.emit(value)

    def refuse(self, why: str) -> None:
        """Mark the entry wrong and say why; the last good value stands."""
        self._mark(why)
        self.setToolTip(why)
        self.refused.emit(why)

    def drop_typed(self) -> None:
        """Forget typed text and show the value again."""
        self.setModified(False)
        self._set_text()

    def step(self, steps: int) -> None:
        """Change the value by so many steps."""
        if self._value is None:
            return
        self.setModified(False)
        if self._steps_itself:
            self.entered.emit(self._value + steps * STEP[self._units][self._kind])
        else:
            self.stepped.emit(steps)

    # -------------------------------------------------------- Qt

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = _STEP_KEYS.get(Qt.Key(event.key()))
        if steps is not None:
            self.step(steps)
        elif event.key() == Qt.Key.Key_Escape and self.isModified():
            self.drop_typed()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.selectAll()
        self.focused.emit()


_STEP_KEYS = {Qt.Key.Key_Up: 1, Qt.Key.Key_Down: -1, Qt.Key.Key_PageUp: 10, Qt.Key.Key_PageDown: -10}


class TextField(QLineEdit):
    """One line of text."""

    entered = Signal(str)

    def __init__(self, label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(label)
        self.editingFinished.connect(self._read)

    def set_value(self, text: str) -> None:
        if not self.isModified() and text != self.text():
            self.setText(text)
            self.setCursorPosition(0)
            self.setToolTip(text)  # words longer than the line are read whole

    def _read(self) -> None:
        if self.isModified():
            self.setModified(False)
            self.entered.emit(self.text())


class ChoiceField(QComboBox):
    """One of a few words or whole numbers."""

    entered = Signal(object)

    def __init__(self, label: str, choices: tuple[str | int, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(label)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(6)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        for choice in choices:
            self.addItem(choice_words(choice), choice)
        self.activated.connect(lambda index: self.entered.emit(self.itemData(index)))

    def set_value(self, choice: str | int) -> None:
        with QSignalBlocker(self):
            self.setCurrentIndex(self.findData(choice))

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()
