"""What both halves of the rack panel share: fields for what belongs to nothing yet, and edits of the open rig."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.fields import QuantityField, TextField
from app.panels.sentence_list import SentenceList
from app.panels.widgets import add_row
from engine.base.errors import TailweightError
from engine.explain import refusals
from engine.schema.model import Stock, WantedJob

LONGEST_M, HEAVIEST_KG = 50.0, 200_000.0
"""As the rig files have them."""


class RackEntry(QWidget):
    """Entries for a list of the open rig: fields, the values typed so far, and the list."""

    told = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.fields: dict[str, QuantityField] = {}
        self._captions: dict[str, QLabel] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)

    def _add_field(
        self, grid: QGridLayout, name: str, label: str, kind: str, enter: Callable[[float], None]
    ) -> QuantityField:
        """A field for a quantity; its name is also the one it is read aloud by."""
        field = QuantityField(name, kind, label)
        field.entered.connect(enter)
        field.refused.connect(self.told)
        self.fields[name], self._captions[name] = field, add_row(grid, label, field)
        return field

    def _add_list(self, name: str, lines: int) -> SentenceList:
        rows = SentenceList(name, lines)
        self._column.addWidget(rows)
        return rows

    def _set(self, entry: str, value: object, text: str) -> bool:
        """Change an entry of the open rig as one undo step; False where it was refused, which is told."""
        try:
            self._document.set_value(entry, value, text)
        except TailweightError as error:
            self.told.emit(refusals.sentence(error, self._document.units))
            return False
        return True

    def _remove_row(self, entry: str, rows: Sequence[Stock | WantedJob], row: int, text: str) -> None:
        """Take one row of an entry away; ``text`` is the undo step's, with a place for the row's name."""
        if 0 <= row < len(rows):
            self._set(entry, (*rows[:row], *rows[row + 1 :]), text.format(rows[row].name))


def name_in(field: TextField) -> str:
    """What a field says, as a name."""
    return " ".join(field.text().split())[:80]


def unused_name(pattern: str, rows: Sequence[Stock | WantedJob]) -> str:
    """The first name of a numbered pattern that none of the rows has."""
    names = {row.name for row in rows}
    return next(name for number in itertools.count(1) if (name := pattern.format(number)) not in names)
