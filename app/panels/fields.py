"""Entry fields: a number beside its unit, typed in any unit, stepped by keys, wrong entries explained and kept."""

from __future__ import annotations

import math
import typing
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QEvent, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QMouseEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.canvas.transform import radians
from app.look import hints
from engine.base import typed
from engine.base.formatting import KG_PER_LB, M_PER_FT, M_PER_IN, M_S_PER_KMH, M_S_PER_MPH, N_PER_LBF, System, nominal
from engine.explain.entry_names import choice_words

STEP: dict[System, dict[str, float]] = {
    "metric": {
        "size": 0.001,
        "length": 0.01,
        "mass": 1.0,
        "angle": radians(1.0),
        "fall": 0.001,
        "share": 0.01,
        "ratio": 0.05,
        "stress": 5e6,
        "count": 1,
        "speed": M_S_PER_KMH / 2.0,
        "kgm": 1.0,
        "moment": 10.0,
    },
    "us": {
        "size": M_PER_IN / 16.0,
        "length": M_PER_IN / 2.0,
        "mass": KG_PER_LB,
        "angle": radians(1.0),
        "fall": 0.001,
        "share": 0.01,
        "ratio": 0.05,
        "stress": 6_894_757.0,
        "count": 1,
        "speed": M_S_PER_MPH / 4.0,
        "kgm": KG_PER_LB * M_PER_FT,
        "moment": 10.0 * N_PER_LBF * M_PER_FT,
    },
}
"""What one press of an arrow key changes; Page Up and Page Down change ten times as much."""

COARSER = ((1000.0, 10.0), (100.0, 5.0))
"""From so many kilograms or pounds on, a step of a weight is so many."""

GAP = 4
"""Pixels between the text and its unit, and between the unit and the field's edge."""


ROOM_FOR_TYPING = 24
"""Pixels of a field that number, unit and name together leave free at least."""


