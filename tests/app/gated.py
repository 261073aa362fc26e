"""Questions for a real working process that go on, part by part, only when the test opens a gate."""

from __future__ import annotations

import contextlib
import os
import pickle
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec import structs

from app.workers import answering, worker_tasks
from engine.base.geometry import Vec
from engine.planning.inverse_kinematics import Solution, solutions_to
from engine.planning.load_chart import ArmSet, Chart, load_chart
from engine.planning.move import Plan
from engine.planning.new_rig import NewRig, sketch
from engine.planning.reach import COARSE_M, FINE_M, FINEST_M, ReachMap, View
from engine.planning.remedy import NOT_ENOUGH, Advice, RemedyTrial
from engine.planning.stock_search import RackRig, StockSearch
from engine.planning.sweep import Stop, Stopped
from engine.schema.model import Job, Move, Pose
from engine.shop.first_rig import Wish

FOLDER = "TAILWEIGHT_TEST_GATES"

CELLS_M = COARSE_M, FINE_M, FINEST_M


class Gates:
    """Opens the gates, one after the other; a question asked anew passes those that are open."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self._folder, self._open = folder, 0
        monkeypatch.setenv(FOLDER, str(folder))

    def open(self) -> None:
        """Open the next gate."""
        self._open += 1
        (self._folder / str(self._open)).touch()

    def keep(self, plan: Plan) -> None:
        """Have `kept_plan` answer with a plan."""
        (self._folder / KEPT).write_bytes(pickle.dumps(plan))

    def close(self) -> None:
        """Close them all."""
        for number in range(1, self._open + 1):
            (self._folder / str(number)).unlink()
        self._open = 0


def _behind(number: int, stop: Stop) -> Stop:
    """``stop``, asked, waits for one gate."""
    gate = Path(os.environ[FOLDER]) / str(number)

    def slow() -> bool:
        while not stop() and not gate.exists():
            time.sleep(0.005)
        return stop()

    return slow


def _gated(stop: Stop) -> Stop:
    """``stop``, asked between parts, waits for its gate."""
    folder, passed = Path(os.environ[FOLDER]), 0

    def slow() -> bool:
        nonlocal passed
        passed += 1
        while not stop() and not (folder / str(passed)).exists():
            time.sleep(0.005)
        return stop()

    return slow


TOO_HEAVY_KG = 300.0
NEAR_M = 1.85
"""From this load on `new_rig` finds nothing but nearer than this: nine tenths of 2 m will do."""


def new_rig(wish: Wish, stop: Stop) -> worker_tasks.SizedRig | None:
    """The sketch of a wish, as if it were sized, once the first gate is open; nothing for a heavy load."""
    if _behind(1, stop)():
        return None
    near = structs.replace(wish, reach_m=round(0.9 * wish.reach_m, 2))
    found = NewRig(job=sketch(wish), weight_kg=123.4)
    if wish.load.best >= TOO_HEAVY_KG and wish.reach_m > NEAR_M:
        found = NewRig(limit="boom: combined stress", nearest=near, near_job=sketch(near), near_kg=98.7)
    return worker_tasks.in_words(wish, found)


def chart(job: Job, pose: Pose, stop: Stop) -> Chart | None:
    """A rig without arms at one hook height, thrice, one a gate: the least that a load chart can be."""
    sets = tuple(ArmSet(name=name, arms=()) for name in ("first", "second", "third"))
    with contextlib.suppress(Stopped):
        return load_chart(job, pose, sets, (2.0,), stop=_gated(stop), tell=answering.tell, so_far=answering.hand_over)
    return None


def reach(job: Job, pose: Pose, views: tuple[View, ...], cell_m: float, stop: Stop) -> tuple[ReachMap, ...] | None:
    """The reach maps, a gate for each size of cell."""
    return worker_tasks.reach(job, pose, views, cell_m, _behind(CELLS_M.index(cell_m) + 1, stop))


def remedy(job: Job, pose: Pose, stop: Stop) -> Advice | None:
    """What to change about a pose: one try that nobody has judged, then a gate."""
    numbers: dict[str, float | str] = {"allowed": 474.0, "load": 900.0, "governing": "boom: bending"}
    trial = RemedyTrial(
        kind="boom in", words="Pull the boom in", numbers=numbers, job=job, pose=pose, use=1.9, allowed_kg=474.0,
        governing="boom: bending", works=False, result=NOT_ENOUGH,
    )  # fmt: skip
    answering.hand_over((trial,))
    _gated(stop)()
    return None


def plan(job: Job, move: Move, stop: Stop) -> Plan | None:
    """A move, a step a gate."""
    return worker_tasks.plan(job, move, _gated(stop))


KEPT = "kept plan"


def kept_plan(job: Job, move: Move, stop: Stop) -> Plan | None:
    """A plan that the test has worked out before: what a panel does with it takes no seconds of proof."""
    return pickle.loads((Path(os.environ[FOLDER]) / KEPT).read_bytes())


def poses_to(job: Job, pose: Pose, target_m: Vec, stop: Stop) -> tuple[Solution, ...] | None:
    """Every pose that brings the hook to a point: the poses, then a gate."""
    answering.hand_over(solutions_to(job, pose, target_m))
    _gated(stop)()
    return None


def rack(job: Job, stop: Stop) -> StockSearch | None:
    """Lightest rigs from the steel on the rack: the rig there is, then a gate."""
    answering.hand_over((RackRig(job=job, rig_kg=100.0, cuts=(), results=()),))
    _gated(stop)()
    return None


def count(name: str, parts: int, stop: Callable[[], bool]) -> tuple[str, ...] | None:
    """``parts`` words with a name, one a gate."""
    slow, words = _gated(stop), ()
    for number in range(1, parts + 1):
        if slow():
            return None
        words = (*words, f"{name} {number}")
        answering.hand_over(words)
        answering.tell(number / parts, f"{name}, {number} of {parts}")
    return words


def at_once(name: str, _stop: Callable[[], bool]) -> str:
    """An answer without work."""
    return name
