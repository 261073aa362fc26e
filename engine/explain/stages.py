"""The stages of the job, which entries belong to which, and what each still lacks."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

import msgspec

from engine.base.formatting import fill
from engine.base.identity import IdentityKey
from engine.explain.guessed_entries import guessed_entries
from engine.rig.check import Problem
from engine.schema.model import Job
from engine.worst_case.verdict import Verdict

Stage = Literal["Truck", "Build", "Place", "Pick", "Why", "Papers"]

QUESTIONS: Mapping[Stage, str] = MappingProxyType(
    {
        "Truck": "What holds it down?",
        "Build": "What is it made of?",
        "Place": "Where does it stand?",
        "Pick": "What is lifted, and how does it stand?",
        "Why": "What gives first, and what would help?",
        "Papers": "What do I print, sign, send?",
    }
)
"""The stages in the order of the job, each with the question it answers."""

_STAGE_OF: Mapping[str, Stage] = MappingProxyType(
    {
        "truck": "Truck",
        "trial_lifts": "Truck",
        "rig": "Build",
        "drawn": "Build",
        "stock": "Build",
        "kerf_m": "Build",
        "wanted": "Build",
        "floors": "Place",
        "surroundings": "Place",
        "load": "Pick",
        "pose": "Pick",
        "poses": "Pick",
        "moves": "Pick",
        "policy": "Why",
        "answers": "Why",
        "approval": "Papers",
        "log": "Papers",
    }
)


def stage_of(path: str) -> Stage:
    """The stage that an entry belongs to.

    Raises
    ------
    KeyError
        For a path that is no entry of a job.
    """
    return _STAGE_OF[path.split(".")[0].partition("[")[0]]


class StageMark(msgspec.Struct, kw_only=True, frozen=True):
    """What one stage still lacks.

    Attributes
    ----------
    missing : int
        Entries without which there is no verdict, parts that no check covers, and entries in question.
    guessed : int
        Entries that nobody has looked at.
    cannot_be : str
        What cannot be here, or runs into something; empty when nothing does.
    stands_out : str
        What is still to come that no verdict needs; the stage is not complete without it.
    """

    missing: int = 0
    guessed: int = 0
    cannot_be: str = ""
    stands_out: str = ""

    @property
    def words(self) -> str:
        """As it is read aloud: "2 facts missing"."""
        if self.cannot_be:
            return self.cannot_be
        if self.stands_out:
            return self.stands_out
        if self.missing:
            return f"{self.missing} {'fact' if self.missing == 1 else 'facts'} missing"
        return f"complete, {self.guessed} guessed" if self.guessed else "complete"


def marks(job: Job, verdict: Verdict) -> dict[Stage, StageMark]:
    """The mark of each stage, for the pose of a verdict."""
    guessed = _guessed_by_stage(IdentityKey(job))
    missing = dict.fromkeys(QUESTIONS, 0)
    cannot_be: dict[Stage, str] = {}
    for problem in missing_entries(verdict):
        missing[stage_of(problem.where)] += 1
    for problem in verdict.problems:
        if problem.kind == "impossible":
            cannot_be.setdefault(stage_of(problem.where), fill(problem.words, problem.numbers, job.units))
    for check in verdict.room.short[:1]:
        cannot_be.setdefault("Pick", fill(check.words, check.shown_numbers, job.units))
    told: dict[Stage, StageMark] = {
        stage: StageMark(missing=missing[stage], guessed=guessed.get(stage, 0), cannot_be=cannot_be.get(stage, ""))
        for stage in QUESTIONS
    }
    if job.approval is None:
        told["Papers"] = StageMark(stands_out="no approval entered")
    return told


def missing_entries(verdict: Verdict) -> tuple[Problem, ...]:
    """What is missing or in question, each entry once, in the order of the stages."""
    entries: dict[str, Problem] = {}
    for problem in (*verdict.problems, *verdict.not_entered):
        if problem.kind != "impossible":
            entries.setdefault(problem.where, problem)
    order = list(QUESTIONS)
    return tuple(sorted(entries.values(), key=lambda problem: order.index(stage_of(problem.where))))


@functools.lru_cache(maxsize=8)
def _guessed_by_stage(same: IdentityKey[Job]) -> dict[Stage, int]:
    counted: dict[Stage, int] = {}
    for path in guessed_entries(same.parts[0]):
        stage = stage_of(path)
        counted[stage] = counted.get(stage, 0) + 1
    return counted
