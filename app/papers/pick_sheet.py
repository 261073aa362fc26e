"""Pick sheet: load, rigging, pose, floor, move and who is where, with the trial lift to tick and when to stop."""

from __future__ import annotations

from collections.abc import Sequence

from app.papers.drawing import side_picture
from app.papers.layout import MM, SMALL, Column, Sheet
from app.papers.paper import Matter, drawn, sheet_for, unknown
from app.papers.titles import TITLES
from engine.explain.phrases import LOAD_CONDITIONS, pose_words
from engine.explain.why import why
from engine.handling.arm_drift import drift
from engine.handling.hand_force import HIGH_HAND_N, hand_forces
from engine.planning.move import Plan, StepResult, plan
from engine.schema.model import Estimate, find_floor
from engine.schema.uncertainty_bands import low_high
from engine.shop.assumptions import KNOWN_WORDS, known_numbers
from engine.worst_case.verdict import STATE_WORDS

TITLE = TITLES["pick"]

BEFORE = (
    "Walked from A to B; stones kicked away; floor's fall read at four spots.",
    "Tyres felt and looked at; fork sides pushed; forks not bent, worn or welded.",
    "Every pin in and clipped; heel pins or chain on; nothing slid.",
    "Looked up: beams, doors, lines. No wind on a broad load.",
    "Boom and arms set with the hook empty and low.",
    "Load weighed, or its heaviest taken; rigging as listed; hook over the load's centre.",
)
TRIAL = (
    "Slack taken up; stopped; everybody clear.",
    "Raised 50-100 mm (2-4 in). Held. Hands off the levers.",
    "Rear tyres: still carrying, still round at the bottom.",
    "Sleeves: neither heels nor the far sleeve lifting.",
    "Pins: none turning, creeping or bending. Welds: no new line in the paint.",
    "Arms stay where they were put; load does not run or turn.",
    "Lowered and raised once more: sag as before.",
)
STOP = (
    "The rear feels light, a rear tyre skids or the steering turns to nothing.",
    "A sleeve lifts, a pin moves, anything cracks, creaks or bends.",
    "The load swings, snags or turns; an arm runs.",
    "The load turns out heavier than its heaviest figure here.",
    "Somebody steps inside the stay-clear circle or you lose sight of the signaller.",
    "The driver would have to leave the seat with the load up.",
)
CREW = ("at the controls", "signaller", "on the tag line", "keeps people out")


def build(about: Matter, page: str) -> Sheet:
    """The sheet of one pick."""
    sheet = sheet_for(TITLE, about, page)
    plans = [plan(about.job, move) for move in about.job.moves]
    sheet.strip(f"{_state(about, plans)}. {about.here_words()}.")
    sheet.text(LOAD_CONDITIONS, SMALL, bold=True)
    sentences = why(about.job, about.pose, about.verdict)
    sheet.text(f"{about.fill(sentences.cause)} {about.fill(sentences.order)}", SMALL)
    sheet.panes((1.6, 1.0), (lambda: _drawing(sheet, about), lambda: _pose(sheet, about)), 66.0 * MM)
    _load(sheet, about)
    sheet.panes((1.0, 1.0), (lambda: _floor(sheet, about), lambda: _hands(sheet, about)), 30.0 * MM)
    for found in plans:
        _move(sheet, about, found)
    sheet.heading("Who is where", 50.0)
    sheet.boxes(CREW)
    sheet.columns((("Before", BEFORE), ("Trial lift", TRIAL)), ticks=True)
    sheet.columns((("Stop, set down, think again when", STOP[:3]), (" ", STOP[3:])))
    sheet.boxes(
        ("time of trial lift", "rear scale, if there is one", "go / no go", "signed, driver", "signed, signaller")
    )
    unknown(sheet, about, size=SMALL - 2)
    return sheet


def _drawing(sheet: Sheet, about: Matter) -> None:
    drawn(sheet, side_picture(about.job, about.pose, about.verdict, sheet.column, 60.0 * MM), "Side view")


def _load(sheet: Sheet, about: Matter) -> None:
    job = about.job
    entries = (
        ("load: " + job.load.name, job.load.mass_kg),
        ("rigging", job.load.rigging_kg),
        ("hook gear (counted with the rig)", job.rig.hook.mass_kg),
    )
    rows = [_load_row(about, name, estimate) for name, estimate in entries]
    both = [
        sum(figures) for figures in zip(*(_figures(e) for e in (job.load.mass_kg, job.load.rigging_kg)), strict=True)
    ]
    rows.append(["hook load: load and rigging", *(about.show(value, "kg") for value in both), "the high side is used"])
    columns = (
        Column("Load and rigging", 2.2),
        Column("low", 1.0, "right"),
        Column("best", 1.0, "right"),
        Column("high", 1.0, "right"),
        Column("how known", 1.4),
    )
    sheet.table(columns, rows, strong=(len(rows) - 1,))


