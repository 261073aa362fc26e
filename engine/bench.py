"""Limits over many variants of one pose, soon and always the same: the formulas at first, then their tape.

A variant is a pose with some of its figures changed.  Doubt asks for some hundred at every move of the mouse, always of
the same truck, rig, load and allowances; so after a few times the formulas are written down (``engine.tape``) and
replayed.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Hashable
from typing import Any


from engine import balance
from engine.limits import find_checks, leaned
from engine.model import Job
from engine.placing import Figures, fitted_arms, place
from engine.tape import CannotTapeError, Recorder, Tape


class _Key:
    """Identity of what a tape holds for: the very same truck, rig, load and allowances, and the same arms fitted."""

    def __init__(self, job: Job, fitted: tuple[int, ...]) -> None:
        self.parts = (job.truck, job.rig, job.load, job.policy, job.approval)
        self.fitted = fitted

    def __hash__(self) -> int:
        return hash((*map(id, self.parts), self.fitted))

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, _Key)
            and self.fitted == other.fitted
            and all(mine is theirs for mine, theirs in zip(self.parts, other.parts, strict=True))
        )


class Bench:
    """Evaluates the limits of one job over variants; after a few times it writes the formulas down and replays them.

    It only remembers how to get the same answer sooner.
    """

    def __init__(self) -> None:
        self.guess: Any = None
        self._asked = 0
        self._tapes: dict[bool, Tape] | None = None

    def values(self, job: Job, numbers: Figures, standing: bool) -> list[Any]:
        """Demand and allowed of every limit, the guides, then the standing if asked for."""
        self._asked += 1
        if self._asked == RECORD_AT:
            self._tapes = tapes_of(job, numbers)
        if self._tapes is None:
            return values_of(job, numbers, standing)
        return self._tapes[standing].replay(inputs_of(numbers))


RECORD_AT = 3
"""Writing a tape costs some ten evaluations: not worth it for a rig being edited, which is new at every move."""


def bench_of(job: Job, numbers: Figures) -> Bench:
    """The bench of this job with these arms fitted; the same one while truck, rig, load and allowances are the same."""
    return _kept(_Key(job, fitted_arms(numbers)))


@functools.lru_cache(maxsize=8)
def _kept(_: Hashable) -> Bench:
    return Bench()


def tapes_of(job: Job, numbers: Figures) -> dict[bool, Tape] | None:
    """Tapes without and with the standing; None when the formulas cannot be taped."""
    recorder = Recorder()
    try:
        values = values_of(job, each_number(numbers, lambda _: recorder.new_input()), standing=True)
    except CannotTapeError:
        return None
    return {True: Tape(recorder, values), False: Tape(recorder, values[: len(values) - STANDING_VALUES])}


def values_of(job: Job, numbers: Figures, standing: bool) -> list[Any]:
    checks = find_checks(job, numbers)
    found = [getattr(check, name) for name in ("demand", "allowed") for check in checks]
    felt = balance.weigh(place(job, leaned(numbers, job.policy)), balance.allowances_of(job.policy))
    found += [-felt.left_front_kg, -felt.right_front_kg]
    if standing:
        weighed = balance.weigh(place(job, numbers))
        found += [weighed.rear_kg, weighed.light_front_kg, weighed.tipping_load_kg, *(line.use for line in weighed.lines)]
    return found


GUIDES = 2
"""Wheel by wheel, what the light front wheel is the lighter of: each shows the way to a corner of its own."""

STANDING_VALUES = 3 + len(balance.LINES)


def inputs_of(numbers: Figures) -> list[Any]:
    """The figures in a row, arms that are not fitted left out."""
    found: list[Any] = []
    for field in Figures.__struct_fields__:
        value = getattr(numbers, field)
        found += [part for part in value if part is not None] if isinstance(value, tuple) else [value]
    return found


def each_number(numbers: Figures, change: Callable[[Any], Any]) -> Figures:
    changed = {}
    for field in Figures.__struct_fields__:
        value = getattr(numbers, field)
        changed[field] = tuple(part if part is None else change(part) for part in value) if isinstance(value, tuple) else change(value)
    return Figures(**changed)
