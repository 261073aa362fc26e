"""Pose panel: named poses and a field for everything that can be dragged."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QInputDialog,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.documents.document import Document
from app.panels.fields import ChoiceField, QuantityField
from app.panels.widgets import caption, heading
from engine.base.errors import TailweightError
from engine.base.formatting import show
from engine.rig.kinematics import boom_out_m
from engine.shop import edits, hook_following, pose_edits

NEAR_M = 0.001
"""A typed place is reached when the hook is within a millimetre of it."""


class PosePanel(QWidget):
    """Fields for forks, tilt, boom, arms and hook; each is the keyboard's equal of a handle."""

    refused = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._arm_count = -1
        self.fields: dict[str, QuantityField] = {}
        self._fitted: list[QCheckBox] = []
        self._column = QVBoxLayout(self)
        self._column.addLayout(self._poses_row())
        self._grid = QGridLayout()
        self._grid.setColumnStretch(1, 1)
        self._column.addLayout(self._grid)
        self._build_fields()
        self._column.addStretch(1)

    # -------------------------------------------------------- building

    def _poses_row(self) -> QVBoxLayout:
        box = QVBoxLayout()
        box.addWidget(heading("Pose"))
        self._poses = QComboBox()
        self._poses.setAccessibleName("named pose")
        self._poses.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self._poses.activated.connect(self._document.show_pose)
        box.addWidget(self._poses)
        row = QHBoxLayout()
        for text, name, act in (
            ("Add", "add a pose like this one", self.add_pose),
            ("Rename", "rename this pose", self.rename_pose),
            ("Remove", "remove this pose", self.remove_pose),
        ):
            button = QPushButton(text)
            button.setAccessibleName(name)
            button.setToolTip(name.capitalize())
            button.clicked.connect(act)
            row.addWidget(button)
        box.addLayout(row)
        return box

    def _build_fields(self) -> None:
        while self._grid.count():
            widget = self._grid.takeAt(0).widget()
            if widget is not None:
                widget.setParent(None)
                widget.deleteLater()
        self.fields, self._fitted = {}, []
        self._kinds: dict[str, str] = {}
        self._acts: dict[str, Callable[[float], None]] = {}
        arms = self._document.job.rig.arms
        self._arm_count = len(arms)
        self._heading("Truck")
        self._field("lift", "Fork height", "length", lambda v: self._typed("Raise or lower", lift_m=v))
        self._field("tilt", "Tilt (back +)", "angle", lambda v: self._typed("Tilt", tilt_rad=v))
        self._floor = ChoiceField("floor stood on", ())
        self._floor.entered.connect(lambda name: self._typed("Stand elsewhere", floor=name))
        self._row("Floor", self._floor)
        self._heading("Boom")
        self._field("boom hole", "Pin hole", "count", self._to_hole, steps_itself=False)
        self.fields["boom hole"].set_empty_words("NOT PINNED")
        self.fields["boom hole"].stepped.connect(self._step_holes)
        self._field("boom", "Boom end ahead of jib mast", "length", self._boom_out)
        if arms:
            self._heading("Arms (left or up +)")
        for index, arm in enumerate(arms):
            label = f"{arm.name} {arm.joint.verb.lower()}"
            self._field(f"arm {index}", label, arm.joint.entry_unit, lambda v, i=index: self._turn(i, v))
            fitted = QCheckBox(f"{arm.name} fitted")
            fitted.setAccessibleName(f"{arm.name} fitted")
            fitted.clicked.connect(lambda on, i=index: self._fit(i, on))
            self._fitted.append(fitted)
            self._grid.addWidget(fitted, self._grid.rowCount(), 1)
        self._heading("Hook (the rig follows)")
        self._field("hook", "Reach from front axle", "length", lambda v: self._hook(x=v))
        self._field("hook y", "Offset (left +)", "length", lambda v: self._hook(y=v))
        self._field("hook z", "Hook height", "length", lambda v: self._hook(z=v))
        self._loaded = QCheckBox("Load on the hook")
        self._loaded.setAccessibleName("load on the hook")
        self._loaded.clicked.connect(lambda on: self._typed("Load or unload the hook", loaded=on))
        self._grid.addWidget(self._loaded, self._grid.rowCount(), 1)

    def _heading(self, text: str) -> None:
        self._grid.addWidget(heading(text), self._grid.rowCount(), 0, 1, 2)

    def _row(self, label: str, widget: QWidget) -> None:
        row = self._grid.rowCount()
        if isinstance(widget, ChoiceField):
            # A person's own names need the whole width, under their label.
            self._grid.addWidget(caption(label, widget), row, 0, 1, 2)
            self._grid.addWidget(widget, row + 1, 0, 1, 2)
            return
        self._grid.addWidget(caption(label, widget), row, 0)
        self._grid.addWidget(widget, row, 1)

    def _field(self, name: str, label: str, kind: str, act: Callable[[float], None], steps_itself: bool = True) -> None:
        field = QuantityField(label, kind, label, steps_itself=steps_itself)
        field.entered.connect(lambda value, f=field: self._guard(f, act, value))
        field.refused.connect(self.refused)
        self.fields[name] = field
        self._kinds[name], self._acts[name] = kind, act
        self._row(label, field)

    def field_for(self, name: str, parent: QWidget) -> QuantityField:
        """A second field for an entry, to be shown elsewhere: it enters what the panel's own would."""
        own = self.fields[name]
        field = QuantityField(own.accessibleName(), self._kinds[name], own.accessibleName(), parent)
        field.set_value(own.value, self._document.units)
        field.entered.connect(lambda value: self._guard(field, self._acts[name], value))
        field.refused.connect(self.refused)
        return field

    # -------------------------------------------------------- showing

    def show_document(self, document: Document) -> None:
        """Put the shown pose's values in."""
        job, pose, placed = document.job, document.pose, document.verdict.placed
        if len(job.rig.arms) != self._arm_count:
            self._build_fields()
        self._show_lists(document)
        values = {
            "lift": pose.lift_m,
            "tilt": pose.tilt_rad,
            "boom hole": None if pose.hole is None else float(pose.hole),
            "boom": boom_out_m(job.rig, pose),
            "hook": float(placed.hook_m.x),
            "hook y": float(placed.hook_m.y),
            "hook z": float(placed.hook_m.z),
        }
        for index, stance in enumerate(pose.arms):
            values[f"arm {index}"] = stance.turn_rad
            self._fitted[index].setChecked(stance.fitted)
            self.fields[f"arm {index}"].setEnabled(stance.fitted)
        for name, value in values.items():
            self.fields[name].set_value(value, job.units)
        self._loaded.setChecked(pose.loaded)

    def _show_lists(self, document: Document) -> None:
        for box, names, current in (
            (self._poses, [pose.name for pose in document.job.poses], document.pose.name),
            (self._floor, [floor.name for floor in document.job.floors], document.pose.floor),
        ):
            if [box.itemText(i) for i in range(box.count())] != names:
                with QSignalBlocker(box):
                    box.clear()
                    for name in names:
                        box.addItem(name, name)
            if box.currentText() != current:
                with QSignalBlocker(box):
                    box.setCurrentIndex(names.index(current))

    # -------------------------------------------------------- entering

    def _guard(self, field: QuantityField, act: Callable[[float], None], value: float) -> None:
        self.refused.emit("")  # what was said of the entry before no longer holds
        try:
            act(value)
        except TailweightError as error:
            field.refuse(str(error))

    def _typed(self, text: str, **changes: object) -> None:
        document = self._document
        document.set_pose(pose_edits.typed_pose(document.job, document.pose, **changes), text)

    def _to_hole(self, hole: float) -> None:
        self._typed("Slide the boom", hole=round(hole), free_out_m=None)

    def _step_holes(self, steps: int) -> None:
        document = self._document
        document.set_pose(pose_edits.boom_by_holes(document.job, document.pose, steps), "Slide the boom")

    def _boom_out(self, out_m: float) -> None:
        self._typed("Slide the boom free", hole=None, free_out_m=out_m)

    def _turn(self, index: int, turn_rad: float) -> None:
        document = self._document
        arms, arm = list(document.pose.arms), document.job.rig.arms[index]
        arms[index] = edits.REPLACE(arms[index], turn_rad=turn_rad)
        self._typed(f"{arm.joint.verb} {arm.name}", arms=tuple(arms))

    def _fit(self, index: int, fitted: bool) -> None:
        document = self._document
        text = "Fit an arm" if fitted else "Leave an arm off"
        document.set_pose(pose_edits.fit_arm(document.pose, index, fitted), text)

    def _hook(self, x: float | None = None, y: float | None = None, z: float | None = None) -> None:
        document = self._document
        hook = document.verdict.placed.hook_m
        if y is not None:
            pose = hook_following.hook_to(document.job, document.pose, hook.x, y_m=y)
        else:
            pose = hook_following.hook_to(
                document.job, document.pose, hook.x if x is None else x, z_m=hook.z if z is None else z
            )
        document.set_pose(pose, "Move the hook")
        self._say_how_near(x, y, z)

    def _say_how_near(self, x: float | None, y: float | None, z: float | None) -> None:
        """The rig goes as near as it can; where that is not where it was sent, say so."""
        document = self._document
        hook = document.verdict.placed.hook_m
        for wanted, got, name in ((x, hook.x, "reach"), (y, hook.y, "offset"), (z, hook.z, "hook height")):
            if wanted is not None and abs(wanted - got) > NEAR_M:
                there, sent = (show(value, "length", document.units) for value in (got, wanted))
                self.refused.emit(
                    f"The nearest {name} this rig comes to is {there} (asked for {sent}): pin holes, stops and lengths allow no nearer."
                )

    # -------------------------------------------------------- named poses

    def add_pose(self) -> None:
        """Ask for a name and add a pose like the one shown."""
        name, said = QInputDialog.getText(self, "Add a pose", "Name of the new pose:")
        if said:
            self.add_pose_named(name)

    def add_pose_named(self, name: str) -> None:
        """Add a pose like the one shown."""
        document = self._document
        try:
            job = edits.add_pose(document.committed_job, document.pose, name)
        except TailweightError as error:
            self.refused.emit(str(error))
            return
        document.set_job(job, f"Add pose {name}", index=len(job.poses) - 1)

    def rename_pose(self) -> None:
        """Ask for a new name of the pose shown."""
        name, said = QInputDialog.getText(self, "Rename the pose", "New name:", text=self._document.pose.name)
        if not said:
            return
        document = self._document
        try:
            document.set_job(edits.rename_pose(document.committed_job, document.index, name), f"Rename pose to {name}")
        except TailweightError as error:
            self.refused.emit(str(error))

    def remove_pose(self) -> None:
        """Remove the pose shown (undo brings it back)."""
        document = self._document
        try:
            job = edits.remove_pose(document.committed_job, document.index)
        except TailweightError as error:
            self.refused.emit(str(error))
            return
        document.set_job(job, f"Remove pose {document.pose.name}", index=max(document.index - 1, 0))
