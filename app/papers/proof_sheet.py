"""Proof-load plan and record: what to hang, what should then be read, when to stop, and boxes for what was read."""

from __future__ import annotations

from app.papers.layout import Column, Sheet
from app.papers.page_marks import MM, SMALL
from app.papers.pictures import side_picture
from app.papers.shared_parts import JUST_RAISED, add_picture, add_unknowns, sheet_for
from app.papers.subject import Subject
from app.papers.titles import TITLES
from engine.explain.phrases import pose_words
from engine.explain.proof_load import PROOF_SHARE, ProofLoad, proof_load

TITLE = TITLES["proof"]

RULES = (
    "Away from people, on a fixed frame or as the maker says; the truck's limit is not raised for a test.",
    "Low: raised {height} over blocks that would catch it. Held ten minutes by the clock.",
    "Weights that were weighed, not guessed. Slings and shackles count.",
    "A passed test does not prove a weld: welds are examined by a qualified person before and after.",
    "Afterwards: unloaded sag as before, cracks looked for with dye, every pin drawn and looked at.",
)
WATCH = (
    "rear tyres on the floor, rear scale",
    "sleeve heels and far sleeve",
    "jib mast foot weld",
    "front saddle strap, boom at the saddle",
    "hinge lugs, barrels and pins",
    "hook, hook pin, hoop",
)
FAIL = (
    "Any crack, or a line in the paint at a weld.",
    "Any set: the hook does not come back to where it was, within a millimetre or two of play.",
    "Sag well over the expected, or growing while it hangs.",
    "A pin bent or marked, a hole drawn oval, a strap lifted.",
    "Rear weight under the expected by more than the scale's own error.",
    "A noise nobody can explain.",
)
READINGS = ("hook empty, before", "test load just off the blocks", "after ten minutes", "hook empty, after")


def build(subject: Subject, page: str) -> Sheet:
    """Plan and record for one pose."""
    sheet = sheet_for(TITLE, subject, page)
    job, pose = subject.job, subject.pose
    test = proof_load(job, pose)
    if test is None:
        sheet.boxed_sentence(f"No test load: nothing is allowed in this pose. {subject.permitted_words()}.")
    else:
        _add_plan(sheet, subject, test)
    add_picture(sheet, side_picture(job, pose, subject.verdict, sheet.column, 56.0 * MM), f"Pose {pose.name}")
    sheet.text(pose_words(job, pose, subject.units), SMALL)
    rules = [words.format(height=JUST_RAISED[subject.units]) for words in RULES]
    sheet.lists((("How", rules), ("It has failed when", FAIL)))
    sheet.lists((("Watch, one person each", WATCH[:3]), (" ", WATCH[3:])), ticks=True)
    _add_record(sheet, subject, test)
    add_unknowns(sheet, subject, size=SMALL - 2)
    return sheet


def _add_plan(sheet: Sheet, subject: Subject, test: ProofLoad) -> None:
    show, exact = subject.show, subject.test_mass
    where = (
        "ON A FIXED FRAME, NOT ON THE TRUCK" if test.on_a_frame else "within the truck's own limits in the worst case"
    )
    hole = subject.pose.hole
    boom = f"hole {hole}" if hole is not None else "a boom that is NOT PINNED: pin it first"
    sheet.boxed_sentence(f"Hang a hook load of {exact(test.test_hung_kg)}, in {boom}: {where}")
    if test.on_a_frame:
        over = "; ".join(test.over)
        sheet.text(f"On the truck this test would exceed: {over}. Do it from a fixed frame.", SMALL, bold=True)
    sag = "not known: box left open" if test.sag_m is None else show(test.sag_m, "length")
    use = show(test.heaviest_use, "use")
    rows = [
        ["allowed load here, planned", subject.show_down(test.placard_kg)],
        ["rigging in the test, counted", exact(test.rigging_kg)],
        [f"hook load: {show(PROOF_SHARE, 'share')} of both", exact(test.test_hung_kg)],
        ["load: test weights, rigging not included", exact(test.test_load_kg)],
        [
            "rear wheels: hook empty, then test",
            f"{subject.show_down(test.rear_empty_kg)}, then {subject.show_down(test.rear_kg)}",
        ],
        ["lightest front wheel in the test", subject.show_down(test.light_front_kg)],
        ["hook goes down further by (steel alone)", sag],
        ["hardest worked part of the rig, worst case", f"{use} of what is allowed"],
    ]
    sheet.table((Column("Expected", 1.4), Column("", 1.6)), rows)


def _add_record(sheet: Sheet, subject: Subject, test: ProofLoad | None) -> None:
    """Rows and boxes to write in; what the rear wheels should read stands there where it is known."""
    sheet.heading("Record", 60.0)
    expected = [""] * len(READINGS)
    if test is not None:
        empty, loaded = subject.show_down(test.rear_empty_kg), subject.show_down(test.rear_kg)
        expected = [empty, loaded, loaded, empty]
    rows = [[name, rear, "", "", "", ""] for name, rear in zip(READINGS, expected, strict=True)]
    columns = (
        Column("reading", 1.5),
        Column("rear expected", 0.9, "right"),
        Column("rear read", 0.9),
        Column("hook over floor", 1.0),
        Column("lean of jib mast", 1.0),
        Column("time, remarks", 1.5),
    )
    sheet.table(columns, rows, blank=24.0)
    sheet.boxes(
        ("permanent set at the hook", "cracks: none / where", "passed / failed", "date", "tested by", "witness")
    )
