"""Handling panel: what arms, steel and a hung load do by themselves: drift and push by hand, sag and lean, stopping.

Every number is the engine's.  What takes long is left out while a drag lasts, and the fastest speed is looked for in
the background.
"""

from __future__ import annotations

from collections.abc import Callable

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.fields import QuantityField
from app.panels.handling_words import (
    arm_words,
    fastest_words,
    hand_words,
    nothing_words,
    rest_words,
    sag_words,
    softness_words,
    stop_words,
)
from app.panels.waiting import Waiting
from app.panels.widgets import add_button, add_entry_grid, add_tall_row, caption, cell_of, copyable_sentence, heading
from app.workers import worker_tasks
from app.workers.background import Background
from engine.base.formatting import System, show
from engine.handling.arm_drift import arm_drifts, drift
from engine.handling.hand_force import NEVER_LOADED, hand_forces
from engine.handling.sag import sag_of, softness
from engine.planning.stopping import STOP_M, WALKING_PACE_M_S, FastestSpeed, braking
from engine.schema.model import Job, Pose

MOST_SPEED_M_S, STOPS_M = 15.0, (0.01, 50.0)
"""What may be entered for a stop: no fork-lift truck is faster, and none stops shorter or needs longer."""

LATER = "Worked out when the drag ends."

TOO_SOFT = "The rig is so soft that bending does not come to rest: no sag can be told, and it must not be lifted with."


