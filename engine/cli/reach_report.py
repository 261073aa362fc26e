"""The reach map as text for a person and as JSON for another program."""

from __future__ import annotations

import json

import numpy as np

from engine.base.formatting import System, show
from engine.cli.report_parts import heading, json_array, json_heading, json_number, json_problems, problem_lines
from engine.explain.phrases import PARTS_ENTERED_ONLY
from engine.planning.reach import ReachMap
from engine.schema.model import Job

ALLOWED_MARK, UNPROVEN_MARK, OVER_MARK, NONE_MARK = "#", "?", "-", " "
"""Marks of a map printed in letters: allowed, not proven, reached but over a limit, out of reach."""


def as_json(job: Job, reach: ReachMap) -> str:
    """The grid row by row; ``use`` is ``null`` where the hook cannot come, ``allowed`` nowhere true if not proven."""
    across, plane = ("z_m", "y_m") if reach.view == "side" else ("y_m", "z_m")
    values = {
        **json_heading(job),
        "problems": json_problems(reach.problems),
        "view": reach.view,
        "cell_m": reach.cell_m,
        "plane": {plane: json_number(reach.plane_m)},
        "x_m": json_array(reach.x_m),
        across: json_array(reach.across_m),
        "allowed": reach.allowed.tolist(),
        "proven": not reach.unsettled,
        "unsettled": json_problems(reach.unsettled),
        "use": json_array(reach.use),
        "allowed_load_kg": json_array(np.where(reach.reachable, np.floor(reach.allowed_kg), np.nan)),
        "worst": [[reach.names[index] if index >= 0 else None for index in row] for row in reach.governing],
    }
    return json.dumps(values, indent=2, ensure_ascii=False, allow_nan=False)


def as_text(job: Job, reach: ReachMap, system: System) -> str:
    """The map in letters, truck to the left, and how many of the places reached are allowed."""
    lines = heading(job)
    if reach.problems:
        return "\n".join([*lines, "", *(f"REFUSED: {line}" for line in problem_lines(reach.problems, system))])
    load = show(job.load.mass_kg.best, "kg_up", system)
    side = reach.view == "side"
    plane = f"{show(reach.plane_m, 'm', system)} {'to the left' if side else 'up'}"
    seen_from = "the side" if side else "above"
    first, last = (show(float(reach.x_m[end]), "m", system) for end in (0, -1))
    holds_mark = UNPROVEN_MARK if reach.unsettled else ALLOWED_MARK
    if reach.unsettled:
        lines += ["", PARTS_ENTERED_ONLY, *(f"  {line}" for line in problem_lines(reach.unsettled, system))]
    holds_words = "NOT PROVEN: no part entered is over" if reach.unsettled else "allowed in some pose of the rig"
    lines += [
        "",
        f"Where the hook may be with {job.load.name}, load {load}, seen from {seen_from}, hook {plane}:",
        f"  {holds_mark} {holds_words}   {OVER_MARK} reached, over a limit   blank: out of reach",
        f"  one letter is {show(reach.cell_m, 'm', system)}; from {first} to {last} ahead of the front axle",
        "",
    ]
    for row in range(len(reach.across_m) - 1, -1, -1):
        marks = np.where(reach.holds[row], holds_mark, np.where(reach.reachable[row], OVER_MARK, NONE_MARK))
        if reach.reachable[row].any():
            lines.append(f"  {show(float(reach.across_m[row]), 'm', system):>10} |{''.join(marks)}")
    reached, allowed = int(reach.reachable.sum()), int(reach.allowed.sum())
    lines += ["", f"{allowed} of {reached} places reached are allowed."]
    return "\n".join(lines)
