"""A verdict as text for a person and as JSON for another program."""

from __future__ import annotations

import json
import math
from typing import Any

from engine.base.caution import CAUTION, NOT_APPROVED, SIGNAL_WORD
from engine.base.formatting import System, fill, show
from engine.cli import worst_text
from engine.explain.phrases import LOAD_CONDITIONS, pose_words
from engine.handling.moment_balance import tipping_ratio
from engine.limits import balance
from engine.limits.balance import Balance, TipLine
from engine.rig.check import Check, Problem
from engine.schema.model import Job, Pose, find_floor
from engine.worst_case.verdict import STATE_WORDS, Verdict

# ---------------------------------------------------------------- JSON


def as_json(job: Job, pose: Pose, verdict: Verdict) -> str:
    """The verdict as one JSON object in SI units; ``null`` for what is not known or has no limit."""
    # Plain ASCII, so that no terminal or pipe can stumble over it.
    return json.dumps(as_dict(job, pose, verdict), indent=2, allow_nan=False)


def as_dict(job: Job, pose: Pose, verdict: Verdict) -> dict[str, Any]:
    """The verdict as plain values, ready for JSON.

    Bodies, tipping lines and the weights reckoned from them are those of the rig as drawn, so that they can be reckoned
    again from each other; ``bending`` says what is left of them on the bent rig.  State, checks and allowed loads count it.
    """
    placed = verdict.placed
    known = verdict.balance is not None
    weighed = balance.weigh(placed) if known else None
    return {
        "caution": CAUTION,
        "approval": job.approval.reference if job.approval else NOT_APPROVED,
        "job": job.name,
        "pose": pose.name,
        "state": verdict.state,
        "problems": [_problem(problem) for problem in verdict.problems],
        "cautions": [_problem(problem) for problem in verdict.cautions],
        "governing": verdict.governing.name if verdict.governing else None,
        "allowed_load_kg": _number(verdict.allowed_load_kg),
        "bodies": [
            {
                "name": body.name,
                "group": body.group,
                "mass_kg": _number(body.mass_kg),
                **dict(zip(("x_m", "y_m", "z_m"), _vector(body.position_m), strict=True)),
            }
            for body in placed.bodies
        ],
        "hook_m": _vector(placed.hook_m),
        "load_centre_m": _vector(placed.load_centre_m),
        "gravity": _vector(placed.gravity) if _floor_known(job, pose) else None,
        "combined": _combined(weighed) if known else None,
        "tip_lines": [_line(line) for line in weighed.lines] if known else [],
        "rear_weight_left_kg": _number(weighed.rear_kg) if known else None,
        "light_front_wheel_kg": _number(weighed.light_front_kg) if known else None,
        "left_front_wheel_kg": _number(weighed.left_front_kg) if known else None,
        "right_front_wheel_kg": _number(weighed.right_front_kg) if known else None,
        "tipping_load_kg": _number(weighed.tipping_load_kg) if known else None,
        "tipping_ratio": _number(tipping_ratio(job, pose, weighed)) if known else None,
        "bending": _bending(verdict, verdict.balance) if known else None,
        "checks": [check_dict(check) for check in verdict.checks],
        "worst": worst_text.worst_dict(verdict),
        "best": worst_text.best_dict(verdict),
        "doubt": worst_text.doubt_list(verdict),
    }


def _bending(verdict: Verdict, weighed: Balance) -> dict[str, float | None]:
    """How far bending carries the hook, and what the truck then keeps, plain statics with best values."""
    gone = verdict.hanging.hook_m - verdict.placed.hook_m
    return {
        "hook_down_m": _number(gone.dot(verdict.placed.gravity)),
        "hook_forward_m": _number(gone.x),
        "hook_left_m": _number(gone.y),
        "rear_weight_left_kg": _number(weighed.rear_kg),
        "light_front_wheel_kg": _number(weighed.light_front_kg),
        "tipping_load_kg": _number(weighed.tipping_load_kg),
    }


def _number(value: Any) -> float | None:
    if value is None or not math.isfinite(float(value)):
        return None
    return float(value)


def _vector(value: Any) -> list[float | None]:
    return [_number(entry) for entry in value]


def _floor_known(job: Job, pose: Pose) -> bool:
    """A floor whose fall is not known is drawn level, but its gravity is nobody's to print."""
    floor = find_floor(job, pose)
    return floor.fall_along is not None and floor.fall_across is not None


def _combined(weighed: Balance) -> dict[str, float | None]:
    return {
        "mass_kg": _number(weighed.combined_kg),
        **dict(zip(("x_m", "y_m", "z_m"), _vector(weighed.combined_m), strict=True)),
    }