class HandlingPanel(QWidget):
    """Three questions about the shown pose: what the arms do, how far the rig bends, what a stop does."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._sag_m: float | None = None
        self._speed_m_s: float | None = None
        self._stop_m: float | None = None
        self._fastest: FastestSpeed | None = None
        self._asked: tuple[object, ...] = ()
        self.background = Background(self)
        self.background.answered.connect(self._take)
        self.background.failed.connect(
            lambda why: self.fastest_said.setText(f"The fastest speed could not be worked out: {why}")
        )
        column = QVBoxLayout(self)
        self._build_arms(column)
        self._build_sag(column)
        self._build_stop(column)
        column.addStretch(1)

    # -------------------------------------------------------- building

    def _build_arms(self, column: QVBoxLayout) -> None:
        self.arms_said = copyable_sentence("what the arms do when let go")
        self.hands_said = copyable_sentence("force by hand")
        column.addWidget(heading("Arms let go"))
        column.addWidget(self.arms_said)
        column.addWidget(
            caption("Friction is never counted as holding: hold every loaded arm by a tag line or pin it.")
        )
        column.addWidget(heading("Push by hand"))
        column.addWidget(
            caption(
                "What it takes to start them the hard way: an arm at its end, square to it; the boom along its saddles."
            )
        )
        column.addWidget(self.hands_said)

    def _build_sag(self, column: QVBoxLayout) -> None:
        self.sag_said = copyable_sentence("sag and lean")
        self.softness_said = copyable_sentence("what the measured sag says")
        self.sag = QuantityField("measured sag under the load", "length", "Measured sag")
        self.sag.set_empty_words("not measured")
        column.addWidget(heading("Sag and lean"))
        column.addWidget(self.sag_said)
        column.addWidget(caption("Hook's sag measured as the load came on", self.sag))
        column.addWidget(cell_of(self.sag))
        self._listen(self.sag, self._enter_sag)
        column.addWidget(self.softness_said)

    def _build_stop(self, column: QVBoxLayout) -> None:
        self.stop_said = copyable_sentence("what a stop does")
        self.fastest_said = copyable_sentence("fastest speed")
        self.speed = QuantityField("speed before the stop", "speed", "Speed")
        self.stop = QuantityField("distance it stops in", "length", "Stopping distance")
        column.addWidget(heading("Stopping with the load hung"))
        grid = add_entry_grid(column)
        for label, field, enter in (
            ("Speed", self.speed, self._enter_speed),
            ("Stops within", self.stop, self._enter_stop),
        ):
            field.set_empty_words("assumed")
            self._listen(field, enter)
            add_tall_row(grid, label, field)
        column.addWidget(self.stop_said)
        self.find_button = add_button(
            column, "Find the fastest speed", "find the fastest speed that keeps every limit", self.find_fastest
        )
        self.find_button.setToolTip(
            "Fastest speed that keeps every limit in the worst case, stopping within that distance"
        )
        self.waiting = Waiting(self.background, "Fastest speed", has_answer=lambda: False)
        self.background.stopped.connect(self._drop_fastest)
        column.addWidget(self.waiting)
        column.addWidget(self.fastest_said)

    def _listen(self, field: QuantityField, enter: Callable[[float | None], None]) -> None:
        """Enter what is typed into a field, and None when it is emptied."""
        field.may_be_empty = True
        field.entered.connect(enter)
        field.emptied.connect(lambda: enter(None))
        field.refused.connect(self.told)

    # -------------------------------------------------------- entering

    def _enter_sag(self, sag_m: float | None) -> None:
        self._sag_m = sag_m
        self.show_document(self._document)

    def _enter_speed(self, speed_m_s: float | None) -> None:
        if speed_m_s is not None and not 0.0 <= speed_m_s <= MOST_SPEED_M_S:
            self.speed.refuse(f"Speed: enter none to {show(MOST_SPEED_M_S, 'speed', self._document.units)}.")
            return
        self._speed_m_s = speed_m_s
        self.show_document(self._document)

    def _enter_stop(self, stop_m: float | None) -> None:
        least_m, most_m = STOPS_M
        if stop_m is not None and not least_m <= stop_m <= most_m:
            limits = " to ".join(show(limit_m, "length", self._document.units) for limit_m in STOPS_M)
            self.stop.refuse(f"Stopping distance: enter {limits}; no truck stops on the spot.")
            return
        self._stop_m = stop_m
        self.show_document(self._document)

    # -------------------------------------------------------- showing

    @property
    def speed_m_s(self) -> float:
        """Speed as entered, else walking pace."""
        return WALKING_PACE_M_S if self._speed_m_s is None else self._speed_m_s

    @property
    def stop_m(self) -> float:
        """Stopping distance as entered, else the assumed one."""
        return STOP_M if self._stop_m is None else self._stop_m

    def show_document(self, document: Document) -> None:
        """Say what arms, steel and load do in the shown pose."""
        job, pose, units = document.job, document.pose, document.units
        for field, value in ((self.sag, self._sag_m), (self.speed, self._speed_m_s), (self.stop, self._stop_m)):
            field.set_value(value, units)
        moving = pose != document.finished.pose
        if words := nothing_words(document):
            for label in (self.arms_said, self.hands_said, self.sag_said, self.softness_said, self.stop_said):
                label.setText(words)
            self._show_fastest(job, pose, units)
            return
        self._show_arms(job, pose, units, moving)
        pushes = [hand_words(force, units) for force in hand_forces(job, pose)]
        self.hands_said.setText("\n".join([*pushes, NEVER_LOADED]))
        self._show_sag(job, pose, units, moving)
        stop, assumed = braking(job, pose, self.speed_m_s, self.stop_m), (self._speed_m_s is None, self._stop_m is None)
        self.stop_said.setText(stop_words(stop, pose, *assumed, units))
        self._show_fastest(job, pose, units)

    def _show_arms(self, job: Job, pose: Pose, units: System, moving: bool) -> None:
        arms = arm_drifts(job, pose)
        if not arms:
            self.arms_said.setText("No arm turns on a standing pin here: nothing runs by itself.")
            return
        lines = [arm_words(arm, units) for arm in arms]
        self.arms_said.setText("\n".join([*lines, LATER if moving else rest_words(job, pose, drift(job, pose), units)]))

    def _show_sag(self, job: Job, pose: Pose, units: System, moving: bool) -> None:
        self.softness_said.setVisible(self._sag_m is not None)
        if moving:
            self.sag_said.setText(LATER)
            self.softness_said.setText(LATER)
            return
        loaded, empty = (sag_of(job, msgspec.structs.replace(pose, loaded=full)) for full in (True, False))
        if not (loaded.settled and empty.settled):
            self.sag_said.setText(TOO_SOFT)
            self.softness_said.setText(TOO_SOFT)
            return
        under_load_m = loaded.hook_drop_m - empty.hook_drop_m
        self.sag_said.setText(sag_words(loaded if pose.loaded else empty, under_load_m, units))
        if self._sag_m is not None:
            self.softness_said.setText(
                softness_words(softness(job, pose, self._sag_m), self._sag_m, under_load_m, units)
            )

    # -------------------------------------------------------- fastest speed

    def find_fastest(self) -> None:
        """Look for the fastest speed that keeps every limit, in the background."""
        document = self._document
        self._fastest = None
        self._asked = self._question(document.job, document.pose)
        self.fastest_said.setText("")
        self.background.ask(worker_tasks.fastest, document.job, document.pose, self.stop_m)

    def _question(self, job: Job, pose: Pose) -> tuple[object, ...]:
        """All that the fastest speed depends on."""
        return (job.truck, job.rig, job.load, job.floors, job.policy, job.approval, pose, self.stop_m)

    def _drop_fastest(self) -> None:
        self._asked, self._fastest = (), None

    def _take(self, fastest: FastestSpeed) -> None:
        self._fastest = fastest
        self._show_fastest(self._document.job, self._document.pose, self._document.units)

    def _show_fastest(self, job: Job, pose: Pose, units: System) -> None:
        """The answer while it is one to what is shown; anything else changed takes it away."""
        if self._asked and self._asked != self._question(job, pose):
            self._drop_fastest()
            self.background.forget()
            self.waiting.clear()
        if not self._asked:
            self.fastest_said.setText("")
        elif self._fastest is not None:
            self.fastest_said.setText(fastest_words(self._fastest, units))
