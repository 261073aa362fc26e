"""Load placard: what may hang at each pin hole and arm pose, worst case, rounded down; blank until somebody signs."""

from __future__ import annotations

from app.papers.drawing import side_picture
from app.papers.layout import BODY, LARGE, MM, SMALL, Column, Sheet
from app.papers.paper import Matter, drawn, sheet_for, unknown
from app.papers.titles import TITLES
from engine.explain.phrases import LOAD_CONDITIONS
from engine.explain.placard import Placard, placard
from engine.schema.model import find_floor
from engine.shop.assumptions import known_numbers

TITLE = TITLES["placard"]
RULES = (
    "Hook load includes slings and shackles: the rigging below is already taken off; heavier rigging comes off the figure.",
    "Boom pinned and clipped in the hole read. Between two arm poses the smaller figure counts, and the way between them must hold too.",
    "No travel raised, no side pull, no load swinging; gentle levers; upright at the tilt given; never lift people.",
    "Not valid unless signed below, and only for the serials and revision above.",
)


def build(about: Matter, page: str) -> Sheet:
    """The placard of the rig, floor and tilt as in the pose."""
    sheet = sheet_for(TITLE, about, page)
    found = placard(about.job, about.pose)
    if found.problems or not found.cells:
        words = about.fill(found.problems[0]) if found.problems else "no pin hole keeps the boom in both saddles."
        sheet.strip(f"No allowed load: {words}")
    else:
        load_table(sheet, about, found, LARGE - 4 if len(found.arm_sets) > 4 else LARGE)
    _limits(sheet, about, found)
    sheet.points(RULES, BODY, ticks=False)
    sheet.text(LOAD_CONDITIONS, SMALL, bold=True)
    drawn(
        sheet,
        side_picture(about.job, about.pose, about.verdict, sheet.column, 52.0 * MM),
        f"Holes count from the tail: hole 1 puts the boom furthest out. Pose drawn: {about.pose.name}",
    )
    sheet.boxes(("approved by (blank until given)", "reference", "date", "limits of the approval", "signature"), 60.0)
    unknown(sheet, about, rules=True, size=SMALL - 2)
    return sheet


def load_table(sheet: Sheet, about: Matter, found: Placard, size: int) -> None:
    """Load by hole and arm pose, and what gives first."""
    kind = (
        "Load that may hang on the hook besides the rigging"
        if about.job.approval
        else "Load planned for, NOT APPROVED, besides the rigging"
    )
    sheet.heading(kind, 80.0)
    columns = [
        Column("hole", 0.55),
        Column("boom out", 1.0, "right"),
        *(Column(arms.name, 1.15, "right") for arms in found.arm_sets),
    ]
    rows = []
    for hole, out_m, row in zip(found.holes, found.out_m, found.cells, strict=True):
        cells = ["-" if cell.allowed_kg is None else about.show(cell.allowed_kg, "kg_down") for cell in row]
        rows.append([str(hole), about.show(out_m, "m"), *cells])
    sheet.table(columns, rows, size)
    governing = dict.fromkeys(cell.governing for row in found.cells for cell in row if cell.governing)
    sheet.text("What gives first in these figures: " + "; ".join(governing) + ".", SMALL)


def _limits(sheet: Sheet, about: Matter, found: Placard) -> None:
    job, floor = about.job, find_floor(about.job, about.pose)
    falls = [
        f"{number.name.removeprefix('floor' + chr(39) + 's ')} {about.show(number.low, 'fall')} to {about.show(number.high, 'fall')}"
        for number in known_numbers(job, about.pose)
        if number.name.startswith("floor")
    ]
    hook = (
        "not known"
        if found.hook_m is None
        else f"{about.show(found.hook_m[0], 'm')} to {about.show(found.hook_m[1], 'm')}"
    )
    rows = [
        ["hook height these figures hold for", hook],
        ["forks no higher than", about.show(found.lift_max_m, "m")],
        ["tilt of the upright", about.show(about.pose.tilt_rad, "deg")],
        ["floor", f"{floor.name}: firm, {', '.join(falls) or 'fall not known'}"],
        ["rigging counted", about.show(job.load.rigging_kg.best, "kg")],
        ["rig weighs", about.show(_rig_kg(about), "kg")],
    ]
    sheet.table((Column("Holds only for", 1.0), Column("", 2.6)), rows, BODY - 1)


def _rig_kg(about: Matter) -> float:
    return sum(float(body.mass_kg) for body in about.verdict.placed.bodies if body.group == "rig")