def _line(line: TipLine) -> dict[str, Any]:
    return {
        "name": line.name,
        "a_m": _vector(line.a_m),
        "b_m": _vector(line.b_m),
        "restoring_Nm": _number(line.restoring_Nm),
        "load_Nm": _number(line.load_Nm),
        "use": _number(line.use),
        "left_out": list(line.left_out),
    }


def check_dict(check: Check) -> dict[str, Any]:
    """One limit as plain values, its words in metric units."""
    return {
        "part": check.part,
        "kind": check.kind,
        "place": _vector(check.place_m),
        "demand": _number(check.demand),
        "allowed": _number(check.allowed),
        "unit": check.unit,
        "use": _number(check.use),
        "allowed_load_kg": _number(check.allowed_load_kg),
        "words": fill(check.words, check.numbers, "metric"),
        "source": check.source,
    }


def _problem(problem: Problem) -> dict[str, str]:
    return {"kind": problem.kind, "where": problem.where, "words": fill(problem.words, problem.numbers, "metric")}


# ---------------------------------------------------------------- text


def as_text(job: Job, pose: Pose, verdict: Verdict, system: System) -> str:
    """The verdict in plain words, in metric or US units."""
    lines = [f"{SIGNAL_WORD}: {CAUTION}"]
    if job.approval is None:
        lines.append(NOT_APPROVED)
    lines += [
        "",
        f"{job.name}",
        f"Pose {pose.name!r}: {pose_words(job, pose, system)}",
        "",
        f"{verdict.state}: {STATE_WORDS[verdict.state]}",
    ]
    lines += [f"  {problem.where}: {fill(problem.words, problem.numbers, system)}" for problem in verdict.problems]
    if verdict.governing is not None:
        allowed = show(verdict.allowed_load_kg, "kg_down", system)
        lines += [
            f"Governing part: {verdict.governing.name}",
            f"Allowed load here: {allowed} ({_rigging_words(job, pose, system)})",
            f"  {LOAD_CONDITIONS}",
        ]
        lines += worst_text.text(verdict, system)
    if verdict.balance is not None:
        lines += _balance_text(job, pose, verdict, system)
    if verdict.checks:
        lines += ["", "Limits, by use:"]
        for check in sorted(verdict.checks, key=lambda check: -float(check.use)):
            lines.append(
                f"  {show(float(check.use), 'share', system):>7}  {check.name}: {fill(check.words, check.numbers, system)}"
            )
    lines += cautions_text(verdict, system)
    return "\n".join(lines)


def cautions_text(verdict: Verdict, system: System) -> list[str]:
    """What the figures rest on that nobody has proved, one line each."""
    if not verdict.cautions:
        return []
    return ["", "Bear in mind:", *(f"  {fill(each.words, each.numbers, system)}" for each in verdict.cautions)]


def _rigging_words(job: Job, pose: Pose, system: System) -> str:
    if not pose.loaded:
        return "hook empty: rigging comes off this"
    return f"rigging of {show(job.load.rigging_kg.best, 'kg', system)} already counted"


def _balance_text(job: Job, pose: Pose, verdict: Verdict, system: System) -> list[str]:
    weighed, placed = verdict.balance, verdict.placed
    bare_kg = job.truck.rear_axle_kg.best
    rear, light = float(weighed.rear_kg), float(weighed.light_front_kg)
    hook, gone = placed.hook_m, verdict.hanging.hook_m - placed.hook_m
    ratio = tipping_ratio(job, pose, weighed)
    lines = [
        "",
        "Plain statics on the bent rig, best values, no allowances:",
        f"  rear weight left {show(rear, 'kg', system)} ({show(rear / bare_kg, 'share', system)} of the bare truck's, "
        f"{show(rear / float(weighed.normal_kg), 'share', system)} of the whole weight)",
        f"  light front wheel {show(light, 'kg', system)} ({show(light / (job.truck.front_axle_kg.best / 2.0), 'share', system)} of the bare truck's)",
        f"  tipping load {show(float(weighed.tipping_load_kg), 'kg_down', system)}, tipping ratio {show(ratio, 'ratio', system)}",
        f"  hook {show(float(hook.x), 'm', system)} from the front axle, {show(float(hook.x) - job.truck.front_overhang_m.best, 'm', system)} "
        f"from the fork face, {show(float(hook.z), 'm', system)} up, as drawn",
        f"  bending, as drawn, carries the hook {show(float(gone.dot(placed.gravity)), 'mm', system)} down and "
        f"{show(float(gone.x), 'mm', system)} forward (not counted: play in straps, hinges and upright, tyres)",
    ]
    lines += [f"  tipping use, {line.name}: {show(float(line.use), 'share', system)}" for line in weighed.lines]
    return lines
