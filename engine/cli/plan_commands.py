"""Commands ``chart``, ``reach``, ``move`` and ``mend``: planning without a window.

Progress is printed on the error stream, so that the result itself can be piped on.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable

import msgspec

from engine.base import outcome
from engine.base.errors import TailweightError
from engine.cli import load_chart_report, mend_report, move_report, reach_report
from engine.explain.load_chart_csv import load_chart_csv
from engine.planning.load_chart import load_chart
from engine.planning.mend import mend
from engine.planning.move import plan
from engine.planning.reach import FINE_M, reach_map
from engine.planning.sweep import Tell
from engine.rig.check import Problem
from engine.schema.model import Job, Move, find_pose
from engine.worst_case.evaluator import record_ahead

EXIT_WITHIN, EXIT_NOT_WITHIN, EXIT_BAD_INPUT = 0, 1, 2

PROGRESS_STEP = 0.1
"""Share of the work between two lines of progress."""


class MoveNameError(TailweightError):
    """A move asked for by a name the rig file does not have."""


def add(commands: argparse._SubParsersAction[outcome.Parser]) -> None:
    """Add the planning commands to the command line."""
    chart = _command(commands, "chart", "allowed load at every hole, arm pose and hook height")
    chart.add_argument("--pose", help="pose that gives tilt and floor; the first one if left out")
    chart.add_argument("--csv", action="store_true", help="print comma-separated text")
    reach = _command(commands, "reach", "where the hook may be with this load")
    reach.add_argument("--pose", help="pose that gives tilt, floor and arms; the first one if left out")
    reach.add_argument("--view", choices=("side", "plan"), default="side", help="seen from the side or from above")
    reach.add_argument("--cell", type=float, default=FINE_M, help="size of a cell in metres")
    mend_it = _command(commands, "mend", "the smallest changes of parts that bring a pose within its limits")
    mend_it.add_argument("--pose", help="pose to bring within its limits; the first one if left out")
    move = _command(commands, "move", "the smallest margin on a whole move")
    move.add_argument("--move", help="name of the move; the first one if left out")
    move.add_argument("--poses", nargs="+", metavar="POSE", help="poses in order, instead of a move of the file")
    move.add_argument(
        "--controls",
        choices=("driver", "helper", "nobody"),
        default="nobody",
        help="who sits at the controls while --poses are moved by hand",
    )


def _command(commands: argparse._SubParsersAction[outcome.Parser], name: str, words: str) -> outcome.Parser:
    command = commands.add_parser(name, help=words)
    command.add_argument("rig", help="rig file (*.rig.json)")
    command.add_argument("--json", action="store_true", help="print JSON in SI units")
    command.add_argument("--units", choices=("metric", "us"), help="units of the text; those of the file if left out")
    return command


def run(job: Job, options: argparse.Namespace) -> int:
    """Run one planning command and print its result; returns the exit status.

    Raises
    ------
    TailweightError
        For a pose or move that is not in the file.
    """
    return {"chart": _chart, "reach": _reach, "move": _move, "mend": _mend}[options.command](job, options)


def _chart(job: Job, options: argparse.Namespace) -> int:
    system = options.units or job.units
    chart = load_chart(msgspec.structs.replace(job, units=system), find_pose(job, options.pose), tell=progress("chart"))
    if options.csv:
        print(load_chart_csv(job, chart, system), end="")
    else:
        report = load_chart_report
        print(report.as_json(job, chart) if options.json else report.as_text(job, chart, system))
    if chart.problems:
        return _refused(chart.problems)
    return EXIT_WITHIN if chart.proven.any() else EXIT_NOT_WITHIN


def _reach(job: Job, options: argparse.Namespace) -> int:
    if not 0.01 <= options.cell <= 1.0:
        raise TailweightError("--cell", "a cell from 0.01 to 1 m", f"{options.cell:g}")
    reach = reach_map(job, find_pose(job, options.pose), options.view, options.cell, tell=progress("reach"))
    report, system = reach_report, options.units or job.units
    print(report.as_json(job, reach) if options.json else report.as_text(job, reach, system))
    if reach.problems:
        return _refused(reach.problems)
    return EXIT_WITHIN if reach.allowed.any() else EXIT_NOT_WITHIN


def _mend(job: Job, options: argparse.Namespace) -> int:
    pose = find_pose(job, options.pose)
    record_ahead(job, pose)
    mending = mend(job, (pose,), tell=progress("mend"))
    report, system = mend_report, options.units or job.units
    print(report.as_json(job, pose, mending) if options.json else report.as_text(job, pose, mending, system))
    return EXIT_WITHIN if mending.cures else EXIT_NOT_WITHIN


def _move(job: Job, options: argparse.Namespace) -> int:
    planned = plan(job, _chosen_move(job, options), tell=progress("move"))
    report, system = move_report, options.units or job.units
    print(report.as_json(job, planned) if options.json else report.as_text(job, planned, system))
    if planned.problems:
        return _refused(planned.problems)
    return EXIT_WITHIN if planned.state == "WITHIN" else EXIT_NOT_WITHIN


def _chosen_move(job: Job, options: argparse.Namespace) -> Move:
    """The poses given, else the move named, else the first of the file."""
    if options.poses:
        names = tuple(find_pose(job, name).name for name in options.poses)
        if len(names) < 2:
            raise MoveNameError("--poses", "at least two poses", "one")
        return Move(name=" - ".join(names)[:120], poses=names, controls=(options.controls,) * (len(names) - 1))
    if options.move is None and job.moves:
        return job.moves[0]
    for move in job.moves:
        if move.name == options.move:
            return move
    wanted = repr(options.move) if options.move else "none"
    raise MoveNameError("move", f"one of {[move.name for move in job.moves]}, or --poses", wanted)


def _refused(problems: Iterable[Problem]) -> int:
    return EXIT_BAD_INPUT if any(problem.kind == "impossible" for problem in problems) else EXIT_NOT_WITHIN


def progress(name: str) -> Tell:
    """Prints a line of progress for every tenth of the work done."""
    printed = 0.0

    def tell(share: float, _trying: str = "", /) -> None:
        nonlocal printed
        if share >= printed + PROGRESS_STEP or share >= 1.0 > printed:
            printed = share
            print(f"{name}: {100.0 * share:.0f} %", file=sys.stderr, flush=True)

    return tell
