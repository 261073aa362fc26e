"""Move panel: named poses joined one motion at a time, the margin along the way, and the worst point on it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QInputDialog, QListWidget, QPushButton, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look import hints
from app.look.theme import Palette
from app.panels.fields import ChoiceField, QuantityField
from app.panels.move_words import objection_words, step_words, verdict_words
from app.panels.strip_part import StripPart
from app.panels.waiting import Waiting
from app.panels.widgets import add_button, add_entry_grid, add_row, caption, heading, sentence
from app.workers import worker_tasks
from app.workers.background import Background
from engine.base.errors import TailweightError
from engine.base.lazy import lazy
from engine.explain import refusals
from engine.planning.move import Plan, StepSamples
from engine.planning.move_steps import pose_along
from engine.schema.model import Controls, Move, Pose
from engine.schema.validation import checked
from engine.shop.edits import REPLACE

if TYPE_CHECKING:
    from app.panels import ribbon
else:
    # The chart library takes a third of a second to load: not before somebody looks at a move.
    ribbon = lazy("app.panels.ribbon")

CREEP_ENTRIES = (
    ("speed_m_s", "Travel speed", "speed"),
    ("stop_m", "Stopping distance", "length"),
    ("step_m", "Step in the floor", "length"),
    ("distance_m", "Travel distance", "length"),
    ("turn_radius_m", "Turning radius", "length"),
)
"""How the truck creeps: entry of a move, its label and kind."""

RADIUS_TIP = "From the point the truck turns about to the middle of its front axle"

STRAIGHT, TURNING = "straight", "turning"

NO_MOVE = "There is no move yet. Save two poses or more under Stance, then press New: it joins them in their order."

EVERY_LEG = "every stretch"

PLAY_MS = 40
PLAY_SECONDS = 12.0
"""The whole move plays in this time, whatever it takes at the truck."""


class MovePanel(QWidget):
    """Choose or make a move, see its ribbon, look along it."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._plan: Plan | None = None
        self._sampled: tuple[StepSamples, ...] = ()
        self._place: float | None = None
        self._looked_at: Pose | None = None
        self._asked: tuple[object, ...] = ()
        self._colours: Palette | None = None
        self._ribbon: ribbon.Ribbon | None = None
        self.background = Background(self)
        self.background.answered.connect(self._take)
        self.background.partly.connect(self._take_steps)
        self.background.failed.connect(lambda why: self._state.setText(f"The move could not be worked out: {why}"))
        self._timer = QTimer(self, interval=PLAY_MS)
        self._timer.timeout.connect(self._play_on)
        column = QVBoxLayout(self)
        self._build_choice(column)
        self._build_plan(column)

    # -------------------------------------------------------- building

    def _build_choice(self, column: QVBoxLayout) -> None:
        self.choice = ChoiceField("move", ())
        self.choice.entered.connect(lambda _index: self._choose())
        column.addWidget(self.choice)
        row = QHBoxLayout()
        _, self._add_pose, self._remove_pose = (
            add_button(row, text, name, act)
            for text, name, act in (
                ("New", "make a move from the poses", self._ask_new),
                ("Add pose", "add the shown pose to the move", self.add_pose),
                ("Remove last", "take the last pose off the move", self.remove_pose),
            )
        )
        column.addLayout(row)
        self.leg = ChoiceField("stretch of the move that is said here", (EVERY_LEG,))
        self.leg.setToolTip("Say it of every stretch between two poses, or of one that goes otherwise")
        self.leg.entered.connect(lambda _leg: self._show_entries())
        column.addWidget(self.leg)
        self.controls = ChoiceField(
            "who is at the controls while a part is moved by hand", ("driver", "helper", "nobody")
        )
        self.controls.entered.connect(self.set_controls)
        self._entries = QWidget()
        """What is said of a move; nothing can be said of none."""
        column.addWidget(self._entries)
        column = QVBoxLayout(self._entries)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(caption("At the controls while arms or boom are moved by hand", self.controls))
        column.addWidget(self.controls)
        grid = add_entry_grid(column)
        self.way = ChoiceField("Path of the truck", (STRAIGHT, TURNING))
        self.way.entered.connect(self.set_way)
        add_row(grid, "Path of the truck", self.way)
        self.creep: dict[str, QuantityField] = {}
        for name, label, kind in CREEP_ENTRIES:
            field = QuantityField(label, kind, label)
            field.may_be_empty = True
            field.set_empty_words("not entered")
            field.entered.connect(partial(self.set_creep, name))
            field.emptied.connect(partial(self.set_creep, name, None))
            field.refused.connect(self.told)
            if name == "turn_radius_m":
                field.setToolTip(RADIUS_TIP)
            self.creep[name] = field
            add_row(grid, label, field)

    def _build_plan(self, column: QVBoxLayout) -> None:
        self._state = sentence("verdict on the move")
        ribbon_home = QVBoxLayout()
        self.strip = StripPart("Move", "what rig and truck use along the move", ribbon_home.addWidget)
        self.strip.set_filled(filled=False)
        row = QHBoxLayout()
        self._play = add_button(row, "Play", "play the move", self.toggle_play)
        self._leave = QPushButton("Back to the pose")
        hints.name(self._leave, "show the pose again")
        self._leave.clicked.connect(self.leave)
        row.addWidget(self._leave, 1)
        self._objections = sentence("what speaks against the move")
        self._steps = QListWidget()
        hints.name(self._steps, "steps of the move")
        self._steps.setWordWrap(True)
        self._steps.currentRowChanged.connect(lambda row: self.scrub_to(float(row)) if row >= 0 else None)
        self._steps.setMinimumHeight(self.fontMetrics().height() * 12)
        self._steps.hide()
        self.waiting = Waiting(
            self.background,
            "Move",
            answers=(self._state, self._objections, self._steps),
            has_answer=lambda: self._plan is not None,
            again=self._ask,
        )
        column.addWidget(self.waiting)
        column.addWidget(self._state)
        column.addLayout(ribbon_home)
        column.addLayout(row)
        column.addWidget(self._objections)
        self._steps_title = heading("Steps")
        self._steps_title.hide()
        column.addWidget(self._steps_title)
        column.addWidget(self._steps, 1)
        column.addStretch(0)

    # -------------------------------------------------------- showing

    @property
    def plan(self) -> Plan | None:
        """The plan shown."""
        return self._plan

    @property
    def ribbon(self) -> ribbon.Ribbon | None:
        """The ribbon, once there has been a move."""
        return self._ribbon

    @property
    def place(self) -> float | None:
        """Where along the move the drawing is, counted in steps; None while it shows the pose."""
        return self._place

    @property
    def text(self) -> str:
        """What is said of the move, for tests."""
        return f"{self._state.text()}\n{self._objections.text()}"

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        if self._ribbon is not None:
            self._ribbon.set_theme(colours)

    def show_document(self, document: Document) -> None:
        """List the job's moves and ask for the plan of the chosen one, unless it is there already."""
        if self._place is not None and document.pose != self._looked_at:
            self._set_place(None)
        names = [move.name for move in document.committed_job.moves]
        if [self.choice.itemText(index) for index in range(self.choice.count())] != names:
            kept = self.choice.currentText()
            with QSignalBlocker(self.choice):
                self.choice.clear()
                for index, name in enumerate(names):
                    self.choice.addItem(name, index)
                chosen = names.index(kept) if kept in names else 0
                self.choice.setCurrentIndex(chosen if names else -1)
        self._choose()

    @property
    def chosen(self) -> Move | None:
        """The chosen move of the job."""
        moves, index = self._document.committed_job.moves, self.choice.currentIndex()
        return moves[index] if 0 <= index < len(moves) else None

    def _choose(self) -> None:
        job, move = self._document.committed_job, self.chosen
        if move is None:
            self._asked = ()
            self.background.forget()
            self.waiting.clear()
            self._take_steps(())
            self._show_entries()
            self._state.setText(NO_MOVE)
            return
        self._show_entries()
        poses = tuple(pose for pose in job.poses if pose.name in move.poses)
        asked = (move, job.truck, job.rig, job.load, job.floors, job.policy, job.surroundings, poses, job.units)
        if asked == self._asked:
            return
        self._asked = asked
        self._ask()

    @property
    def _leg_at(self) -> int | None:
        """Index of the stretch that is said something of; None for every one."""
        at = self.leg.currentIndex() - 1
        return at if at >= 0 else None

    def _show_entries(self) -> None:
        """Show how the chosen stretch goes, or all of them."""
        move, units = self.chosen, self._document.committed_job.units
        self.leg.setVisible(move is not None and len(move.poses) > 2)
        self._entries.setVisible(move is not None)
        for part in (self.choice, self._add_pose, self._remove_pose, self._play, self._leave):
            part.setVisible(move is not None)
        if move is None:
            return
        ends = zip(move.poses, move.poses[1:], strict=False)
        self.leg.set_choices((EVERY_LEG, *(f"{at}: {start} to {end}" for at, (start, end) in enumerate(ends, 1))))
        at = self._leg_at
        self.controls.set_value(move.controls[at or 0] if move.controls else "nobody")
        leg = None if at is None or not move.legs else move.legs[at]
        for name, field in self.creep.items():
            field.set_empty_words("not entered" if at is None else "as every stretch")
            field.set_value(getattr(move, name) if at is None else getattr(leg, name, None), units)
        self.way.set_value(TURNING if (move if at is None else move.on_leg(at)).turning else STRAIGHT)

    def _ask(self) -> None:
        if self._plan is None:
            self._take_steps(())  # steps of another question are no old answer
        self.background.ask(worker_tasks.plan, self._document.committed_job, self.chosen)

    def _take_steps(self, steps: tuple[StepSamples, ...]) -> None:
        """Show what is known of the steps so far; there is no verdict on a move before its last step."""
        self._stop()
        self._plan = None
        self._show_steps(steps)
        self._state.setText("")
        self._objections.setText("")

    def _take(self, plan: Plan) -> None:
        self._plan = plan
        units = self._document.units
        self._show_steps(plan.steps)
        self._state.setText(verdict_words(plan, units))
        self._objections.setText(objection_words(plan, units))

    def _show_steps(self, steps: tuple[StepSamples, ...]) -> None:
        """List steps and draw their ribbon."""
        units = self._document.units
        self._sampled = steps
        with QSignalBlocker(self._steps):
            self._steps.clear()
            self._steps.addItems([step_words(number, step, units) for number, step in enumerate(steps, start=1)])
        for part in (self._steps_title, self._steps):
            part.setVisible(bool(steps))
        if self._ribbon is None and steps:
            self._make_ribbon()
        if self._ribbon is not None:
            self._ribbon.show_steps(steps, units)
            self._ribbon.setVisible(bool(steps))
        self.strip.set_filled(filled=bool(steps))

    def _make_ribbon(self) -> None:
        self._ribbon = made = ribbon.Ribbon()
        made.scrubbed.connect(self.scrub_to)
        made.left.connect(self._esc)
        if self._colours is not None:
            made.set_theme(self._colours)
        self.strip.put(made)
        self.strip.lent.connect(made.reading.set_cut)
        self.waiting.add_answer(made)

    def _esc(self) -> None:
        """Esc in the ribbon, which may stand outside the panel: stop the work, else leave the move."""
        if self.background.asks:
            self.background.stop()
        else:
            self.leave()

    # -------------------------------------------------------- along the way

    def scrub_to(self, place: float) -> None:
        """Show the rig at a place along the move, counted in steps; nothing is changed."""
        if not self._sampled or self._is_old:
            return
        place = min(max(place, 0.0), float(len(self._sampled)))
        document = self._document
        steps = [sampled.step for sampled in self._sampled]
        pose = pose_along(document.committed_job, steps, place)
        self._looked_at = REPLACE(pose, name=document.committed_job.poses[document.index].name)
        document.preview_pose(self._looked_at)
        self._set_place(place)

    @property
    def _is_old(self) -> bool:
        """Whether the steps shown are of a rig from before the last change: they may not fit this one."""
        stale = self._ribbon is not None and self._ribbon.is_old
        return self._plan is not None and (self.background.asks or stale)

    def _set_place(self, place: float | None) -> None:
        self._place = place
        if self._ribbon is not None:
            self._ribbon.set_place(place)

    def toggle_play(self) -> None:
        """Play from where the ribbon stands, or stop."""
        if self._timer.isActive():
            self._stop()
        elif self._plan is not None and self._plan.steps:
            if self._place is None or self._place >= len(self._plan.steps):
                self.scrub_to(0.0)
            self._play.setText("Stop")
            self._timer.start()

    def _play_on(self) -> None:
        count = len(self._sampled)
        self.scrub_to((self._place or 0.0) + count * PLAY_MS / 1000.0 / PLAY_SECONDS)
        if self._place is None or self._place >= count:
            self._stop()

    def _stop(self) -> None:
        self._timer.stop()
        self._play.setText("Play")

    def leave(self) -> None:
        """Stop looking along the move and show the pose as it is."""
        self._stop()
        self._document.restore()
        self._set_place(None)

    # -------------------------------------------------------- making moves

    def _ask_new(self) -> None:
        name, entered = QInputDialog.getText(self, "A new move", "Name of the move:")
        if entered:
            self.new_move(name)

    def new_move(self, name: str) -> None:
        """A move through all loaded poses in their order, as one undo step."""
        job = self._document.committed_job
        loaded = tuple(pose.name for pose in job.poses if pose.loaded)
        poses = loaded if len(loaded) > 1 else tuple(pose.name for pose in job.poses)
        if len(poses) < 2:
            self.told.emit("A move needs two named poses at least: add a pose first.")
            return
        self._change(lambda: (*job.moves, Move(name=name, poses=poses)), f"New move {name}")
        self.choice.setCurrentIndex(self.choice.count() - 1)
        self._choose()

    def add_pose(self) -> None:
        """Add the shown pose at the end of the chosen move."""
        self._edit_poses(lambda move: (*move.poses, self._document.pose.name), "Add a pose to the move")

    def remove_pose(self) -> None:
        """Take the last pose off the chosen move."""
        self._edit_poses(lambda move: move.poses[:-1], "Take a pose off the move")

    def set_controls(self, who: Controls) -> None:
        """Say who sits at the controls while a part is moved by hand, on every stretch or the chosen one."""
        move = self.chosen
        if move is not None:
            count, at = len(move.poses) - 1, self._leg_at
            seats = [who] * count if at is None else list(move.controls or ("nobody",) * count)
            seats[at or 0] = who
            self._replace(move, REPLACE(move, controls=tuple(seats)), "Say who is at the controls")

    def set_creep(self, name: str, value: float | None) -> None:
        """Say how fast the truck creeps, how soon it stops, over what step, how far, round what; None is not entered.

        A move with a radius turns, and goes on turning once the radius is taken out.
        """
        move, at = self.chosen, self._leg_at
        if move is None:
            return
        rounds = name == "turn_radius_m" and value is not None
        if at is None:
            changed = REPLACE(move, **{name: value}, turns=move.turning or rounds)
        else:
            changed = move.with_leg(at, **{name: value}, **({"turns": True} if rounds else {}))
        if changed != move:
            field = self.creep[name]
            self._replace(
                move,
                changed,
                "Say how the truck creeps",
                lambda error: field.refuse(refusals.words_of(error, name, self._document.units)),
            )

    def set_way(self, way: str) -> None:
        """Say whether the truck creeps straight, which takes a radius out, or turns."""
        move, at, turns = self.chosen, self._leg_at, way == TURNING
        if move is None or (move if at is None else move.on_leg(at)).turning == turns:
            return
        entries: dict[str, bool | None] = {"turns": turns, "turn_radius_m": None}
        changed = REPLACE(move, **entries) if at is None else move.with_leg(at, **entries)
        self._replace(move, changed, "Say which way the truck creeps")

    def _edit_poses(self, poses_of: Callable[[Move], tuple[str, ...]], text: str) -> None:
        move = self.chosen
        if move is None:
            self.told.emit("Make a move first.")
            return
        self._replace(move, move.through(poses_of(move)), text)

    def _replace(
        self, move: Move, changed: Move, text: str, refuse: Callable[[TailweightError], None] | None = None
    ) -> None:
        moves = self._document.committed_job.moves
        self._change(lambda: tuple(changed if one is move else one for one in moves), text, refuse)

    def _change(
        self,
        moves: Callable[[], tuple[Move, ...]],
        text: str,
        refuse: Callable[[TailweightError], None] | None = None,
    ) -> None:
        """Change the job's moves; what the model refuses is told, at the field where there is one."""
        try:
            self._document.set_job(checked(REPLACE(self._document.committed_job, moves=moves())), text)
        except TailweightError as error:
            if refuse is None:
                self.told.emit(refusals.sentence(error, self._document.units))
            else:
                refuse(error)
            return
        self.show_document(self._document)
