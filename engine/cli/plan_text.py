"""Load chart, reach map and move as text for a person and as JSON for another program."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np

from engine.base.caution import CAUTION, NOT_APPROVED, SIGNAL_WORD
from engine.base.formatting import System, fill, show
from engine.explain.phrases import LOAD_CONDITIONS
from engine.planning.load_chart import Chart
from engine.planning.move import Plan, StepResult
from engine.planning.reach import ReachMap
from engine.rig.check import Problem
from engine.schema.model import Job
from engine.worst_case.verdict import STATE_WORDS

CONTROLS_WORDS = {
    "driver": "driver at the controls",
    "helper": "helper at the controls",
    "nobody": "nobody at the controls",
}

ALLOWED_MARK, OVER_MARK, NONE_MARK = "#", "-", " "
"""Marks of a map printed in letters: allowed, reached but over a limit, out of reach."""


def _head(job: Job) -> list[str]:
    lines = [f"{SIGNAL_WORD}: {CAUTION}"]
    return [*lines, *([] if job.approval else [NOT_APPROVED]), "", job.name]


def _start(job: Job) -> dict[str, Any]:
    return {"caution": CAUTION, "approval": job.approval.reference if job.approval else NOT_APPROVED, "job": job.name}


def _json(found: dict[str, Any]) -> str:
    return json.dumps(found, indent=2, ensure_ascii=False, allow_nan=False)


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _numbers(values: Any) -> Any:
    """Nested lists of an array, ``None`` for what is not a number."""
    if np.ndim(values) == 0:
        return _number(float(values))
    return [_numbers(value) for value in values]


def _problems(problems: tuple[Problem, ...]) -> list[dict[str, str]]:
    return [
        {"kind": problem.kind, "where": problem.where, "words": fill(problem.words, problem.numbers, "metric")}
        for problem in problems
    ]


def _problem_lines(problems: tuple[Problem, ...], system: System) -> list[str]:
    return [f"REFUSED: {problem.where}: {fill(problem.words, problem.numbers, system)}" for problem in problems]


# ---------------------------------------------------------------- load chart


def chart_json(job: Job, chart: Chart) -> str:
    """Cells by arm pose, hole and hook height; loads in whole kilograms, rounded down; ``null`` where the pose cannot be."""
    cells = np.where(np.isnan(chart.allowed_kg), np.nan, np.floor(chart.allowed_kg))
    return _json(
        {
            **_start(job),
            "problems": _problems(chart.problems),
            "rigging_kg": job.load.rigging_kg.best,
            "arm_poses": [arm_set.name for arm_set in chart.arm_sets],
            "holes": list(chart.holes),
            "boom_out_m": list(chart.out_m),
            "hook_heights_m": list(chart.hook_heights_m),
            "allowed_load_kg": _numbers(cells),
            "reach_m": _numbers(chart.reach_m),
            "lift_m": _numbers(np.where(np.isnan(chart.allowed_kg), np.nan, chart.lift_m)),
            "governing": [
                [[chart.names[index] if index >= 0 else None for index in row] for row in rows]
                for rows in chart.governing
            ],
        }
    )


def chart_text(job: Job, chart: Chart, system: System) -> str:
    """One table for each arm pose: holes down, hook heights across, each load with the letter of what governs it."""
    lines = _head(job)
    if chart.problems:
        return "\n".join([*lines, "", *_problem_lines(chart.problems, system)])
    rigging = show(job.load.rigging_kg.best, "kg", system)
    lines += [
        "",
        f"Allowed load at the hook, rounded down, rigging of {rigging} already counted.",
        f"  {LOAD_CONDITIONS}",
    ]
    used = sorted({int(index) for index in chart.governing.ravel() if index >= 0})
    letters = {index: _letter(number) for number, index in enumerate(used)}
    for which, arm_set in enumerate(chart.arm_sets):
        lines += [
            "",
            arm_set.name,
            _row("hole, out", [f"hook {show(height, 'm', system)}" for height in chart.hook_heights_m]),
        ]
        for hole, out_m in enumerate(chart.out_m):
            cells = [
                _cell(
                    float(chart.allowed_kg[which, hole, column]),
                    letters.get(int(chart.governing[which, hole, column]), ""),
                    system,
                )
                for column in range(len(chart.hook_heights_m))
            ]
            lines.append(_row(f"{chart.holes[hole]:>2}, {show(out_m, 'm', system)}", cells))
    lines += ["", "Governed by:", *(f"  {letter}  {chart.names[index]}" for index, letter in letters.items())]
    return "\n".join(lines)


def _letter(number: int) -> str:
    return chr(ord("a") + number) if number < 26 else f"{chr(ord('a') + number // 26 - 1)}{chr(ord('a') + number % 26)}"


def _row(name: str, cells: list[str]) -> str:
    return f"  {name:<16}" + "".join(f"{cell:>16}" for cell in cells)


def _cell(allowed_kg: float, letter: str, system: System) -> str:
    return "cannot be" if math.isnan(allowed_kg) else f"{show(allowed_kg, 'kg_down', system)} {letter}"


# ---------------------------------------------------------------- reach map


def reach_json(job: Job, found: ReachMap) -> str:
    """The grid row by row; ``use`` is ``null`` where the hook cannot come."""
    across = "z_m" if found.view == "side" else "y_m"
    plane = "y_m" if found.view == "side" else "z_m"
    return _json(
        {
            **_start(job),
            "problems": _problems(found.problems),
            "view": found.view,
            "cell_m": found.cell_m,
            "plane": {plane: _number(found.plane_m)},
            "x_m": _numbers(found.x_m),
            across: _numbers(found.across_m),
            "allowed": found.allowed.tolist(),
            "use": _numbers(found.use),
            "allowed_load_kg": _numbers(np.where(found.reachable, np.floor(found.allowed_kg), np.nan)),
            "worst": [[found.names[index] if index >= 0 else None for index in row] for row in found.governing],
        }
    )


def reach_text(job: Job, found: ReachMap, system: System) -> str:
    """The map in letters, truck to the left, and how much of what is reached is allowed."""
    lines = _head(job)
    if found.problems:
        return "\n".join([*lines, "", *_problem_lines(found.problems, system)])
    load = show(job.load.mass_kg.best, "kg", system)
    side = found.view == "side"
    plane = f"{show(found.plane_m, 'm', system)} {'to the left' if side else 'up'}"
    lines += [
        "",
        f"Where the hook may be with {job.load.name}, {load}, seen from {'the side' if side else 'above'}, hook {plane}:",
        f"  {ALLOWED_MARK} allowed in some pose of the rig   {OVER_MARK} reached, over a limit   blank: out of reach",
        f"  one letter is {show(found.cell_m, 'm', system)}; from {show(float(found.x_m[0]), 'm', system)} to "
        f"{show(float(found.x_m[-1]), 'm', system)} ahead of the front axle",
        "",
    ]
    for row in range(len(found.across_m) - 1, -1, -1):
        marks = np.where(found.allowed[row], ALLOWED_MARK, np.where(found.reachable[row], OVER_MARK, NONE_MARK))
        if found.reachable[row].any():
            lines.append(f"  {show(float(found.across_m[row]), 'm', system):>10} |{''.join(marks)}")
    reached, allowed = int(found.reachable.sum()), int(found.allowed.sum())
    lines += ["", f"{allowed} of {reached} places reached are allowed."]
    return "\n".join(lines)


# ---------------------------------------------------------------- move


def move_json(job: Job, plan: Plan) -> str:
    """Steps in order with their samples, stretches and proven bounds."""
    return _json(
        {
            **_start(job),
            "move": plan.name,
            "state": plan.state,
            "problems": _problems(plan.problems),
            "objections": [
                {"step": one.step + 1, "stops": one.stops, "words": fill(one.words, one.numbers, "metric")}
                for one in plan.objections
            ],
            "worst_step": None if plan.worst_step is None else plan.worst_step + 1,
            "steps": [_step_values(result) for result in plan.steps],
        }
    )


def _step_values(result: StepResult) -> dict[str, Any]:
    step = result.step
    return {
        "leg": step.leg + 1,
        "kind": step.kind,
        "words": fill(step.words, step.numbers, "metric"),
        "controls": step.controls,
        "peak_use": _number(result.peak_use),
        "peak_at": result.peak_share,
        "bound_use": _number(result.bound_use),
        "rules": [
            {"from": one.from_share, "to": one.to_share, "rules": one.rules, "use": _number(one.use)}
            for one in result.stretches
        ],
        "fall_along": list(result.fall_along),
        "fall_across": list(result.fall_across),
        "push_N": result.push_N,
        "gaps": [
            {"part": gap.part, "object": gap.object, "clear_m": gap.clear_m, "at": gap.share} for gap in result.gaps
        ],
        "at": _numbers(result.share),
        "use": _numbers(result.use),
        "rear_weight_left_kg": _numbers(result.rear_kg),
        "light_front_wheel_kg": _numbers(result.light_kg),
        "hook_m": _numbers(result.hook_m),
    }


def _up(share: float) -> str:
    """A use in tenths of a per cent, rounded up: never less than it is."""
    return f"{math.ceil(1000.0 * share - 1e-9) / 10.0:.1f} %" if math.isfinite(share) else "without limit"


def move_text(job: Job, plan: Plan, system: System) -> str:
    """Step by step: what moves, who sits where, greatest use with what rules, what speaks against it."""
    lines = [*_head(job), f"Move {plan.name!r}", "", f"{plan.state}: {STATE_WORDS[plan.state]}"]
    lines += _problem_lines(plan.problems, system)
    for index, result in enumerate(plan.steps):
        lines += [
            "",
            f"{index + 1}. {fill(result.step.words, result.step.numbers, system)} ({CONTROLS_WORDS[result.step.controls]})",
        ]
        lines.append(
            f"   greatest use {_up(result.peak_use)} at {show(result.peak_share, 'share', system)} of the way "
            f"(proven nowhere over {_up(result.bound_use)}); "
            f"rear weight left {show(float(result.rear_kg.min()), 'kg', system)}"
        )
        for stretch in result.stretches:
            lines.append(
                f"   {show(stretch.from_share, 'share', system):>6} to {show(stretch.to_share, 'share', system):>6}: "
                f"{show(stretch.use, 'share', system)}  {stretch.rules}"
            )
        if result.push_N is not None:
            lines.append(f"   push at the arm's end up to {show(result.push_N, 'N', system)} (hinge dry)")
        for objection in plan.objections:
            if objection.step == index:
                lines.append(
                    f"   {'STOP: ' if objection.stops else 'Mind: '}{fill(objection.words, objection.numbers, system)}"
                )
    if plan.worst_step is not None:
        worst = plan.steps[plan.worst_step]
        lines += [
            "",
            f"Worst: step {plan.worst_step + 1}, {show(worst.peak_share, 'share', system)} of the way, {show(worst.peak_use, 'share', system)}",
        ]
    return "\n".join(lines)
