"""The load charts of one rig on two trucks in words: what each truck allows at a pin hole, and the difference."""

from __future__ import annotations

from collections.abc import Iterator

from engine.base.formatting import System, fill, show
from engine.explain.phrases import LOAD_CONDITIONS, PARTS_ENTERED_ONLY
from engine.explain.truck_words import gain_words
from engine.planning.two_charts import AtHole, HoleRow, TwoCharts
from engine.rig.check import Problem

COLUMNS = (
    "pin hole",
    "this truck:\nreach from front axle",
    "this truck:\nallowed load",
    "other truck:\nreach from front axle",
    "other truck:\nallowed load",
    "difference",
)

CANNOT_BE, IN_THE_WAY = "cannot be", "in the way"


def chart_cells(row: HoleRow, system: System) -> tuple[str, ...]:
    """The words of one pin hole, by `COLUMNS`; loads and gains rounded down, a loss as the loads print."""
    return (
        str(row.hole),
        *_cells(row.old, system),
        *_cells(row.new, system),
        "-" if row.old is None or row.new is None else gain_words(_kg(row.old), _kg(row.new), "kg", system),
    )


def _kg(at: AtHole) -> float:
    """What is allowed: nothing where something is in the way."""
    return 0.0 if at.in_the_way else at.allowed_kg


def _cells(at: AtHole | None, system: System) -> tuple[str, str]:
    if at is None:
        return "-", CANNOT_BE
    load = IN_THE_WAY if at.in_the_way else show(at.allowed_kg, "kg_down", system)
    return show(at.reach_m, "m", system), load


def chart_words(charts: TwoCharts, system: System) -> Iterator[str]:
    """What the loads of both charts are, sentence by sentence, and why a truck has none or leaves them not proven."""
    yield fill(
        "Allowed load with the arms as in ‘{pose}’ and the hook {height:length} above the floor, in the worst case; "
        f"the rigging is already counted. {LOAD_CONDITIONS}",
        {"pose": charts.pose, "height": charts.hook_height_m},
        system,
    )
    if charts.forks_to_m is not None:
        words = "None of the other truck's loads counts until its forks stand {spread:length} apart."
        yield fill(words, {"spread": charts.forks_to_m}, system)
    trucks = (
        ("This truck", charts.old_problems, charts.old_unsettled),
        ("Other truck", charts.new_problems, charts.new_unsettled),
    )
    for truck, problems, unsettled in trucks:
        if problems:
            yield f"{truck}: REFUSED, no load is allowed. {_filled(problems, system)}"
        elif unsettled:
            yield f"{truck}: {PARTS_ENTERED_ONLY} {_filled(unsettled, system)}"


def _filled(problems: tuple[Problem, ...], system: System) -> str:
    return " ".join(fill(problem.words, problem.numbers, system) for problem in problems)
