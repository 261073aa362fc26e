"""The verdict on one pose as text for a person and as JSON for another program."""

from __future__ import annotations

import json
from collections.abc import Sequence

from engine.base.formatting import System, fill, show
from engine.base.geometry import GRAVITY_M_S2, Number
from engine.cli import worst_case_report
from engine.cli.report_parts import heading, json_heading, json_number, json_numbers, json_problems, problem_lines
from engine.explain.phrases import LOAD_CONDITIONS, pose_words
from engine.handling.moment_balance import tipping_ratio
from engine.limits import balance, lean, play, sideways
from engine.limits.balance import Balance, TipLine
from engine.rig.check import Check
from engine.rig.completeness import NOT_CHECKED, NOT_CHECKED_WORDS
from engine.rig.kinematics import Body, Placed
from engine.schema.model import Job, Pose, find_floor
from engine.worst_case.verdict import Verdict

AXES = ("x_m", "y_m", "z_m")

# ---------------------------------------------------------------- JSON


def as_json(job: Job, pose: Pose, verdict: Verdict, changes: Sequence[str] = ()) -> str:
    """The verdict as one JSON object in SI units; ``null`` for what is not known or has no limit.

    ``changes`` is what was changed to bring an older file up to the present format.
    """
    # Plain ASCII: every terminal and pipe can carry it.
    values = {**as_dict(job, pose, verdict), "migration": list(changes)}
    return json.dumps(values, indent=2, allow_nan=False)


def as_dict(job: Job, pose: Pose, verdict: Verdict) -> dict[str, object]:
    """The verdict as plain values, ready for JSON.

    Bodies, tipping lines and the weights that follow from them are those of the rig as drawn, so that a reader can work
    out the one from the other; ``bending`` gives the weights on the bent rig.  State, checks and allowed loads include
    bending, and so do the keys with ``settled`` in them, which are what window and papers show.
    """
    weighed = verdict.balance
    return {
        **summary(job, pose, verdict),
        **_drawn_bodies(job, pose, verdict),
        **_drawn_balance(job, pose, verdict),
        "hook_settled_m": json_numbers(verdict.hanging.hook_m),
        "tipping_load_settled_kg": None if weighed is None else json_number(weighed.tipping_load_kg),
        "bending": _bending(verdict),
        "play": _play(job, verdict),
        "lean_on_tyres": _lean(verdict),
        "checks": [check_dict(check) for check in verdict.checks],
        "worst": worst_case_report.worst_dict(verdict),
        "best": worst_case_report.nominal_dict(verdict),
        "doubt": worst_case_report.cost_dicts(verdict),
    }


def summary(job: Job, pose: Pose, verdict: Verdict) -> dict[str, object]:
    """The keys that say what the verdict is on and how it came out."""
    return {
        **json_heading(job),
        "pose": pose.name,
        "state": verdict.state,
        "problems": json_problems(verdict.problems),
        "proven": verdict.proven,
        "not_entered": [problem.where for problem in verdict.not_entered if problem.kind != "asked"],
        "asked": json_problems(tuple(problem for problem in verdict.not_entered if problem.kind == "asked")),
        "cautions": json_problems(verdict.cautions),
        "not_checked": list(NOT_CHECKED),
        "governing": verdict.governing.name if verdict.governing else None,
        "allowed_load_kg": json_number(verdict.allowed_load_kg),
        "allowed_if_clear_kg": json_number(verdict.allowed_if_clear_kg),
        "taken_as_typical": list(job.policy.still_typical),
        "gaps": [_gap(check, at) for check, at in zip(verdict.room.checks, verdict.room.worst_m, strict=True)],
    }


def _gap(check: Check, worst_m: float) -> dict[str, object]:
    """One gap (m): which part, what it comes near, how near, how near with all that may be off, and what is wanted."""
    return {
        "part": check.part,
        "object": check.numbers["object"],
        "gap_m": json_number(check.allowed),
        "worst_gap_m": json_number(worst_m),
        "required_m": json_number(check.demand),
        "place_m": json_numbers(check.place_m),
    }


def check_dict(check: Check) -> dict[str, object]:
    """One limit as plain values, its words in metric units."""
    return {
        "part": check.part,
        "kind": check.kind,
        "place": json_numbers(check.place_m),
        "demand": json_number(check.demand),
        "allowed": json_number(check.allowed),
        "unit": check.unit,
        "use": json_number(check.use),
        "allowed_load_kg": json_number(check.allowed_load_kg),
        "words": fill(check.words, check.numbers, "metric"),
        "source": check.source,
    }


def _drawn_bodies(job: Job, pose: Pose, verdict: Verdict) -> dict[str, object]:
    placed = verdict.placed
    return {
        "bodies": [_body(body) for body in placed.bodies],
        "hook_m": json_numbers(placed.hook_m),
        "load_centre_m": json_numbers(placed.load_centre_m),
        "gravity": json_numbers(placed.gravity) if _floor_known(job, pose) else None,
    }


