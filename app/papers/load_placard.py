"""Load placard: what may hang at each pin hole and arm pose, worst case, rounded down; blank until somebody signs."""

from __future__ import annotations

from app.papers.layout import Column, Sheet
from app.papers.page_marks import BODY, LARGE, MM, SMALL
from app.papers.pictures import side_picture
from app.papers.shared_parts import add_picture, add_unknowns, sheet_for
from app.papers.subject import Subject
from app.papers.titles import TITLES
from engine.explain.phrases import LOAD_CONDITIONS
from engine.explain.placard import Placard, placard
from engine.schema.model import find_floor
from engine.shop.assumptions import known_numbers

TITLE = TITLES["placard"]
RULES = (
    "Load: the thing lifted. Hook load: load and rigging (slings, shackles), what a scale in the hook reads. The "
    "rigging below is already taken off the load; heavier rigging comes off it.",
    "Boom pinned and clipped in the hole read. Between two arm poses the smaller figure counts, and the way between "
    "them must hold too.",
    "Do not travel with the load raised. No side pull, no load swinging. Work the levers smoothly. Upright at the tilt "
    "given. Never lift people.",
    "Not valid unless signed below, and only for the serials and revision above.",
)


def build(subject: Subject, page: str) -> Sheet:
    """The placard of the rig, floor and tilt as in the pose."""
    sheet = sheet_for(TITLE, subject, page)
    loads = placard(subject.job, subject.pose)
    if loads.problems or not loads.cells:
        problems = loads.problems
        why = subject.fill(problems[0]) if problems else "no pin hole keeps the boom in both saddles."
        sheet.boxed_sentence(f"No allowed load: {why}")
    else:
        add_load_table(sheet, subject, loads, LARGE - 4 if sum(loads.proven) > 4 else LARGE)
    _add_conditions(sheet, subject, loads)
    sheet.points(RULES, BODY, ticks=False)
    sheet.text(LOAD_CONDITIONS, SMALL, bold=True)
    picture = side_picture(subject.job, subject.pose, subject.verdict, sheet.column, 52.0 * MM)
    holes = "Holes count from the tail: hole 1 puts the boom furthest out."
    add_picture(sheet, picture, f"{holes} Pose drawn: {subject.pose.name}")
    sheet.boxes(("approved by (blank until given)", "reference", "date", "limits of the approval", "signature"), 60.0)
    add_unknowns(sheet, subject, rules=True, size=SMALL - 2)
    return sheet


def add_load_table(sheet: Sheet, subject: Subject, loads: Placard, size: int) -> None:
    """Load by hole and arm pose, and what gives first."""
    sheet.heading(
        "Allowed load, rigging not included (hook load in brackets)"
        if subject.job.approval
        else "Planned limit, NOT APPROVED: load, rigging not included (hook load in brackets)",
        80.0,
    )
    proven = [at for at, of_arm_set in enumerate(loads.proven) if of_arm_set]
    columns = [
        Column("hole", 0.55),
        Column("boom out", 1.0, "right"),
        Column("hook at", 1.5, "right"),
        *(Column(loads.arm_sets[at].name, 1.15, "right") for at in proven),
    ]
    rows = []
    for hole, out_m, between, row in zip(loads.holes, loads.out_m, loads.between_m, loads.cells, strict=True):
        loads_kg = [row[at].allowed_kg for at in proven]
        cells = ["-" if load_kg is None else _load_cell(subject, load_kg) for load_kg in loads_kg]
        low, high = ("", "-") if between is None else (subject.show(height_m, "m") for height_m in between)
        heights = f"{low.removesuffix(' m')}\N{EN DASH}{high}" if low else high
        rows.append([str(hole), subject.show(out_m, "m"), heights, *cells])
    if proven:
        sheet.table(columns, rows, size)
    governing = dict.fromkeys(cell.governing for row in loads.cells for cell in row if cell.governing)
    if any(row[at].allowed_kg is None for row in loads.cells for at in proven):
        sheet.text("- : nothing may hang there: the hook cannot be there, or something is in the way.", SMALL)
    if loads.unsettled:
        unproven = "; ".join(arms.name for at, arms in enumerate(loads.arm_sets) if at not in proven)
        sheet.text(f"NOT PROVEN, no load: {unproven}. Put right first:", SMALL, bold=True)
        sheet.points([subject.fill(problem) for problem in loads.unsettled], SMALL, ticks=False)
    if governing:
        sheet.text("What gives first in these figures: " + "; ".join(governing) + ".", SMALL)


def _load_cell(subject: Subject, allowed_kg: float) -> str:
    """Load, and in brackets the hook load with the rigging as entered."""
    hook_kg = allowed_kg + subject.job.load.rigging_kg.best if allowed_kg else 0.0
    return f"{subject.show_down(allowed_kg)} ({subject.show_down(hook_kg).rpartition(' ')[0]})"


def _add_conditions(sheet: Sheet, subject: Subject, loads: Placard) -> None:
    rows = [list(row) for row in conditions(subject, loads)]
    sheet.table((Column("Holds only for", 1.0), Column("", 2.6)), rows, BODY - 1)


def conditions(subject: Subject, loads: Placard) -> tuple[tuple[str, str], ...]:
    """What the loads hold for: hook and fork heights, tilt, floor, rigging, rig."""
    job, floor, show = subject.job, find_floor(subject.job, subject.pose), subject.show
    known = {number.name: number for number in known_numbers(job, subject.pose)}
    slopes = [
        f"{way} {show(known[way].low, 'fall')} to {show(known[way].high, 'fall')}"
        if way in known
        else f"{way} not known"
        for way in ("slope", "side slope")
    ]
    hook = "not known" if loads.hook_m is None else " to ".join(show(height_m, "m") for height_m in loads.hook_m)
    return (
        ("hook height over all holes", hook),
        ("forks no higher than", show(loads.lift_max_m, "m")),
        ("tilt of the upright", show(subject.pose.tilt_rad, "deg")),
        ("floor", f"{floor.name}: firm, {', '.join(slopes)}"),
        ("rigging counted", subject.show_up(job.load.rigging_kg.best)),
        ("rig weighs", subject.figure("rig_kg")),
    )
