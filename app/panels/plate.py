"""The dialog that asks for the truck's plate: three numbers, none of them filled in for the person."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QFormLayout, QLabel, QWidget

from app.panels.fields import QuantityField
from app.panels.widgets import cell_of
from engine.base.formatting import System
from engine.schema.model import PlateRow

_ENTRIES = (
    ("rated_kg", "Rated load", "mass"),
    ("load_centre_m", "Load centre from fork face", "length"),
    ("lift_m", "Up to fork height", "length"),
)


class PlateDialog(QDialog):
    """Rated load, load centre and lift height as read off the plate; OK waits for all three."""

    def __init__(self, parent: QWidget | None, units: System) -> None:
        super().__init__(parent)
        self.setWindowTitle("The truck's plate")
        self._units: System = units
        self._values: dict[str, float] = {}
        form = QFormLayout(self)
        words = QLabel(
            "Read these off the capacity plate. If it is gone, the dealer can give them from model and serial number."
        )
        words.setWordWrap(True)
        form.addRow(words)
        self._why = QLabel()
        self._why.setObjectName("wrong")
        self._why.setWordWrap(True)
        self.fields: dict[str, QuantityField] = {}
        for name, label, kind in _ENTRIES:
            field = QuantityField(label, kind, label)
            field.set_value(None, units)
            field.entered.connect(partial(self._take, name, field))
            field.refused.connect(self._why.setText)
            self.fields[name] = field
            form.addRow(label, cell_of(field))
        form.addRow(self._why)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(False)
        form.addRow(self.buttons)

    def _take(self, name: str, field: QuantityField, value: float) -> None:
        if value <= 0.0:
            field.refuse(f"{field.accessibleName()}: expected more than nothing.")
            return
        self._values[name] = value
        field.set_value(value, self._units)
        self._why.setText("")
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(len(self._values) == len(_ENTRIES))

    @property
    def row(self) -> PlateRow:
        """The plate row entered."""
        return PlateRow(**self._values)


def ask_plate_row(parent: QWidget, units: System) -> PlateRow | None:
    """The plate row a person enters, or None when they cancel."""
    dialog = PlateDialog(parent, units)
    row = dialog.row if dialog.exec() == QDialog.DialogCode.Accepted else None
    dialog.deleteLater()
    return row