def _body(body: Body) -> dict[str, object]:
    return {
        "name": body.name,
        "group": body.group,
        "mass_kg": json_number(body.mass_kg),
        **dict(zip(AXES, json_numbers(body.position_m), strict=True)),
    }


def _drawn_balance(job: Job, pose: Pose, verdict: Verdict) -> dict[str, object]:
    """Tipping lines and what follows from them; empty where the pose has no balance."""
    if verdict.balance is None:
        weights = ("rear_weight_left_kg", "light_front_wheel_kg", "left_front_wheel_kg", "right_front_wheel_kg")
        others = ("tipping_load_kg", "tipping_ratio", "roll_moment_Nm", "beside_middle_m")
        return {"combined": None, "tip_lines": [], **dict.fromkeys((*weights, *others))}
    weighed, aside = balance.weigh(verdict.placed), sideways.carried(verdict.placed)
    return {
        "combined": _combined(weighed),
        "tip_lines": [_tip_line(line) for line in weighed.lines],
        "rear_weight_left_kg": json_number(weighed.rear_kg),
        "light_front_wheel_kg": json_number(weighed.light_front_kg),
        "left_front_wheel_kg": json_number(weighed.left_front_kg),
        "right_front_wheel_kg": json_number(weighed.right_front_kg),
        "tipping_load_kg": json_number(weighed.tipping_load_kg),
        "tipping_ratio": json_number(tipping_ratio(job, pose, weighed)),
        "roll_moment_Nm": json_number(aside.moment_kgm * GRAVITY_M_S2),
        "beside_middle_m": json_number(aside.offset_m),
    }


def _bending(verdict: Verdict) -> dict[str, float | None] | None:
    """How far bending carries the hook, and what the truck then keeps: plain statics, nominal values."""
    weighed = verdict.balance
    if weighed is None:
        return None
    shift_m = verdict.hanging.hook_m - verdict.placed.hook_m
    return {
        "hook_down_m": json_number(shift_m.dot(verdict.placed.gravity)),
        "hook_forward_m": json_number(shift_m.x),
        "hook_left_m": json_number(shift_m.y),
        "rear_weight_left_kg": json_number(weighed.rear_kg),
        "light_front_wheel_kg": json_number(weighed.light_front_kg),
        "tipping_load_kg": json_number(weighed.tipping_load_kg),
    }


def _play(job: Job, verdict: Verdict) -> dict[str, float | None] | None:
    """How far the rig can settle in its sleeves and saddles, and where that carries the hook."""
    if verdict.balance is None:
        return None
    angles, shift = play.play_of_rig(job.rig, job.truck.forks), play.hook_shift(job, verdict.hanging)
    return {
        **{name: json_number(value) for name, value in angles._asdict().items()},
        **{f"hook_{name}": json_number(value) for name, value in shift._asdict().items()},
    }


def _lean(verdict: Verdict) -> dict[str, float | None] | None:
    """How far the truck leans on its tyres under this load, nose down and left down positive."""
    if verdict.balance is None:
        return None
    pitch, roll = lean.now(verdict.hanging)
    return {"pitch_rad": json_number(pitch), "roll_rad": json_number(roll)}


def _floor_known(job: Job, pose: Pose) -> bool:
    """Whether the floor's slope is known: an unknown one is drawn level, but its gravity must not be printed."""
    floor = find_floor(job, pose)
    return floor.fall_along is not None and floor.fall_across is not None


def _combined(weighed: Balance) -> dict[str, float | None]:
    return {
        "mass_kg": json_number(weighed.combined_kg),
        **dict(zip(AXES, json_numbers(weighed.combined_m), strict=True)),
    }


def _tip_line(line: TipLine) -> dict[str, object]:
    return {
        "name": line.name,
        "a_m": json_numbers(line.a_m),
        "b_m": json_numbers(line.b_m),
        "restoring_Nm": json_number(line.restoring_Nm),
        "load_Nm": json_number(line.load_Nm),
        "use": json_number(line.use),
        "left_out": list(line.left_out),
    }


# ---------------------------------------------------------------- text


def as_text(job: Job, pose: Pose, verdict: Verdict, system: System) -> str:
    """The verdict in plain words, in metric or US units."""
    lines = state_lines(job, pose, verdict, system)
    if verdict.governing is not None:
        allowed = show(verdict.allowed_load_kg, "kg_down", system)
        of_parts_entered = "" if verdict.proven else " of the parts entered"
        lines += [
            f"Governing part: {verdict.governing.name}",
            f"Allowed load here: {allowed}{of_parts_entered} ({_rigging_words(job, pose, system)})",
            f"  {LOAD_CONDITIONS}",
        ]
        lines += worst_case_report.text(verdict, system)
    if verdict.balance is not None:
        lines += _balance_text(job, pose, verdict, verdict.balance, system)
    if verdict.checks:
        lines += ["", "Limits, by use:"]
        for check in sorted(verdict.checks, key=lambda check: -float(check.use)):
            words = fill(check.words, check.numbers, system)
            lines.append(f"  {show(float(check.use), 'share', system):>7}  {check.name}: {words}")
    lines += _room_lines(verdict, system)
    lines += caution_lines(verdict, system)
    return "\n".join(lines)


