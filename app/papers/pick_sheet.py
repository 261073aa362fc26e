"""Pick sheet: load, rigging, pose, floor, move and who is where, with the trial lift to tick and when to stop."""

from __future__ import annotations

from collections.abc import Sequence

from app.papers.layout import Column, Sheet
from app.papers.page_marks import MM, SMALL
from app.papers.pictures import side_picture
from app.papers.shared_parts import JUST_RAISED, add_picture, add_unknowns, sheet_for
from app.papers.subject import Subject
from app.papers.titles import TITLES
from engine.explain.phrases import LOAD_CONDITIONS, pose_words
from engine.explain.shown import SETTLES_M
from engine.explain.why import why
from engine.handling.arm_drift import drift
from engine.handling.hand_force import HIGH_HAND_N, NEVER_LOADED, hand_forces
from engine.planning.move import Plan, StepResult, plan
from engine.rig.pin_places import RETENTION_WORDS, pins_in_use
from engine.schema.model import find_floor
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import low_high
from engine.shop.assumptions import KNOWN_WORDS, known_numbers
from engine.shop.gear_list import GearRow, gear_list
from engine.worst_case.verdict import STATE_WORDS

TITLE = TITLES["pick"]

BEFORE = (
    "Walked from A to B; stones kicked away; slope read at four spots.",
    "Tyres checked; fork sides pushed; forks not bent, worn or welded.",
    "Every pin ticked above; heel chain on, if there is one; nothing slid.",
    "Looked up: beams, doors, lines. No wind on a broad load.",
    "Boom and arms set with the hook empty and low.",
    "Load weighed, or its heaviest taken; rigging as listed; hook over the load's centre.",
)
TRIAL = (
    "Slack taken up; stopped; everybody clear.",
    "Raised {height}. Held. Hands off the levers.",
    "Rear tyres: still carrying, still round at the bottom.",
    "Sleeves: neither heels nor the far sleeve lifting.",
    "Pins: none turning, creeping or bending. Welds: no new line in the paint.",
    "Arms stay where they were put; load does not run or turn.",
    "Lowered and raised once more: sag as before.",
)
STOP = (
    "The rear feels light, a rear tyre skids or the steering goes light.",
    "A sleeve lifts, a pin moves, anything cracks, creaks or bends.",
    "The load swings, snags or turns; an arm runs.",
    "The load turns out heavier than its heaviest figure here.",
    "Somebody steps inside the stay-clear circle or you lose sight of the signaller.",
    "The driver would have to leave the seat with the load up.",
)
CREW = ("at the controls", "signaller", "on the tag line", "keeps people out")


def build(subject: Subject, page: str) -> Sheet:
    """The sheet of one pick."""
    sheet = sheet_for(TITLE, subject, page, sizes=True)
    job, pose, verdict = subject.job, subject.pose, subject.verdict
    plans = [plan(job, move) for move in job.moves]
    sheet.boxed_sentence(f"{_state_words(subject, plans)}. {subject.permitted_words()}.")
    sheet.text(LOAD_CONDITIONS, SMALL, bold=True)
    sentences = why(job, pose, verdict)
    sheet.text(f"{subject.fill(sentences.cause)} {subject.fill(sentences.order)}", SMALL)
    sheet.panes((1.6, 1.0), (lambda: _add_drawing(sheet, subject), lambda: _add_pose(sheet, subject)), 66.0 * MM)
    _add_load(sheet, subject)
    _add_gear(sheet, subject)
    _add_pins(sheet, subject)
    sheet.panes((1.0, 1.0), (lambda: _add_floor(sheet, subject), lambda: _add_hand_forces(sheet, subject)), 30.0 * MM)
    for plan_of_move in plans:
        _add_move(sheet, subject, plan_of_move)
    sheet.heading("Who is where", 50.0)
    sheet.boxes(CREW)
    trial = [words.format(height=JUST_RAISED[subject.units]) for words in TRIAL]
    sheet.lists((("Before", BEFORE), ("Trial lift", trial)), ticks=True)
    sheet.lists((("Stop, set down, think again when", STOP[:3]), (" ", STOP[3:])))
    sheet.boxes(
        ("time of trial lift", "rear scale, if there is one", "go / no go", "signed, driver", "signed, signaller")
    )
    add_unknowns(sheet, subject, size=SMALL - 2)
    return sheet


