"""Answers to questioned entries: the number that was meant put in, or somebody's word that the entry is right."""

from __future__ import annotations

from typing import Any

import msgspec

from engine.limits.plausibility import answer_to
from engine.rig.check import Problem
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.shop.edits import set_value, value_at

REPLACE = msgspec.structs.replace


def said_right(job: Job, problem: Problem) -> Job:
    """The job with the answer that a questioned entry is right; an older answer about the same entry is dropped."""
    others = tuple(answer for answer in job.answers if answer.where != problem.where)
    return REPLACE(job, answers=(*others, answer_to(problem)))


def corrected(job: Job, problem: Problem) -> Job:
    """The job with the number that was meant in place of the one entered, its low and high by the same factor.

    Raises
    ------
    KeyError
        When the problem offers no number.
    TailweightError
        When the entry cannot have that number.
    """
    meant = float(problem.numbers["meant"])
    return set_value(job, problem.where, _with(value_at(job, problem.where), meant))


def _with(entered: Any, meant: float) -> Any:
    if not isinstance(entered, Estimate):
        return meant
    factor = meant / entered.best
    low, high = (None if end is None else end * factor for end in (entered.low, entered.high))
    return REPLACE(entered, best=meant, low=low, high=high)
