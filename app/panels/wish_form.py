"""The six questions for a new rig: truck, plate, floor, load, hook, steel; answered in any order.

Nothing that must be read off the truck or measured is filled in.  The units chosen over the first question hold for the
form and for the rig's file; another choice of units changes no answer.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import cast

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QFormLayout, QLabel, QWidget

from app.look import hints
from app.look.theme import Palette
from app.panels.fields import ChoiceField, QuantityField, TextField
from app.panels.known_chip import known_words
from app.panels.plate_figure import PlateFigure
from app.panels.widgets import caption, cell_of, heading
from engine.base import typed
from engine.base.errors import TailweightError
from engine.base.formatting import System, show
from engine.explain import refusals
from engine.explain.entry_names import choice_words
from engine.planning.new_rig import sketch
from engine.schema.connections import WeldQuality
from engine.schema.model import Job, PlateRow, Truck
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube
from engine.schema.steel import GRADES, UNKNOWN
from engine.schema.stock_sizes import RECT_TUBES, units_first
from engine.schema.uncertainty_bands import QuantityKind
from engine.shop.first_joints import SLING_M
from engine.shop.first_rig import GUESSED_SLOPE, USUAL_BOX_M, Wish, refuse_impossible, usual_range
from engine.shop.truck_classes import MIDDLING, OFFERED, typical_truck

OWN_TRUCK, FROM_FILE = "the truck that is open", "a truck from another file …"
AXLES = ("front_axle_kg", "rear_axle_kg")
NAME = "New rig"
CHOSEN_FOR_ME = "choose for me"
PLATE = ("rated_kg", "load_centre_m", "lift_m")
SLOPES = ("fall_along", "fall_across")
ARMS = ("arm_1_m", "arm_2_m")
SIDE = "side_m"
BOX = ("box_length_m", "box_width_m", "box_height_m")
HUNG = (*BOX, "sling_rated_kg", "sling_m")
WISHED = ("load_kg", "hook_height_m", "reach_m")

UNITS: dict[System, str] = {"metric": "metric (mm, kg)", "us": "US (feet, inches, pounds)"}
LOAD_KNOWN = ("weighed", "papers", "worked_out", "similar", "guess")
SLOPE_KNOWN = ("measured", "similar", "guess")

PLATE_OPEN = "Not to hand: no allowed load until it is read. The rig is sized for a usual one."
PLATE_OWN = "This truck's plate is entered in its file and counts. Check it against the truck that will do the lift."
PLATE_READ = "Off this truck, not off a brochure: an attachment or a longer upright changes its plate."
FLOORS = {
    "unknown": "not measured yet",
    "level": "level, measured",
    "slope": "slope and side slope",
    "guess": "guess: 1 % both ways",
}
FLOOR_SAYS = {
    "unknown": "No verdict until it is measured. The rig is sized for a slope of 1 % both ways.",
    "level": "Measured with a long level or a phone at four spots, and level both ways.",
    "slope": "Down to the front and down to the left are plus.",
    "guess": "A guess: the file marks it as one until somebody measures the floor.",
}
LEVEL_SLOPES: dict[str, Estimate[float]] = {
    "level": Estimate(best=0.0, known="measured"),
    "guess": Estimate(best=GUESSED_SLOPE, known="guess"),
}
QUALITIES: dict[WeldQuality, str] = {
    "own_eye": "own welds, own eye",
    "qualified_visual": "qualified welder, second eye",
    "qualified_ndt": "qualified welder, crack tested",
}
UNRATED = (
    "Not read: the rig is sized, but stays NOT PROVEN until the tag's rating for one leg straight down is entered. A "
    "sling without a legible tag lifts nothing."
)
RATED = "The rating for one leg straight down, as the tag says it. Not one remembered, and not the last sling's."
SLUNG = "A length left empty counts as {usual}."
BOXED = "What is left empty counts as {usual} each way. Measure a load that comes near the jib mast or the truck."
TRUCK_SAYS = (
    "Typical of its class, not your truck: start values. A truck may hold less than its class. Enter your own weights "
    "and dimensions under Truck before you lift."
)
TRUCK_FROM_FILE = "Weights, dimensions and plate come from that file. Check that it is the truck that will do the lift."
LOAD_SAYS = {
    "guess": "A guess counts wide on both sides, and is still a guess: weigh it before the lift.",
    "similar": "Another one's weight: this one may be filled, wet or fitted out. Weigh it before the lift.",
}


class WishForm(QWidget):
    """Asks; `wish` is what was answered, once it is enough for a rig."""

    changed = Signal()
    """An answer is another one."""

    refused = Signal(str)
    """Why an answer was not taken; empty once that no longer holds."""

    def __init__(
        self,
        units: System,
        own_truck: Truck | None = None,
        ask_truck: Callable[[], tuple[str, Truck] | None] = lambda: None,
    ) -> None:
        """``ask_truck`` asks for a truck out of another file, and answers with a name for it."""
        super().__init__()
        self._ask_truck = ask_truck
        self._trucks: dict[str, Truck] = {} if own_truck is None else {OWN_TRUCK: own_truck}
        """Trucks out of files, by what they are called here."""
        self._last_truck = ""
        self._chose_truck = False
        self.fields: dict[str, QuantityField] = {}
        self.values: dict[str, float] = {}
        self._form = QFormLayout(self)
        self._form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self._build_head(units)
        self._build_truck()
        self._build_floor()
        self._build_load()
        self._build_hook()
        self._build_steel()
        self._take_units()

    # -------------------------------------------------------- building

    def _build_head(self, units: System) -> None:
        self.name = TextField("name of the job")
        self.name.setText(NAME)
        self._form.addRow("Name", self.name)
        self.unit_choice = self._choice("units of this rig and its file", tuple(UNITS), self._take_units, UNITS)
        self.unit_choice.set_value(units)
        self._form.addRow("Units", self.unit_choice)

    def _build_truck(self) -> None:
        self._form.addRow(heading("1   Your truck"))
        self.truck = self._choice("truck class", OFFERED["metric"], self._choose_truck)
        self._form.addRow("Truck", self.truck)
        self._truck_says = self._note("about the truck")
        self.has_weights = QCheckBox("I have weighed its axles")
        hints.name(self.has_weights, "I have weighed the truck's axles: enter the weights")
        self.has_weights.toggled.connect(lambda _there: self._answered())
        self._form.addRow(self.has_weights)
        self._number("front_axle_kg", "Front axle, forks bare", "mass")
        self._number("rear_axle_kg", "Rear axle, forks bare", "mass")
        self._form.addRow(heading("2   What its plate says"))
        self.has_plate = QCheckBox("I have read the truck's plate")
        hints.name(self.has_plate, "I have read the truck's plate: enter what it says")
        self.has_plate.toggled.connect(lambda _there: self._answered())
        self._form.addRow(self.has_plate)
        self.plate_figure = PlateFigure()
        self._form.addRow(self.plate_figure)
        self._number("rated_kg", "A  Rated load on the plate", "mass")
        self._number("load_centre_m", "B  Load centre on the plate", "length")
        self._number("lift_m", "C  Up to fork height", "length")
        for name in PLATE:
            self.fields[name].focused.connect(partial(self.plate_figure.set_asked, name))
        self._plate_says = self._note("about the plate")

    def _build_floor(self) -> None:
        self._form.addRow(heading("3   The floor"))
        self.floor = self._choice("the floor", tuple(FLOORS), self._answered, FLOORS)
        self._form.addRow("Slopes", self.floor)
        self._number("fall_along", "Slope to the front", "fall")
        self._number("fall_across", "Side slope to the left", "fall")
        self.floor_known = self._choice("how the slopes are known", SLOPE_KNOWN, self._answered, _known("fall"))
        self._form.addRow("How are they known", self.floor_known)
        self._floor_says = self._note("about the floor")

    def _build_load(self) -> None:
        self._form.addRow(heading("4   The load"))
        self._number("load_kg", "How heavy is the load", "mass")
        self.known = self._choice("how the weight is known", LOAD_KNOWN, self._answered, _known("mass"))
        self.known.set_value("guess")
        self._form.addRow("How is the weight known", self.known)
        self._load_says = self._note("about the load's weight")
        for name, label in zip(BOX, ("Its length, along the truck", "Its width", "Its height"), strict=True):
            self._number(name, label, "length")
        self._box_says = self._note("about the load's box")
        self._number("sling_rated_kg", "Rating on the sling's tag", "mass", empty="not read")
        self._number("sling_m", "Sling, hook to load", "length")
        self._sling_says = self._note("about the sling")

    def _build_hook(self) -> None:
        self._form.addRow(heading("5   Where the hook goes"))
        self._number("hook_height_m", "How high is the hook", "length")
        self._number("reach_m", "How far from the fork face", "length")
        self.arms = self._choice("number of arms", (0, 1, 2), self._answered)
        self._form.addRow("Arms", self.arms)
        for name, label in zip(ARMS, ("Length of arm 1", "Length of arm 2"), strict=True):
            self._number(name, label, "length", empty=CHOSEN_FOR_ME)
        self._number(SIDE, "To the left (right: minus)", "length", empty="in the middle")
        self.boom = self._choice("boom tube", (CHOSEN_FOR_ME,), self._answered)
        self._form.addRow("Boom tube", self.boom)

    def _build_steel(self) -> None:
        self._form.addRow(heading("6   Steel and welds"))
        self.steel = self._choice(
            "steel of tube and plate", (UNKNOWN,), self._answered, {UNKNOWN: "unknown, reclaimed"}
        )
        self._form.addRow("Steel", self.steel)
        self.welds = self._choice("who welds and who looks at it", tuple(QUALITIES), self._answered, QUALITIES)
        self._form.addRow("Who welds", self.welds)

    def _choice(
        self,
        name: str,
        choices: tuple[str | int, ...],
        act: Callable[[], None],
        words: dict[System, str] | dict[WeldQuality, str] | dict[str, str] | None = None,
    ) -> ChoiceField:
        called = {} if words is None else {str(choice): said for choice, said in words.items()}
        field = ChoiceField(name, choices, words=lambda choice: called.get(str(choice)) or choice_words(choice))
        field.entered.connect(lambda _choice: act())
        self._make_wide(field)
        return field

    @staticmethod
    def _make_wide(field: ChoiceField) -> None:
        """Leave room for the longest choice."""
        field.setMinimumContentsLength(max(len(field.itemText(index)) for index in range(field.count())))

    def _number(self, name: str, label: str, kind: str, empty: str = "not entered") -> None:
        named = label.partition("  ")[2] or label  # without the letter on the picture of the plate
        field = QuantityField(named, kind, named)
        field.set_empty_words(empty)
        field.may_be_empty = True
        field.entered.connect(lambda value: self._take(name, value))
        field.emptied.connect(lambda: self._empty(name))
        field.refused.connect(self.refused)
        field.ensurePolished()
        longest = f"{empty}  mm"
        field.setMinimumWidth(field.fontMetrics().horizontalAdvance(longest) + ROOM_BESIDE_PX)
        self.fields[name] = field
        self._form.addRow(label, cell_of(field))

    def _note(self, name: str) -> QLabel:
        label = caption("")
        label.setAccessibleName(name)
        self._form.addRow(label)
        return label

    # -------------------------------------------------------- following the answers

    @property
    def units(self) -> System:
        return cast("System", self.unit_choice.currentData())

    @property
    def chosen_truck(self) -> Truck:
        """A truck out of a file, or a typical one of the class chosen; with its axles as weighed, if they were."""
        chosen = self.truck.currentData()
        truck = self._trucks[chosen] if chosen in self._trucks else typical_truck(chosen)
        values = self.values
        if not self.has_weights.isChecked() or not all(name in values for name in AXLES):
            return truck
        return msgspec.structs.replace(truck, **{name: Estimate(best=values[name], known="weighed") for name in AXLES})

    def _take_units(self) -> None:
        """Offer classes and sizes of these units first, and show every answer in them."""
        units, chosen = self.units, self.truck.currentData()
        own = tuple(self._trucks)
        kept = (chosen,) if self._chose_truck and chosen not in (*own, *OFFERED[units]) else ()
        self.truck.set_choices((*own, *OFFERED[units], *kept, FROM_FILE))
        if not self._chose_truck:
            self.truck.set_value(MIDDLING[units])
        self.boom.set_choices((CHOSEN_FOR_ME, *units_first(RECT_TUBES, units)))
        marks = sorted(GRADES, key=lambda mark: mark.startswith("A") != (units == "us"))
        self.steel.set_choices((UNKNOWN, *marks))
        self._last_truck = self.truck.currentData()
        for choice in (self.truck, self.boom, self.steel):
            self._make_wide(choice)
        self.plate_figure.set_units(units)
        for name, field in self.fields.items():
            field.set_value(self.values.get(name), units)
        self.fields["load_centre_m"].set_empty_words(f"often {show(USUAL_CENTRE_M[units], 'size', units)}")
        self._box_says.setText(BOXED.format(usual=show(USUAL_BOX_M[units], "length", units)))
        self._answered()

    def _choose_truck(self) -> None:
        if self.truck.currentData() == FROM_FILE:
            found = self._ask_truck()
            if found is None:
                self.truck.set_value(self._last_truck)
                return
            name = f"the truck in {found[0]}"
            self._trucks[name] = found[1]
            self.truck.set_choices((*self._trucks, *OFFERED[self.units], FROM_FILE))
            self._make_wide(self.truck)
            self.truck.set_value(name)
        self._last_truck = self.truck.currentData()
        self._chose_truck = True
        self._answered()

    def _answered(self) -> None:
        """Ask for what goes with the answers, expect what a rig on the chosen truck has, and pass it on."""
        truck, arms, asked = self.chosen_truck, cast("int", self.arms.currentData()), self.floor.currentData()
        for name, field in self.fields.items():
            field.usual = usual_range("arm_m" if name in ARMS else name, truck)
        has_plate, has_weights = self.has_plate.isChecked(), self.has_weights.isChecked()
        for names, wanted in ((PLATE, has_plate), (SLOPES, asked == "slope"), (AXLES, has_weights)):
            for name in names:
                self._form.setRowVisible(self.fields[name].cell(), wanted)
        for number, name in enumerate(ARMS):
            self._form.setRowVisible(self.fields[name].cell(), number < arms)
        self._form.setRowVisible(self.fields[SIDE].cell(), arms > 0)
        sling = RATED if "sling_rated_kg" in self.values else UNRATED
        usual = show(SLING_M[self.units], "length", self.units)
        self._sling_says.setText(sling if "sling_m" in self.values else f"{sling} {SLUNG.format(usual=usual)}")
        self._form.setRowVisible(self.floor_known, asked == "slope")
        self._form.setRowVisible(self.plate_figure, has_plate)
        self._plate_says.setText(PLATE_READ if has_plate else PLATE_OPEN if truck.plate is None else PLATE_OWN)
        self._truck_says.setText(TRUCK_FROM_FILE if self.truck.currentData() in self._trucks else TRUCK_SAYS)
        self._floor_says.setText(FLOOR_SAYS[asked])
        doubt = LOAD_SAYS.get(self.known.currentData(), "")
        self._load_says.setText(doubt)
        self._form.setRowVisible(self._load_says, bool(doubt))
        self.changed.emit()

    def _take(self, name: str, value: float) -> None:
        field = self.fields[name]
        why = self._refusal(name, value)
        if why:
            field.refuse(why)
            return
        self.values[name] = value
        field.set_value(value, self.units)
        self.refused.emit("")
        self._answered()

    def _refusal(self, name: str, value: float) -> str:
        """Why an answer cannot be; empty where it can."""
        field = self.fields[name]
        if name in SLOPES:
            if field.usual.holds(value):
                return ""
            return f"No floor to lift on. Expected {typed.range_text(field.usual, 'fall', self.units)}."
        if name == SIDE:
            return ""
        if value <= 0.0:
            return f"{field.accessibleName()}: expected more than nothing."
        try:
            refuse_impossible(name, value, self.chosen_truck)
        except TailweightError as error:
            return refusals.words_of(error, name, self.units)
        return ""

    def _empty(self, name: str) -> None:
        """An answer was deleted."""
        self.values.pop(name, None)
        self.fields[name].set_value(None, self.units)
        self._answered()

    # -------------------------------------------------------- answers

    @property
    def _needed(self) -> tuple[str, ...]:
        weights = AXLES if self.has_weights.isChecked() else ()
        plate = PLATE if self.has_plate.isChecked() else ()
        return (*weights, *plate, *(SLOPES if self.floor.currentData() == "slope" else ()), *WISHED)

    @property
    def _asked(self) -> tuple[str, ...]:
        """Every number that is asked for now."""
        arms = cast("int", self.arms.currentData())
        return (*self._needed, *HUNG, *ARMS[:arms], *((SIDE,) if arms else ()))

    @property
    def wrong(self) -> QuantityField | None:
        """The first field that holds something that was not taken."""
        return next((self.fields[name] for name in self._asked if self.fields[name].wrong), None)

    @property
    def not_drawn_for(self) -> tuple[QuantityField, ...]:
        """Fields without which nothing of the person's own is drawn."""
        return tuple(self.fields[name] for name in WISHED if name not in self.values)

    @property
    def missing(self) -> tuple[QuantityField, ...]:
        """Fields without which there is no rig."""
        return tuple(self.fields[name] for name in self._needed if name not in self.values)

    def wish(self) -> Wish | None:
        """What was answered; None until everything that is asked for is there."""
        return None if self.missing else self.so_far()

    def so_far(self) -> Wish | None:
        """What was answered, as far as that can be drawn; None until it is enough for that."""
        return self._wish_of(self.values) if all(name in self.values for name in WISHED) else None

    def _wish_of(self, values: dict[str, float]) -> Wish:
        read = self.has_plate.isChecked() and all(name in values for name in PLATE)
        along, across = self._slopes()
        wish = Wish(
            name=self.name.text().strip() or NAME,
            truck=self.chosen_truck,
            hook_height_m=values["hook_height_m"],
            reach_m=values["reach_m"],
            load=Estimate(best=values["load_kg"], known=self.known.currentData()),
            arms=self.arms.currentData(),
            plate=PlateRow(**{name: values[name] for name in PLATE}) if read else None,
            fall_along=along,
            fall_across=across,
            units=self.units,
            steel=self.steel.currentData(),
            quality=self.welds.currentData(),
            boom=self._boom(),
            side_m=values.get(SIDE, 0.0) if self.arms.currentData() else 0.0,
            sling_rated_kg=values.get("sling_rated_kg"),
            sling_m=values.get("sling_m"),
            box_m=(values.get(BOX[0]), values.get(BOX[1]), values.get(BOX[2])),
        )
        own = [values.get(name) for name in ARMS[: wish.arms]]
        if not any(own):
            return wish
        lengths_m = tuple(mine or usual for mine, usual in zip(own, wish.lengths_m, strict=True))
        return msgspec.structs.replace(wish, arm_lengths_m=lengths_m)

    def _boom(self) -> RectTube | None:
        """The person's own tube, of which nobody has said yet what rust has taken."""
        tube = RECT_TUBES.get(self.boom.currentData())
        return None if tube is None else msgspec.structs.replace(tube, wall_lost_m=None)

    def _slopes(self) -> tuple[Estimate[float] | None, ...]:
        """The floor's slope and side slope, None where nobody has said them."""
        asked = self.floor.currentData()
        if asked != "slope":
            return (LEVEL_SLOPES.get(asked),) * 2
        known, values = self.floor_known.currentData(), self.values
        return tuple(Estimate(best=values[name], known=known) if name in values else None for name in SLOPES)

    def example(self) -> Job | None:
        """A rig with what is answered so far, and middling answers for what is not: only to look at."""
        try:
            return sketch(self._wish_of(EXAMPLE | self.values))
        except TailweightError:
            return None

    def pull(self, reach_m: float, height_m: float) -> None:
        """Take reach and height of a hook that was pulled: on whole steps, and as far as there is a rig for it."""
        arms_m = max((wish.arms_ahead_m for wish in [self.so_far()] if wish is not None), default=0.0)
        step_m = PULL_STEP_M[self.units]
        for name, value_m, least_m in (("reach_m", reach_m, arms_m), ("hook_height_m", height_m, 0.0)):
            usual = self.fields[name].usual
            stepped_m = round(step_m * round(value_m / step_m), 6)
            self.values[name] = min(max(stepped_m, usual.least + least_m), usual.most)
            self.fields[name].drop_typed()
            self.fields[name].set_value(self.values[name], self.units)
        self.refused.emit("")
        self._answered()

    def step_hook(self, ahead: int, up: int) -> None:
        """Move the hook by so many steps ahead and up."""
        values, step_m = EXAMPLE | self.values, PULL_STEP_M[self.units]
        self.pull(values["reach_m"] + ahead * step_m, values["hook_height_m"] + up * step_m)

    def set_theme(self, colours: Palette) -> None:
        self.plate_figure.set_theme(colours)

    def take(self, wish: Wish) -> None:
        """Fill in the answers of a wish that is nearly this one: its reach, its load, who welds it."""
        for name, value in (("reach_m", wish.reach_m), ("load_kg", wish.load.best)):
            self.values[name] = value
            self.fields[name].drop_typed()
            self.fields[name].set_value(value, self.units)
        self.welds.set_value(wish.quality)
        self._answered()


EXAMPLE = {"hook_height_m": 2.2, "reach_m": 1.8, "load_kg": 100.0}
"""What is drawn, faint, where nobody has answered: an example, and no answer."""

PULL_STEP_M: dict[System, float] = {"metric": 0.01, "us": 0.0127}
"""The hook is pulled in steps of 10 mm or half an inch."""

ROOM_BESIDE_PX = 26
"""Edges of a field and the gap before its unit."""

USUAL_CENTRE_M: dict[System, float] = {"metric": 0.5, "us": 0.6096}
"""Load centre of most plates, said but never filled in: 500 mm; 24 in."""


def _known(quantity: QuantityKind) -> dict[str, str]:
    """What the ways to know a number of a kind are called."""
    return {known: known_words(known, quantity) for known in (*LOAD_KNOWN, *SLOPE_KNOWN)}
