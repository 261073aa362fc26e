"""Measure panel: ways of knowing the truck better, what they say, and what contradicts what.

Nothing is applied by itself: each result is shown with its range, and a button takes it into the truck as one undo
step.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Protocol

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.fields import ChoiceField
from app.panels.reading_form import Reading, ReadingForm, as_sentence
from app.panels.trial_lifts import TrialLifts
from app.panels.widgets import heading, sentence
from engine.base.errors import TailweightError
from engine.base.formatting import fill, show
from engine.explain import refusals
from engine.schema.model import Job, Truck
from engine.schema.validation import checked
from engine.shop.edits import REPLACE
from engine.shop.truck_checks import cg_height_cap, contradictions
from engine.shop.truck_classes import TotalWeight, from_total_weight
from engine.shop.truck_measurement import (
    NOBODY,
    AxleWeights,
    DerivedValue,
    Driver,
    KnownWeight,
    RaisedAxle,
    ReadingError,
    Tyres,
    cg_height_from_raise,
    from_axle_weights,
    from_known_weights,
    overhang_from_plate,
)

AXLES_HOW = (
    "Level floor, upright vertical, forks as low as entered under Weights and dimensions. Weigh one axle with the "
    "other at the same height. Chock the axle not being weighed. Never jack the counterweight; never go under."
)
WHOLE_HOW = (
    "Where a scale takes only the whole truck. How its weight is shared between the axles is then what trucks of its "
    "rating have: weigh the rear axle whenever you can."
)
DRIVER_OFF, DRIVER_ON = "off the truck", "in the seat"
RAISE_HOW = (
    "Set one axle on level-topped solid blocks and weigh the axle that stays down, level and raised. Brake off and "
    "neutral so that the wheels roll freely, no load on the forks, a second person there."
)
KNOWN_HOW = (
    "Within the plate and low: two known weights at known load centres, rear axle weighed each time. The slope must "
    "come out as the wheelbase says."
)
NO_PLATE = "Enter the truck's plate first: it says the class."
FEW_ROWS = "With two rows of the plate the front overhang follows from them. This truck's plate has fewer."


class _Template(Protocol):
    """A sentence with its numbers, as the engine hands them out."""

    @property
    def words(self) -> str: ...
    @property
    def numbers(self) -> Mapping[str, object]: ...


class MeasurePanel(QWidget):
    """Axle weights, raised axle, known weight on bare forks, plate rows, trial lifts, contradictions."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._cg_height: DerivedValue | None = None
        self._empty_rear: DerivedValue | None = None
        self._weights: AxleWeights | None = None
        self._total: TotalWeight | None = None
        self.contradictions = sentence("contradictions")
        self.plate = sentence("what the plate says of the overhang")
        self._build_forms()
        self.trial_lifts = TrialLifts(document)
        self.trial_lifts.told.connect(self.told)
        column = QVBoxLayout(self)
        column.addWidget(heading("What contradicts what"))
        column.addWidget(self.contradictions)
        for form in (self.axles, self.whole, self.raised_axle, self.known_weights):
            column.addWidget(form)
        column.addWidget(heading("Plate against tape"))
        column.addWidget(self.plate)
        column.addWidget(self.trial_lifts)
        column.addStretch(1)

    def _build_forms(self) -> None:
        self.axles = ReadingForm(
            "Axle by axle on a scale",
            AXLES_HOW,
            (Reading("front", "Front axle", "mass"), Reading("rear", "Rear axle", "mass")),
            "Take these axle weights",
            self._conclude_axles,
            self._take_axles,
        )
        self.driver = ChoiceField("where the driver was", (DRIVER_OFF, DRIVER_ON))
        self.driver.set_value(DRIVER_OFF)
        self.axles.add_choice("Driver", self.driver)
        self.whole = ReadingForm(
            "Whole truck only",
            WHOLE_HOW,
            (Reading("whole", "Whole truck, bare", "mass"),),
            "Take these axle weights, not weighed",
            self._conclude_whole,
            self._take_whole,
        )
        self.raised_axle = ReadingForm(
            "Height of the centre: one axle raised",
            RAISE_HOW,
            (
                Reading("block", "Height of the blocks", "length"),
                Reading("level", "Other axle, level", "mass"),
                Reading("raised", "Other axle, raised", "mass"),
            ),
            "Take this height",
            self._conclude_raise,
            self._take_raise,
        )
        self.which_axle = ChoiceField("which axle is raised", ("front", "rear"))
        self.which_axle.set_value("rear")
        self.raised_axle.add_choice("Axle raised", self.which_axle)
        self.known_weights = ReadingForm(
            "Known weights on bare forks",
            KNOWN_HOW,
            (
                Reading("kg1", "First weight", "mass"),
                Reading("at1", "its centre from the fork face", "length"),
                Reading("rear1", "rear axle then", "mass"),
                Reading("kg2", "Second weight", "mass"),
                Reading("at2", "its centre from the fork face", "length"),
                Reading("rear2", "rear axle then", "mass"),
            ),
            "Take the rear axle weight it gives",
            self._conclude_known,
            self._take_known,
        )

    # -------------------------------------------------------- showing

    def show_document(self, document: Document) -> None:
        """Say what the truck as entered contradicts, and what the readings come to on it."""
        job, units = document.job, document.units
        words = [fill(one.words, one.numbers, units) for one in contradictions(job.truck)]
        self.contradictions.setText("\n".join(words) or "Nothing entered contradicts anything else.")
        self.contradictions.setObjectName("wrong" if words else "")
        self.contradictions.style().unpolish(self.contradictions)
        self.contradictions.style().polish(self.contradictions)
        for form in (self.axles, self.whole, self.raised_axle, self.known_weights):
            form.set_units(units)
        self.plate.setText(self._plate_words(job.truck))
        self.trial_lifts.show_document(document)

    def _plate_words(self, truck: Truck) -> str:
        """What the plate's rows say of the overhang, and how high the centre of gravity can be at most."""
        rows = truck.plate.rows if truck.plate else ()
        overhang = FEW_ROWS if len(rows) < 2 else self._derived_words(lambda: overhang_from_plate(rows[0], rows[1]))
        return f"{overhang}\n{self._derived_words(lambda: cg_height_cap(truck))}"

    def _derived_words(self, derive: Callable[[], _Template]) -> str:
        """A derived number in a sentence, or why there is none."""
        try:
            return self._filled(derive())
        except TailweightError as error:
            return refusals.sentence(error, self._document.units)

    def _filled(self, template: _Template) -> str:
        return as_sentence(fill(template.words, template.numbers, self._document.units))

    # -------------------------------------------------------- what the readings come to

    def _conclude_axles(self, values: Mapping[str, float]) -> str:
        self._weights = weights = from_axle_weights(
            values["front"],
            values["rear"],
            self._document.job.truck.wheelbase_m.best,
            driver=Driver() if self.driver.currentData() == DRIVER_ON else NOBODY,
        )
        share = show(weights.rear_share, "share", self._document.units)
        return f"{self._filled(weights.mass_kg)} {self._filled(weights.cg_x_m)} {share} on the rear axle."

    def _conclude_whole(self, values: Mapping[str, float]) -> str:
        plate, units = self._document.job.truck.plate, self._document.units
        if plate is None:
            raise ReadingError("truck.plate", "a plate, which says the truck's class", "none", plain=NO_PLATE)
        self._total = total = from_total_weight(values["whole"], max(row.rated_kg for row in plate.rows))
        rear = total.rear_kg
        best, low, high = (show(kg, "kg", units) for kg in (rear.best, rear.low, rear.high))
        return f"Rear axle {best}, {low} to {high}, by the class of the truck. Not weighed."

    def _conclude_raise(self, values: Mapping[str, float]) -> str:
        truck = self._document.job.truck
        tyres = Tyres(
            wheelbase_m=truck.wheelbase_m.best,
            front_radius_m=truck.front_tyre_radius_m,
            rear_radius_m=truck.rear_tyre_radius_m,
        )
        reading = RaisedAxle(
            raised=self.which_axle.currentData(),
            block_m=values["block"],
            level_kg=values["level"],
            raised_kg=values["raised"],
        )
        mass_kg = truck.front_axle_kg.best + truck.rear_axle_kg.best
        self._cg_height = cg_height_from_raise(tyres, mass_kg, reading)
        return self._filled(self._cg_height)

    def _conclude_known(self, values: Mapping[str, float]) -> str:
        truck = self._document.job.truck
        readings = [
            KnownWeight(
                weight_kg=values[f"kg{number}"],
                ahead_of_axle_m=truck.front_overhang_m.best + values[f"at{number}"],
                rear_kg=values[f"rear{number}"],
            )
            for number in (1, 2)
        ]
        line = from_known_weights(readings)
        self._empty_rear = line.empty_rear_kg
        taped = show(truck.wheelbase_m.best, "length", self._document.units)
        return f"{self._filled(line.empty_rear_kg)} {self._filled(line.wheelbase_m)} By tape it is {taped}."

    # -------------------------------------------------------- taking a result

    def _take_axles(self) -> None:
        if self._weights is not None:
            self._set_axles(self._weights, "Take the axle weights")

    def _take_whole(self) -> None:
        if self._total is not None:
            self._set_axles(self._total, "Take axle weights of the truck's class")

    def _set_axles(self, axles: AxleWeights | TotalWeight, text: str) -> None:
        truck = REPLACE(self._document.job.truck, front_axle_kg=axles.front_kg, rear_axle_kg=axles.rear_kg)
        self._set_truck(truck, text)

    def _take_raise(self) -> None:
        if self._cg_height is not None:
            truck = REPLACE(self._document.job.truck, cg_height_m=self._cg_height.estimate())
            self._set_truck(truck, "Take the height of the centre")

    def _take_known(self) -> None:
        if self._empty_rear is not None:
            truck = REPLACE(self._document.job.truck, rear_axle_kg=self._empty_rear.estimate())
            self._set_truck(truck, "Take the rear axle weight")

    def _set_truck(self, truck: Truck, text: str) -> None:
        job: Job = REPLACE(self._document.committed_job, truck=truck)
        try:
            self._document.set_job(checked(job), text)
        except TailweightError as error:
            self.told.emit(refusals.sentence(error, self._document.units))
