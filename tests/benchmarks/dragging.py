"""One frame of a drag: from a real mouse event to everything painted, in the whole window.

The reference is the same window on the same drag with the engine's answer held: places of the parts follow the hand, so
that the same lines are painted, but limits, worst case and allowed load are those of the first pose.  Both take turns
in short runs along the same way.
"""

from __future__ import annotations

import contextlib
import gc
import os
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import msgspec
from PySide6.QtCore import QElapsedTimer, QEvent, QEventLoop, QObject, QPointF, QSettings, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from app.documents.document import Document
from app.shell.window import Window
from app.start.collector import Collector
from app.workers import worker_tasks
from app.workers.background import Background
from engine.planning.reach import COARSE_M, FINE_M
from engine.rig.kinematics import figures, place
from engine.schema.model import Job, Pose
from engine.worst_case import verdict
from engine.worst_case.evaluator import record_ahead
from engine.worst_case.verdict import Verdict
from tests.benchmarks.effort import Effort
from tests.benchmarks.rigs import WITH_A_MOVE, largest, sample
from tests.benchmarks.table import Goal, Ratio, Row, no_longer_than, row_of
from tests.benchmarks.timing import Lap, Times, lap_of

GROUP = "Drag"
TIMES_THE_HELD_FRAME = 2.0
FRAME_MS = 4.0
FRAME_P99_MS = 8.0
SCREEN_MS = 1000.0 / 60.0
"""A frame longer than this is seen as one lost."""

WAYS = {"hook": (-1.0, 0.0), "lift": (0.0, -1.0)}
"""The hook towards the truck (every joint is computed again), the carriage upwards (everything drawn moves)."""

TURNS_FOR_A_PAINT = 200
"""Rounds of the event loop a paint is waited for."""

WAY_PX = 40
"""How far a handle is moved: not as far as the largest rig's boom goes in."""

PATIENCE_MS = 300_000
"""Until a process that does not answer is taken to hang; on a busy machine a first fine map takes over a minute."""


class Painted(QObject):
    """Knows whether a view has been painted since it was last asked."""

    def __init__(self, watched: QObject) -> None:
        super().__init__()
        self._painted = False
        watched.installEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        self._painted = self._painted or event.type() == QEvent.Type.Paint
        return False

    def taken(self) -> bool:
        """Whether it was, and forgets it."""
        was, self._painted = self._painted, False
        return was


class Dragger:
    """A hand that holds one handle of the side view and moves it to and fro, a pixel at a time."""

    def __init__(self, window: Window, handle: str) -> None:
        self._view = window.views.side_view
        self._start = QPointF(self._view.mapFromScene(self._view.handles[handle].pos()))
        self._way = QPointF(*WAYS[handle])
        self._steps = 0
        self._painted = Painted(self._view.viewport())
        self._send(QEvent.Type.MouseButtonPress, self._start, Qt.MouseButton.LeftButton)

    def frame(self) -> bool:
        """One move of the mouse and everything that follows from it; whether the view was painted for it."""
        self._steps += 1
        along = WAY_PX - abs((self._steps % (2 * WAY_PX)) - WAY_PX)
        self._painted.taken()
        self._send(QEvent.Type.MouseMove, self._start + self._way * along, Qt.MouseButton.NoButton)
        for _ in range(TURNS_FOR_A_PAINT):
            QApplication.processEvents()
            if self._painted.taken():
                return True
        return False

    def release(self) -> None:
        """Let go where it began."""
        self._send(QEvent.Type.MouseMove, self._start, Qt.MouseButton.NoButton)
        QApplication.processEvents()
        self._send(QEvent.Type.MouseButtonRelease, self._start, Qt.MouseButton.LeftButton, held=Qt.MouseButton.NoButton)
        QApplication.processEvents()

    def _send(
        self, kind: QEvent.Type, at: QPointF, button: Qt.MouseButton, held: Qt.MouseButton = Qt.MouseButton.LeftButton
    ) -> None:
        """Control is held, so that the boom follows the hand instead of snapping to its holes."""
        viewport = self._view.viewport()
        event = QMouseEvent(
            kind, at, QPointF(viewport.mapToGlobal(at.toPoint())), button, held, Qt.KeyboardModifier.ControlModifier
        )
        QApplication.sendEvent(viewport, event)


