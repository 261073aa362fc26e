"""Handling panel: what arms, steel and a hung load do by themselves: drift and push by hand, sag and lean, stopping.

Every number is the engine's; here it is only put into words.  What takes long is left out while a drag lasts, and the
fastest speed is looked for in the background.
"""

from __future__ import annotations

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.fields import QuantityField
from app.panels.widgets import caption, heading
from app.workers import worker_tasks
from app.workers.background import Background
from engine.base.formatting import System, show
from engine.handling.arm_drift import ArmDrift, Drift, arm_drifts, drift
from engine.handling.hand_force import HIGH_HAND_N, HandForce, hand_forces
from engine.handling.sag import Sag, Softness, sag_of, softness
from engine.planning.stopping import FASTEST_M_S, STOP_M, WALKING_PACE_M_S, Braking, FastestSpeed, braking
from engine.schema.model import Job, Pose, fall_is_known

AT_STOP_RAD = 1e-6
"""An arm this near the end of its turn rests against it."""

MOST_SPEED_M_S, STOPS_M = 15.0, (0.01, 50.0)
"""What may be entered for a stop: no fork-lift truck is faster, and none stops shorter or needs longer."""

PARTS_NAMED = 3
"""Parts named as what may be softer than drawn; those further down would have to be softer still."""

LATER = "Worked out when the drag ends."

TOO_SOFT = "The rig is so soft that bending does not come to rest: no sag can be told, and it must not be lifted with."


class HandlingPanel(QWidget):
    """Three questions about the shown pose: what do the arms do, how far does it bend, what does a stop do."""

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
        self.arms_said, self.hands_said = _words("what the arms do when let go"), _words("force by hand")
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
        self.sag_said, self.softness_said = _words("sag and lean"), _words("what the measured sag says")
        self.sag = QuantityField("measured sag under the load", "length", "Measured sag")
        self.sag.set_empty_words("not measured")
        column.addWidget(heading("Sag and lean"))
        column.addWidget(self.sag_said)
        column.addWidget(caption("Hook's sag measured as the load came on", self.sag))
        column.addWidget(self.sag)
        self._listen(self.sag, self._enter_sag)
        column.addWidget(self.softness_said)

    def _build_stop(self, column: QVBoxLayout) -> None:
        self.stop_said, self.fastest_said = _words("what a stop does"), _words("fastest speed")
        self.speed = QuantityField("speed before the stop", "speed", "Speed")
        self.stop = QuantityField("distance it stops in", "length", "Stopping distance")
        for field in (self.speed, self.stop):
            field.set_empty_words("assumed")
        column.addWidget(heading("Stopping with the load hung"))
        grid = _grid(column)
        self._add(grid, "Speed", self.speed, self._enter_speed)
        self._add(grid, "Stops within", self.stop, self._enter_stop)
        column.addWidget(self.stop_said)
        self.find = QPushButton("Find the fastest speed")
        self.find.setAccessibleName("find the fastest speed that keeps every limit")
        self.find.setToolTip("Fastest speed that keeps every limit in the worst case, stopping within that distance")
        self.find.clicked.connect(self.find_fastest)
        column.addWidget(self.find)
        column.addWidget(self.fastest_said)

    def _listen(self, field: QuantityField, act: object) -> None:
        field.may_be_empty = True
        field.entered.connect(act)
        field.emptied.connect(lambda: act(None))
        field.refused.connect(self.told)

    def _add(self, grid: QGridLayout, label: str, field: QuantityField, act: object) -> None:
        self._listen(field, act)
        row = grid.rowCount()
        grid.addWidget(caption(label, field), row, 0, 1, 2)
        grid.addWidget(field, row + 1, 0, 1, 2)

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
        self.hands_said.setText("\n".join(hand_words(force, units) for force in hand_forces(job, pose)))
        self._show_sag(job, pose, units, moving)
        assumed = (self._speed_m_s is None, self._stop_m is None)
        self.stop_said.setText(stop_words(braking(job, pose, self.speed_m_s, self.stop_m), pose, assumed, units))
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
        self.fastest_said.setText("Looking for the fastest speed...")
        self.background.ask(worker_tasks.fastest, document.job, document.pose, self.stop_m)

    def _question(self, job: Job, pose: Pose) -> tuple[object, ...]:
        return (job.truck, job.rig, job.load, job.floors, job.policy, job.approval, pose, self.stop_m)

    def _take(self, found: FastestSpeed) -> None:
        self._fastest = found
        self._show_fastest(self._document.job, self._document.pose, self._document.units)

    def _show_fastest(self, job: Job, pose: Pose, units: System) -> None:
        """The answer while it is one to what is shown; anything else changed takes it away."""
        if self._asked and self._asked != self._question(job, pose):
            self._asked, self._fastest = (), None
            self.background.forget()
        if not self._asked:
            self.fastest_said.setText("")
        elif self._fastest is not None:
            self.fastest_said.setText(fastest_words(self._fastest, units))