def _figures(estimate: Estimate[float]) -> tuple[float, float, float]:
    low, high = low_high(estimate, "mass")
    return low, estimate.best, high


def _load_row(about: Matter, name: str, estimate: Estimate[float]) -> list[str]:
    return [name, *(about.show(value, "kg") for value in _figures(estimate)), KNOWN_WORDS[estimate.known]]


def _pose(sheet: Sheet, about: Matter) -> None:
    placed, worst = about.verdict.placed, about.verdict.worst_case
    hook = placed.hook_m
    rows = [
        ["pose", about.pose.name],
        ["set", pose_words(about.job, about.pose, about.units)],
        ["hook from front axle", about.show(float(hook.x), "m")],
        ["hook from fork face", about.show(float(hook.x) - about.job.truck.front_overhang_m.best, "m")],
        ["hook to the left", about.show(float(hook.y), "m")],
        ["hook height", about.show(float(hook.z), "m")],
    ]
    if worst is not None:
        rows += [
            ["rear weight left, worst case", about.show(worst.standing.rear_weight_left_kg, "kg_down")],
            ["light front wheel, worst case", about.show(worst.standing.light_front_wheel_kg, "kg_down")],
            ["tipping load, worst case", about.show(worst.standing.tipping_load_kg, "kg_down")],
        ]
    sheet.table((Column("Pose", 1.0), Column("", 1.0)), rows)


def _floor(sheet: Sheet, about: Matter) -> None:
    floor = find_floor(about.job, about.pose)
    rows = [["place", floor.name]]
    known = {number.name: number for number in known_numbers(about.job, about.pose)}
    for way, positive in (("along", "forward"), ("across", "to the left")):
        number = known.get(f"floor's fall {way}")
        if number is None:
            rows.append([f"fall {way}", "not known"])
        else:
            band = f"{about.show(number.low, 'fall')} to {about.show(number.high, 'fall')}"
            rows.append(
                [
                    f"fall {way} ({positive} +)",
                    f"{about.show(number.best, 'fall')} ({band}), {KNOWN_WORDS[number.known]}",
                ]
            )
    sheet.table((Column("Floor", 1.0), Column("", 1.3)), rows)
    if not about.job.moves:
        sheet.text("Move: none in the file. Raise, look, set down in this pose only.", SMALL)


def _hands(sheet: Sheet, about: Matter) -> None:
    if about.verdict.balance is None:
        return
    forces = [
        force
        for force in hand_forces(about.job, about.pose)
        if force.loaded == (about.pose.loaded and force.part != "boom")
    ]
    columns = (Column("Push by hand, dry", 1.0), Column("to move", 0.8, "right"), Column("", 1.2))
    over = f"over {about.show(HIGH_HAND_N, 'N')}: too much"
    sheet.table(
        columns,
        [
            [
                force.part if force.loaded else f"{force.part}, hook empty",
                about.show(force.uphill_dry_N, "N"),
                over if force.too_much else "",
            ]
            for force in forces
        ],
    )
    for arm in drift(about.job, about.pose).arms:
        if arm.runs != "still":
            start = "starts by itself" if arm.starts_by_itself else "wants to turn"
            sheet.text(f"{arm.name} {start} to the {arm.runs} when let go: tag line.", SMALL, bold=arm.starts_by_itself)


def _state(about: Matter, plans: Sequence[Plan]) -> str:
    """The pose's state, and that of every move that is not within the limits: nobody reads past the first line."""
    words = STATE_WORDS[about.verdict.state]
    others = [f"move {found.name}: {STATE_WORDS[found.state]}" for found in plans if found.state != "WITHIN"]
    return f"THIS POSE: {words}. BUT {'; '.join(others)}" if others else words


def _move(sheet: Sheet, about: Matter, found: Plan) -> None:
    sheet.heading(f"Move: {found.name}: {STATE_WORDS[found.state]}", 50.0)
    rows = [_step(about, number, step) for number, step in enumerate(found.steps, start=1)]
    columns = (
        Column("", 0.25),
        Column("step", 2.2),
        Column("controls", 0.6),
        Column("worst use", 0.7, "right"),
        Column("what rules there", 1.8),
    )
    sheet.table(columns, rows, strong=() if found.worst_step is None else (found.worst_step,))
    if found.worst_step is not None:
        worst = found.steps[found.worst_step]
        sheet.text(
            f"Worst point: step {found.worst_step + 1}, {about.show(worst.peak_share, 'share')} of the way, {about.show(worst.peak_use, 'share')} used (bold above).",
            SMALL,
            bold=True,
        )
    sheet.points(
        [about.fill(objection) for objection in found.objections] + [about.fill(problem) for problem in found.problems],
        SMALL,
    )


def _step(about: Matter, number: int, result: StepResult) -> list[str]:
    rules = max(result.stretches, key=lambda stretch: stretch.use).rules if result.stretches else ""
    return [str(number), about.fill(result.step), result.step.controls, about.show(result.bound_use, "share"), rules]
