"""Rows of the table and how they are printed, on a terminal, as Markdown and as JSON."""

from __future__ import annotations

import datetime
import os
import platform
from collections.abc import Iterable, Sequence
from importlib.metadata import version
from pathlib import Path

import msgspec

from tests.benchmarks.timing import Times


class Goal(msgspec.Struct, frozen=True):
    """What was set out for, and how much of it is used up: over 1 it is missed.

    ``at_best`` is the same for the quickest of the calls: a busy machine hardly moves it, so that the tests ask about
    it.  ``of_the_machine`` is said where a slower machine misses it by more: not where two times of one run are set
    against each other.
    """

    words: str
    strain: float
    at_best: float
    of_the_machine: bool = True


class Ratio(msgspec.Struct, frozen=True):
    """How many times its reference, measured in the same run."""

    times: float
    reference: str


class Row(msgspec.Struct, kw_only=True, frozen=True):
    """One line of the table; ``median`` and ``p99`` in ``unit``."""

    group: str
    what: str
    median: float
    p99: float
    unit: str = "ms"
    ratios: tuple[Ratio, ...] = ()
    goals: tuple[Goal, ...] = ()


def no_longer_than(limit_ms: float, times: Times) -> Goal:
    """A median of at most so many milliseconds."""
    return Goal(f"<= {limit_ms:g} ms", times.median_s * 1e3 / limit_ms, times.least_s * 1e3 / limit_ms)


def row_of(group: str, what: str, times: Times, ratios: Sequence[Ratio] = (), goals: Sequence[Goal] = ()) -> Row:
    """A row in milliseconds."""
    return Row(
        group=group,
        what=what,
        median=times.median_s * 1e3,
        p99=times.p99_s * 1e3,
        ratios=tuple(ratios),
        goals=tuple(goals),
    )


# ---------------------------------------------------------------- printing

HEADS = ("", "median", "p99", "ratio to its reference in the same run", "goal")


def cells_of(row: Row) -> tuple[str, ...]:
    """The texts of one row."""
    ratios = "; ".join(f"{_times(ratio.times)} {ratio.reference}" for ratio in row.ratios)
    goals = "; ".join(
        f"{goal.words}{': met' if goal.strain <= 1.0 else f': missed, {_figure(goal.strain)} times that'}"
        for goal in row.goals
    )
    return row.what, f"{_figure(row.median)} {row.unit}", f"{_figure(row.p99)} {row.unit}", ratios, goals


def _times(times: float) -> str:
    """How many times, or what part of."""
    return f"{_figure(times)} x" if times >= 0.1 else f"1/{1.0 / times:,.0f} of"


def _figure(value: float) -> str:
    """Three figures, without powers of ten."""
    if value >= 100.0:
        return f"{float(f'{value:.3g}'):,.0f}"
    return f"{value:.{1 if value >= 10.0 else 2 if value >= 0.1 else 4}f}"


def plain(rows: Iterable[Row]) -> str:
    """The table for a terminal."""
    lines, group = [HEADS], ""
    for row in rows:
        if row.group != group:
            group = row.group
            lines.append((group.upper(), "", "", "", ""))
        lines.append(cells_of(row))
    widths = [max(len(line[column]) for line in lines) for column in range(len(HEADS))]
    return "\n".join(
        "  ".join(text.ljust(width) for text, width in zip(line, widths, strict=True)).rstrip() for line in lines
    )


def markdown(rows: Iterable[Row]) -> str:
    """The table as Markdown, its machine above it."""
    lines = [f"{machine()}.", "", f"| {' | '.join(HEADS)} |", "|---|---|---|---|---|"]
    group = ""
    for row in rows:
        if row.group != group:
            group = row.group
            lines.append(f"| **{group}** | | | | |")
        lines.append(f"| {' | '.join(cells_of(row))} |")
    return "\n".join(lines)


def as_json(rows: Iterable[Row]) -> str:
    """Machine and rows, for a program to read."""
    return msgspec.json.format(msgspec.json.encode({"machine": machine(), "rows": list(rows)}), indent=2).decode()


def machine() -> str:
    """Date, processor, cores, versions of what the numbers hang on, and how busy the machine was."""
    named = "unknown processor"
    cpuinfo = Path("/proc/cpuinfo")
    if cpuinfo.exists():
        models = [
            line.partition(":")[2].strip() for line in cpuinfo.read_text().splitlines() if line.startswith("model name")
        ]
        named = models[0] if models else platform.machine()
    return (
        f"{datetime.date.today().isoformat()}, {named}, {os.cpu_count()} cores; Python {platform.python_version()}, "
        f"Qt {version('PySide6-Essentials')}, numpy {version('numpy')}; window offscreen{BUSY}"
    )


BUSY = f"; load average when it began {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
"""What else the machine was doing; taken before anything is measured."""


# ---------------------------------------------------------------- a place in a document

BEGIN, END = "<!-- how fast: begin -->", "<!-- how fast: end -->"


def written_into(text: str, table: str) -> str:
    """A document with what stands between the two markers replaced.

    Raises
    ------
    ValueError
        When the document does not have both markers.
    """
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not (begin and end):
        raise ValueError(f"expected {BEGIN} and {END} in the document")
    return f"{before}{BEGIN}\n{table}\n{END}{after}"
