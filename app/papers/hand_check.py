"""Hand-check sheet: the whole chain of sums with the numbers put in, to be redone with a pocket calculator."""

from __future__ import annotations

from app.papers.layout import SMALL, Column, Sheet
from app.papers.paper import Matter, sheet_for, unknown
from app.papers.titles import TITLES
from engine.base.geometry import GRAVITY_M_S2, Vec
from engine.explain.phrases import pose_words
from engine.handling.moment_balance import moment_balance, tipping_ratio
from engine.shop.assumptions import KNOWN_WORDS, known_numbers

TITLE = TITLES["check"]
LIST = 12

NAMED_UNDER = 0.20
"""Limits used less than this in the worst case are named without their sums: ten minutes go to those that matter."""

BEYOND_KG = 100_000.0

HOW = (
    "x ahead of the front tyres' contact, y to the left, z up, truck's frame. Distance of a weight over a line a-b: d = u . ((r - a) x g), with u from a to b "
    "and g the unit pull of gravity given; positive holds, negative tips. Moment = mass x g x d."
)


def build(about: Matter, page: str) -> Sheet:
    """The sums of one pose."""
    sheet = sheet_for(TITLE, about, page)
    sheet.text(
        f"Pose {about.pose.name}: {pose_words(about.job, about.pose, about.units)}. {about.here_words()}.",
        SMALL,
        bold=True,
    )
    if about.verdict.balance is None:
        sheet.strip("No sums: the pose has no verdict.")
        sheet.points([about.fill(problem) for problem in about.verdict.problems])
    else:
        _weights(sheet, about)
        _standing(sheet, about)
    if about.verdict.checks:
        _limits(sheet, about)
    _entries(sheet, about)
    unknown(sheet, about, rules=True, size=LIST - 1)
    return sheet


def _fixed(value: float, places: int = 3) -> str:
    text = f"{value:.{places}f}"
    return text if float(text) else text.removeprefix("-")


def _weights(sheet: Sheet, about: Matter) -> None:
    """In SI whatever the units shown: an engineer's check is done in one system."""
    placed, weighed = about.verdict.hanging, about.verdict.balance
    front, left, right, _ = weighed.lines
    over = [{weight.name: weight for weight in moment_balance(placed, line).weights} for line in (front, left, right)]
    sheet.heading("1 Weights and their distances (SI: kg, m, N·m)", 60.0)
    rows = []
    for body in placed.bodies:
        cells = [
            body.name,
            body.group,
            _fixed(float(body.mass_kg), 1),
            *(_fixed(float(value)) for value in body.position_m),
        ]
        for weights in over:
            weight = weights.get(body.name)
            cells += (
                ["left out", ""]
                if weight is None
                else [_fixed(float(weight.distance_m)), _fixed(float(weight.moment_Nm), 0)]
            )
        rows.append(cells)
    for name, part in (("truck", "restoring_Nm"), ("rig, rigging, load", "load_Nm"), ("left over", "margin_Nm")):
        sums = [
            _fixed((-1.0 if part == "load_Nm" else 1.0) * float(getattr(line, part)), 0)
            for line in (front, left, right)
        ]
        rows.append([name, "sum", "", "", "", "", *(cell for total in sums for cell in ("", total))])
    columns = (
        Column("body", 1.3), Column("group", 0.7), Column("kg", 0.65, "right"), Column("x", 0.6, "right"), Column("y", 0.6, "right"), Column("z", 0.6, "right"),
        Column("d front", 0.7, "right"), Column("moment", 0.75, "right"), Column("d left", 0.7, "right"), Column("moment", 0.75, "right"),
        Column("d right", 0.7, "right"), Column("moment", 0.75, "right"),
    )  # fmt: skip
    sheet.table(columns, rows, LIST, strong=tuple(range(len(rows) - 3, len(rows))))
    ends = "; ".join(f"{line.name}: a {_point(line.a_m)}, b {_point(line.b_m)}" for line in weighed.lines)
    sheet.text(f"{HOW} g = {GRAVITY_M_S2} m/s2, unit pull {_point(placed.gravity, 4)}. Lines {ends}.", LIST)


def _point(at: Vec, places: int = 3) -> str:
    return "(" + ", ".join(_fixed(float(value), places) for value in at) + ")"


