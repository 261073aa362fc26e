"""Commands ``chart``, ``reach``, ``farthest``, ``move`` and ``mend``: planning without a window.

Progress is printed on the error stream, so that the result itself can be piped on.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable

import msgspec

from engine.base import outcome
from engine.base.errors import TailweightError
from engine.base.formatting import System
from engine.cli import farthest_report, load_chart_report, mend_report, move_report, reach_report
from engine.cli.typed_options import typed_number
from engine.explain.load_chart_csv import load_chart_csv
from engine.planning.load_chart import load_chart
from engine.planning.longest_reach import longest_reach
from engine.planning.mend_wanted import Wanted, mend_wanted
from engine.planning.move import plan
from engine.planning.reach import FINE_M, reach_map
from engine.planning.sweep import Tell
from engine.rig.check import Problem
from engine.rig.feasibility import usable_holes
from engine.schema.model import Job, Move, find_pose

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
    _add_load(mend_it)
    mend_it.add_argument("--hole", type=int, help="pin hole of the boom, instead of the pose's")
    mend_it.add_argument("--every-hole", action="store_true", help="hold the load in every pin hole of the boom")
    mend_it.add_argument("--move", help="bring a whole move of the file within its limits, instead of a pose")
    farthest = _command(commands, "farthest", "how far out the hook may be with a load, at the pose's hook height")
    farthest.add_argument("--pose", help="pose that gives hook height, tilt and floor; the first one if left out")
    _add_load(farthest)
    move = _command(commands, "move", "the smallest margin on a whole move")
    move.add_argument("--move", help="name of the move; the first one if left out")
    move.add_argument("--poses", nargs="+", metavar="POSE", help="poses in order, instead of a move of the file")
    move.add_argument(
        "--controls",
        choices=("driver", "helper", "nobody"),
        default="nobody",
        help="who sits at the controls while --poses are moved by hand",
    )


def _add_load(command: outcome.Parser) -> None:
    command.add_argument("--load", help="the load, such as '150 kg' or '330 lb'; the file's if left out")


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
    plans = {"chart": _chart, "reach": _reach, "move": _move, "mend": _mend, "farthest": _farthest}
    return plans[options.command](job, options)


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
    system, pose = options.units or job.units, find_pose(job, options.pose)
    if options.hole is not None:
        holes = usable_holes(job)
        if options.hole not in holes:
            raise TailweightError("--hole", f"a pin hole from {holes[0]} to {holes[-1]}", f"{options.hole}")
        pose = msgspec.structs.replace(pose, hole=options.hole, free_out_m=None)
    wanted = Wanted(
        pose=pose,
        load_kg=_load_kg(options, system),
        every_hole=options.every_hole,
        move=None if options.move is None else _named_move(job, options.move),
    )
    mending = mend_wanted(job, wanted, tell=progress("mend"))
    report = mend_report
    print(report.as_json(job, wanted, mending) if options.json else report.as_text(job, wanted, mending, system))
    return EXIT_WITHIN if mending.cures else EXIT_NOT_WITHIN


def _farthest(job: Job, options: argparse.Namespace) -> int:
    system, pose = options.units or job.units, find_pose(job, options.pose)
    load_kg = _load_kg(options, system) or job.load.mass_kg.best
    if load_kg is None:
        raise TailweightError("--load", "how heavy the load is, which the file does not say", "nothing")
    answer = longest_reach(job, pose, load_kg, tell=progress("farthest"))
    report = farthest_report
    print(report.as_json(job, pose, answer) if options.json else report.as_text(job, pose, answer, system))
    return EXIT_WITHIN if answer.found else EXIT_NOT_WITHIN


def _load_kg(options: argparse.Namespace, system: System) -> float | None:
    return None if options.load is None else typed_number("--load", options.load, "mass", system)


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
    return _named_move(job, options.move, ", or --poses")


def _named_move(job: Job, name: str | None, otherwise: str = "") -> Move:
    for move in job.moves:
        if move.name == name:
            return move
    wanted = repr(name) if name else "none"
    raise MoveNameError("move", f"one of {[move.name for move in job.moves]}{otherwise}", wanted)


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
