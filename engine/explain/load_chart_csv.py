"""The load chart as comma-separated text, with its units and its caution."""

from __future__ import annotations

import csv
import io
import math

from engine.base.caution import CAUTION, NOT_APPROVED, SIGNAL_WORD
from engine.base.formatting import System, show
from engine.explain.phrases import LOAD_CONDITIONS
from engine.planning.load_chart import Chart
from engine.schema.model import Job


def load_chart_csv(job: Job, chart: Chart, system: System) -> str:
    """One line for each arm pose, pin hole and hook height; loads rounded down, empty where the pose cannot be.

    The first lines are the caution, the job and what the loads apply to.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    approval = (
        NOT_APPROVED if job.approval is None else f"Approval entered: {job.approval.reference}, {job.approval.date}"
    )
    writer.writerow([f"{SIGNAL_WORD}: {CAUTION}"])
    writer.writerow([approval])
    writer.writerow([f"{job.name}, rig {job.rig.name} {job.rig.serial}, revision {job.rig.revision}"])
    writer.writerow(
        [
            f"Allowed load at the hook, rigging of {show(job.load.rigging_kg.best, 'kg', system)} already counted. {LOAD_CONDITIONS}"
        ]
    )
    writer.writerow(
        ["arm pose", "pin hole", "boom out", "hook height", "reach from front axle", "allowed load", "gives first"]
    )
    for which, arm_set in enumerate(chart.arm_sets if not chart.problems else ()):
        for column, hole in enumerate(chart.holes):
            for row, height_m in enumerate(chart.hook_heights_m):
                place = (which, column, row)
                allowed = float(chart.allowed_kg[place])
                can = not math.isnan(allowed)
                writer.writerow(
                    [
                        arm_set.name,
                        hole,
                        show(chart.out_m[column], "length", system),
                        show(height_m, "m", system),
                        show(float(chart.reach_m[place]), "m", system) if can else "",
                        show(allowed, "kg_down", system) if can else "",
                        chart.names[int(chart.governing[place])] if can else "cannot be",
                    ]
                )
    return out.getvalue()
