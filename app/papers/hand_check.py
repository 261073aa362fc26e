"""Hand-check sheet: the whole chain of sums with the numbers put in, to be redone with a pocket calculator."""

from __future__ import annotations

import math

from app.papers.layout import Column, Sheet
from app.papers.page_marks import SMALL
from app.papers.rounding import fixed
from app.papers.shared_parts import add_unknowns, sheet_for
from app.papers.subject import Subject
from app.papers.titles import TITLES
from engine.base.geometry import GRAVITY_M_S2, Vec
from engine.explain.phrases import pose_words
from engine.handling.moment_balance import moment_balance
from engine.limits import lean
from engine.limits.balance import Balance
from engine.shop.assumptions import KNOWN_WORDS, known_numbers
from engine.worst_case.worst_case import WorstCase

TITLE = TITLES["check"]
LIST = 12
"""Type size of the sums."""

NAMED_UNDER = 0.20
"""Limits used less than this in the worst case are named without their sums: ten minutes go to those that matter."""

BEYOND_KG = 100_000.0
"""Loads nobody could hang are not worth their digits."""

HOW = (
    "x ahead of the front tyres' contact, y to the left, z up, truck's frame. Distance of a weight over a line a-b: "
    "d = u . ((r - a) x g), with u from a to b and g the unit pull of gravity given; positive holds, negative tips. "
    "Moment = mass x g x d."
)


def build(subject: Subject, page: str) -> Sheet:
    """The sums of one pose."""
    sheet = sheet_for(TITLE, subject, page, sizes=True)
    verdict = subject.verdict
    pose = pose_words(subject.job, subject.pose, subject.units)
    sheet.text(
        f"Pose {subject.pose.name}: {pose}. {subject.permitted_words()}. On the hook: {subject.masses()}.",
        SMALL,
        bold=True,
    )
    if verdict.balance is None:
        sheet.boxed_sentence("No sums: the pose has no verdict.")
        sheet.points([subject.fill(problem) for problem in verdict.problems])
    else:
        _add_weights(sheet, subject, verdict.balance)
        _add_standing(sheet, subject, verdict.balance)
    if verdict.worst_case is not None:
        _add_limits(sheet, subject, verdict.worst_case)
    _add_entries(sheet, subject)
    add_unknowns(sheet, subject, rules=True, size=LIST - 1)
    return sheet


def _add_weights(sheet: Sheet, subject: Subject, balance: Balance) -> None:
    """Every weight, its place, and its moment over three lines, in SI: an engineer's check is done in one system."""
    placed = subject.verdict.hanging
    front, left, right, _ = balance.lines
    weights_by_line = [
        {weight.name: weight for weight in moment_balance(placed, line).weights} for line in (front, left, right)
    ]
    sheet.heading("1 Weights and their distances (SI: kg, m, N·m)", 60.0)
    rows = []
    for body in placed.bodies:
        place = (fixed(float(coordinate)) for coordinate in body.position_m)
        cells = [body.name, body.group, fixed(float(body.mass_kg), 1), *place]
        for weights in weights_by_line:
            weight = weights.get(body.name)
            if weight is None:
                cells += ["left out", ""]
            else:
                cells += [fixed(float(weight.distance_m)), fixed(float(weight.moment_Nm), 0)]
        rows.append(cells)
    for name, sums in (
        ("truck", [float(line.restoring_Nm) for line in (front, left, right)]),
        ("rig, rigging, load", [-float(line.load_Nm) for line in (front, left, right)]),
        ("left over", [float(line.margin_Nm) for line in (front, left, right)]),
    ):
        rows.append([name, "sum", "", "", "", "", *(cell for total in sums for cell in ("", fixed(total, 0)))])
    columns = (
        Column("body", 1.3),
        Column("group", 0.7),
        Column("kg", 0.65, "right"),
        Column("x", 0.6, "right"),
        Column("y", 0.6, "right"),
        Column("z", 0.6, "right"),
        Column("d front", 0.7, "right"),
        Column("moment", 0.75, "right"),
        Column("d left", 0.7, "right"),
        Column("moment", 0.75, "right"),
        Column("d right", 0.7, "right"),
        Column("moment", 0.75, "right"),
    )
    sheet.table(columns, rows, LIST, strong=tuple(range(len(rows) - 3, len(rows))))
    ends = "; ".join(f"{line.name}: a {_point(line.a_m)}, b {_point(line.b_m)}" for line in balance.lines)
    sheet.text(f"{HOW} g = {GRAVITY_M_S2} m/s2, unit pull {_point(placed.gravity, 4)}. Lines {ends}.", LIST)


def _point(at: Vec, places: int = 3) -> str:
    return "(" + ", ".join(fixed(float(value), places) for value in at) + ")"


