"""The verdict on one pose as text for a person and as JSON for another program."""

from __future__ import annotations

import json
from collections.abc import Sequence

from engine.base.formatting import System, fill, show
from engine.base.geometry import GRAVITY_M_S2, Number
from engine.cli import worst_case_report
from engine.cli.report_parts import (
    heading,
    json_heading,
    json_load,
    json_number,
    json_numbers,
    json_problems,
    problem_lines,
)
from engine.explain.phrases import LOAD_CONDITIONS, pose_words
from engine.explain.shown import (
    SETTLES_M,
    ShownFigures,
    figure_text,
    figures_as_set,
    masses_text,
    shown_figures,
)
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
    bending, and so do the keys with ``settled`` in them, which are what window and papers show.  A load that is
    ``null`` is not known, or no load meets the limit (``limits_load`` false); 0.0 means that nothing may hang.
    """
    figures = shown_figures(job, pose, verdict)
    settled = figures.settled
    return {
        **summary(job, pose, verdict),
        **_drawn_bodies(job, pose, verdict),
        **_drawn_balance(job, pose, verdict),
        "hook_settled_m": json_numbers(verdict.hanging.hook_m),
        "rear_weight_left_settled_kg": None if settled is None else json_number(settled.rear_left_kg),
        "light_front_wheel_settled_kg": None if settled is None else json_number(settled.light_wheel_kg),
        "tipping_load_settled_kg": None if settled is None else json_number(settled.tipping_load_kg),
        "tipping_ratio_settled": None if settled is None else json_number(settled.tipping_ratio),
        "bending": _bending(verdict, figures),
        "play": _play(job, verdict),
        "lean_on_tyres": _lean(verdict),
        "checks": [check_dict(check) for check in verdict.checks],
        "worst": worst_case_report.worst_dict(verdict, figures),
        "best": worst_case_report.nominal_dict(verdict, figures),
        "doubt": worst_case_report.cost_dicts(verdict),
    }


def summary(job: Job, pose: Pose, verdict: Verdict) -> dict[str, object]:
    """The keys that say what the verdict is on and how it came out."""
    figures = shown_figures(job, pose, verdict)
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
        "load_kg": json_number(figures.load_kg),
        "rigging_kg": json_number(figures.rigging_kg),
        "hook_load_kg": json_number(figures.hook_load_kg),
        "allowed_load_kg": json_number(figures.allowed_load_kg),
        "allowed_hook_load_kg": json_number(figures.allowed_hook_load_kg),
        "allowed_if_clear_kg": json_number(figures.allowed_if_clear_kg),
        "governing_use": json_number(figures.governing_use),
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
        **json_load(check.allowed_load_kg),
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
        **json_load(check.allowed_load_kg),
        "words": fill(check.words, check.shown_numbers, "metric"),
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
    as_set = figures_as_set(job, pose, verdict)
    if as_set is None:
        weights = ("rear_weight_left_kg", "light_front_wheel_kg", "left_front_wheel_kg", "right_front_wheel_kg")
        others = ("tipping_load_kg", "tipping_ratio", "roll_moment_Nm", "beside_middle_m")
        return {"combined": None, "tip_lines": [], **dict.fromkeys((*weights, *others))}
    weighed, aside = balance.weigh(verdict.placed), sideways.carried(verdict.placed)
    return {
        "combined": _combined(weighed),
        "tip_lines": [_tip_line(line) for line in weighed.lines],
        "rear_weight_left_kg": json_number(as_set.rear_left_kg),
        "light_front_wheel_kg": json_number(as_set.light_wheel_kg),
        "left_front_wheel_kg": json_number(weighed.left_front_kg),
        "right_front_wheel_kg": json_number(weighed.right_front_kg),
        "tipping_load_kg": json_number(as_set.tipping_load_kg),
        "tipping_ratio": json_number(as_set.tipping_ratio),
        "roll_moment_Nm": json_number(aside.moment_kgm * GRAVITY_M_S2),
        "beside_middle_m": json_number(aside.offset_m),
    }


def _bending(verdict: Verdict, figures: ShownFigures) -> dict[str, float | None] | None:
    """How far bending carries the hook, and what the truck then keeps: plain statics, nominal values."""
    settled = figures.settled
    if settled is None:
        return None
    shift_m = verdict.hanging.hook_m - verdict.placed.hook_m
    return {
        "hook_down_m": json_number(shift_m.dot(verdict.placed.gravity)),
        "hook_forward_m": json_number(shift_m.x),
        "hook_left_m": json_number(shift_m.y),
        "rear_weight_left_kg": json_number(settled.rear_left_kg),
        "light_front_wheel_kg": json_number(settled.light_wheel_kg),
        "tipping_load_kg": json_number(settled.tipping_load_kg),
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
    lines, figures = state_lines(job, pose, verdict, system), shown_figures(job, pose, verdict)
    lines.append(f"On the hook: {masses_text(figures, system)}")
    if verdict.governing is not None:
        allowed, hook_load, use = (
            figure_text(figures, name, system) for name in ("allowed_load_kg", "allowed_hook_load_kg", "governing_use")
        )
        of_parts_entered = "" if verdict.proven else " of the parts entered"
        used = "" if verdict.governing.of == "room" else f", {use} used in the worst case"
        lines += [
            f"Governing part: {verdict.governing.name}{used}",
            f"Allowed load here: {allowed}{of_parts_entered}, rigging not included; hook load {hook_load}",
            f"  {LOAD_CONDITIONS}",
        ]
        if figures.allowed_if_clear_kg is not None:
            lines.append(f"  with nothing in the way: load {figure_text(figures, 'allowed_if_clear_kg', system)}")
        lines += worst_case_report.text(verdict, figures, system)
    if verdict.leaned is not None:
        lines += _balance_text(job, pose, verdict, verdict.leaned, system)
    if verdict.checks:
        lines += ["", "Limits, by use:"]
        for check in sorted(verdict.checks, key=lambda check: -float(check.use)):
            words = fill(check.words, check.shown_numbers, system)
            lines.append(f"  {show(float(check.use), 'use', system):>7}  {check.name}: {words}")
    lines += _room_lines(verdict, system)
    lines += caution_lines(verdict, system)
    return "\n".join(lines)


def _room_lines(verdict: Verdict, system: System) -> list[str]:
    """Every gap, the shortest first."""
    if not verdict.room.checks:
        return []
    rows = sorted(verdict.room.checks, key=lambda check: -float(check.use))
    return ["", "Room:", *(f"  {fill(check.words, check.shown_numbers, system)}" for check in rows)]


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


def _settled_hook(figures: ShownFigures, system: System) -> list[str]:
    """Where the hook is with the load on, if a tape shows it."""
    if figures.hook_moves_m <= SETTLES_M:
        return []
    reach, height = (figure_text(figures, name, system) for name in ("reach_settled_m", "hook_height_settled_m"))
    return [f"  with the load on {reach} from the front axle, {height} up"]


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
    figures, drawn = shown_figures(job, pose, verdict), figures_as_set(job, pose, verdict)
    placed = verdict.placed
    shift_m = verdict.hanging.hook_m - placed.hook_m
    settled = play.hook_shift(job, verdict.hanging)

    def of_pose(name: str) -> str:
        return figure_text(figures, name, system)

    def on_wheels(name: str) -> str:
        """As it settles, and as set where that shows otherwise."""
        settled, as_set = figure_text(figures.settled, name, system), figure_text(drawn, name, system)
        return settled if settled == as_set else f"{settled} (as set {as_set})"

    def millimetres(value: Number) -> str:
        return show(float(value), "mm", system)

    return [
        "",
        "Plain statics with the load on (rig bent, truck leaned), as entered, no allowances:",
        f"  rear weight left {on_wheels('rear_left_kg')}: "
        f"{of_pose('rear_of_bare')} of the bare truck's, {of_pose('rear_of_all')} of the whole weight",
        f"  lightest front wheel, {figures.light_side}, {on_wheels('light_wheel_kg')}: "
        f"{of_pose('light_of_bare')} of the bare truck's",
        f"  {_aside_words(placed, system)}",
        f"  tipping load {on_wheels('tipping_load_kg')}, "
        f"tipping ratio {figure_text(figures.settled, 'tipping_ratio', system)}",
        f"  hook as set {of_pose('reach_m')} from the front axle, {of_pose('from_fork_face_m')} from the fork face, "
        f"{of_pose('hook_height_m')} up",
        *_settled_hook(figures, system),
        f"  bending carries the hook {millimetres(shift_m.dot(placed.gravity))} down and "
        f"{millimetres(shift_m.x)} forward (not counted: play in hinges)",
        f"  {_lean_words(verdict.hanging, system)}",
        f"  play of sleeves and saddles can carry it {millimetres(settled.down_m)} down and "
        f"{millimetres(settled.forward_m)} forward, or {millimetres(settled.aside_m)} aside",
        *(f"  tipping use, {line.name}: {show(float(line.use), 'use', system)}" for line in weighed.lines),
    ]