class QuantityField(QLineEdit):
    """A number in SI, shown and typed in the unit that stands beside it; arrow keys step it.

    A bare number is read in that unit; typed text may name another one (`engine.base.typed`).  A click on the unit
    turns this one field to the other units.  The field never changes its own value: what is entered is emitted, and
    the owner sets what came of it.  What is not taken stays, with the reason and what it may have meant under it.
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
    usual: typed.Range = typed.ANY
    """From where to where the entry usually lies: a bare number outside it is asked about."""
    step_si: float | None = None
    """What one press of an arrow key changes, where it is not `STEP`."""
    fine_step_si: float | None = None
    """What it changes with Shift, where that is finer."""

    def __init__(
        self, label: str, kind: str, where: str, parent: QWidget | None = None, steps_itself: bool = True
    ) -> None:
        super().__init__(parent)
        self._kind, self._where, self._steps_itself = kind, where, steps_itself
        self._value: float | None = None
        self._units: System = "metric"
        self._turned = False
        self._offers: tuple[typed.Offer, ...] = ()
        self.name_typed = ""
        """The length last entered as it was typed, with its unit; empty where it was stepped."""
        self._entered_as = ""
        self._cell: QWidget | None = None
        self._note: FieldNote | None = None
        self._unit = UnitMark(self)
        self._unit.clicked.connect(self.turn)
        self.setAccessibleName(label)
        self.editingFinished.connect(self._read)
        self.textEdited.connect(self._edited)
        self._empty_words = ""
        self._set_text()

    @property
    def value(self) -> float | None:
        return self._value

    @property
    def kind(self) -> str:
        """Kind of quantity (see `engine.base.formatting.show`)."""
        return self._kind

    @property
    def wrong(self) -> str:
        """Why the typed text was refused; empty when it was not."""
        return self.property("why") or ""

    @property
    def offers(self) -> tuple[typed.Offer, ...]:
        """What refused text may have meant."""
        return self._offers

    @property
    def system(self) -> System:
        """The units this field shows."""
        if not self._turned:
            return self._units
        return "us" if self._units == "metric" else "metric"

    @property
    def shown(self) -> str:
        """The text with its unit, as it is read aloud."""
        return "" if self._value is None else typed.plain_text(self._value, self._kind, self.system)

    def cell(self) -> QWidget:
        """The field over the line that says what will be taken, or why it is not: what goes into a layout."""
        if self._cell is None:
            self._cell = QWidget()
            column = QVBoxLayout(self._cell)
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(2)
            column.addWidget(self)
            column.addWidget(self.note)
        return self._cell

    @property
    def note(self) -> FieldNote:
        """The line under the field."""
        if self._note is None:
            self._note = FieldNote(self.take_offer)
        return self._note

    def set_empty_words(self, words: str) -> None:
        """What stands in the field in grey while there is no value."""
        self._empty_words = words
        self._set_text()

    def set_value(self, value: float | None, units: System) -> None:
        """Show a value; text being typed is left alone."""
        if value == self._value and units == self._units:
            return
        self._value, self._units = value, units
        if not self.isModified():
            self._set_text()

    def set_entered_as(self, name: str) -> None:
        """A length as it was typed, with its unit, shown beside the number where it stands in the other units."""
        if name != self._entered_as:
            self._entered_as = name
            if not self.isModified():
                self._set_text()

    def turn(self) -> None:
        """Show this one field in the other units, or in the window's own again."""
        self._turned = not self._turned
        self.drop_typed()

    def ask(self, words: str) -> None:
        """Say under the field why its value is wanted, until there is another."""
        self.note.say(words)

    def _set_text(self) -> None:
        self.setPlaceholderText(self._empty_words or typed.EXAMPLES[self.system][self._kind])
        self.setText("" if self._value is None else typed.number_text(self._value, self._kind, self.system))
        self._show_unit()
        self.setCursorPosition(0)
        said = typed.expected if self._value is None else partial(typed.echo_text, self._value)
        entered = f", entered as {self._entered_as}" if self._entered_as and self._value is not None else ""
        self.setToolTip(hints.as_hint(f"{self.accessibleName()}: {said(self._kind, self.system)}{entered}"))
        self._mark("")

    def _show_unit(self) -> None:
        """The unit, and after it the name in the other units where the number leaves room for that."""
        unit = typed.UNIT_SHOWN[self.system][self._kind]
        if name := self._name_beside():
            named = f"{unit} ({name})"
            beside_px = self._unit.fontMetrics().horizontalAdvance(named)
            taken_px = self.fontMetrics().horizontalAdvance(self.text()) + beside_px + ROOM_FOR_TYPING
            unit = named if taken_px <= self.width() else unit
        if unit != self._unit.text():  # not in every frame of a drag
            self._unit.setText(unit)
            self.setTextMargins(0, 0, self._unit.sizeHint().width() + GAP, 0)
            self._place_unit()

    def _name_beside(self) -> str:
        """What the size is called in the other units: as it was typed, else by its value."""
        if self._value is None or self._kind not in ("size", "length"):
            return ""
        if self._entered_as:
            return "" if typed.system_of_name(self._entered_as) == self.system else self._entered_as
        return nominal(self._value, self.system) if self._kind == "size" else ""

    def _edited(self, text: str) -> None:
        """While typing the line under the field says what will be taken."""
        self._mark("")
        reading = typed.read(text, self._kind, self.system, self.usual) if text.strip() else typed.Reading()
        taken = "" if reading.value is None else f"= {typed.echo_text(reading.value, self._kind, self.system)}"
        if self._note is not None:
            self._note.say(taken)

    def _mark(self, why: str, offers: tuple[typed.Offer, ...] = ()) -> None:
        if bool(why) != bool(self.property("wrong")):
            self.setProperty("wrong", bool(why))
            self.style().unpolish(self)
            self.style().polish(self)
        self.setProperty("why", why)
        self.setAccessibleDescription(why)
        self._offers = offers
        if self._note is not None:
            self._note.say(why, offers, wrong=bool(why))

    def _read(self) -> None:
        if not self.isModified():
            return
        if self.wrong:
            return  # refused already, and nothing was typed since: its offers stay
        if not self.text().strip() and (self.may_be_empty or self._value is None):
            self.drop_typed()
            if self.may_be_empty:
                self.emptied.emit()
            return
        reading = typed.read(self.text(), self._kind, self.system, self.usual)
        if reading.value is None:
            self.refuse(reading.why, reading.offers)
            return
        self._take(reading.value, self.text())

    def _take(self, value: float, text: str) -> None:
        """Enter a value read from a text."""
        if self._kind in ("size", "length"):
            self.name_typed = typed.length_name(text, self._kind, self.system, value)
        said = bool(self.wrong)
        self.setModified(False)
        self._set_text()
        if said:
            self.refused.emit("")  # what was said of it no longer holds
        self.entered.emit(value)

    def take_offer(self, offer: typed.Offer) -> None:
        """Enter one of the values that the text may have meant."""
        self._take(offer.value, offer.name or offer.text)

    def take_from(self, other: QuantityField, value: float) -> None:
        """Enter what was entered in another field for the same number."""
        self.name_typed = other.name_typed
        self.entered.emit(value)

    def refuse(self, why: str, offers: tuple[typed.Offer, ...] = ()) -> None:
        """Mark the entry wrong and say why; the last good value stands."""
        self._mark(why, offers)
        self.setToolTip(why)
        meant = f" Did you mean {' or '.join(offer.text for offer in offers)}?" if offers else ""
        self.refused.emit(f"{self.accessibleName()}: {why}{meant}")

    def drop_typed(self) -> None:
        """Forget typed text and show the value again."""
        self.setModified(False)
        self._set_text()

    def step(self, steps: int, *, fine: bool = False) -> None:
        """Change the value by so many steps, to a whole number of them; ``fine`` where it has finer ones."""
        if self._value is None:
            return
        self.setModified(False)
        self.name_typed = ""
        if not self._steps_itself:
            self.stepped.emit(steps)
            return
        size = self.fine_step_si if fine and self.fine_step_si is not None else self._step_size()
        at = self._value / size
        nearest = round(at)
        if abs(at - nearest) < WHOLE_STEP:
            at = nearest + steps
        else:
            at = math.floor(at) + steps if steps > 0 else math.ceil(at) + steps
        self.entered.emit(at * size)

    def _step_size(self) -> float:
        if self.step_si is not None:
            return self.step_si
        size = STEP[self.system][self._kind]
        if self._kind == "mass" and self._value is not None:
            over = abs(self._value) / size
            size *= next((coarser for least, coarser in COARSER if over >= least), 1.0)
        return size

    # -------------------------------------------------------- Qt

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and not self.isModified() and is_undo(event):
            event.ignore()  # nothing typed: undo and redo are the window's
            return False
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if not self.isModified():
            self._show_unit()
        self._place_unit()

    def _place_unit(self) -> None:
        self._unit.adjustSize()
        self._unit.move(self.width() - self._unit.width() - GAP - 2, (self.height() - self._unit.height()) // 2)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = _STEP_KEYS.get(Qt.Key(event.key()))
        if steps is not None:
            self.step(steps, fine=bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))
        elif event.key() == Qt.Key.Key_Escape and (self.isModified() or self.wrong):
            if self.wrong:
                self.refused.emit("")
            self.drop_typed()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.selectAll()
        self.focused.emit()