def _standing(sheet: Sheet, about: Matter) -> None:
    """Reactions and tipping load from the sums above."""
    job, weighed = about.job, about.verdict.balance
    figures = about.verdict.placed.figures
    front = weighed.lines[0]
    base, margin = float(figures.wheelbase_m), float(front.margin_Nm)
    rear = f"{_fixed(margin, 0)} / ({GRAVITY_M_S2} x {_fixed(base)}) = {_fixed(float(weighed.rear_kg), 1)} kg"
    share = f"{_fixed(float(weighed.rear_kg), 1)} / {_fixed(float(weighed.normal_kg), 1)} = {about.show(float(weighed.rear_kg) / float(weighed.normal_kg), 'share')}"
    room, per = float(front.restoring_Nm) - float(front.fixed_Nm), float(front.per_kg_Nm)
    tips = (
        f"({_fixed(float(front.restoring_Nm), 0)} - {_fixed(float(front.fixed_Nm), 0)}) / {_fixed(per, 2)} = {_fixed(room / per, 1)} kg over the front line"
        if per > 0.0
        else "no load tips it forwards"
    )
    ratio = tipping_ratio(job, about.pose, weighed)
    lines = [
        f"Rear weight left: margin over the front line / (g x wheelbase) = {rear}; of the whole weight {share}.",
        f"Front wheels: left {_fixed(float(weighed.left_front_kg), 1)} kg, right {_fixed(float(weighed.right_front_kg), 1)} kg; with the rear they carry {_fixed(float(weighed.normal_kg), 1)} kg.",
        f"Tipping load: (restoring - rig and rigging) / what each kg adds = {tips}; first of all lines {_fixed(float(weighed.tipping_load_kg), 1)} kg; tipping ratio {about.show(ratio, 'ratio')}.",
        f"All together {_fixed(float(weighed.combined_kg), 1)} kg at {_point(weighed.combined_m)}.",
    ]
    sheet.heading("2 How it stands (plain statics, best values, no allowances)", 40.0)
    sheet.points(lines, LIST + 1)


def _limits(sheet: Sheet, about: Matter) -> None:
    """Every limit, hardest used first: those that matter with their sums, the rest by name; rules named once."""
    verdict = about.verdict
    sheet.heading("3 Every limit: demand against allowed, then the load at which it is met", 50.0)
    order = sorted(range(len(verdict.checks)), key=lambda index: -_rank(verdict.worst_case.use[index]))
    full = [index for index in order if not verdict.worst_case.use[index] < NAMED_UNDER]
    rules = {
        source: number
        for number, source in enumerate(dict.fromkeys(verdict.checks[index].source for index in full), start=1)
    }
    rows = []
    for index in full:
        check = verdict.checks[index]
        uses = [about.show(float(use), "share") for use in (check.use, verdict.worst_case.use[index])]
        rows.append(
            [
                *uses,
                _load(about, verdict.worst_case.allowed_load_kg[index]),
                f"{check.name}: {about.fill(check)} [{rules[check.source]}]",
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
    rest = [
        f"{verdict.checks[index].name} {about.show(verdict.worst_case.use[index], 'share')}"
        for index in order
        if index not in full
    ]
    if rest:
        sheet.text(f"Used under {about.show(NAMED_UNDER, 'share')} in the worst case: " + "; ".join(rest) + ".", LIST)


def _rank(use: float) -> float:
    """A use that is not a number comes first."""
    return use if use == use else float("inf")


def _load(about: Matter, load_kg: float) -> str:
    """Loads nobody could hang are not worth their digits."""
    return about.show(load_kg, "kg_down") if load_kg < BEYOND_KG else "far beyond"


def _entries(sheet: Sheet, about: Matter) -> None:
    sheet.heading("4 Numbers that carry doubt: worst case takes each at its worse end", 40.0)
    numbers = known_numbers(about.job, about.pose)
    words = [
        f"{number.name} {about.show(number.low, number.kind)} / {about.show(number.best, number.kind)} / {about.show(number.high, number.kind)} ({KNOWN_WORDS[number.known]})"
        for number in numbers
    ]
    sheet.text("Low / best / high: " + "; ".join(words) + ".", LIST)
