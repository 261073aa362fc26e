"""Dialogs for what goes on record: the maker's approval, and a line of the rig's log.

Nothing is filled in but today's date.
"""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QDate, Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QFormLayout, QLabel, QLineEdit, QPushButton, QWidget

from app.look import hints
from app.panels.fields import ChoiceField, QuantityField
from app.panels.widgets import cell_of
from engine.base.formatting import System
from engine.schema.model import Approval, LogEntry

WIDE = 56
"""Width of the words at the top, in characters."""

KINDS = ("trial lift", "pick", "reading", "inspection", "repair")

LIMITS = ("load", "hook_load")
"""What the maker's limit may count; the words are those of `choice_words`."""

APPROVAL_WORDS = (
    "Copy these from the maker's letter. Without reference, date and both limits nothing counts as approved. Load is "
    "the thing lifted; hook load is load and rigging: if the letter does not say, choose hook load. From then on the "
    "lower of these limits and the tool's own holds, on the screen and on every paper."
)


class RecordDialog(QDialog):
    """Lines of text and quantities; OK waits for the needed ones and for no entry to be wrong."""

    def __init__(self, parent: QWidget | None, units: System, title: str, words: str) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self._units: System = units
        self._needed: list[str] = []
        self.lines: dict[str, QLineEdit] = {}
        self.fields: dict[str, QuantityField] = {}
        self.choices: dict[str, ChoiceField] = {}
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

    def add_line(self, name: str, label: str, text: str = "", needed: bool = False) -> None:
        """Add an entry of text."""
        line = QLineEdit(text)
        line.setAccessibleName(label)
        line.setMaxLength(120)
        line.textChanged.connect(self._allow_ok)
        self.lines[name] = line
        self._add(name, label, line, needed)

    def add_quantity(self, name: str, label: str, kind: str, value: float | None = None, needed: bool = False) -> None:
        """Add an entry with a unit."""
        field = QuantityField(label, kind, label)
        field.set_value(value, self._units)
        field.entered.connect(partial(self._take, field))
        field.refused.connect(self._refused)
        self.fields[name] = field
        self._add(name, label, field, needed)

    def add_choice(self, name: str, label: str, choices: tuple[str, ...], choice: str | None) -> None:
        """Add an entry that has to be chosen; nothing is unless ``choice`` says so."""
        field = ChoiceField(label, choices)
        field.setPlaceholderText("choose")
        field.setCurrentIndex(-1 if choice is None else field.findData(choice))
        field.currentIndexChanged.connect(self._allow_ok)
        self.choices[name] = field
        self._add(name, label, field, needed=True)

    def _add(self, name: str, label: str, entry: QWidget, needed: bool) -> None:
        if needed:
            self._needed.append(name)
        self.form.addRow(label, cell_of(entry))

    def add_buttons(self) -> None:
        """Put the buttons under the entries; nothing can be added after that."""
        self.form.addRow(self._why)
        self.form.addRow(self.buttons)
        # A dialog's own size hint forgets that wrapped words grow taller as it grows narrower.
        width = max(self.sizeHint().width(), self.fontMetrics().averageCharWidth() * WIDE)
        self.setMinimumWidth(width)
        self.resize(width, self.form.totalHeightForWidth(width))
        self._allow_ok()

    def _take(self, field: QuantityField, value: float) -> None:
        if value < 0.0 or (value == 0.0 and field in (self.fields.get(name) for name in self._needed)):
            field.refuse(f"{field.accessibleName()}: expected more than nothing.")
            return
        field.set_value(value, self._units)
        self._why.setText("")
        self._allow_ok()

    def _refused(self, why: str) -> None:
        self._why.setText(why)
        self._allow_ok()

    def _is_entered(self, name: str) -> bool:
        if name in self.choices:
            return self.choices[name].currentIndex() >= 0
        return bool(self.text(name)) if name in self.lines else self.value(name) is not None

    def _allow_ok(self, *_: object) -> None:
        entered = all(self._is_entered(name) for name in self._needed)
        wrong = any(field.wrong for field in self.fields.values())
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(entered and not wrong)

    def text(self, name: str) -> str:
        """What stands in an entry of text."""
        return self.lines[name].text().strip()

    def value(self, name: str) -> float | None:
        """What stands in an entry with a unit."""
        return self.fields[name].value


