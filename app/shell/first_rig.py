"""Dialog for a new rig: a whole rig from a few answers. It fills in nothing that must be read off or measured."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QFrame,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.look import hints
from app.panels.fields import ChoiceField, QuantityField, TextField
from app.panels.widgets import cell_of, heading
from engine.base.errors import TailweightError
from engine.base.formatting import System
from engine.explain import refusals
from engine.planning.new_rig import sketch
from engine.schema.model import Job, PlateRow, Truck
from engine.schema.quantities import Estimate
from engine.shop.first_rig import Wish, refuse_impossible, usual_range
from engine.shop.truck_classes import MIDDLING, OFFERED, typical_truck

OWN_TRUCK = "the truck that is open"


class FirstRigDialog(QDialog):
    """Asks which truck, what its plate says, how high, how far, how heavy, how many arms."""

    made = Signal(object)
    """The job that was made."""

    def __init__(self, parent: QWidget | None, units: System, own_truck: Truck | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("A new rig")
        self._units: System = units
        self._own_truck = own_truck
        self._values: dict[str, float] = {}
        self.fields: dict[str, QuantityField] = {}
        body = QWidget()
        form = QFormLayout(body)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self._name = TextField("name of the job")
        self._name.setText("New rig")
        form.addRow("Name", self._name)
        self._build_truck(form)
        self._build_wishes(form)
        self._expect()
        self._build_foot()
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the keyboard is for the answers
        area.setWidget(body)
        column = QVBoxLayout(self)
        column.addWidget(area, 1)
        column.addWidget(self._why)
        column.addWidget(self.buttons)
        self.resize(self.fontMetrics().averageCharWidth() * 72, self.fontMetrics().height() * 36)

    # -------------------------------------------------------- building

    def _build_truck(self, form: QFormLayout) -> None:
        form.addRow(heading("Truck"))
        own = () if self._own_truck is None else (OWN_TRUCK,)
        self.truck = ChoiceField("truck class", (*own, *OFFERED[self._units]))
        self.truck.set_value(MIDDLING[self._units])
        self.truck.entered.connect(lambda _name: self._expect())
        form.addRow("Class (typical values)", self.truck)
        form.addRow(
            _caption("Typical values are start values. Put your own axle weights and dimensions in under Truck.")
        )
        self.has_plate = QCheckBox("I have read the truck's plate")
        hints.name(self.has_plate, "I have read the truck's plate: enter what it says")
        self.has_plate.toggled.connect(self._show_plate)
        form.addRow(self.has_plate)
        self._field(form, "rated_kg", "Rated load on the plate", "mass")
        self._field(form, "load_centre_m", "Load centre on the plate", "length")
        self._field(form, "lift_m", "Up to fork height", "length")
        form.addRow(_caption("Without a plate the rig is drawn, but no allowed load is given."))
        self._show_plate(False)

    def _build_wishes(self, form: QFormLayout) -> None:
        form.addRow(heading("The heaviest job"))
        self._field(form, "hook_height_m", "How high is the hook", "length")
        self._field(form, "reach_m", "How far from the fork face", "length")
        self._field(form, "load_kg", "How heavy is the load", "mass")
        self.known = ChoiceField("how the weight is known", ("weighed", "papers", "worked_out", "similar", "guess"))
        self.known.set_value("guess")
        form.addRow("How is the weight known", self.known)
        self.arms = ChoiceField("number of arms", (0, 1, 2))
        self.arms.set_value(1)
        form.addRow("Arms", self.arms)

    def _build_foot(self) -> None:
        self._why = QLabel()
        self._why.setObjectName("wrong")
        self._why.setWordWrap(True)
        self._why.setAccessibleName("what is missing")
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setText("Draw it")
        hints.name(self.buttons.button(QDialogButtonBox.StandardButton.Ok), "draw the rig")
        hints.name(self.buttons.button(QDialogButtonBox.StandardButton.Cancel), "close without drawing a rig")
        self.buttons.accepted.connect(self.draw)
        self.buttons.rejected.connect(self.reject)

    def _field(self, form: QFormLayout, name: str, label: str, kind: str) -> None:
        field = QuantityField(label, kind, label)
        field.set_value(None, self._units)
        field.set_empty_words("not entered")
        field.entered.connect(lambda value, n=name, f=field: self._take(n, f, value))
        field.refused.connect(self._say)
        self.fields[name] = field
        form.addRow(label, cell_of(field))

    def _say(self, why: str) -> None:
        self._why.setText(why)

    def _show_plate(self, there: bool) -> None:
        for name in ("rated_kg", "load_centre_m", "lift_m"):
            self.fields[name].setEnabled(there)

    def _expect(self) -> None:
        """Have the fields ask about what no rig on the chosen truck has."""
        for name, field in self.fields.items():
            field.usual = usual_range(name, self._chosen_truck)

    # -------------------------------------------------------- entering

    @property
    def _chosen_truck(self) -> Truck:
        chosen = self.truck.currentData()
        own = self._own_truck if chosen == OWN_TRUCK else None
        return own if own is not None else typical_truck(chosen)

    def _take(self, name: str, field: QuantityField, value: float) -> None:
        if value <= 0.0:
            field.refuse(f"{field.accessibleName()}: expected more than nothing.")
            return
        try:
            refuse_impossible(name, value, self._chosen_truck)
        except TailweightError as error:
            field.refuse(refusals.words_of(error, name, self._units))
            return
        self._values[name] = value
        field.set_value(value, self._units)
        self._why.setText("")

    def draw(self) -> None:
        """Make the rig, once, or say what is missing or impossible."""
        if self.result() == QDialog.DialogCode.Accepted:
            return
        wrong = next((self.fields[name] for name in self._needed() if self.fields[name].wrong), None)
        if wrong is not None:
            wrong.setFocus()
            self._say(f"{wrong.accessibleName()}: {wrong.wrong}")
            return
        missing = [self.fields[name].accessibleName() for name in self._needed() if name not in self._values]
        if missing:
            self._say(f"Still to be entered: {', '.join(missing)}.")
            return
        try:
            job = self._job()
        except TailweightError as error:
            self._say(refusals.sentence(error, self._units))
            return
        self.accept()
        self.made.emit(job)

    def _needed(self) -> tuple[str, ...]:
        plate = ("rated_kg", "load_centre_m", "lift_m") if self.has_plate.isChecked() else ()
        return (*plate, "hook_height_m", "reach_m", "load_kg")

    def _job(self) -> Job:
        values = self._values
        plate = None
        if self.has_plate.isChecked():
            plate = PlateRow(**{name: values[name] for name in ("rated_kg", "load_centre_m", "lift_m")})
        wish = Wish(
            name=self._name.text().strip() or "New rig",
            truck=self._chosen_truck,
            hook_height_m=values["hook_height_m"],
            reach_m=values["reach_m"],
            load=Estimate(best=values["load_kg"], known=self.known.currentData()),
            arms=self.arms.currentData(),
            plate=plate,
            units=self._units,
        )
        return sketch(wish)


def ask(parent: QWidget, units: System, own_truck: Truck | None, done: Callable[[Job], object]) -> FirstRigDialog:
    """Open the dialog over a window; ``done`` gets the job if one is made."""
    dialog = FirstRigDialog(parent, units, own_truck)
    dialog.made.connect(done)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()
    return dialog


def _caption(text: str) -> QLabel:
    label = QLabel(text)
    label.setObjectName("caption")
    label.setWordWrap(True)
    return label