WHOLE_STEP = 1e-6
"""How near a whole number of steps a value is one."""

_STEP_KEYS = {Qt.Key.Key_Up: 1, Qt.Key.Key_Down: -1, Qt.Key.Key_PageUp: 10, Qt.Key.Key_PageDown: -10}


def is_undo(event: QEvent) -> bool:
    """Whether a key event is undo or redo."""
    key = typing.cast("QKeyEvent", event)
    return key.matches(QKeySequence.StandardKey.Undo) or key.matches(QKeySequence.StandardKey.Redo)


class UnitMark(QLabel):
    """The unit at a field's right end; a click turns the field to the other units."""

    clicked = Signal()

    def __init__(self, field: QLineEdit) -> None:
        super().__init__(field)
        self.setObjectName("caption")
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()
        self.clicked.emit()


class FieldNote(QWidget):
    """The line under a field: what will be taken, or why it is not and buttons for what may have been meant."""

    def __init__(self, take: Callable[[typed.Offer], None]) -> None:
        super().__init__()
        self._take = take
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setObjectName("caption")
        self.words.setAccessibleName("about the entry above")
        column.addWidget(self.words)
        self.buttons: list[QPushButton] = []
        self._column = column
        self.hide()

    def say(self, words: str, offers: tuple[typed.Offer, ...] = (), *, wrong: bool = False) -> None:
        """Say this and offer these; nothing at all hides the line."""
        if not words and self.isHidden():
            return
        for button in self.buttons:
            button.hide()
            button.deleteLater()
        self.buttons = []
        name = "wrong" if wrong else "caption"
        if self.words.objectName() != name:
            self.words.setObjectName(name)
            self.words.style().unpolish(self.words)
            self.words.style().polish(self.words)
        self.words.setText(f"{words} Did you mean:" if offers else words)
        for offer in offers:
            button = QPushButton(offer.text)
            hints.name(button, f"take {offer.text}")
            button.clicked.connect(partial(self._chosen, offer))
            self._column.addWidget(button)
            self.buttons.append(button)
        self.setVisible(bool(words))
        parent = self.parentWidget()
        if parent is not None and parent.layout() is None:
            self.adjustSize()  # over a drawing no layout sees to it
            self.raise_()

    def _chosen(self, offer: typed.Offer, _checked: bool = False) -> None:
        self._take(offer)


