"""Helper card, one side: what the pose leaves under the wheels, where nobody stands, which signals are agreed."""

from __future__ import annotations

from app.papers.dials import dial_row
from app.papers.drawing import side_picture, stay_clear_picture
from app.papers.layout import MM, SMALL, Column, Sheet
from app.papers.paper import Matter, drawn, sheet_for, unknown
from app.papers.titles import TITLES
from engine.explain.dials import dials
from engine.explain.why import remedy_of, why
from engine.planning.remedy import remedies
from engine.rig.exclusion_zone import exclusion_zone
from engine.worst_case.verdict import STATE_WORDS

TITLE = TITLES["helper"]

SIGNALS = (
    "Raise",
    "Lower",
    "Boom out / in (hook empty)",
    "Arm to the left",
    "Arm to the right",
    "Move up slowly",
    "Stop",
    "STOP NOW: anybody may give it",
)
RULES = (
    "Nobody under, or reaching under, a raised part.",
    "Hands off the load: tag line. Keep fingers out of hinges and sleeves.",
    "Feeling light at the rear is too late. Stop well before a dial is low.",
    "The load must be down before the driver leaves the seat.",
    "Never lift people.",
)


def build(about: Matter, page: str) -> Sheet:
    """The card of one pose."""
    sheet = sheet_for(TITLE, about, page)
    verdict = about.verdict
    sheet.strip(f"{STATE_WORDS[verdict.state]}. Pose: {about.pose.name}")
    drawn(sheet, side_picture(about.job, about.pose, verdict, sheet.column, sheet.height - 223.0 * MM), "Side view")
    found = dials(about.job, verdict)
    if found:
        dial_row(sheet, about, found)
    sentences = why(about.job, about.pose, verdict)
    sheet.text(about.fill(sentences.cause), bold=True)
    sheet.text(_remedy(about))
    sheet.text(f"{about.here_words()}.")
    sheet.panes((1.0, 1.0), (lambda: _clear(sheet, about), lambda: _signals(sheet)), 84.0 * MM)
    unknown(sheet, about, size=SMALL - 2)
    return sheet


def _remedy(about: Matter) -> str:
    """What would make it hold, the cheapest thing at the truck first; each judged by the same engine."""
    found = why(about.job, about.pose, about.verdict).remedy
    if found is None:
        found = remedy_of(remedies(about.job, about.pose))
    if found is None:
        return (
            f"To make it hold: a load of at most {about.show(about.here_kg, 'kg_down')} in this pose, or another pose."
        )
    return about.fill(found) if about.verdict.state == "WITHIN" else f"To make it hold: {about.fill(found)}"


def _clear(sheet: Sheet, about: Matter) -> None:
    circle = exclusion_zone(about.verdict.placed, about.job.load)
    words = f"Stay clear: nobody within {about.show(float(circle.radius_m), 'm')} of the front axle"
    sheet.text(words, bold=True)
    picture = stay_clear_picture(about.job, about.pose, about.verdict, circle, sheet.column, 64.0 * MM)
    drawn(sheet, picture, "Seen from above (common practice, no source)")


def _signals(sheet: Sheet) -> None:
    sheet.table(
        (Column("Signals agreed before the pick", 1.2), Column("how (write it in)", 1.0)),
        [[name, ""] for name in SIGNALS],
        blank=17.0,
    )
    sheet.points(RULES, SMALL)
