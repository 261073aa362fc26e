"""The subject of a paper: job, pose, verdict and date, and how their numbers and sentences are put into words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple, Protocol

from app.papers import rounding
from engine.base.formatting import System, fill
from engine.explain.shown import ShownFigures, WheelFigures, figure_text, masses_text, shown_figures
from engine.rig.check import Check
from engine.schema.model import Job, Pose
from engine.schema.nominals import SizeNames, size_names
from engine.shop.cut_pieces import Piece
from engine.shop.weld_list import WeldLine, largest_leg_m
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
    figures: ShownFigures
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

    def show_up(self, mass_kg: float | None) -> str:
        """A load that is lifted, or another weight that counts against the person, rounded up."""
        return rounding.rounded_up(mass_kg, self.units)

    def figure(self, name: str, of: ShownFigures | WheelFigures | None = None) -> str:
        """One figure of the pose as papers print it (`engine.explain.shown`)."""
        return figure_text(self.figures if of is None else of, name, self.units, paper=True)

    def masses(self) -> str:
        """What hangs: load, rigging and hook load."""
        return masses_text(self.figures, self.units, paper=True)

    def test_mass(self, mass_kg: float) -> str:
        """A mass to hang in a test, down to 0.1 kg or 0.1 lb."""
        return rounding.test_mass(mass_kg, self.units)

    @property
    def size_names(self) -> SizeNames:
        """What the rig's sizes were entered as."""
        return size_names(self.job)

    def cut_length(self, length_m: float) -> str:
        """A length to mark out or saw."""
        return rounding.cut_length(length_m, self.size_names, self.units)

    def from_to(self, start_m: float, end_m: float) -> str:
        """Two places along a piece to mark out or saw."""
        return rounding.from_to(start_m, end_m, self.size_names, self.units)

    def size(self, *lengths_m: float) -> str:
        """A bore, a bar or a play, or the sizes of a section."""
        return rounding.sizes(lengths_m, self.size_names, self.units)

    def design_length(self, length_m: float) -> str:
        """A length in the design's unit alone: in the other one, "every so much" would add up to a wrong place."""
        return rounding.cut_length(length_m, self.size_names, self.size_names.design)

    def weld_leg(self, weld: WeldLine) -> str:
        """The leg of a weld in the list."""
        if weld.leg_m is None:
            return "not in the sketch"
        most_m = math.inf if weld.edge_m is None else largest_leg_m(weld.edge_m)
        return rounding.weld_leg(weld.leg_m, self.size_names, self.units, most_m)

    def stock_length(self, length_m: float) -> str:
        """Length of a bar on the rack or to buy."""
        return rounding.stock_length(length_m, self.units)

    def sizes_note(self) -> str:
        """What a paper says of sizes in brackets; empty where there are none."""
        return rounding.sizes_note(self.size_names, self.units)

    def _sized(self, value: float, kind: str) -> str:
        return rounding.in_a_sentence(value, kind, self.size_names, self.units)

    def pin_to_pin(self, lengths_m: tuple[float, float]) -> str:
        """Least and greatest length of a piece of gear between its pins."""
        least_m, greatest_m = lengths_m
        return f"{self.cut_length(least_m)} to {self.cut_length(greatest_m)}, pin to pin"

    def fill(self, sentence: Sentence) -> str:
        """A sentence of the engine with its numbers in the job's units."""
        return fill(sentence.words, sentence.numbers, self.units, self._sized)

    def note(self, piece: Piece) -> str:
        """What the cut list says of a piece; names of people's own parts stand in notes without numbers."""
        return fill(piece.note, piece.numbers, self.units, self._sized) if piece.numbers else piece.note

    def sum_of(self, check: Check) -> str:
        """A limit's sum with its numbers in the job's units."""
        return fill(check.words, check.shown_numbers, self.units, self._sized)

    def permitted_words(self) -> str:
        """The load that may be planned for, with who permits it; without a verdict, why there is none."""
        by = self.figures.allowed_by
        if by is None:
            problems = self.verdict.problems
            return "No allowed load: " + (self.fill(problems[0]).removesuffix(".") if problems else "no verdict")
        name = {"planned": "Planned limit, NOT APPROVED", "approval": "Approval's limit", "limits": "Limits entered"}[
            by
        ]
        allowed, hook_load = self.figure("allowed_load_kg"), self.figure("allowed_hook_load_kg")
        return f"{name}: load at most {allowed} here, rigging not included (hook load {hook_load})"


def subject_of(job: Job, pose: Pose, date: str) -> Subject:
    """Job and pose with their verdict."""
    verdict = evaluate(job, pose)
    return Subject(job, pose, verdict, shown_figures(job, pose, verdict), date)