def _add_drawing(sheet: Sheet, subject: Subject) -> None:
    picture = side_picture(subject.job, subject.pose, subject.verdict, sheet.column, 60.0 * MM)
    add_picture(sheet, picture, "Side view")


def _add_load(sheet: Sheet, subject: Subject) -> None:
    """Load and rigging with their bands, and the sum that hangs."""
    load = subject.job.load
    entries = (
        (f"load: {load.name}", load.mass_kg),
        ("rigging", load.rigging_kg),
        ("hook gear (counted with the rig)", subject.job.rig.hook.mass_kg),
    )
    rows = [[name, *_band_cells(subject, _band(estimate)), KNOWN_WORDS[estimate.known]] for name, estimate in entries]
    low_kg, best_kg, high_kg = (sum(masses) for masses in zip(_band(load.mass_kg), _band(load.rigging_kg), strict=True))
    cells = _band_cells(subject, (low_kg, best_kg, high_kg))
    rows.append(["hook load: load + rigging", *cells, "the high side is used"])
    columns = (
        Column("Load and rigging", 2.2),
        Column("low", 1.0, "right"),
        Column("best", 1.0, "right"),
        Column("high", 1.0, "right"),
        Column("how known", 1.4),
    )
    sheet.table(columns, rows, strong=(len(rows) - 1,))


def _add_gear(sheet: Sheet, subject: Subject) -> None:
    """Bought gear from the rig down, with boxes to tick against its marks."""
    rows = [
        [
            row.name,
            "not entered" if row.rated_kg is None else subject.show_down(row.rated_kg),
            _how_it_hangs(subject, row),
            row.note,
        ]
        for row in gear_list(subject.job)
    ]
    columns = (
        Column("Bought gear, from the rig down", 2.2),
        Column("marked, for one leg", 1.4, "right"),
        Column("legs", 1.2, "right"),
        Column("mark and inspection read today", 1.8),
    )
    sheet.table(columns, rows or [["none entered", "", "", ""]])


def _how_it_hangs(subject: Subject, row: GearRow) -> str:
    if row.pins_m is not None:
        return subject.pin_to_pin(row.pins_m)
    return "plumb" if row.angle_rad is None else f"{subject.show(row.angle_rad, 'angle')} from level"


def _add_pins(sheet: Sheet, subject: Subject) -> None:
    """Every pin that the pose relies on and what keeps it in its hole, to tick when it has been seen there."""
    pins = [
        f"{place.name}: {RETENTION_WORDS[place.pin.retention]}" for place in pins_in_use(subject.job.rig, subject.pose)
    ]
    half = (len(pins) + 1) // 2
    sheet.lists((("Pins in place, and what keeps them in", pins[:half]), (" ", pins[half:])), ticks=True)


def _band(estimate: Estimate[float]) -> tuple[float, float, float]:
    """Low, best and high of a mass."""
    low, high = low_high(estimate, "mass")
    return low, estimate.best, high


def _band_cells(subject: Subject, band_kg: tuple[float, float, float]) -> tuple[str, str, str]:
    """Its low end rounded down, the rest up."""
    low_kg, best_kg, high_kg = band_kg
    return subject.show_down(low_kg), subject.show_up(best_kg), subject.show_up(high_kg)


def _add_pose(sheet: Sheet, subject: Subject) -> None:
    rows = [
        ["pose", subject.pose.name],
        ["set", pose_words(subject.job, subject.pose, subject.units)],
        ["hook from front axle, as set", subject.figure("reach_m")],
        ["hook from fork face, as set", subject.figure("from_fork_face_m")],
        ["hook to the left, as set", subject.show(float(subject.verdict.placed.hook_m.y), "mm")],
        ["hook height, as set", subject.figure("hook_height_m")],
    ]
    if subject.figures.hook_moves_m > SETTLES_M:
        reach, height = subject.figure("reach_settled_m"), subject.figure("hook_height_settled_m")
        rows.append(["with the load on", f"{reach} from front axle, {height} up"])
    worst = subject.figures.worst
    if worst is not None:
        rows += [
            ["rear weight left, worst case", subject.figure("rear_left_kg", worst)],
            ["lightest front wheel, worst case", subject.figure("light_wheel_kg", worst)],
            ["tipping load, rigging not included, worst case", subject.figure("tipping_load_kg", worst)],
        ]
    sheet.table((Column("Pose", 1.0), Column("", 1.0)), rows)