class ApprovalDialog(RecordDialog):
    """Reference, date and limits of the maker's written approval, or that there is none after all."""

    def __init__(self, parent: QWidget | None, units: System, approval: Approval | None) -> None:
        super().__init__(parent, units, "The maker's approval", APPROVAL_WORDS)
        self.withdrawn = False
        self.add_line("reference", "Reference", approval.reference if approval else "", needed=True)
        self.add_line("date", "Date of the letter", approval.date if approval else "", needed=True)
        self.add_line("by", "Signed by", approval.by if approval else "")
        allowed_kg = approval.allowed_kg if approval else None
        self.add_quantity("allowed_kg", "Limit", "mass", allowed_kg, needed=True)
        self.add_choice("limit_is", "The limit is the", LIMITS, approval.limit_is if approval else None)
        lift_max_m = approval.lift_max_m if approval else None
        self.add_quantity("lift_max_m", "Up to fork height", "length", lift_max_m, needed=True)
        lateral_kgm = approval.lateral_kgm if approval else None
        self.add_quantity("lateral_kgm", "Sideways moment covered", "kgm", lateral_kgm)
        lateral = self.fields["lateral_kgm"]
        lateral.set_empty_words("the maker has not said")
        lateral.may_be_empty = True
        lateral.emptied.connect(lambda: lateral.set_value(None, self._units))
        self.none = QPushButton("There is no approval")
        hints.name(self.none, "there is no approval: take out what is entered")
        self.none.clicked.connect(self._withdraw)
        self.none.setEnabled(approval is not None)
        self.form.addRow(self.none)
        self.add_buttons()

    def _withdraw(self) -> None:
        self.withdrawn = True
        self.accept()

    @property
    def approval(self) -> Approval | None:
        """The approval entered; None when there is none after all, or a limit is missing."""
        allowed_kg, lift_max_m = self.value("allowed_kg"), self.value("lift_max_m")
        limit_is = self.choices["limit_is"].currentData()
        if self.withdrawn or allowed_kg is None or lift_max_m is None or limit_is is None:
            return None
        return Approval(
            reference=self.text("reference"),
            date=self.text("date"),
            by=self.text("by"),
            allowed_kg=allowed_kg,
            limit_is=limit_is,
            lift_max_m=lift_max_m,
            lateral_kgm=self.value("lateral_kgm"),
        )


class LogDialog(RecordDialog):
    """One line of the rig's log."""

    def __init__(self, parent: QWidget | None, units: System, pose: str) -> None:
        super().__init__(
            parent, units, "Add to the log", "What was done or read, and by whom. Leave out what was not read."
        )
        self.kind = ChoiceField("what happened", KINDS)
        self.form.addRow("What", self.kind)
        self.add_line("date", "Date", QDate.currentDate().toString(Qt.DateFormat.ISODate), needed=True)
        self.add_line("by", "By")
        self.add_line("pose", "Pose", pose)
        self.add_quantity("load_kg", "Load that hung", "mass")
        self.add_quantity("rear_kg", "Rear wheels read", "mass")
        self.add_quantity("sag_m", "Sag read", "length")
        self.add_line("words", "In words")
        self.add_line("next_due", "Next due")
        self.add_buttons()

    @property
    def entry(self) -> LogEntry:
        """The line entered."""
        return LogEntry(
            date=self.text("date"),
            kind=self.kind.currentData(),
            by=self.text("by"),
            words=self.text("words"),
            pose=self.text("pose"),
            load_kg=self.value("load_kg"),
            rear_kg=self.value("rear_kg"),
            sag_m=self.value("sag_m"),
            next_due=self.text("next_due"),
        )
