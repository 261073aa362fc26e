"""Aim panel: a point for the hook, and every way of boom hole, arms and forks to bring it there, best margin first.

The ways are looked for in the background; choosing one sets the pose as one undo step.
"""

from __future__ import annotations

import math

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QListWidgetItem, QPushButton, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.fields import QuantityField
from app.panels.sentence_list import SentenceList
from app.panels.widgets import caption, heading
from app.workers import worker_tasks
from app.workers.background import Background
from engine.base.formatting import System, show
from engine.base.geometry import Vec
from engine.planning.inverse_kinematics import NEAR_M, Solution
from engine.schema.model import Job, Pose
from engine.shop.edits import REPLACE
from engine.worst_case.verdict import STATE_WORDS

TOLD_MISS_M = 0.002
"""A way that misses its point by less is said to reach it."""

LINES_SEEN = 18
FIELDS = (("x", "Ahead of front axle"), ("y", "Left of centreline"), ("z", "Hook height"))


class GoToPointPanel(QWidget):
    """Where the hook should go, and the ways there."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._typed: dict[str, float] = {}
        self._ways: tuple[Solution, ...] | None = None
        self._asked: tuple[object, ...] = ()
        self._listed: tuple[object, ...] = ()
        self.background = Background(self)
        self.background.answered.connect(self._take)
        self.background.failed.connect(lambda why: self._say(f"The ways could not be worked out: {why}"))
        self.fields: dict[str, QuantityField] = {}
        column = QVBoxLayout(self)
        column.addWidget(heading("Hook to a point"))
        column.addWidget(
            caption("The point where the hook should bear. Tilt, floor and which arms are fitted stay as shown.")
        )
        grid = QGridLayout()
        grid.setColumnStretch(1, 1)
        column.addLayout(grid)
        for row, (name, label) in enumerate(FIELDS):
            self._add_field(grid, row, name, label)
        self._build_ways(column)
        column.addStretch(1)

    # -------------------------------------------------------- building

    def _add_field(self, grid: QGridLayout, row: int, name: str, label: str) -> None:
        field = QuantityField(f"point: {label}", "length", label)
        field.entered.connect(lambda value: self._enter(name, value))
        field.refused.connect(self.told)
        self.fields[name] = field
        grid.addWidget(caption(label, field), row, 0)
        grid.addWidget(field, row, 1)

    def _build_ways(self, column: QVBoxLayout) -> None:
        self.find = QPushButton("Find the ways")
        self.find.setAccessibleName("find the ways to this point")
        self.find.clicked.connect(self.find_ways)
        self.here = QPushButton("Present hook")
        self.here.setAccessibleName("put the present place of the hook in")
        self.here.setToolTip("Put the present place of the hook in")
        self.here.clicked.connect(self.take_present)
        self.said = QLabel()
        self.said.setWordWrap(True)
        self.said.setAccessibleName("what was found")
        self.list = SentenceList("ways to the point; Enter or a click sets the pose", LINES_SEEN)
        self.list.itemClicked.connect(self._choose)
        self.list.itemActivated.connect(self._choose)
        for widget in (self.find, self.here, self.said, self.list):
            column.addWidget(widget)

    # -------------------------------------------------------- entering

    def _enter(self, name: str, value: float) -> None:
        self._typed[name] = value
        self.show_document(self._document)

    def take_present(self) -> None:
        """Forget what was typed: the fields follow the hook again."""
        self._typed.clear()
        self.show_document(self._document)

    @property
    def target_m(self) -> Vec:
        """The point asked for; parts not typed are the present hook's."""
        hook = self._document.verdict.placed.hook_m
        return Vec(*(self._typed.get(name, float(getattr(hook, name))) for name, _ in FIELDS))

    # -------------------------------------------------------- finding

    @property
    def ways(self) -> tuple[Solution, ...]:
        """The ways listed."""
        return self._ways or ()

    def find_ways(self) -> None:
        """Look for every way to the point, in the background."""
        document = self._document
        target = self.target_m
        self._typed = {name: float(getattr(target, name)) for name, _ in FIELDS}
        self._asked, self._ways = self._question(document.job, document.pose), None
        self._list_ways()
        self._say("Looking for ways to the point...")
        self.background.ask(worker_tasks.poses_to, document.job, document.pose, target)

    def _question(self, job: Job, pose: Pose) -> tuple[object, ...]:
        """All that the ways hang on: not what a way itself sets."""
        fitted = tuple(arm.fitted for arm in pose.arms)
        kept = (pose.name, pose.tilt_rad, pose.floor, pose.loaded, fitted)
        return (job.truck, job.rig, job.load, job.floors, job.policy, job.approval, kept, tuple(self._typed.items()))

    def _take(self, ways: tuple[Solution, ...]) -> None:
        self._ways = ways
        self._list_ways()

    # -------------------------------------------------------- showing

    def show_document(self, document: Document) -> None:
        """The point, and the ways while they are still ways of what is shown."""
        target = self.target_m
        for name, field in self.fields.items():
            field.set_value(float(getattr(target, name)), document.units)
        if self._asked and self._asked != self._question(document.job, document.pose):
            self._asked, self._ways = (), None
            self.background.forget()
            self._say("Something the ways hang on has changed since: find them again.")
        self._list_ways()

    def _list_ways(self) -> None:
        listed = (self._ways, self._document.units)
        if listed == self._listed:
            return
        self._listed = listed
        job, units = self._document.job, self._document.units
        self.list.fill([f"{number}. {way_words(job, way, units)}" for number, way in enumerate(self.ways, start=1)])
        if self._ways is None:
            return
        target = self.target_m
        place = (
            f"{show(target.x, 'm', units)} ahead, {show(target.y, 'm', units)} left, {show(target.z, 'm', units)} up"
        )
        if not self._ways:
            self._say(
                f"NO WAY: no hole, arm turn and fork height brings the hook within {show(NEAR_M, 'mm', units)} of {place}."
            )
            return
        keep = sum(way.state == "WITHIN" for way in self._ways)
        found = "one way" if len(self._ways) == 1 else f"{len(self._ways)} ways"
        kept = (
            "NONE within the limits"
            if not keep
            else "within the limits"
            if keep == len(self._ways)
            else f"{keep} within the limits"
        )
        self._say(
            f"Hook at {place}: {found}, {kept}. Choose one to set it. Only the place is judged, not the move there."
        )

    def _say(self, words: str) -> None:
        self.said.setText(words)

    # -------------------------------------------------------- choosing

    def _choose(self, item: QListWidgetItem) -> None:
        document, row = self._document, self.list.row(item)
        if not 0 <= row < len(self.ways):
            return
        document.set_pose(REPLACE(self.ways[row].pose, name=document.pose.name), "Bring the hook to a point")