def measure(effort: Effort) -> Iterator[Row]:
    """Rows of this group."""
    name, job = largest()
    with opened(job) as window:
        for handle in WAYS if effort.fine else ("hook",):
            live, held = frames(window, handle, effort)
            ratio = live.over(held)
            goals = [
                Goal(
                    f"<= {TIMES_THE_HELD_FRAME:g} x held",
                    ratio / TIMES_THE_HELD_FRAME,
                    live.least_s / held.least_s / TIMES_THE_HELD_FRAME,
                    of_the_machine=False,
                ),
                no_longer_than(FRAME_MS, live),
                _p99_goal(live),
            ]
            yield row_of(
                GROUP,
                f"drag frame, {handle} ({name}), reach map off",
                live,
                [Ratio(ratio, "the answer held fixed")],
                goals,
            )
            yield row_of(GROUP, f"the same, answer held fixed, {handle}", held)
        with reach_map_on(window, effort.fine):
            live, held = frames(window, "hook", effort)
            yield row_of(
                GROUP,
                "drag frame, hook, reach map on",
                live,
                [Ratio(live.over(held), "the answer held fixed, reach map on")],
                [no_longer_than(FRAME_MS, live), _p99_goal(live)],
            )
        with working_process(window) as background:
            for what, question in background_work(job).items():
                yield _meanwhile(window, background, what, question, effort)


def _p99_goal(live: Times) -> Goal:
    """Ninety-nine frames of a hundred; what the quickest frame says of it is all a busy machine leaves."""
    return Goal(f"p99 <= {FRAME_P99_MS:g} ms", live.p99_s * 1e3 / FRAME_P99_MS, live.least_s * 1e3 / FRAME_P99_MS)


# ---------------------------------------------------------------- windows


@contextlib.contextmanager
def opened(job: Job) -> Iterator[Window]:
    """A window of 1280 x 800 on a rig, its settings and records in a folder of its own."""
    application = QApplication.instance() or QApplication([])
    before = os.environ.get("TAILWEIGHT_STATE_DIR")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["TAILWEIGHT_STATE_DIR"] = folder
        settings = QSettings(str(Path(folder) / "settings.ini"), QSettings.Format.IniFormat)
        settings.setValue("look", "light")
        collector = Collector(application)  # as in the program: no cyclic garbage is collected in the middle of a frame
        window = Window(Document(job), settings)
        record_ahead(job, job.poses[0])  # as the window does by itself in a quiet moment
        window.resize(1280, 800)
        window.show()
        application.processEvents()
        window.views.fit()
        application.processEvents()
        try:
            yield window
        finally:
            window.document.undo_stack.setClean()
            window.close()
            window.deleteLater()
            collector.deleteLater()
            gc.enable()
            QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
            if before is None:
                del os.environ["TAILWEIGHT_STATE_DIR"]
            else:
                os.environ["TAILWEIGHT_STATE_DIR"] = before


@contextlib.contextmanager
def reach_map_on(window: Window, fine: bool) -> Iterator[None]:
    """Both reach maps shown, the first ones or the fine ones; none is worked on while anything is timed."""
    maps, largest_m = window.commands.reach_maps, FINE_M if fine else COARSE_M
    maps.set_wanted(True)
    _wait(lambda: maps.maps[0] is not None and maps.maps[0].cell_m <= largest_m)
    maps.background.stop()
    _wait(lambda: not maps.background.busy)
    try:
        yield
    finally:
        maps.set_wanted(False)


