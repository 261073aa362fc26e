"""``python -m engine other RIG --truck OTHER``: a rig on another truck, what fits and every pose side by side."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any, cast

import msgspec

from engine.base import outcome
from engine.base.formatting import System, fill
from engine.cli.report_parts import heading, json_heading, json_number, json_problems
from engine.explain.truck_words import cells, differences, fit_words, pose_words
from engine.explain.two_charts_words import COLUMNS, chart_cells, chart_words
from engine.planning.two_charts import AtHole, TwoCharts, two_charts
from engine.planning.two_trucks import Keeps, OnTruck, SideBySide, put_on, side_by_side, what_fits
from engine.schema import rig_file
from engine.schema.model import Job, Truck, find_pose
from engine.shop.another_truck import FitLine, left_behind
from engine.shop.truck_classes import CLASSES, typical_truck

KEEPS = ("hook-height", "fork-height")
EXIT_WITHIN, EXIT_NOT_WITHIN = 0, 1


def add(commands: argparse._SubParsersAction[outcome.Parser]) -> None:
    """Add the command to the command line."""
    command = commands.add_parser("other", help="the rig on another truck: what fits, and every pose on both trucks")
    command.add_argument("rig", help="rig file (*.rig.json)")
    command.add_argument("--truck", required=True, help=f"a rig file with that truck, or a class: {', '.join(CLASSES)}")
    command.add_argument(
        "--keep",
        choices=KEEPS,
        default=KEEPS[0],
        help="what each pose keeps: the height of its hook, as far as the other truck's forks go, or its fork height",
    )
    command.add_argument("--chart", metavar="POSE", help="also the load charts, with arms and hook height of this pose")
    command.add_argument("--out", help="write the rig on the other truck into this file")
    command.add_argument("--json", action="store_true", help="print JSON in SI units")
    command.add_argument("--units", choices=("metric", "us"), help="units of the text; those of the file if left out")


def run(job: Job, options: argparse.Namespace) -> int:
    """Print what fits and what each pose comes to; 0 where everything fits and every pose is within its limits.

    Raises
    ------
    TailweightError
        For a file or a class that is not there.
    """
    truck = _truck(options.truck)
    keeps = cast("Keeps", options.keep.replace("-", "_"))
    rows = side_by_side(job, truck, keeps)
    lines = what_fits(job, truck, rows)
    if options.out:
        rig_file.write(put_on(job, truck, keeps), Path(options.out))
    system = options.units or job.units
    charts = None if options.chart is None else two_charts(job, truck, find_pose(job, options.chart))
    if options.json:
        print(as_json(job, truck, lines, rows, charts))
    else:
        print(as_text(job, truck, lines, rows, system, charts))
    holds = all(row.new.state == "WITHIN" and not row.forks_stop for row in rows) and not any(
        line.fits == "fails" for line in lines
    )
    return EXIT_WITHIN if holds else EXIT_NOT_WITHIN


def _truck(named: str) -> Truck:
    return typical_truck(named) if named in CLASSES else rig_file.read(Path(named)).truck


def as_text(
    job: Job,
    truck: Truck,
    lines: tuple[FitLine, ...],
    rows: tuple[SideBySide, ...],
    system: System,
    charts: TwoCharts | None = None,
) -> str:
    """What fits, each pose in a sentence with the figures of both trucks, their charts, and what does not go along."""
    said = [*heading(job), "", f"On {truck.name} instead of {job.truck.name}:"]
    said += [f"  {fit_words(line, system)}" for line in lines]
    for row in rows:
        words = pose_words(row, system)
        said += ["", fill(words.words, words.numbers, system)]
        old, new = cells(row.old, system), cells(row.new, system)
        changed = differences(row, system)
        columns = (old, new, changed)
        said.append("  (this truck | other truck | difference)")
        said += [f"  {name}: {' | '.join(column.get(name, '-') for column in columns)}" for name in {**old, **new}]
    if charts is not None:
        said += ["", "Load charts:", *(f"  {line}" for line in chart_words(charts, system))]
        said.append(f"  ({' | '.join(' '.join(head.split()) for head in COLUMNS)})")
        said += [f"  {' | '.join(chart_cells(row, system))}" for row in charts.rows]
    return "\n".join([*said, "", "Left behind:", *(f"  {line}" for line in left_behind(job))])


def as_json(
    job: Job,
    truck: Truck,
    lines: tuple[FitLine, ...],
    rows: tuple[SideBySide, ...],
    charts: TwoCharts | None = None,
) -> str:
    """The same with exact numbers in SI."""
    values = {
        **json_heading(job),
        "other_truck": truck.name,
        "fits": [msgspec.to_builtins(line) for line in lines],
        "poses": [
            {
                "pose": row.pose,
                "keeps": row.keeps,
                "forks_stop": row.forks_stop,
                "forks_to_m": row.forks_to_m,
                "this_truck": _plain(row.old),
                "other_truck": _plain(row.new),
                "difference": _changes(row),
            }
            for row in rows
        ],
        "charts": None if charts is None else _chart_values(charts),
        "left_behind": list(left_behind(job)),
    }
    return json.dumps(values, indent=2, ensure_ascii=False, allow_nan=False)


def _chart_values(charts: TwoCharts) -> dict[str, Any]:
    return {
        "pose": charts.pose,
        "hook_height_m": json_number(charts.hook_height_m),
        "forks_to_m": charts.forks_to_m,
        **{
            f"{truck}_{name}": json_problems(getattr(charts, f"{which}_{name}"))
            for which, truck in (("old", "this_truck"), ("new", "other_truck"))
            for name in ("problems", "unsettled")
        },
        "holes": [
            {"hole": row.hole, "this_truck": _hole_values(row.old), "other_truck": _hole_values(row.new)}
            for row in charts.rows
        ],
    }


def _hole_values(at: AtHole | None) -> dict[str, Any] | None:
    if at is None:
        return None
    return {
        "reach_m": json_number(at.reach_m),
        "allowed_kg": json_number(at.allowed_kg),
        "governing": at.governing,
        "in_the_way": at.in_the_way,
    }


def _changes(row: SideBySide) -> dict[str, float | None]:
    """The other truck's figure less this one's, exact; None where one of the two has no verdict."""
    names = ("lift_m", "hook_height_m", "reach_m", "allowed_kg", "rear_kg", "light_kg", "least_gap_m")
    pairs = {name: (getattr(row.old, name), getattr(row.new, name)) for name in names}
    return {name: None if was is None or now is None else json_number(now - was) for name, (was, now) in pairs.items()}


def _plain(on: OnTruck) -> dict[str, Any]:
    numbers = {name: json_number(getattr(on, name)) for name in ("allowed_kg", "rear_kg", "light_kg", "least_gap_m")}
    return {
        "state": on.state,
        "state_once_set": on.state_once_set,
        "lift_m": on.lift_m,
        "hook_height_m": json_number(on.hook_height_m),
        "reach_m": json_number(on.reach_m),
        "governing": on.governing,
        "tipping_use": {name: json_number(use) for name, use in on.uses.items()},
        **numbers,
    }
