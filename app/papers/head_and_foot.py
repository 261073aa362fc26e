"""What every page carries: paper, job, serials, date, units, the caution, and whether anybody has approved it."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QFontMetricsF, QPainter

from app.papers.page_marks import BODY, FAINT, GHOST, HEAVY, RULE, SMALL, TITLE_SIZE, Mark, Words, font, rule
from app.papers.rounding import UNITS_AND_ROUNDING
from app.papers.subject import Subject
from engine.base.caution import CAUTION, SIGNAL_WORD
from engine.limits.approval import NOT_APPROVED_PAPER

PAGE_NUMBER_WIDTH = 86.0
NOT_ENTERED = "NOT ENTERED"
APPROVED = {"load": "load", "hook_load": "hook load"}
"""What the maker's limit counts, in words."""


class Head(NamedTuple):
    """What every page of a paper says of itself."""

    paper: str
    job: str
    rig: str
    truck: str
    date: str
    units: str
    caution: str
    approval: str
    approved: bool


def head_of(title: str, subject: Subject) -> Head:
    """Head and foot of a paper on a subject."""
    job, approval = subject.job, subject.job.approval
    truck, rig = job.truck, job.rig
    approval_words = NOT_APPROVED_PAPER
    if approval is not None:
        limit = APPROVED[approval.limit_is]
        approval_words = (
            f"Approval {approval.reference}, {approval.date}: {limit} {subject.show_down(approval.allowed_kg)}, "
            f"forks up to {subject.show(approval.lift_max_m, 'm')}"
        )
    return Head(
        paper=title,
        job=job.name,
        rig=f"Rig: {rig.name}, serial {rig.serial.strip() or NOT_ENTERED}, "
        f"revision {rig.revision.strip() or NOT_ENTERED}",
        truck=f"Truck: {truck.name}, serial {truck.serial.strip() or NOT_ENTERED}",
        date=f"Printed {subject.date}",
        units=UNITS_AND_ROUNDING[subject.units],
        caution=f"{SIGNAL_WORD}: {CAUTION}",
        approval=approval_words,
        approved=approval is not None,
    )


def ghost_mark(head: Head, width: float, height: float) -> Mark:
    """The words across a page that nobody can cut off a paper without approval."""
    words, typeface = head.approval, font(70, bold=True)
    length = QFontMetricsF(typeface).horizontalAdvance(words)
    box = QRectF(0.0, 0.0, width, height)

    def paint(painter: QPainter) -> None:
        painter.save()
        painter.setFont(typeface)
        painter.setPen(GHOST)
        painter.translate(box.center())
        painter.rotate(-52.0)
        painter.drawText(QPointF(-length / 2.0, 25.0), words)
        painter.restore()

    return Mark("ghost", box, words, paint)


def head_marks(head: Head, left: float, right: float, top: float) -> tuple[list[Mark], float]:
    """The head of a page between two margins, and where it ends."""
    width = right - left
    third = width / 3.0
    title = Words(head.paper, width * 0.56, TITLE_SIZE, bold=True)
    approval = Words(head.approval, width * 0.42, BODY + 1, bold=True, align="right")
    marks = [title.mark(QPointF(left, top)), approval.mark(QPointF(right - width * 0.42, top + 5.0))]
    y = top + max(title.height, approval.height + 5.0) + 2.0
    marks.append(rule(left, y, right, y, HEAVY))
    bottom = y
    for index, text in enumerate((head.job, head.rig, head.truck)):
        words = Words(text, third - 8.0, SMALL)
        marks.append(words.mark(QPointF(left + index * third + (6.0 if index else 0.0), y + 3.0)))
        bottom = max(bottom, y + 3.0 + words.height)
    date = Words(f"{head.date}    {head.units}", width, SMALL, colour=FAINT)
    marks.append(date.mark(QPointF(left, bottom)))
    bottom += date.height + 3.0
    marks.append(rule(left, bottom, right, bottom, RULE))
    return marks, bottom


def foot_marks(
    head: Head, left: float, right: float, bottom: float, number: int, page_count: Callable[[], int]
) -> tuple[list[Mark], float]:
    """The foot of a page, and its height; pages are counted when it is painted."""
    caution = Words(head.caution, right - left - 90.0, SMALL, bold=True)
    top = bottom - caution.height
    box = QRectF(right - PAGE_NUMBER_WIDTH, top, PAGE_NUMBER_WIDTH, caution.height)

    def paint(painter: QPainter) -> None:
        words = Words(f"page {number} of {page_count()}", box.width(), SMALL, align="right")
        words.mark(box.topLeft()).paint(painter)

    marks = [
        rule(left, top - 3.0, right, top - 3.0, HEAVY),
        caution.mark(QPointF(left, top)),
        Mark("text", box, f"page {number}", paint),
    ]
    return marks, caution.height + 8.0
