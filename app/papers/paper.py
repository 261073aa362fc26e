"""What every paper shares: the job in hand, its head, and the sections that stand on all of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple, Protocol

from app.papers.drawing import Picture
from app.papers.layout import SMALL, Head, Sheet
from engine.base.caution import CAUTION, SIGNAL_WORD
from engine.base.formatting import System, fill, show
from engine.limits.approval import NOT_APPROVED_PAPER, permitted
from engine.schema.model import Job, Pose
from engine.shop.assumptions import NOT_IN_THE_SUMS, allowances, assumed, missing
from engine.worst_case.verdict import Verdict, evaluate

UNIT_WORDS: dict[System, str] = {
    "metric": "Units: metres, millimetres, kilograms, newtons; rounded as shown, allowances rounded down.",
    "us": "Units: feet, inches, pounds, pounds-force; rounded as shown, allowances rounded down.",
}


class Sentence(Protocol):
    """A template with its numbers, as the engine hands them out."""

    @property
    def words(self) -> str: ...
    @property
    def numbers(self) -> Mapping[str, object]: ...


class Matter(NamedTuple):
    """What a paper is about: job, pose and verdict, and the day it is printed."""

    job: Job
    pose: Pose
    verdict: Verdict
    date: str

    @property
    def units(self) -> System:
        return self.job.units

    def show(self, value: float | None, kind: str) -> str:
        """A number with its unit; what is not known is said so."""
        return "not known" if value is None else show(float(value), kind, self.units)

    def fill(self, said: Sentence) -> str:
        """A sentence with its numbers in the job's units."""
        return fill(said.words, said.numbers, self.units)

    @property
    def here_kg(self) -> float | None:
        """Load that may be planned for in this pose, the approval's if that is lower."""
        allowed = self.verdict.allowed_load_kg
        return None if allowed is None else permitted(self.job, self.pose.lift_m, allowed).load_kg

    def here_words(self) -> str:
        """That load in words, with who says so."""
        allowed = self.verdict.allowed_load_kg
        if allowed is None:
            return "No allowed load: " + (
                self.fill(self.verdict.problems[0]).removesuffix(".") if self.verdict.problems else "no verdict"
            )
        found = permitted(self.job, self.pose.lift_m, allowed)
        name = {"planned": "Planned for, not approved", "approval": "Approval's limit", "limits": "Limits entered"}[
            found.by
        ]
        rigging = self.show(self.job.load.rigging_kg.best, "kg")
        return f"{name}: at most {self.show(found.load_kg, 'kg_down')} here, besides {rigging} of rigging"


def matter(job: Job, pose: Pose, date: str) -> Matter:
    """Job and pose with their verdict."""
    return Matter(job, pose, evaluate(job, pose), date)


def head(title: str, about: Matter) -> Head:
    """Head and foot of a paper."""
    job, approval = about.job, about.job.approval
    truck, rig = job.truck, job.rig
    words = NOT_APPROVED_PAPER
    if approval is not None:
        words = f"Approval {approval.reference}, {approval.date}: {about.show(approval.allowed_kg, 'kg_down')} hung, forks up to {about.show(approval.lift_max_m, 'm')}"
    return Head(
        paper=title,
        job=job.name,
        rig=f"Rig: {rig.name}, serial {rig.serial.strip() or 'NOT ENTERED'}, revision {rig.revision.strip() or 'NOT ENTERED'}",
        truck=f"Truck: {truck.name}, serial {truck.serial.strip() or 'NOT ENTERED'}",
        date=f"Printed {about.date}",
        units=UNIT_WORDS[about.units],
        caution=f"{SIGNAL_WORD}: {CAUTION}",
        approval=words,
        approved=approval is not None,
    )


def sheet_for(title: str, about: Matter, page: str) -> Sheet:
    """A paper with its head, ready to be filled."""
    return Sheet(page, head(title, about))


def unknown(sheet: Sheet, about: Matter, *, rules: bool = False, size: int = SMALL - 1) -> None:
    """What is not known and what was assumed, kept on one page; with ``rules`` the allowances chosen as well."""
    lines = [about.fill(said) for said in assumed(about.job, about.pose)]
    absent = " ".join(about.fill(said) for said in missing(about.job, about.pose))
    if absent:
        lines.insert(0, absent)
    if rules:
        lines.append("Chosen: " + " ".join(about.fill(said) for said in allowances(about.job)))
    lines.append(NOT_IN_THE_SUMS)
    sheet.heading("Not known, and assumed", sheet.points_height(lines, size))
    sheet.points(lines, size)


def drawn(sheet: Sheet, picture: Picture, words: str, width: float | None = None) -> None:
    """A drawing across the column (or part of it) with its scale under it."""
    box = sheet.take(picture.height, width)
    sheet.picture(box, words, picture.painter_at(box))
    sheet.text(f"{words}, scale 1:{picture.scale} at full paper size", SMALL - 1)


def rows_of(pairs: Sequence[tuple[str, str]]) -> list[list[str]]:
    """Name and value, as rows of a table."""
    return [list(pair) for pair in pairs]