def used_words(use: float, units: System) -> str:
    """A share used; one just over is never shown as all but full."""
    words = show(use, "share", units)
    return f"just over {words}" if use > 1.0 and words == show(1.0, "share", units) else words


def way_words(job: Job, way: Solution, units: System) -> str:
    """One way in a sentence: how it stands first, then how to set it."""
    pose = way.pose
    used = (
        f"{used_words(way.use, units)} used, {show(way.allowed_kg, 'kg_down', units)} allowed"
        if math.isfinite(way.use)
        else "nothing allowed"
    )
    parts = [
        f"hole {pose.hole}"
        if pose.hole is not None
        else f"boom end {show(pose.free_out_m, 'm', units)} out, NOT PINNED"
    ]
    for arm, stance in zip(job.rig.arms, pose.arms, strict=True):
        joint = arm.joint
        turned = f"{show(abs(stance.turn_rad), joint.unit, units)} {joint.direction(stance.turn_rad)}"
        parts.append(f"{arm.name} {turned}" if stance.fitted else f"{arm.name} left off")
    parts.append(f"forks {show(pose.lift_m, 'm', units)} up")
    governs = f". Governs: {way.governing}" if way.governing else ""
    miss = f". Misses by {show(way.miss_m, 'mm', units)}" if way.miss_m >= TOLD_MISS_M else ""
    return f"{STATE_WORDS[way.state]}: {used}; {', '.join(parts)}{governs}{miss}."
