"""Small pieces that panels are built of: captions, headings, sentences, rows of labelled fields, buttons."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QBoxLayout, QGridLayout, QLabel, QLayout, QPushButton, QWidget

from app.look import hints
from app.panels.fields import QuantityField


def caption(text: str, buddy: QWidget | None = None) -> QLabel:
    """A small label that wraps; ``buddy`` is the field it stands for."""
    label = QLabel(text)
    label.setObjectName("caption")
    label.setWordWrap(True)
    if buddy is not None:
        label.setBuddy(buddy)
    return label


def heading(text: str) -> QLabel:
    """A heading inside a panel."""
    label = QLabel(text)
    label.setObjectName("heading")
    label.setWordWrap(True)
    return label


def sentence(name: str, text: str = "") -> QLabel:
    """Words that wrap, under a name to be read aloud by; a panel fills them in."""
    label = QLabel(text)
    label.setWordWrap(True)
    label.setAccessibleName(name)
    return label


def copyable_sentence(name: str) -> QLabel:
    """A sentence that the keyboard reaches and that can be copied."""
    label = sentence(name)
    label.setTextInteractionFlags(
        Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
    )
    label.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    return label


def add_button(box: QLayout, text: str, name: str, act: Callable[[], object]) -> QPushButton:
    """A button under the widgets there; ``name`` says in full what it does."""
    button = QPushButton(text)
    hints.name(button, name)
    button.clicked.connect(lambda _checked=False: act())
    box.addWidget(button)
    return button


def add_entry_grid(box: QBoxLayout) -> QGridLayout:
    """A grid of labels and fields, the fields taking the room there is."""
    grid = QGridLayout()
    grid.setColumnStretch(1, 1)
    box.addLayout(grid)
    return grid


def cell_of(field: QWidget) -> QWidget:
    """What goes into a layout for a field: with a number, the line under it too."""
    return field.cell() if isinstance(field, QuantityField) else field


def as_label(text: str) -> str:
    """Words of a label in sentence case, the letter of a part's dimension before them left alone."""
    letter, between, words = text.partition("   ")
    first, words = (f"{letter}{between}", words) if between else ("", text)
    return f"{first}{words[:1].upper()}{words[1:]}"


def add_row(grid: QGridLayout, label: str, field: QWidget) -> QLabel:
    """A row of an entry grid: label and field beside each other; returns the label."""
    row, words = grid.rowCount(), caption(as_label(label), field)
    grid.addWidget(words, row, 0)
    grid.addWidget(cell_of(field), row, 1)
    return words


def add_tall_row(grid: QGridLayout, label: str, field: QWidget) -> None:
    """A row of an entry grid for words of any length: the field under its label, over the whole width."""
    row = grid.rowCount()
    grid.addWidget(caption(as_label(label), field), row, 0, 1, 2)
    grid.addWidget(cell_of(field), row + 1, 0, 1, 2)