def _add_floor(sheet: Sheet, subject: Subject) -> None:
    rows = [["place", find_floor(subject.job, subject.pose).name]]
    known = {number.name: number for number in known_numbers(subject.job, subject.pose)}
    for name, positive in (("slope", "down to the front"), ("side slope", "down to the left")):
        number = known.get(name)
        if number is None:
            rows.append([name, "not known"])
            continue
        best, low, high = (subject.show(value, "fall") for value in (number.best, number.low, number.high))
        rows.append([f"{name} ({positive} +)", f"{best} ({low} to {high}), {KNOWN_WORDS[number.known]}"])
    sheet.table((Column("Floor", 1.0), Column("", 1.3)), rows)
    if not subject.job.moves:
        sheet.text("Move: none in the file. Raise, look, set down in this pose only.", SMALL)


def _add_hand_forces(sheet: Sheet, subject: Subject) -> None:
    """What pushing each part takes, and which arms run by themselves."""
    job, pose = subject.job, subject.pose
    if subject.verdict.balance is None:
        return
    too_much = f"over {subject.show(HIGH_HAND_N, 'N')}: too much"
    rows = [
        [
            force.part if force.loaded else f"{force.part}, hook empty",
            subject.show(force.uphill_dry_N, "N"),
            too_much if force.too_much else "",
        ]
        for force in hand_forces(job, pose)
        if force.loaded == (pose.loaded and force.part != "boom")
    ]
    sheet.table((Column("Push by hand, dry", 1.0), Column("to move", 0.8, "right"), Column("", 1.2)), rows)
    sheet.text(NEVER_LOADED, SMALL)
    for arm in drift(job, pose).arms:
        if arm.runs != "still":
            start = "starts by itself" if arm.starts_by_itself else "wants to turn"
            sheet.text(f"{arm.name} {start} to the {arm.runs} when let go: tag line.", SMALL, bold=arm.starts_by_itself)


def _state_words(subject: Subject, plans: Sequence[Plan]) -> str:
    """The pose's state, and that of every move not within the limits: nobody reads past the first line."""
    words = subject.verdict.state_words
    moves = [f"move {plan.name}: {STATE_WORDS[plan.state]}" for plan in plans if plan.state != "WITHIN"]
    return f"THIS POSE: {words}. BUT {'; '.join(moves)}" if moves else words


def _add_move(sheet: Sheet, subject: Subject, plan: Plan) -> None:
    sheet.heading(f"Move: {plan.name}: {STATE_WORDS[plan.state]}", 50.0)
    rows = [_step_cells(subject, number, step) for number, step in enumerate(plan.steps, start=1)]
    columns = (
        Column("", 0.25),
        Column("step", 2.2),
        Column("controls", 0.6),
        Column("worst use", 0.7, "right"),
        Column("what rules there", 1.8),
    )
    sheet.table(columns, rows, strong=() if plan.worst_step is None else (plan.worst_step,))
    if plan.worst_step is not None:
        worst = plan.steps[plan.worst_step]
        place, use = subject.show(worst.peak_share, "share"), subject.show(worst.peak_use, "use")
        sheet.text(
            f"Worst point: step {plan.worst_step + 1}, {place} of the way, {use} used (bold above).", SMALL, bold=True
        )
    sheet.points([subject.fill(sentence) for sentence in (*plan.objections, *plan.problems)], SMALL)


def _step_cells(subject: Subject, number: int, result: StepResult) -> list[str]:
    rules = max(result.stretches, key=lambda stretch: stretch.use).rules if result.stretches else ""
    use = subject.show(result.bound_use, "use")
    return [str(number), subject.fill(result.step), result.step.controls, use, rules]
