"""How far a number is believed: usual, unusual, hardly right, or not possible; and what may have been meant instead."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Literal, NamedTuple

from engine.rig.check import Problem

Level = Literal["impossible", "asked", "caution"]


class Range(NamedTuple):
    """From where to where a number is usual, is believed without asking, and is possible at all."""

    usual: tuple[float, float]
    believed: tuple[float, float]
    possible: tuple[float, float]


SLIPS = (10.0, 100.0, 1000.0, 25.4, 2.20462, 3.28084)
"""Factors between units and decimals that are mixed up."""


def outside(
    where: str,
    words: str,
    value: float,
    within: Range,
    numbers: dict[str, float | str],
    meant_kg: float | None = None,
) -> Iterator[Problem]:
    """The problem with a number, if any, by the range it lies in; ``words`` is a template with value, low and high."""
    (low, high), believed, (least, most) = within
    told = {**numbers, "value": value, "low": low, "high": high, "lacks": "confirmed"}
    if not least < value <= most:
        yield at_level("impossible", where, words, told, meant_kg)
    elif not believed[0] <= value <= believed[1]:
        yield at_level("asked", where, words, told, meant_kg)
    elif not low <= value <= high:
        yield at_level("caution", where, words, told)


def at_level(
    kind: Level, where: str, words: str, numbers: dict[str, float | str], meant_kg: float | None = None
) -> Problem:
    """A problem of one level, with what was meant offered back where that is known."""
    if meant_kg is not None:
        words, numbers = f"{words} Did you mean {{meant:kg}}?", {**numbers, "meant": meant_kg}
    return Problem(kind=kind, where=where, words=words, numbers=numbers)


def what_was_meant(entered: float, ratio_of: Callable[[float], float], believed: tuple[float, float]) -> float | None:
    """The entry times or over one of `SLIPS` that would be believed, the nearest to the middle of the range."""
    low, high = believed
    tried = [entered * factor for slip in SLIPS for factor in (slip, 1.0 / slip)]
    usual = [value for value in tried if low <= ratio_of(value) <= high]
    return min(usual, key=lambda value: abs(ratio_of(value) - (low + high) / 2.0), default=None)
