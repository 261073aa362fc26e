"""Asking for what goes on record: the maker's approval, and a line of the rig's log.  Nothing is filled in but today's date."""

from __future__ import annotations

from PySide6.QtCore import QDate, Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QFormLayout, QLabel, QLineEdit, QPushButton, QWidget

from app.panels.fields import ChoiceField, QuantityField
from engine.base.formatting import System
from engine.schema.model import Approval, LogEntry

WIDE = 56
"""Width of the words at the top, in characters."""

KINDS = ("trial lift", "pick", "reading", "inspection", "repair")


class RecordDialog(QDialog):
    """Lines of text and quantities; OK waits for the needed ones and for no entry to be wrong."""

    def __init__(self, parent: QWidget | None, units: System, title: str, words: str) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self._units = units
        self._needed: list[str] = []
        self.lines: dict[str, QLineEdit] = {}
        self.fields: dict[str, QuantityField] = {}
        self.form = QFormLayout(self)
        heading = QLabel(words)
        heading.setWordWrap(True)
        self.form.addRow(heading)
        self._why = QLabel()
        self._why.setObjectName("wrong")
        self._why.setWordWrap(True)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)

    def line(self, name: str, label: str, text: str = "", needed: bool = False) -> None:
        """An entry of text."""
        made = QLineEdit(text)
        made.setAccessibleName(label)
        made.setMaxLength(120)
        made.textChanged.connect(self._look)
        self.lines[name] = made
        self._add(name, label, made, needed)

    def quantity(self, name: str, label: str, kind: str, value: float | None = None, needed: bool = False) -> None:
        """An entry with a unit."""
        made = QuantityField(label, kind, label)
        made.set_value(value, self._units)
        made.entered.connect(lambda entered, field=made: self._take(field, entered))
        made.refused.connect(self._refused)
        self.fields[name] = made
        self._add(name, label, made, needed)

    def _add(self, name: str, label: str, made: QWidget, needed: bool) -> None:
        if needed:
            self._needed.append(name)
        self.form.addRow(label, made)

    def done_adding(self) -> None:
        """Put the buttons under the entries."""
        self.form.addRow(self._why)
        self.form.addRow(self.buttons)
        # A dialog's own size hint forgets that wrapped words grow taller as it grows narrower.
        width = max(self.sizeHint().width(), self.fontMetrics().averageCharWidth() * WIDE)
        self.setMinimumWidth(width)
        self.resize(width, self.form.totalHeightForWidth(width))
        self._look()

    def _take(self, field: QuantityField, value: float) -> None:
        if value < 0.0 or (value == 0.0 and field in (self.fields.get(name) for name in self._needed)):
            field.refuse(f"{field.accessibleName()}: expected more than nothing.")
            return
        field.set_value(value, self._units)
        self._why.setText("")
        self._look()

    def _refused(self, why: str) -> None:
        self._why.setText(why)
        self._look()

    def _look(self) -> None:
        there = all(
            self.lines[n].text().strip() if n in self.lines else self.fields[n].value is not None for n in self._needed
        )
        wrong = any(field.wrong for field in self.fields.values())
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(bool(there) and not wrong)

    def text(self, name: str) -> str:
        """What stands in an entry of text."""
        return self.lines[name].text().strip()

    def value(self, name: str) -> float | None:
        """What stands in an entry with a unit."""
        return self.fields[name].value


class ApprovalDialog(RecordDialog):
    """Reference, date and limits of the maker's written approval, or that there is none after all."""

    def __init__(self, parent: QWidget | None, units: System, found: Approval | None) -> None:
        words = (
            "Copy these from the maker's letter. Without reference, date and both limits nothing counts as approved. From then on "
            "the lower of these limits and the tool's own holds, on the screen and on every paper."
        )
        super().__init__(parent, units, "The maker's approval", words)
        self.withdrawn = False
        self.line("reference", "Reference", found.reference if found else "", needed=True)
        self.line("date", "Date of the letter", found.date if found else "", needed=True)
        self.line("by", "Signed by", found.by if found else "")
        self.quantity(
            "allowed_kg", "Most on the hook, rigging included", "mass", found.allowed_kg if found else None, needed=True
        )
        self.quantity("lift_max_m", "Up to fork height", "length", found.lift_max_m if found else None, needed=True)
        self.none = QPushButton("There is no approval")
        self.none.clicked.connect(self._withdraw)
        self.none.setEnabled(found is not None)
        self.form.addRow(self.none)
        self.done_adding()

    def _withdraw(self) -> None:
        self.withdrawn = True
        self.accept()

    @property
    def approval(self) -> Approval | None:
        """The approval entered; None when there is none after all."""
        if self.withdrawn:
            return None
        return Approval(
            reference=self.text("reference"),
            date=self.text("date"),
            by=self.text("by"),
            allowed_kg=self.value("allowed_kg"),
            lift_max_m=self.value("lift_max_m"),
        )


class LogDialog(RecordDialog):
    """One line of the rig's log."""

    def __init__(self, parent: QWidget | None, units: System, pose: str) -> None:
        super().__init__(
            parent, units, "Add to the log", "What was done or read, and by whom. Leave out what was not read."
        )
        self.kind = ChoiceField("what happened", KINDS)
        self.form.addRow("What", self.kind)
        self.line("date", "Date", QDate.currentDate().toString(Qt.DateFormat.ISODate), needed=True)
        self.line("by", "By")
        self.line("pose", "Pose", pose)
        self.quantity("load_kg", "Load that hung", "mass")
        self.quantity("rear_kg", "Rear wheels read", "mass")
        self.quantity("sag_m", "Sag read", "length")
        self.line("words", "In words")
        self.line("next_due", "Next due")
        self.done_adding()

    @property
    def entry(self) -> LogEntry:
        """The line entered."""
        texts = {name: self.text(name) for name in ("date", "by", "pose", "words", "next_due")}
        values = {name: self.value(name) for name in ("load_kg", "rear_kg", "sag_m")}
        return LogEntry(kind=self.kind.currentText(), **texts, **values)
