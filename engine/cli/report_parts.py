"""What the reports share: plain values for JSON, and the lines that head every text."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from engine.base.caution import CAUTION, NOT_APPROVED, SIGNAL_WORD
from engine.base.formatting import System, fill
from engine.base.geometry import Number
from engine.rig.check import Problem
from engine.schema.model import Job


def approval_words(job: Job) -> str:
    """Reference of the maker's approval, or that there is none."""
    return job.approval.reference if job.approval else NOT_APPROVED


# ---------------------------------------------------------------- JSON


def json_number(value: Number | None) -> float | None:
    """A finite number; ``None`` for what is not known or has no limit, since JSON has neither NaN nor infinity."""
    if value is None or not math.isfinite(float(value)):
        return None
    return float(value)


def json_load(load_kg: Number) -> dict[str, object]:
    """The load at which a limit is met: never under 0, and ``null`` only for a limit that no load meets."""
    limits, load = float(load_kg) != math.inf, json_number(load_kg)
    return {"allowed_load_kg": max(load or 0.0, 0.0) if limits else None, "limits_load": limits}


def json_numbers(values: Iterable[Number]) -> list[float | None]:
    """``json_number`` of each of several values."""
    return [json_number(value) for value in values]


def json_array(values: object) -> object:
    """An array as nested lists of ``json_number``."""
    array = np.asarray(values, float)
    return json_number(float(array)) if array.ndim == 0 else [json_array(row) for row in array]


def json_problems(problems: Iterable[Problem]) -> list[dict[str, str]]:
    """Problems with their words in metric units."""
    return [
        {"kind": problem.kind, "where": problem.where, "words": fill(problem.words, problem.numbers, "metric")}
        for problem in problems
    ]


def json_heading(job: Job) -> dict[str, object]:
    """The keys that every report on a job begins with."""
    return {"caution": CAUTION, "approval": approval_words(job), "job": job.name}


# ---------------------------------------------------------------- text


def heading(job: Job) -> list[str]:
    """The caution, that nothing is approved if nothing is, and the job's name."""
    return [f"{SIGNAL_WORD}: {CAUTION}", *([] if job.approval else [NOT_APPROVED]), "", job.name]


def problem_lines(problems: Iterable[Problem], system: System) -> list[str]:
    """One line for each problem: where, and what is wrong."""
    return [f"{problem.where}: {fill(problem.words, problem.numbers, system)}" for problem in problems]
