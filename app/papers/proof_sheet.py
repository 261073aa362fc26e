"""Proof-load plan and record: what to hang, what should then be read, when to stop, and boxes for what was read."""

from __future__ import annotations

from app.papers.drawing import side_picture
from app.papers.layout import MM, SMALL, Column, Sheet
from app.papers.paper import Matter, drawn, sheet_for, unknown
from app.papers.titles import TITLES
from engine.explain.phrases import pose_words
from engine.explain.proof_load import PROOF_SHARE, ProofLoad, proof_load

TITLE = TITLES["proof"]

RULES = (
    "Away from people, on a fixed frame or as the maker says; the truck's limit is not raised for a test.",
    "Low: raised 50-100 mm (2-4 in) over blocks that would catch it. Held ten minutes by the clock.",
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


def build(about: Matter, page: str) -> Sheet:
    """Plan and record for one pose."""
    sheet = sheet_for(TITLE, about, page)
    found = proof_load(about.job, about.pose)
    if found is None:
        sheet.strip(f"No test load: nothing is allowed in this pose. {about.here_words()}.")
    else:
        _plan(sheet, about, found)
    drawn(sheet, side_picture(about.job, about.pose, about.verdict, sheet.column, 56.0 * MM), f"Pose {about.pose.name}")
    sheet.text(pose_words(about.job, about.pose, about.units), SMALL)
    sheet.columns((("How", RULES), ("It has failed when", FAIL)))
    sheet.columns((("Watch, one person each", WATCH[:3]), (" ", WATCH[3:])), ticks=True)
    _record(sheet, about, found)
    unknown(sheet, about, size=SMALL - 2)
    return sheet


def _plan(sheet: Sheet, about: Matter, found: ProofLoad) -> None:
    where = (
        "ON A FIXED FRAME, NOT ON THE TRUCK" if found.on_a_frame else "within the truck's own limits in the worst case"
    )
    sheet.strip(f"Hang {about.show(found.test_hung_kg, 'kg')} in all, in {_hole(about)}: {where}")
    if found.on_a_frame:
        sheet.text(
            f"On the truck this test would pass: {'; '.join(found.over)}. Do it from a fixed frame.", SMALL, bold=True
        )
    sag = "not known: box left open" if found.sag_m is None else about.show(found.sag_m, "length")
    use = "not known" if found.heaviest_use is None else about.show(found.heaviest_use, "share")
    rows = [
        ["allowed load here, planned", about.show(found.placard_kg, "kg_down")],
        ["rigging in the test, counted", about.show(found.rigging_kg, "kg")],
        [f"all that hangs: {about.show(PROOF_SHARE, 'share')} of both", about.show(found.test_hung_kg, "kg")],
        ["test weights, besides the rigging", about.show(found.test_load_kg, "kg")],
        [
            "rear wheels: hook empty, then test",
            f"{about.show(found.rear_empty_kg, 'kg')}, then {about.show(found.rear_kg, 'kg')}",
        ],
        ["light front wheel in the test", about.show(found.light_front_kg, "kg")],
        ["hook goes down further by (steel alone)", sag],
        ["hardest worked part of the rig, worst case", f"{use} of what is allowed"],
    ]
    sheet.table((Column("Expected", 1.4), Column("", 1.6)), rows)


def _hole(about: Matter) -> str:
    return f"hole {about.pose.hole}" if about.pose.hole is not None else "a boom that is NOT PINNED: pin it first"


def _record(sheet: Sheet, about: Matter, found: ProofLoad | None) -> None:
    sheet.heading("Record", 60.0)
    expected_rear = (
        {} if found is None else {0: found.rear_empty_kg, 1: found.rear_kg, 2: found.rear_kg, 3: found.rear_empty_kg}
    )
    rows = [
        [name, about.show(expected_rear[index], "kg") if index in expected_rear else "", "", "", "", ""]
        for index, name in enumerate(READINGS)
    ]
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
