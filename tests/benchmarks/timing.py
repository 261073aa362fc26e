"""Stopwatch: calls timed turn by turn, so that a measure and its reference see the same machine."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Mapping
from typing import NamedTuple

import msgspec

Call = Callable[[], object]


class Lap(NamedTuple):
    """How long one call took, by the clock and in processor time of this process."""

    clock_s: float
    processor_s: float


class Times(msgspec.Struct, frozen=True):
    """Laps of a call in the order they were run."""

    laps: tuple[Lap, ...]

    @property
    def seconds(self) -> tuple[float, ...]:
        """By the clock."""
        return tuple(lap.clock_s for lap in self.laps)

    @property
    def median_s(self) -> float:
        return statistics.median(self.seconds)

    @property
    def p99_s(self) -> float:
        """The time 99 of 100 calls stay under; the longest where there are fewer than a hundred."""
        return sorted(self.seconds)[min(len(self.laps) - 1, int(0.99 * len(self.laps)))]

    @property
    def least_s(self) -> float:
        """Processor time of the quickest call: about the same whatever else the machine does."""
        return min(lap.processor_s for lap in self.laps)

    def over(self, reference: Times) -> float:
        """Median ratio to a reference timed turn by turn with this."""
        return statistics.median(mine / theirs for mine, theirs in zip(self.seconds, reference.seconds, strict=True))


ADDITIONS = 100_000
USUAL_ADDITIONS_S = 4.5e-3
"""Processor time of so many additions in plain Python on the machine the goals were set on."""


def slowness() -> float:
    """How many times the machine the goals were set on this one takes for plain additions; at least 1."""
    return max(1.0, min(lap_of(_add).processor_s for _ in range(20)) / USUAL_ADDITIONS_S)


def _add() -> int:
    total = 0
    for number in range(ADDITIONS):
        total += number
    return total


def lap_of(call: Call) -> Lap:
    """How long one call takes."""
    processor, clock = time.process_time(), time.perf_counter()
    call()
    return Lap(time.perf_counter() - clock, time.process_time() - processor)


def turn_by_turn(calls: Mapping[str, Call], rounds: int, warm: int = 3) -> dict[str, Times]:
    """Times of several calls, one of each in every round, after a few rounds nobody counts."""
    for _ in range(warm):
        for call in calls.values():
            call()
    laps_of: dict[str, list[Lap]] = {name: [] for name in calls}
    for _ in range(rounds):
        for name, call in calls.items():
            laps_of[name].append(lap_of(call))
    return {name: Times(tuple(laps)) for name, laps in laps_of.items()}
