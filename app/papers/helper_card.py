"""Helper card, one side: what the pose leaves under the wheels, where nobody stands, which signals are agreed."""

from __future__ import annotations

from app.papers.dials import add_dials
from app.papers.layout import Column, Sheet
from app.papers.page_marks import MM, SMALL
from app.papers.pictures import side_picture, stay_clear_picture
from app.papers.shared_parts import add_picture, add_unknowns, sheet_for
from app.papers.subject import Subject
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


def build(subject: Subject, page: str) -> Sheet:
    """The card of one pose."""
    sheet = sheet_for(TITLE, subject, page)
    job, pose, verdict = subject.job, subject.pose, subject.verdict
    sheet.boxed_sentence(f"{STATE_WORDS[verdict.state]}. Pose: {pose.name}")
    add_picture(sheet, side_picture(job, pose, verdict, sheet.column, sheet.height - 223.0 * MM), "Side view")
    three_dials = dials(job, verdict)
    if three_dials:
        add_dials(sheet, subject, three_dials)
    sheet.text(subject.fill(why(job, pose, verdict).cause), bold=True)
    sheet.text(_remedy_words(subject))
    sheet.text(f"{subject.permitted_words()}. On the hook: {subject.masses()}.")
    sheet.panes((1.0, 1.0), (lambda: _add_stay_clear(sheet, subject), lambda: _add_signals(sheet)), 84.0 * MM)
    add_unknowns(sheet, subject, size=SMALL - 2)
    return sheet


def _remedy_words(subject: Subject) -> str:
    """What would make it hold, the cheapest thing at the truck first; each judged by the same engine."""
    job, pose, verdict = subject.job, subject.pose, subject.verdict
    remedy = why(job, pose, verdict).remedy or remedy_of(remedies(job, pose))
    if remedy is None:
        load = subject.figure("allowed_load_kg")
        return f"To make it hold: a load of at most {load} in this pose, or another pose."
    return subject.fill(remedy) if verdict.state == "WITHIN" else f"To make it hold: {subject.fill(remedy)}"


def _add_stay_clear(sheet: Sheet, subject: Subject) -> None:
    verdict = subject.verdict
    zone = exclusion_zone(verdict.placed, subject.job.load)
    radius = subject.show(float(zone.radius_m), "m")
    sheet.text(f"Stay clear: nobody within {radius} of the front axle", bold=True)
    picture = stay_clear_picture(subject.job, subject.pose, verdict, zone, sheet.column, 64.0 * MM)
    add_picture(sheet, picture, "Seen from above (common practice, no source)")


def _add_signals(sheet: Sheet) -> None:
    sheet.table(
        (Column("Signals agreed before the pick", 1.2), Column("how (write it in)", 1.0)),
        [[name, ""] for name in SIGNALS],
        blank=17.0,
    )
    sheet.points(RULES, SMALL)