def _room_lines(verdict: Verdict, system: System) -> list[str]:
    """Every gap, the shortest first."""
    if not verdict.room.checks:
        return []
    rows = sorted(verdict.room.checks, key=lambda check: -float(check.use))
    return ["", "Room:", *(f"  {fill(check.words, check.numbers, system)}" for check in rows)]


def state_lines(job: Job, pose: Pose, verdict: Verdict, system: System) -> list[str]:
    """Caution, job, pose, state and what refuses a verdict."""
    return [
        *heading(job),
        f"Pose {pose.name!r}: {pose_words(job, pose, system)}",
        "",
        f"{verdict.state}: {verdict.state_words}",
        *(f"  {line}" for line in problem_lines((*verdict.problems, *verdict.not_entered), system)),
    ]


def caution_lines(verdict: Verdict, system: System) -> list[str]:
    """What the figures rest on that nobody has proved, one line each, and what is not checked at all."""
    words = (fill(caution.words, caution.numbers, system) for caution in verdict.cautions)
    bear_in_mind = ["", "Bear in mind:", *(f"  {sentence}" for sentence in words)] if verdict.cautions else []
    return [*bear_in_mind, "", NOT_CHECKED_WORDS, *(f"  {part}" for part in NOT_CHECKED)]


def _rigging_words(job: Job, pose: Pose, system: System) -> str:
    if not pose.loaded:
        return "hook empty: rigging comes off this"
    return f"rigging of {show(job.load.rigging_kg.best, 'kg', system)} already counted"


def _aside_words(placed: Placed, system: System) -> str:
    """Roll moment of all that the forks carry, and how far beside the middle of the truck its centre stands."""
    aside = sideways.carried(placed)
    roll = show(abs(float(aside.moment_kgm)) * GRAVITY_M_S2, "Nm", system)
    side, beside = "left" if aside.moment_kgm >= 0.0 else "right", show(abs(float(aside.offset_m)), "m", system)
    return f"roll moment on the carriage {roll} to the {side}: what the forks carry has its centre {beside} aside"


def _lean_words(hanging: Placed, system: System) -> str:
    """How far the truck leans on its tyres."""
    pitch, roll = (float(angle) for angle in lean.now(hanging))
    nose, side = "nose down" if pitch >= 0.0 else "nose up", "left" if roll >= 0.0 else "right"
    forward, aside = show(abs(pitch), "deg", system), show(abs(roll), "deg", system)
    return f"the tyres give: the truck leans {forward} {nose} and {aside} to the {side}, which the limits count"


def _balance_text(job: Job, pose: Pose, verdict: Verdict, weighed: Balance, system: System) -> list[str]:
    placed, bare = verdict.placed, job.truck
    hook, shift_m = placed.hook_m, verdict.hanging.hook_m - placed.hook_m
    settled = play.hook_shift(job, verdict.hanging)
    rear_kg, light_kg = float(weighed.rear_kg), float(weighed.light_front_kg)

    def share(over: float, under: float) -> str:
        return show(over / under, "share", system)

    def metres(value: Number) -> str:
        return show(float(value), "m", system)

    def millimetres(value: Number) -> str:
        return show(float(value), "mm", system)

    tipping = show(float(weighed.tipping_load_kg), "kg_down", system)
    return [
        "",
        "Plain statics on the bent rig, best values, no allowances:",
        f"  rear weight left {show(rear_kg, 'kg', system)} "
        f"({share(rear_kg, bare.rear_axle_kg.best)} of the bare truck's, "
        f"{share(rear_kg, float(weighed.normal_kg))} of the whole weight)",
        f"  light front wheel {show(light_kg, 'kg', system)} "
        f"({share(light_kg, bare.front_axle_kg.best / 2.0)} of the bare truck's)",
        f"  {_aside_words(placed, system)}",
        f"  tipping load {tipping}, tipping ratio {show(tipping_ratio(job, pose, weighed), 'ratio', system)}",
        f"  hook {metres(hook.x)} from the front axle, "
        f"{metres(float(hook.x) - bare.front_overhang_m.best)} from the fork face, {metres(hook.z)} up, as drawn",
        f"  bending, as drawn, carries the hook {millimetres(shift_m.dot(placed.gravity))} down and "
        f"{millimetres(shift_m.x)} forward (not counted: play in hinges)",
        f"  {_lean_words(verdict.hanging, system)}",
        f"  play of sleeves and saddles can carry it {millimetres(settled.down_m)} down and "
        f"{millimetres(settled.forward_m)} forward, or {millimetres(settled.aside_m)} aside",
        *(f"  tipping use, {line.name}: {show(float(line.use), 'share', system)}" for line in weighed.lines),
    ]
