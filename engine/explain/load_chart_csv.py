"""The load chart as comma-separated text, with its units and its caution."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator

from engine.base.caution import CAUTION, NOT_APPROVED, SIGNAL_WORD
from engine.base.formatting import System, fill, show
from engine.explain.phrases import LOAD_CONDITIONS, PARTS_ENTERED_ONLY
from engine.planning.load_chart import Chart, all_unsettled
from engine.schema.model import Job

COLUMNS = (
    "arm pose",
    "pin hole",
    "boom out",
    "hook height",
    "reach from front axle",
    "allowed load",
    "gives first",
    "proven",
)


def load_chart_csv(job: Job, chart: Chart, system: System) -> str:
    """One line for each arm pose, pin hole and hook height; loads rounded down, empty where the pose cannot be.

    The first lines are the caution, the job and what the loads apply to.
    """
    approval = job.approval
    rigging = show(job.load.rigging_kg.best, "kg_up", system)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([f"{SIGNAL_WORD}: {CAUTION}"])
    writer.writerow([NOT_APPROVED if approval is None else f"Approval entered: {approval.reference}, {approval.date}"])
    writer.writerow([f"{job.name}, rig {job.rig.name} {job.rig.serial}, revision {job.rig.revision}"])
    writer.writerow([f"Allowed load at the hook, rigging of {rigging} already counted. {LOAD_CONDITIONS}"])
    unsettled = all_unsettled(chart)
    if unsettled and not chart.problems:
        writer.writerow([PARTS_ENTERED_ONLY])
        writer.writerows([fill(problem.words, problem.numbers, system)] for problem in unsettled)
    writer.writerow(COLUMNS)
    if not chart.problems:
        writer.writerows(_rows(chart, system))
    return text.getvalue()


def _rows(chart: Chart, system: System) -> Iterator[tuple[object, ...]]:
    for table, arm_set in enumerate(chart.arm_sets):
        proven = "yes" if chart.proven[table] else "NO"
        for column, hole in enumerate(chart.holes):
            for row, height_m in enumerate(chart.hook_heights_m):
                cell = (table, column, row)
                allowed_kg = float(chart.allowed_kg[cell])
                pose = (arm_set.name, hole, show(chart.out_m[column], "length", system), show(height_m, "m", system))
                if math.isnan(allowed_kg):
                    yield (*pose, "", "", "cannot be", "")
                    continue
                reach, load = show(float(chart.reach_m[cell]), "m", system), show(allowed_kg, "kg_down", system)
                if chart.in_the_way[cell]:
                    load = ""
                yield (*pose, reach, load, chart.names[int(chart.governing[cell])], proven)
