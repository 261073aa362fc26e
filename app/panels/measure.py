"""Weigh panel: ways of knowing the truck better, what they say, and what contradicts what.

Nothing is applied by itself: each finding is shown with its band, and a button takes it into the truck as one undo step.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.fields import ChoiceField, QuantityField
from app.panels.widgets import caption, heading
from engine.base.errors import TailweightError
from engine.base.formatting import fill, show
from engine.schema.model import Estimate, Job, TrialLift, Truck
from engine.schema.validation import checked
from engine.shop import trial_lift
from engine.shop.edits import REPLACE
from engine.shop.truck_checks import cg_height_cap, contradictions
from engine.shop.truck_measurement import (
    SCALE_KG,
    DerivedValue,
    KnownWeight,
    RaisedAxle,
    Tyres,
    cg_height_from_raise,
    from_axle_weights,
    from_known_weights,
    overhang_from_plate,
)


class Section(QWidget):
    """One way: its entries, what came of them, and a button that takes it."""

    def __init__(self, title: str, how: str, entries: tuple[tuple[str, str, str], ...], take_words: str) -> None:
        super().__init__()
        self._values: dict[str, float] = {}
        self.fields: dict[str, QuantityField] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 4, 0, 4)
        grid.setColumnStretch(1, 1)
        grid.addWidget(heading(title), 0, 0, 1, 2)
        grid.addWidget(caption(how), 1, 0, 1, 2)
        for name, label, kind in entries:
            field = QuantityField(f"{title}: {label}", kind, label)
            field.set_empty_words("not entered")
            field.entered.connect(lambda value, n=name: self._enter(n, value))
            self.fields[name] = field
            row = grid.rowCount()
            grid.addWidget(caption(label, field), row, 0)
            grid.addWidget(field, row, 1)
        self.said = QLabel()
        self.said.setWordWrap(True)
        self.said.setAccessibleName(f"{title}: what it says")
        self.take = QPushButton(take_words)
        self.take.setAccessibleName(f"{title}: {take_words}")
        self.take.setEnabled(False)
        grid.addWidget(self.said, grid.rowCount(), 0, 1, 2)
        grid.addWidget(self.take, grid.rowCount(), 0, 1, 2)
        self._units: Any = "metric"
        self._work: Callable[[dict[str, float]], str] = lambda _values: ""

    def add_choice(self, label: str, choice: ChoiceField) -> None:
        """One more entry, chosen from a few words, between the typed ones and the button."""
        grid = self.layout()
        row = grid.rowCount()
        grid.addWidget(caption(label, choice), row, 0)
        grid.addWidget(choice, row, 1)
        for widget in (self.said, self.take):
            grid.removeWidget(widget)
            grid.addWidget(widget, grid.rowCount(), 0, 1, 2)

    def set_work(self, work: Callable[[dict[str, float]], str]) -> None:
        """What to do when every entry is there: returns the words; raises when nothing can be told."""
        self._work = work

    @property
    def values(self) -> dict[str, float]:
        return self._values

    def set_units(self, units: Any) -> None:
        """Show the entries in other units, and say again what they come to."""
        self._units = units
        for name, field in self.fields.items():
            field.set_value(self._values.get(name), units)
        self.work()

    def clear(self) -> None:
        """Forget the entries."""
        self._values.clear()
        self.set_units(self._units)

    def _enter(self, name: str, value: float) -> None:
        self._values[name] = value
        self.fields[name].set_value(value, self._units)
        self.work()

    def work(self) -> None:
        """Say what the entries come to, once they are all there."""
        self.take.setEnabled(False)
        if set(self._values) < set(self.fields):
            self.said.setText("")
            return
        try:
            self.said.setText(self._work(dict(self._values)))
            self.take.setEnabled(True)
        except TailweightError as error:
            self.said.setText(str(error))


class MeasurePanel(QWidget):
    """Axle weights, raised axle, known weight on bare forks, plate rows, trial lifts, contradictions."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._found: dict[str, Any] = {}
        self.contradictions = QLabel()
        self.contradictions.setWordWrap(True)
        self.contradictions.setAccessibleName("contradictions")
        self.plate = QLabel()
        self.plate.setWordWrap(True)
        self.plate.setAccessibleName("what the plate says of the overhang")
        column = QVBoxLayout(self)
        column.addWidget(heading("What contradicts what"))
        column.addWidget(self.contradictions)
        self._build_axles(column)
        self._build_raise(column)
        self._build_known(column)
        column.addWidget(heading("Plate against tape"))
        column.addWidget(self.plate)
        self._build_trials(column)
        column.addStretch(1)

    # -------------------------------------------------------- building

    def _build_axles(self, column: QVBoxLayout) -> None:
        self.axles = Section(
            "Axle by axle on a scale",
            "Level floor, upright vertical, forks as low as entered under Truck, driver off. Weigh one axle with the other at the same height. "
            "Chock the axle not being weighed. Never jack the counterweight; never go under.",
            (("front", "Front axle", "mass"), ("rear", "Rear axle", "mass")),
            "Take these axle weights",
        )
        self.axles.set_work(self._work_axles)
        self.axles.take.clicked.connect(self._take_axles)
        column.addWidget(self.axles)

    def _build_raise(self, column: QVBoxLayout) -> None:
        self.raise_ = Section(
            "Height of the centre: one axle raised",
            "Set one axle on level-topped solid blocks and weigh the axle that stays down, level and raised. Brake off and "
            "neutral so that wheels settle, no load on the forks, a second person there.",
            (
                ("block", "Height of the blocks", "length"),
                ("level", "Other axle, level", "mass"),
                ("raised", "Other axle, raised", "mass"),
            ),
            "Take this height",
        )
        self.which = ChoiceField("which axle is raised", ("front", "rear"))
        self.which.set_value("rear")
        self.which.entered.connect(lambda _which: self.raise_.work())
        self.raise_.add_choice("Axle raised", self.which)
        self.raise_.set_work(self._work_raise)
        self.raise_.take.clicked.connect(self._take_raise)
        column.addWidget(self.raise_)

    def _build_known(self, column: QVBoxLayout) -> None:
        self.known = Section(
            "Known weights on bare forks",
            "Within the plate and low: two known weights at known load centres, rear axle weighed each time. The slope must come "
            "out as the wheelbase says.",
            (
                ("kg1", "First weight", "mass"), ("at1", "its centre from the fork face", "length"), ("rear1", "rear axle then", "mass"),
                ("kg2", "Second weight", "mass"), ("at2", "its centre from the fork face", "length"), ("rear2", "rear axle then", "mass"),
            ),
            "Take the rear axle weight it gives",
        )  # fmt: skip
        self.known.set_work(self._work_known)
        self.known.take.clicked.connect(self._take_known)
        column.addWidget(self.known)

    def _build_trials(self, column: QVBoxLayout) -> None:
        self.trial = Section(
            "Trial lift with the rear axle on a scale",
            "In the pose shown now, with a load of known weight just clear of the ground.",
            (("load", "Load", "mass"), ("rear", "Rear axle then", "mass")),
            "Note this trial lift",
        )
        self.trial.set_work(self._work_trial)
        self.trial.take.clicked.connect(self._note_trial)
        self.trials = QLabel()
        self.trials.setWordWrap(True)
        self.trials.setAccessibleName("what the trial lifts say")
        self.correct = QPushButton("Take the corrected truck")
        self.correct.setAccessibleName("take the corrected truck")
        self.correct.clicked.connect(self._take_corrected)
        self.forget = QPushButton("Forget the last trial lift")
        self.forget.setAccessibleName("forget the last trial lift")
        self.forget.clicked.connect(self._forget_trial)
        column.addWidget(self.trial)
        column.addWidget(self.trials)
        column.addWidget(self.correct)
        column.addWidget(self.forget)

    # -------------------------------------------------------- showing

    def show_document(self, document: Document) -> None:
        """Say what the truck as entered contradicts, and what the readings come to on it."""
        job, units = document.job, document.units
        found = contradictions(job.truck)
        words = [fill(one.words, one.numbers, units) for one in found]
        self.contradictions.setText("\n".join(words) or "Nothing entered contradicts anything else.")
        self.contradictions.setObjectName("wrong" if words else "")
        self.contradictions.style().unpolish(self.contradictions)
        self.contradictions.style().polish(self.contradictions)
        for section in (self.axles, self.raise_, self.known, self.trial):
            section.set_units(units)
        self.plate.setText(self._plate_words(job))
        self._show_trials(job)

    def _plate_words(self, job: Job) -> str:
        truck, lines = job.truck, []
        rows = truck.plate.rows if truck.plate else ()
        if len(rows) < 2:
            lines.append(
                "With two rows of the plate the front overhang follows from them. This truck's plate has fewer."
            )
        else:
            lines.append(self._say(lambda: overhang_from_plate(rows[0], rows[1])))
        lines.append(self._say(lambda: cg_height_cap(truck)))
        return "\n".join(lines)

    def _say(self, work: Callable[[], DerivedValue]) -> str:
        try:
            found = work()
        except TailweightError as error:
            return str(error)
        return _sentence(fill(found.words, found.numbers, self._document.units))

    def _show_trials(self, job: Job) -> None:
        self.forget.setEnabled(bool(job.trial_lifts))
        self.correct.setEnabled(False)
        if not job.trial_lifts:
            self.trials.setText("No trial lift is noted yet.")
            return
        try:
            found = trial_lift.fit(job)
        except TailweightError as error:
            self.trials.setText(str(error))
            return
        units = job.units
        lines = [_sentence(fill(found.words, found.numbers, units))]
        for number, (reading, left) in enumerate(zip(found.readings, found.residuals_kg, strict=True), start=1):
            lines.append(
                f"{number}. load {show(reading.lift.load_kg, 'kg', units)}: predicted {show(reading.predicted_kg, 'kg', units)}, "
                f"weighed {show(reading.lift.rear_kg, 'kg', units)}, left over {show(left, 'kg', units)}"
            )
        lines += [_sentence(fill(one.words, one.numbers, units)) for one in trial_lift.contradictions(job, found)]
        self.trials.setText("\n".join(lines))
        self._found["corrected"] = found.corrected
        self.correct.setEnabled(found.corrected is not None)

    # -------------------------------------------------------- working out

    def _work_axles(self, values: dict[str, float]) -> str:
        truck, units = self._document.job.truck, self._document.units
        found = from_axle_weights(values["front"], values["rear"], truck.wheelbase_m.best)
        words = [_sentence(fill(one.words, one.numbers, units)) for one in (found.mass_kg, found.cg_x_m)]
        return " ".join([*words, f"{show(found.rear_share, 'share', units)} on the rear axle."])

    def _work_raise(self, values: dict[str, float]) -> str:
        truck = self._document.job.truck
        tyres = Tyres(
            wheelbase_m=truck.wheelbase_m.best,
            front_radius_m=truck.front_tyre_radius_m,
            rear_radius_m=truck.rear_tyre_radius_m,
        )
        mass_kg = truck.front_axle_kg.best + truck.rear_axle_kg.best
        reading = RaisedAxle(
            raised=self.which.currentData(),
            block_m=values["block"],
            level_kg=values["level"],
            raised_kg=values["raised"],
        )
        found = cg_height_from_raise(tyres, mass_kg, reading)
        self._found["height"] = found
        return _sentence(fill(found.words, found.numbers, self._document.units))

    def _work_known(self, values: dict[str, float]) -> str:
        overhang_m, units = self._document.job.truck.front_overhang_m.best, self._document.units
        readings = [
            KnownWeight(
                weight_kg=values[f"kg{i}"], ahead_of_axle_m=overhang_m + values[f"at{i}"], rear_kg=values[f"rear{i}"]
            )
            for i in (1, 2)
        ]
        found = from_known_weights(readings)
        self._found["rear"] = found.empty_rear_kg
        taped = self._document.job.truck.wheelbase_m.best
        words = [_sentence(fill(one.words, one.numbers, units)) for one in (found.empty_rear_kg, found.wheelbase_m)]
        return " ".join([*words, f"By tape it is {show(taped, 'm', units)}."])

    def _trial_lift(self, values: dict[str, float]) -> TrialLift:
        document = self._document
        return TrialLift(
            pose=document.pose,
            load_kg=values["load"],
            rigging_kg=document.job.load.rigging_kg.best,
            rear_kg=values["rear"],
        )

    def _work_trial(self, values: dict[str, float]) -> str:
        found, units = trial_lift.compare(self._document.job, self._trial_lift(values)), self._document.units
        return (
            f"Predicted {show(found.predicted_kg, 'kg', units)}, weighed {show(values['rear'], 'kg', units)}: "
            f"{show(abs(found.over_kg), 'kg', units)} {'heavier' if found.over_kg > 0 else 'lighter'} than predicted."
        )

    # -------------------------------------------------------- taking

    def _take_axles(self) -> None:
        front, rear = (self.axles.values[name] for name in ("front", "rear"))
        self._take_truck("Take the axle weights", front_axle_kg=_weighed(front), rear_axle_kg=_weighed(rear))

    def _take_raise(self) -> None:
        self._take_truck("Take the height of the centre", cg_height_m=self._found["height"].estimate())

    def _take_known(self) -> None:
        self._take_truck("Take the rear axle weight", rear_axle_kg=self._found["rear"].estimate())

    def _take_corrected(self) -> None:
        self._set_truck(self._found["corrected"], "Take the corrected truck")

    def _take_truck(self, text: str, **changes: Any) -> None:
        self._set_truck(REPLACE(self._document.job.truck, **changes), text)

    def _set_truck(self, truck: Truck, text: str) -> None:
        self._change(REPLACE(self._document.committed_job, truck=truck), text)

    def _note_trial(self) -> None:
        job = self._document.committed_job
        lift = self._trial_lift(self.trial.values)
        self._change(REPLACE(job, trial_lifts=(*job.trial_lifts, lift)), "Note a trial lift")
        self.trial.clear()

    def _forget_trial(self) -> None:
        job = self._document.committed_job
        self._change(REPLACE(job, trial_lifts=job.trial_lifts[:-1]), "Forget a trial lift")

    def _change(self, job: Job, text: str) -> None:
        try:
            self._document.set_job(checked(job), text)
        except TailweightError as error:
            self.told.emit(str(error))


def _weighed(kg: float) -> Estimate[float]:
    return Estimate(best=kg, known="weighed", low=max(kg - SCALE_KG, 0.0), high=kg + SCALE_KG)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:] + ("" if words.endswith(".") else ".")
