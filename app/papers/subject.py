"""The subject of a paper: job, pose, verdict and date, and how their numbers and sentences are put into words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple, Protocol

from app.papers import rounding
from engine.base.formatting import System, fill
from engine.limits.approval import permitted
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import Verdict, evaluate


class Sentence(Protocol):
    """A template with its numbers, as the engine hands them out."""

    @property
    def words(self) -> str: ...
    @property
    def numbers(self) -> Mapping[str, object]: ...


class Subject(NamedTuple):
    """What a paper is about: job, pose and verdict, and the day it is printed."""

    job: Job
    pose: Pose
    verdict: Verdict
    date: str

    @property
    def units(self) -> System:
        return self.job.units

    def show(self, value: float | None, kind: str) -> str:
        """A number with its unit, to the nearest."""
        return rounding.nearest(value, kind, self.units)

    def show_down(self, mass_kg: float | None) -> str:
        """A load that is allowed or a weight that is left, rounded down."""
        return rounding.rounded_down(mass_kg, self.units)

    def cut_length(self, length_m: float) -> str:
        """A length to mark out or saw."""
        return rounding.cut_length(length_m, self.units)

    def fine_length(self, length_m: float) -> str:
        """A bore, a bar or a play."""
        return rounding.fine_length(length_m, self.units)

    def pin_to_pin(self, lengths_m: tuple[float, float]) -> str:
        """Least and greatest length of a piece of gear between its pins."""
        least, greatest = (self.cut_length(length_m) for length_m in lengths_m)
        return f"{least} to {greatest}, pin to pin"

    def fill(self, sentence: Sentence) -> str:
        """A sentence of the engine with its numbers in the job's units."""
        return fill(sentence.words, sentence.numbers, self.units)

    @property
    def permitted_kg(self) -> float | None:
        """Load that may be planned for in this pose, the approval's if that is lower; None without a verdict."""
        allowed_kg = self.verdict.allowed_load_kg
        return None if allowed_kg is None else permitted(self.job, self.pose.lift_m, allowed_kg).load_kg

    def permitted_words(self) -> str:
        """The permitted load in words, with who permits it; without a verdict, why there is none."""
        allowed_kg = self.verdict.allowed_load_kg
        if allowed_kg is None:
            problems = self.verdict.problems
            return "No allowed load: " + (self.fill(problems[0]).removesuffix(".") if problems else "no verdict")
        limit = permitted(self.job, self.pose.lift_m, allowed_kg)
        name = {"planned": "Planned for, not approved", "approval": "Approval's limit", "limits": "Limits entered"}[
            limit.by
        ]
        rigging = self.show(self.job.load.rigging_kg.best, "kg")
        return f"{name}: at most {self.show_down(limit.load_kg)} here, besides {rigging} of rigging"


def subject_of(job: Job, pose: Pose, date: str) -> Subject:
    """Job and pose with their verdict."""
    return Subject(job, pose, evaluate(job, pose), date)