# ---------------------------------------------------------------- words


def nothing_words(document: Document) -> str:
    """Why nothing can be said of handling: the pose cannot be, or the floor's fall is not known; else nothing."""
    pose = document.pose
    if any(problem.kind == "impossible" for problem in document.verdict.problems):
        return "NOTHING TO SAY: this pose or rig cannot be, and no number for it would mean anything."
    if not fall_is_known(document.job, pose):
        return f"NOT KNOWN: the floor's fall at '{pose.floor}' is not entered. Measure it with a long level at several spots; until then take it that an arm runs either way."
    return ""


def arm_words(arm: ArmDrift, units: System) -> str:
    """Which way one arm runs, and when it starts."""
    falls = [
        show(fall, "fall", units) if fall < 1.0 else "no fall"
        for fall in (arm.starts_at_fall_greased, arm.starts_at_fall_dry)
    ]
    starts = f"Broadside to a fall it starts by itself at {falls[0]} greased, {falls[1]} dry."
    if arm.runs == "still":
        return f"{arm.name}: wants to go neither way here; a push or a fall sets it going. {starts}"
    if abs(arm.torque_Nm) > arm.friction_dry_Nm:
        now = "It starts by itself, greased or dry."
    elif arm.starts_by_itself:
        now = "Greased it starts by itself; dry, a knock starts it."
    else:
        now = "A knock starts it."
    return f"{arm.name}: RUNS TO THE {arm.runs.upper()} when let go, turned by {_some(abs(arm.torque_Nm), 'Nm', units)}. {now} {starts}"


def rest_words(job: Job, pose: Pose, found: Drift, units: System) -> str:
    """Where the arms come to rest when all are let go, and how the pins lean."""
    lean = "The pins stand plumb."
    if found.downhill_rad is not None:
        lean = f"The pins lean {show(found.lean, 'fall', units)}, downhill {_way(found.downhill_rad, units)} (from the boom's line; floor, tilt and lean allowed for counted)."
    if found.rest == pose:
        return f"All let go, they stay where they are, held by nothing. {lean}"
    places = []
    for arm in found.arms:
        turn_rad, stops = found.rest.arms[arm.index].turn_rad, job.rig.arms[arm.index].joint.stops
        at_stop = min(abs(turn_rad - stop) for stop in stops) <= AT_STOP_RAD
        places.append(f"{arm.name} {_way(turn_rad, units)}{' (its stop)' if at_stop else ''}")
    return f"All let go, they come to rest with {', '.join(places)}. {lean}"


def hand_words(force: HandForce, units: System) -> str:
    """What moving one part takes, flagged where it is too much."""
    forces = f"{show(force.uphill_greased_N, 'N', units)} greased, {show(force.uphill_dry_N, 'N', units)} dry."
    words = f"{force.part}, {'loaded' if force.loaded else 'empty'}: {forces}"
    if force.downhill_greased_N < 0.0:
        words += f" The easy way it runs by itself: hold it back with {_some(-force.downhill_greased_N, 'N', units)}."
    if force.too_much:
        words += (
            f" OVER {show(HIGH_HAND_N, 'N', units)}: {'not by hand' if force.part == 'boom' else 'use a tag line'}."
        )
    return words


def sag_words(give: Sag, under_load_m: float, units: System) -> str:
    """How far the hook goes, part by part."""
    ways = [
        ("down" if give.hook_drop_m >= 0.0 else "up", give.hook_drop_m),
        ("forward" if give.hook_forward_m >= 0.0 else "back", give.hook_forward_m),
    ]
    ways.append(("to the left" if give.hook_aside_m >= 0.0 else "to the right", give.hook_aside_m))
    lines = [
        f"As drawn, bending takes the hook {', '.join(f'{_tape(value, units)} {way}' for way, value in ways)}; the jib mast's top goes {_tape(give.mast_top_forward_m, units)} {'forward' if give.mast_top_forward_m >= 0.0 else 'back'} and leans {show(abs(give.mast_top_lean_rad), 'deg', units)}.",
        f"Putting the load on takes the hook {_tape(under_load_m, units)} down: measure that.",
    ]
    for part in give.parts:
        lines.append(
            f"{part.part}: {_tape(part.drop_m, units)} {'down' if part.drop_m >= 0.0 else 'up'}, {_tape(part.forward_m, units)} {'forward' if part.forward_m >= 0.0 else 'back'}"
        )
    return "\n".join(
        [
            *lines,
            "Balance and plate rules count it. Play in straps and hinges, tyres, upright and the taper of the forks are not in it.",
        ]
    )


