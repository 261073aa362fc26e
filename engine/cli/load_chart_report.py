"""The load chart as text for a person and as JSON for another program."""

from __future__ import annotations

import json
import math

import numpy as np

from engine.base.formatting import System, show
from engine.cli.report_parts import heading, json_array, json_heading, json_problems, problem_lines
from engine.explain.phrases import LOAD_CONDITIONS, PARTS_ENTERED_ONLY
from engine.planning.load_chart import Chart, all_unsettled
from engine.schema.model import Job


def as_json(job: Job, chart: Chart) -> str:
    """Cells by arm pose, hole and hook height; loads rounded down to whole kilograms, ``null`` where no pose can be."""
    impossible = np.isnan(chart.allowed_kg)
    values = {
        **json_heading(job),
        "problems": json_problems(chart.problems),
        "rigging_kg": job.load.rigging_kg.best,
        "arm_poses": [arm_set.name for arm_set in chart.arm_sets],
        "proven": chart.proven.tolist(),
        "unsettled": json_problems(all_unsettled(chart)),
        "holes": list(chart.holes),
        "boom_out_m": list(chart.out_m),
        "hook_heights_m": list(chart.hook_heights_m),
        "allowed_load_kg": json_array(np.floor(chart.allowed_kg)),
        "reach_m": json_array(chart.reach_m),
        "lift_m": json_array(np.where(impossible, np.nan, chart.lift_m)),
        "governing": [
            [[chart.names[index] if index >= 0 else None for index in row] for row in rows] for rows in chart.governing
        ],
    }
    return json.dumps(values, indent=2, ensure_ascii=False, allow_nan=False)


def as_text(job: Job, chart: Chart, system: System) -> str:
    """One table for each arm pose: holes down, hook heights across, a letter for the governing limit of each load."""
    lines = heading(job)
    if chart.problems:
        return "\n".join([*lines, "", *(f"REFUSED: {line}" for line in problem_lines(chart.problems, system))])
    rigging = show(job.load.rigging_kg.best, "kg_up", system)
    lines += [
        "",
        f"Allowed load at the hook, rounded down, rigging of {rigging} already counted.",
        f"  {LOAD_CONDITIONS}",
    ]
    unsettled = all_unsettled(chart)
    if unsettled:
        lines += ["", PARTS_ENTERED_ONLY, *(f"  {line}" for line in problem_lines(unsettled, system))]
    used = sorted({int(index) for index in chart.governing.ravel() if index >= 0})
    letters = {index: _letter(number) for number, index in enumerate(used)}
    for table, arm_set in enumerate(chart.arm_sets):
        heights = [f"hook {show(height, 'm', system)}" for height in chart.hook_heights_m]
        name = arm_set.name if chart.proven[table] else f"{arm_set.name}: NOT PROVEN"
        lines += ["", name, _row("hole, out", heights)]
        for hole, out_m in enumerate(chart.out_m):
            cells = [
                _cell(float(allowed_kg), letters.get(int(index), ""), bool(in_the_way), system)
                for allowed_kg, index, in_the_way in zip(
                    chart.allowed_kg[table, hole],
                    chart.governing[table, hole],
                    chart.in_the_way[table, hole],
                    strict=True,
                )
            ]
            lines.append(_row(f"{chart.holes[hole]:>2}, {show(out_m, 'm', system)}", cells))
    lines += ["", "Governed by:", *(f"  {letter}  {chart.names[index]}" for index, letter in letters.items())]
    return "\n".join(lines)


def _letter(number: int) -> str:
    """The letters of the limits in order: a ... z, aa, ab ...; ``number`` counts from 0."""
    return chr(ord("a") + number) if number < 26 else f"{chr(ord('a') + number // 26 - 1)}{chr(ord('a') + number % 26)}"


def _row(name: str, cells: list[str]) -> str:
    return f"  {name:<16}" + "".join(f"{cell:>16}" for cell in cells)


def _cell(allowed_kg: float, letter: str, in_the_way: bool, system: System) -> str:
    if math.isnan(allowed_kg):
        return "cannot be"
    return f"in the way {letter}" if in_the_way else f"{show(allowed_kg, 'kg_down', system)} {letter}"
