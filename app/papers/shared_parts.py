"""Parts that most papers have: a fresh sheet with its head, a drawing with its scale, what is not known."""

from __future__ import annotations

from app.papers.head_and_foot import head_of
from app.papers.layout import Sheet
from app.papers.page_marks import SMALL
from app.papers.pictures import Picture
from app.papers.subject import Subject
from engine.rig.completeness import NOT_CHECKED, NOT_CHECKED_WORDS
from engine.shop.assumptions import allowances, assumed, missing

JUST_RAISED = {"metric": "50-100 mm", "us": "2-4 in"}
"""How high a load is raised when it is tried, by the reader's units."""


def sheet_for(title: str, subject: Subject, page: str, *, landscape: bool = False, sizes: bool = False) -> Sheet:
    """A sheet with its head, ready to be filled; ``sizes`` where it prints sizes of parts."""
    head = head_of(title, subject)
    if sizes and (note := subject.sizes_note()):
        head = head._replace(units=f"{head.units} {note}")
    return Sheet(page, head, landscape=landscape)


def add_picture(sheet: Sheet, picture: Picture, words: str, width: float | None = None) -> None:
    """Put a drawing across the column (or part of it), its scale under it."""
    box = sheet.reserve(picture.height, width)
    sheet.picture(box, words, picture.painter_at(box))
    sheet.text(f"{words}, scale 1:{picture.scale} at full paper size", SMALL - 1)


def add_unknowns(sheet: Sheet, subject: Subject, *, rules: bool = False, size: int = SMALL - 1) -> None:
    """List what is not known and what was assumed, on one page; with ``rules`` the allowances chosen as well."""
    job, pose = subject.job, subject.pose
    lines = [subject.fill(assumption) for assumption in assumed(job, pose)]
    absent = " ".join(subject.fill(fact) for fact in missing(job, pose))
    if absent:
        lines.insert(0, absent)
    if rules:
        lines.append("Chosen: " + " ".join(subject.fill(allowance) for allowance in allowances(job)))
    lines.append(f"{NOT_CHECKED_WORDS} {'; '.join(NOT_CHECKED)}.")
    sheet.heading("Not known, and assumed", sheet.points_height(lines, size))
    sheet.points(lines, size)