def softness_words(found: tuple[Softness, ...], measured_m: float, expected_m: float, units: System) -> str:
    """Which part would explain a measured sag."""
    said = f"Measured {_tape(measured_m, units)}, expected {_tape(expected_m, units)}."
    if measured_m <= expected_m or not found:
        return f"{said} Nothing is softer than drawn by this; look at load and tape again."
    first, *others = found[:PARTS_NAMED]
    words = f"{said} Softer than drawn: most likely {first.part}, {show(first.ratio, 'ratio', units)} times as soft as drawn if it is that part alone."
    if others:
        each = ", ".join(f"{one.part} {show(one.ratio, 'ratio', units)} times" for one in others)
        words += f" Or, alone: {each}."
    return f"{words} Or play: look there first."


def stop_words(found: Braking, pose: Pose, assumed: tuple[bool, bool], units: System) -> str:
    """What a stop does to hook and rear wheels, and what of it is assumed."""
    speed, stop = show(found.speed_m_s, "speed", units), show(found.stop_m, "length", units)
    lines = [
        f"{what} assumed."
        for what, is_so in ((f"Walking pace, {speed}, is", assumed[0]), (f"A stop within {stop} is", assumed[1]))
        if is_so
    ]
    lines.append("" if pose.loaded else "The hook is shown empty.")
    lines.append(
        f"From {speed} to a stand within {stop}: the hook is pulled sideways by {show(found.side_N, 'N', units)} ({show(found.pull, 'share', units)} of what hangs there), and the load swings out {_tape(found.wander_m, units)}."
    )
    lines.append(
        f"Rear wheels: {show(found.rear_standing_kg, 'kg', units)} standing, {show(found.rear_stopping_kg, 'kg', units)} stopping, {show(found.rear_lost_kg, 'kg', units)} lost."
    )
    lines.append("THE REAR WHEELS LIFT." if found.rear_stopping_kg <= 0.0 else "")
    lines.append("Best values, straight ahead, no other allowance.")
    return " ".join(line for line in lines if line)


def fastest_words(found: FastestSpeed, units: System) -> str:
    """The fastest speed with what rules it."""
    if found.speed_m_s <= 0.0:
        rules = f": {found.governing}" if found.governing else ""
        return f"No speed at all: standing still does not keep every limit in the worst case{rules}."
    if found.speed_m_s >= FASTEST_M_S:
        return f"Every limit is kept in the worst case up to {show(FASTEST_M_S, 'speed_down', units)}, stopping within {show(found.stop_m, 'length', units)}; nothing faster is looked for, a hung load is not driven faster than a run."
    return f"Fastest speed that keeps every limit in the worst case, stopping within {show(found.stop_m, 'length', units)}: {show(found.speed_m_s, 'speed_down', units)}. Faster, {found.governing} gives first. Swing and braking allowed for under Load count as well."


def _some(value: float, kind: str, units: System) -> str:
    """A force or turning force; what rounds to nothing is not called nothing."""
    words = show(value, kind, units)
    return f"less than 1 {words.split(' ', 1)[1]}" if words.startswith("0 ") else words


def _tape(value_m: float, units: System) -> str:
    return show(abs(value_m), "mm", units)


def _way(turn_rad: float, units: System) -> str:
    """An angle to a side, in words; left is positive."""
    words = show(abs(turn_rad), "deg", units)
    if words == show(0.0, "deg", units):
        return "straight ahead"
    return f"{words} to the {'left' if turn_rad >= 0.0 else 'right'}"


def _words(name: str) -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setAccessibleName(name)
    label.setTextInteractionFlags(
        Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
    )
    label.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    return label


def _grid(column: QVBoxLayout) -> QGridLayout:
    grid = QGridLayout()
    grid.setColumnStretch(1, 1)
    column.addLayout(grid)
    return grid
