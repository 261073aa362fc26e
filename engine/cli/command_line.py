"""``python -m engine check RIG [--pose NAME] [--json]``: the verdict without a window.

``parts`` takes the same arguments and prints every limit, worst first, each with its sum worked out.  ``truck RIG
[--json]`` prints the truck as it is understood: every entry with how it is known, and what contradicts.
``chart``, ``reach``, ``farthest``, ``move`` and ``mend`` plan: see ``engine.cli.plan_commands``.  ``new`` makes a rig
of a wish: see ``engine.cli.new_command``; ``other`` puts a rig on another truck: see
``engine.cli.other_truck_command``.

Exit status: 0 within the limits entered (``truck``: nothing contradicts), 1 not within (over, not proven, refused for a
missing fact), 2 bad input (a file, a name or a pose that cannot be), 3 nobody takes the output (a closed pipe, a full
drive).
"""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Sequence

from engine.base import outcome
from engine.base.errors import TailweightError
from engine.cli import new_command, other_truck_command, parts_report, plan_commands, truck_report, verdict_report
from engine.explain import refusals
from engine.schema import rig_file
from engine.schema.model import Job, find_pose
from engine.worst_case.verdict import evaluate

COMMANDS = {
    "check": "verdict on one pose",
    "parts": "every limit of one pose, worst first, with its sum",
    "truck": "the truck as it is understood, with how each entry is known",
}

EXIT_WITHIN, EXIT_NOT_WITHIN, EXIT_BAD_INPUT = 0, 1, 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit status."""
    return outcome.of_printing(lambda: _run(arguments))


def _run(arguments: Sequence[str] | None) -> int:
    options = _parser().parse_args(arguments)
    _replace_unprintable()
    try:
        if options.command == "new":
            return new_command.run(options, plan_commands.progress("new"))
        job, changes = rig_file.read_with_changes(options.rig)
        for change in changes:
            print(f"tailweight: {change}", file=sys.stderr)
        if options.command == "truck":
            return _truck(job, options)
        if options.command == "other":
            return other_truck_command.run(job, options)
        if options.command not in COMMANDS:
            return plan_commands.run(job, options)
        pose = find_pose(job, options.pose)
        verdict = evaluate(job, pose)
    except TailweightError as error:
        print(f"tailweight: {refusals.with_place(error)}", file=sys.stderr)
        return EXIT_BAD_INPUT
    report, system = parts_report if options.command == "parts" else verdict_report, options.units or job.units
    if options.json:
        print(report.as_json(job, pose, verdict, changes))
    else:
        print(report.as_text(job, pose, verdict, system))
    if any(problem.kind == "impossible" for problem in verdict.problems):
        return EXIT_BAD_INPUT
    return EXIT_WITHIN if verdict.state == "WITHIN" else EXIT_NOT_WITHIN


def _truck(job: Job, options: argparse.Namespace) -> int:
    """Print the truck as it is understood; 1 when something in it contradicts."""
    summary, system = truck_report.summary_of(job), options.units or job.units
    print(truck_report.as_json(job, summary) if options.json else truck_report.as_text(job, summary, system))
    return EXIT_NOT_WITHIN if summary.contradictions else EXIT_WITHIN


def _replace_unprintable() -> None:
    """Let a terminal without a degree sign show a question mark instead of stopping the program."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _parser() -> argparse.ArgumentParser:
    parser = outcome.Parser(
        prog="python -m engine",
        description="Balance and limits of a lifting jib on a fork-lift truck. Planning help only.",
    )
    commands = parser.add_subparsers(dest="command", required=True)
    for name, words in COMMANDS.items():
        command = commands.add_parser(name, help=words)
        command.add_argument("rig", help="rig file (*.rig.json)")
        if name != "truck":
            command.add_argument("--pose", help="name of the pose; the first one if left out")
        command.add_argument("--json", action="store_true", help="print JSON in SI units")
        command.add_argument(
            "--units", choices=("metric", "us"), help="units of the text; those of the file if left out"
        )
    plan_commands.add(commands)
    new_command.add(commands)
    other_truck_command.add(commands)
    return parser