class TextField(QLineEdit):
    """One line of text."""

    entered = Signal(str)

    def __init__(self, label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        hints.name(self, label)
        self.editingFinished.connect(self._read)

    def set_value(self, text: str) -> None:
        if not self.isModified() and text != self.text():
            self.setText(text)
            self.setCursorPosition(0)
            # Words longer than the line are read whole.
            self.setToolTip(hints.as_hint(f"{self.accessibleName()}: {text}" if text else self.accessibleName()))

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and not self.isModified() and is_undo(event):
            event.ignore()  # nothing typed: undo and redo are the window's
            return False
        return super().event(event)

    def _read(self) -> None:
        if self.isModified():
            self.setModified(False)
            self.entered.emit(self.text())


class ChoiceField(QComboBox):
    """One of a few words or whole numbers."""

    entered = Signal(object)

    def __init__(
        self,
        label: str,
        choices: tuple[str | int, ...],
        parent: QWidget | None = None,
        *,
        words: Callable[[str | int], str] = choice_words,
    ) -> None:
        """``words`` says what a choice is called."""
        super().__init__(parent)
        self._words = words
        hints.name(self, label)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(6)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.set_choices(choices)
        self.activated.connect(lambda index: self.entered.emit(self.itemData(index)))

    def set_choices(self, choices: tuple[str | int, ...]) -> None:
        """Offer these, in this order; the one shown stays while it is among them."""
        if choices == tuple(self.itemData(index) for index in range(self.count())):
            return
        kept = self.currentData()
        with QSignalBlocker(self):
            self.clear()
            for choice in choices:
                self.addItem(self._words(choice), choice)
            self.setCurrentIndex(max(self.findData(kept), 0))

    def set_value(self, choice: str | int) -> None:
        with QSignalBlocker(self):
            self.setCurrentIndex(self.findData(choice))

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()
