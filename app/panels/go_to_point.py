"""Go-to-point panel: a point for the hook, and every setting of boom, arms and forks that brings it there.

The solutions are looked for in the background and listed best first, those without room last; choosing one sets the
pose as one undo step.
"""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QListWidgetItem, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.fields import QuantityField
from app.panels.sentence_list import SentenceList
from app.panels.solution_words import solution_words
from app.panels.waiting import Waiting
from app.panels.widgets import add_button, add_entry_grid, add_row, caption, heading, sentence
from app.workers import worker_tasks
from app.workers.background import Background
from engine.base import typed
from engine.base.formatting import show
from engine.base.geometry import Vec
from engine.planning.inverse_kinematics import NEAR_M, Solution
from engine.schema.model import Job, Pose
from engine.shop.edits import REPLACE

LINES_SEEN = 18
FIELDS = (("x", "Ahead of front axle"), ("y", "Left of centreline"), ("z", "Hook height"))


class GoToPointPanel(QWidget):
    """Where the hook should go, and the poses that bring it there."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._typed_m: dict[str, float] = {}
        self._solutions: tuple[Solution, ...] | None = None
        self._is_whole = False
        self._asked: tuple[object, ...] = ()
        self._listed: tuple[object, ...] = ()
        self.background = Background(self)
        self.background.answered.connect(lambda solutions: self._take(solutions, is_whole=True))
        self.background.partly.connect(lambda solutions: self._take(solutions, is_whole=False))
        self.background.failed.connect(lambda why: self._say(f"The poses could not be worked out: {why}"))
        self.fields: dict[str, QuantityField] = {}
        column = QVBoxLayout(self)
        column.addWidget(heading("Hook to a point"))
        column.addWidget(
            caption(
                "The point where the hook should bear. Tilt, floor and which arms are fitted stay as shown. "
                "Where the rig has an arm to spare, the best stance is listed for each hole and each side of the arms."
            )
        )
        self._build_point(column)
        self._build_solutions(column)
        column.addStretch(1)

    # -------------------------------------------------------- building

    def _build_point(self, column: QVBoxLayout) -> None:
        grid = add_entry_grid(column)
        for name, label in FIELDS:
            field = QuantityField(f"point: {label}", "length", label)
            field.entered.connect(partial(self._enter, name))
            field.refused.connect(self.told)
            self.fields[name] = field
            add_row(grid, label, field)

    def _build_solutions(self, column: QVBoxLayout) -> None:
        self.find_button = add_button(column, "Find poses", "find poses that reach this point", self.find_solutions)
        present = "fill in where the hook is now"
        self.here_button = add_button(column, "Hook as it is now", present, self.take_present)
        self.here_button.setToolTip(present.capitalize())
        self.said = sentence("what was found")
        self.list = SentenceList("poses that reach the point; Enter or a click sets one", LINES_SEEN)
        self.list.itemClicked.connect(self._choose)
        self.list.itemActivated.connect(self._choose)
        self.waiting = Waiting(self.background, "Poses that reach the point", has_answer=lambda: False)
        column.addWidget(self.said)
        column.addWidget(self.waiting)
        column.addWidget(self.list)

    # -------------------------------------------------------- the point

    def _enter(self, name: str, value_m: float) -> None:
        self._typed_m[name] = value_m
        self.show_document(self._document)

    def take_present(self) -> None:
        """Forget what was typed: the fields follow the hook again."""
        self._typed_m.clear()
        self.show_document(self._document)

    @property
    def target_m(self) -> Vec:
        """The point asked for; parts not typed are the present hook's."""
        return Vec(**self._target_m())

    def _target_m(self) -> dict[str, float]:
        hook = self._document.verdict.placed.hook_m
        return {"x": float(hook.x), "y": float(hook.y), "z": float(hook.z), **self._typed_m}

    # -------------------------------------------------------- finding

    @property
    def solutions(self) -> tuple[Solution, ...]:
        """The solutions listed."""
        return self._solutions or ()

    def find_solutions(self) -> None:
        """Look for every solution, in the background."""
        document = self._document
        self._typed_m = self._target_m()
        self._asked, self._solutions = self._question(document.job, document.pose), None
        self._list_solutions()
        self._say("")
        self.background.ask(worker_tasks.poses_to, document.job, document.pose, self.target_m)

    def _question(self, job: Job, pose: Pose) -> tuple[object, ...]:
        """All that the solutions depend on, without what a solution itself sets."""
        fitted = tuple(arm.fitted for arm in pose.arms)
        kept = (pose.name, pose.tilt_rad, pose.floor, pose.loaded, fitted)
        return (job.truck, job.rig, job.load, job.floors, job.policy, job.approval, kept, tuple(self._typed_m.items()))

    def _take(self, solutions: tuple[Solution, ...], is_whole: bool) -> None:
        self._solutions, self._is_whole = solutions, is_whole
        self._list_solutions()

    # -------------------------------------------------------- showing

    def show_document(self, document: Document) -> None:
        """The point, and the solutions while they are still those of what is shown."""
        for name, value_m in self._target_m().items():
            shown_m = value_m if name in self._typed_m else typed.as_read(value_m, document.units)
            self.fields[name].set_value(shown_m, document.units)
        if self._asked and self._asked != self._question(document.job, document.pose):
            self._asked, self._solutions = (), None
            self.background.forget()
            self.waiting.clear()
            self._say("The rig or its pose has changed since: find the poses again.")
        self._list_solutions()

    def _list_solutions(self) -> None:
        job, units = self._document.job, self._document.units
        listed = (self._solutions, self._is_whole, units)
        if listed == self._listed:
            return
        self._listed = listed
        self.list.fill(
            [
                f"{number}. {solution_words(job, solution, units)}"
                for number, solution in enumerate(self.solutions, start=1)
            ]
        )
        if self._solutions is not None:
            self._say(self._outcome_words(self._solutions))

    def _outcome_words(self, solutions: tuple[Solution, ...]) -> str:
        """How many solutions there are, and how many keep the limits."""
        units = self._document.units
        if not self._is_whole:
            return "Best first of those tried so far. Only the place is judged, not the move there."
        x, y, z = (show(value_m, "length", units) for value_m in self._target_m().values())
        place = f"{x} ahead, {y} left, {z} up"
        if not solutions:
            near = show(NEAR_M, "mm", units)
            return f"NO POSE: no hole, arm turn and fork height brings the hook within {near} of {place}."
        within = sum(solution.state == "WITHIN" for solution in solutions)
        count = "one pose" if len(solutions) == 1 else f"{len(solutions)} poses"
        kept = "NONE within the limits" if not within else "within the limits"
        if 0 < within < len(solutions):
            kept = f"{within} within the limits"
        return f"Hook at {place}: {count}, {kept}. Choose one to set it. Only the place is judged, not the move there."

    def _say(self, words: str) -> None:
        self.said.setText(words)

    # -------------------------------------------------------- choosing

    def _choose(self, item: QListWidgetItem) -> None:
        document, row = self._document, self.list.row(item)
        if 0 <= row < len(self.solutions):
            pose = REPLACE(self.solutions[row].pose, name=document.pose.name)
            document.set_pose(pose, "Bring the hook to a point")