def _add_standing(sheet: Sheet, subject: Subject, balance: Balance) -> None:
    """Reactions and tipping load from the sums above."""
    front = balance.lines[0]
    wheelbase_m = float(subject.verdict.placed.figures.wheelbase_m)
    margin, restoring, rig = float(front.margin_Nm), float(front.restoring_Nm), float(front.fixed_Nm)
    left_kg, right_kg = float(balance.left_front_kg), float(balance.right_front_kg)
    figures = subject.figures
    rear_kg, whole_kg, per_kg = float(balance.rear_kg), float(balance.normal_kg), float(front.per_kg_Nm)
    rear = f"{fixed(margin, 0)} / ({GRAVITY_M_S2} x {fixed(wheelbase_m)}) = {fixed(rear_kg, 1)} kg"
    share = f"{fixed(rear_kg, 1)} / {fixed(whole_kg, 1)} = {fixed(100.0 * rear_kg / whole_kg, 1)} %"
    tips = (
        f"({fixed(restoring, 0)} - {fixed(rig, 0)}) / {fixed(per_kg, 2)} = "
        f"{fixed((restoring - rig) / per_kg, 1)} kg over the front line"
        if per_kg > 0.0
        else "no load tips it forwards"
    )
    tipping, ratio = fixed(float(balance.tipping_load_kg), 1), ""
    if figures.hook_load_kg:
        times = (float(balance.tipping_load_kg) + figures.rigging_kg) / figures.hook_load_kg
        ratio = (
            f"; tipping ratio (tipping load + rigging) / hook load = ({tipping} + {fixed(figures.rigging_kg, 1)}) / "
            f"{fixed(figures.hook_load_kg, 1)} = {fixed(times, 2)}"
        )
    lines = [
        f"Rear weight left: margin over the front line / (g x wheelbase) = {rear}; of the whole weight {share}.",
        f"Front wheels: left {fixed(left_kg, 1)} kg, right {fixed(right_kg, 1)} kg; with the rear they carry "
        f"{fixed(whole_kg, 1)} kg.",
        f"Tipping load: (restoring - rig and rigging) / what each kg adds = {tips}; first of all lines "
        f"{tipping} kg, rigging not included{ratio}.",
        f"All together {fixed(float(balance.combined_kg), 1)} kg at {_point(balance.combined_m)}.",
    ]
    lines.append(_leaned_words(subject))
    sheet.heading(
        "2 How it stands with the load on: rig bent, tyres rigid (plain statics, as entered, no allowances)", 40.0
    )
    sheet.points(lines, LIST + 1)


def _leaned_words(subject: Subject) -> str:
    """What the other papers print: the same with the truck leaning on its tyres."""
    pitch, roll = (fixed(float(angle), 5) for angle in lean.now(subject.verdict.hanging))
    settled, figure = subject.figures.settled, subject.figure
    return (
        f"On its own tyres the truck leans {pitch} rad nose down and {roll} rad to the left: so much more slope. "
        f"So the other papers print: rear wheels {figure('rear_left_kg', settled)} left "
        f"({figure('rear_of_all')} of the whole weight), lightest front wheel {figure('light_wheel_kg', settled)}, "
        f"tipping load {figure('tipping_load_kg', settled)}."
    )


def _add_limits(sheet: Sheet, subject: Subject, worst: WorstCase) -> None:
    """Every limit, hardest used first: those that matter with their sums, the rest by name; rules named once."""
    checks, uses = subject.verdict.checks, worst.use_of_each
    sheet.heading("3 Every limit: demand against allowed, then the load at which it is met", 50.0)
    order = sorted(range(len(checks)), key=lambda index: -_sort_key(uses[index]))
    summed = [index for index in order if not uses[index] < NAMED_UNDER]
    sources = dict.fromkeys(checks[index].source for index in summed)
    rules = {source: number for number, source in enumerate(sources, start=1)}
    rows = []
    for index in summed:
        check = checks[index]
        rows.append(
            [
                subject.show(float(check.use), "use"),
                subject.show(uses[index], "use"),
                _load_words(subject, worst.allowed_load_kg[index]),
                f"{check.name}: {subject.sum_of(check)} [{rules[check.source]}]",
            ]
        )
    columns = (
        Column("best", 0.45, "right"),
        Column("worst", 0.45, "right"),
        Column("load, worst", 0.75, "right"),
        Column("sum with numbers [rule]", 7.0),
    )
    sheet.table(columns, rows, LIST)
    sheet.text("Rules: " + "; ".join(f"[{number}] {source}" for source, number in rules.items()) + ".", LIST - 1)
    named = [f"{checks[index].name} {subject.show(uses[index], 'use')}" for index in order if index not in summed]
    if named:
        under = subject.show(NAMED_UNDER, "share")
        sheet.text(f"Used under {under} in the worst case: {'; '.join(named)}.", LIST)


def _sort_key(use: float) -> float:
    """A use that is not a number counts as more than any."""
    return math.inf if math.isnan(use) else use


def _load_words(subject: Subject, load_kg: float) -> str:
    return subject.show_down(load_kg) if load_kg < BEYOND_KG else "far beyond"


def _add_entries(sheet: Sheet, subject: Subject) -> None:
    sheet.heading("4 Numbers that carry doubt: worst case takes each at its worse end", 40.0)
    show, entries = subject.show, []
    for number in known_numbers(subject.job, subject.pose):
        band = " / ".join(show(value, number.kind) for value in (number.low, number.best, number.high))
        entries.append(f"{number.name} {band} ({KNOWN_WORDS[number.known]})")
    sheet.text("Low / best / high: " + "; ".join(entries) + ".", LIST)