def _wait(done: Callable[[], bool]) -> None:
    clock = QElapsedTimer()
    clock.start()
    while not done():
        QApplication.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 20)
        if clock.elapsed() > PATIENCE_MS:
            raise TimeoutError("the working process did not answer")


# ---------------------------------------------------------------- frames


@contextlib.contextmanager
def answer_held(held: Verdict) -> Iterator[None]:
    """The document gets one and the same answer for every pose; only the places of the parts are its own."""
    live = verdict.evaluate

    def evaluate(job: Job, pose: Pose) -> Verdict:
        return msgspec.structs.replace(held, placed=place(job, figures(job, pose)))

    verdict.evaluate = evaluate
    try:
        yield
    finally:
        verdict.evaluate = live


def frames(window: Window, handle: str, effort: Effort) -> tuple[Times, Times]:
    """Frames with the engine's answer live and with it held, run by run along the same way."""
    first = window.document.verdict
    hand = Dragger(window, handle)
    live: list[Lap] = []
    held: list[Lap] = []
    for _ in range(effort.run):
        hand.frame()
    while len(live) < effort.frames:
        live += _run(hand, effort.run)
        with answer_held(first):
            held += _run(hand, effort.run)
    hand.release()
    return Times(tuple(live)), Times(tuple(held))


def _run(hand: Dragger, frames_in_a_row: int) -> list[Lap]:
    """Some frames in a row, the first left out.

    Raises
    ------
    RuntimeError
        When a frame ended without being painted: it would pass for a quick one.
    """
    painted: list[bool] = []
    laps = [lap_of(lambda: painted.append(hand.frame())) for _ in range(frames_in_a_row)]
    if not all(painted):
        raise RuntimeError("a move of the mouse was not painted: the drag has come to a stop of the rig")
    return laps[1:]


# ---------------------------------------------------------------- while something else is worked out


def background_work(job: Job) -> dict[str, tuple[object, ...]]:
    """What keeps the working process busy: very fine maps, and a move of the file that has one."""
    moving = sample(WITH_A_MOVE)
    return {
        "a fine map": (worker_tasks.reach, job, job.poses[0], ("side", "plan"), FINE_M),
        "a move": (worker_tasks.plan, moving, moving.moves[0]),
    }


@contextlib.contextmanager
def working_process(window: Window) -> Iterator[Background]:
    """A working process that has started and answered once."""
    background, answers = Background(), []
    background.answered.connect(answers.append)
    try:
        background.ask(worker_tasks.reach, window.document.job, window.document.pose, ("side",), COARSE_M)
        _wait(lambda: bool(answers))
        yield background
    finally:
        background.close()


def _meanwhile(window: Window, background: Background, what: str, question: tuple[object, ...], effort: Effort) -> Row:
    """Frames while a question is worked on, turn by turn with frames while the working process rests."""
    busy: list[Lap] = []
    quiet: list[Lap] = []
    hand = Dragger(window, "hook")
    for _ in range(effort.run):
        hand.frame()
    while len(busy) < effort.frames:
        background.ask(*question)
        busy += _run(hand, effort.run)
        background.forget()
        _wait(lambda: not background.busy)
        quiet += _run(hand, effort.run)
    hand.release()
    times, rest = Times(tuple(busy)), Times(tuple(quiet))
    lost, lost_at_rest = (
        sum(seconds * 1e3 > SCREEN_MS for seconds in each.seconds) / len(each.seconds) for each in (times, rest)
    )
    goal = Goal(
        f"p99 <= a frame of a screen, {SCREEN_MS:.1f} ms",
        times.p99_s * 1e3 / SCREEN_MS,
        times.least_s * 1e3 / SCREEN_MS,
    )
    name = f"drag frame, hook, while {what} is worked out: {lost:.1%} of frames lost, {lost_at_rest:.1%} at rest"
    return row_of(GROUP, name, times, [Ratio(times.over(rest), "the working process at rest")], [goal])
