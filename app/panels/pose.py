"""Pose panel: named poses and a field for everything that can be dragged."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import get_args

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from app.canvas.transform import radians
from app.documents.document import Document
from app.look import hints
from app.panels.fields import ChoiceField, QuantityField
from app.panels.named_poses import NamedPoses, show_names
from app.panels.widgets import add_entry_grid, add_row, add_tall_row, as_label, heading
from engine.base import typed
from engine.base.errors import TailweightError
from engine.base.formatting import fill, show
from engine.explain.refusals import words_of
from engine.rig.kinematics import boom_out_m
from engine.schema.model import Pose, PoseAt
from engine.shop import edits, hook_following, pose_edits

ENTRY_OF = {
    "lift": "lift_m",
    "tilt": "tilt_rad",
    "boom hole": "hole_count",
    "boom": "free_out_m",
    "hook": "reach_m",
    "hook y": "offset_m",
    "hook z": "height_m",
}
"""The entry that each field changes, by the name that says what kind of number it is; others turn an arm."""

_FIELD_OF = {"lift_m": "lift", "tilt_rad": "tilt", "hole": "boom hole", "free_out_m": "boom"}
"""The field of each entry of the pose, apart from arms and floor."""

TILT_STEP_RAD, ARM_STEP_RAD, FINE_ARM_STEP_RAD = radians(0.5), radians(5.0), radians(1.0)
"""What an arrow key changes tilt and arms by, and arms with Shift."""

NEAR_M = 0.001
"""A typed place is reached when the hook is within a millimetre of it."""


class PosePanel(QWidget):
    """Fields for forks, tilt, boom, arms and hook; each does by keyboard what a handle does by hand."""

    refused = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._arm_count = -1
        self.fields: dict[str, QuantityField] = {}
        self._fitted: list[QCheckBox] = []
        self._kinds: dict[str, str] = {}
        self._entering: dict[str, Callable[[float], None]] = {}
        """What a typed value of each field does."""
        column = QVBoxLayout(self)
        self.named_poses = NamedPoses(document)
        self.named_poses.refused.connect(self.refused)
        column.addWidget(self.named_poses)
        self._grid = add_entry_grid(column)
        self._build_fields()
        column.addStretch(1)

    # -------------------------------------------------------- building

    def _clear_fields(self) -> None:
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.setParent(None)
                widget.deleteLater()
        self.fields, self._fitted, self._kinds, self._entering = {}, [], {}, {}

    def _build_fields(self) -> None:
        self._clear_fields()
        arms = self._document.job.rig.arms
        self._arm_count = len(arms)
        self._heading("Truck")
        self._field("lift", "Fork height", "length", lambda value: self._typed("Raise or lower", lift_m=value))
        self._field("tilt", "Tilt (back +)", "angle", lambda value: self._typed("Tilt", tilt_rad=value))
        self.fields["tilt"].step_si = TILT_STEP_RAD
        self._floor = ChoiceField("floor stood on", ())
        self._floor.entered.connect(lambda name: self._typed("Stand elsewhere", floor=name))
        add_tall_row(self._grid, "Floor", self._floor)  # a person's own names need the whole width
        self._heading("Boom")
        hole = self._field("boom hole", "Pin hole", "count", self._enter_hole, steps_itself=False)
        hole.set_empty_words("NOT PINNED")
        hole.stepped.connect(self.step_holes)
        self._field("boom", "Boom end ahead of jib mast", "length", self._enter_boom_out)
        if arms:
            self._heading("Arms (left or up +)")
        for index, arm in enumerate(arms):
            label = f"{arm.name} {arm.joint.verb.lower()}"
            field = self._field(f"arm {index}", label, arm.joint.entry_unit, partial(self._enter_turn, index))
            if arm.joint.entry_unit == "angle":
                field.step_si, field.fine_step_si = ARM_STEP_RAD, FINE_ARM_STEP_RAD
            self._fitted.append(self._tick_box(f"{arm.name} fitted", f"{arm.name} fitted", partial(self._fit, index)))
        self._heading("Hook (the rig follows)")
        self._field("hook", "Reach from front axle", "length", self._enter_reach)
        self._field("hook y", "Offset (left +)", "length", self._enter_offset)
        self._field("hook z", "Hook height", "length", self._enter_height)
        self._loaded = self._tick_box("Load on the hook", "load on the hook", self._load)
        self._at = ChoiceField("the load is", get_args(PoseAt))
        self._at.entered.connect(lambda at: self._typed("Say where the load is", at=at))
        add_row(self._grid, "The load is", self._at)

    def _heading(self, text: str) -> None:
        self._grid.addWidget(heading(text), self._grid.rowCount(), 0, 1, 2)

    def _field(
        self, name: str, label: str, kind: str, enter: Callable[[float], None], steps_itself: bool = True
    ) -> QuantityField:
        field = QuantityField(label, kind, label, steps_itself=steps_itself)
        self.fields[name], self._kinds[name], self._entering[name] = field, kind, enter
        self._listen(field, name)
        add_row(self._grid, label, field)
        return field

    def _listen(self, field: QuantityField, name: str) -> None:
        field.entered.connect(partial(self._enter, field, name))
        field.refused.connect(self.refused)

    def _tick_box(self, text: str, name: str, tick: Callable[[bool], None]) -> QCheckBox:
        box = QCheckBox(as_label(text))
        hints.name(box, name)
        box.clicked.connect(tick)
        self._grid.addWidget(box, self._grid.rowCount(), 1)
        return box

    def field_for(self, name: str, parent: QWidget) -> QuantityField:
        """A second field for an entry, to be shown elsewhere: it enters what the panel's own would."""
        own = self.fields[name]
        field = QuantityField(own.accessibleName(), self._kinds[name], own.accessibleName(), parent)
        field.step_si, field.fine_step_si = own.step_si, own.fine_step_si
        field.set_value(own.value, self._document.units)
        self._listen(field, name)
        return field

    def entry_field(self, path: str) -> QWidget | None:
        """The field of an entry of the pose."""
        entry = path.split(".", 1)[1] if "." in path else ""
        if entry.startswith("arms["):
            return self.fields.get(f"arm {int(entry[5:].partition(']')[0])}")
        if entry.startswith("floor"):
            return self._floor
        return self.fields.get(_FIELD_OF.get(entry, "lift"))

    # -------------------------------------------------------- showing

    def show_document(self, document: Document) -> None:
        """Put the shown pose's values in."""
        job, pose, hook = document.job, document.pose, document.verdict.placed.hook_m
        if len(job.rig.arms) != self._arm_count:
            self._build_fields()
        self.named_poses.show_document(document)
        show_names(self._floor, [floor.name for floor in job.floors], pose.floor)
        values = {
            "lift": pose.lift_m,
            "tilt": pose.tilt_rad,
            "boom hole": None if pose.hole is None else float(pose.hole),
            "boom": boom_out_m(job.rig, pose),
            "hook": typed.as_read(float(hook.x), job.units),
            "hook y": typed.as_read(float(hook.y), job.units),
            "hook z": typed.as_read(float(hook.z), job.units),
        }
        for index, stance in enumerate(pose.arms):
            values[f"arm {index}"] = stance.turn_rad
            self._fitted[index].setChecked(stance.fitted)
            self.fields[f"arm {index}"].setEnabled(stance.fitted)
        for name, value in values.items():
            self.fields[name].set_value(value, job.units)
        self._loaded.setChecked(pose.loaded)
        self._at.set_value(pose.at)
        self._at.setEnabled(pose.loaded)

    # -------------------------------------------------------- entering

    def _enter(self, field: QuantityField, name: str, value: float) -> None:
        self.refused.emit("")  # what was said of the entry before no longer holds
        try:
            self._entering[name](value)
        except TailweightError as error:
            field.refuse(words_of(error, ENTRY_OF.get(name, "turn_rad"), self._document.units))

    def _typed(self, text: str, **changes: object) -> None:
        document = self._document
        document.set_pose(pose_edits.typed_pose(document.job, document.pose, **changes), text)

    def _enter_hole(self, hole: float) -> None:
        self._typed("Slide the boom", hole=round(hole), free_out_m=None)

    def step_holes(self, holes: int) -> None:
        """Pull the boom in by so many pin holes (out if negative); where it goes no further, say why."""
        document = self._document
        beyond = pose_edits.beyond_holes(document.job, document.pose, holes)
        document.step_holes(holes)
        words = "" if beyond is None else fill(beyond.words, beyond.numbers, document.units)
        self.refused.emit(words)
        self.fields["boom hole"].ask(words)

    def _enter_boom_out(self, out_m: float) -> None:
        self._typed("Slide the boom free", hole=None, free_out_m=out_m)

    def _enter_turn(self, index: int, turn_rad: float) -> None:
        document = self._document
        arms, arm = list(document.pose.arms), document.job.rig.arms[index]
        arms[index] = edits.REPLACE(arms[index], turn_rad=turn_rad)
        self._typed(f"{arm.joint.verb} {arm.name}", arms=tuple(arms))

    def _fit(self, index: int, fitted: bool) -> None:
        document = self._document
        text = "Fit an arm" if fitted else "Leave an arm off"
        document.set_pose(pose_edits.fit_arm(document.pose, index, fitted), text)

    def _load(self, loaded: bool) -> None:
        self._typed("Load or unload the hook", loaded=loaded)

    # -------------------------------------------------------- the hook, which the rig follows

    @property
    def _hook_m(self) -> tuple[float, float, float]:
        hook = self._document.verdict.placed.hook_m
        return float(hook.x), float(hook.y), float(hook.z)

    def _enter_reach(self, reach_m: float) -> None:
        document, (_, _, z_m) = self._document, self._hook_m
        self._move_hook(hook_following.hook_to(document.job, document.pose, reach_m, z_m=z_m))
        self._say_how_near("reach", reach_m, self._hook_m[0])

    def _enter_offset(self, offset_m: float) -> None:
        document, (x_m, _, _) = self._document, self._hook_m
        self._move_hook(hook_following.hook_to(document.job, document.pose, x_m, y_m=offset_m))
        self._say_how_near("offset", offset_m, self._hook_m[1])

    def _enter_height(self, height_m: float) -> None:
        document, (x_m, _, _) = self._document, self._hook_m
        self._move_hook(hook_following.hook_to(document.job, document.pose, x_m, z_m=height_m))
        self._say_how_near("hook height", height_m, self._hook_m[2])

    def _move_hook(self, pose: Pose) -> None:
        self._document.set_pose(pose, "Move the hook")

    def _say_how_near(self, name: str, asked_m: float, reached_m: float) -> None:
        """The rig goes as near as it can; where that is not where it was sent, say so."""
        if abs(asked_m - reached_m) > NEAR_M:
            reached, asked = (show(value_m, "length", self._document.units) for value_m in (reached_m, asked_m))
            self.refused.emit(
                f"The nearest {name} this rig comes to is {reached} (asked for {asked}): "
                "pin holes, stops and lengths allow no nearer."
            )
