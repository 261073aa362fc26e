"""What looks at many poses to answer one question: load chart, reach map, move, remedy.

The reference is the whole verdict, one pose at a time: how long as many poses would take that way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from engine.planning.load_chart import Chart, load_chart
from engine.planning.move import plan
from engine.planning.reach import COARSE_M, FINE_M, ReachMap, View, reach_map
from engine.planning.remedy import remedies
from engine.schema.model import Job
from engine.worst_case.verdict import evaluate
from tests.benchmarks.effort import Effort
from tests.benchmarks.rigs import OVER_A_LIMIT, WITH_A_MOVE, sample
from tests.benchmarks.table import Ratio, Row, row_of
from tests.benchmarks.timing import Call, Lap, Times, lap_of
from tests.benchmarks.verdicts import poses_around

GROUP = "Planning"

MAPS: tuple[tuple[float, View], ...] = ((COARSE_M, "side"), (COARSE_M, "plan"), (FINE_M, "side"), (FINE_M, "plan"))
REMEDIES = {False: "remedy, the first that works, {} tried", True: "remedy, all of them, {} tried"}
SOME = 10


def measure(effort: Effort) -> Iterator[Row]:
    """Rows of this group."""
    job = sample(WITH_A_MOVE)
    pose, move = job.poses[0], job.moves[0]
    if effort.fine:
        yield _against_verdicts("load chart, {} poses", lambda: load_chart(job, pose), _cells_of_chart, job, effort)
    for cell_m, view in MAPS if effort.fine else MAPS[:1]:
        size = "coarse" if cell_m == COARSE_M else "fine"
        what = f"reach map, {view}, {size}, {{}} cells"
        yield _against_verdicts(what, _map(job, view, cell_m), _cells_of_map, job, effort)
    what = "move minimum, {} samples and the bound between them"
    yield _against_verdicts(
        what, lambda: plan(job, move), lambda result: sum(len(step.share) for step in result.steps), job, effort
    )
    pick = sample(OVER_A_LIMIT)
    for every in (False, True) if effort.fine else (False,):
        what = REMEDIES[every]
        yield _against_verdicts(what, _remedy(pick, every), lambda result: len(result.tried), pick, effort)


def _remedy(job: Job, every: bool) -> Call:
    return lambda: remedies(job, job.poses[0], every)


def _map(job: Job, view: View, cell_m: float) -> Call:
    return lambda: reach_map(job, job.poses[0], view, cell_m)


def _cells_of_chart(chart: Chart) -> int:
    return int(np.isfinite(chart.allowed_kg).sum())


def _cells_of_map(reach: ReachMap) -> int:
    return int(reach.reachable.sum())


def _against_verdicts(
    what: str, call: Callable[[], Any], poses_in: Callable[[Any], int], job: Job, effort: Effort
) -> Row:
    """A long call against as many verdicts one by one, some of which are timed before and after each call."""
    some = poses_around(job, SOME)
    for pose in some:
        evaluate(job, pose)
    laps: list[Lap] = []
    verdicts: list[Lap] = []
    results: list[Any] = []
    for _ in range(effort.long_rounds):
        verdicts += [lap_of(lambda pose=pose: evaluate(job, pose)) for pose in some]
        laps.append(lap_of(lambda: results.append(call())))
        verdicts += [lap_of(lambda pose=pose: evaluate(job, pose)) for pose in some]
    times, poses = Times(tuple(laps)), poses_in(results[-1])
    one_by_one_s = poses * Times(tuple(verdicts)).median_s
    return row_of(
        GROUP, what.format(poses), times, [Ratio(times.median_s / one_by_one_s, "as many verdicts one by one")]
    )
