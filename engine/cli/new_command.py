"""Command ``new``: a rig from a wish, every part of it sized, written to a file.

``python -m engine new OUT.rig.json --truck "2.5 t" --height "2.4 m" --reach "2 m" --load 150 [--plate 2500 500 3300]``
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from engine.base import outcome
from engine.base.formatting import System, fill
from engine.cli.typed_options import typed_number
from engine.explain.new_rig_words import new_rig_words, part_lines
from engine.planning.new_rig import NewRig, new_rig
from engine.planning.sweep import Tell
from engine.schema import rig_file
from engine.schema.model import PlateRow
from engine.schema.quantities import Estimate
from engine.shop.first_rig import GUESSED_SLOPE, Wish, usual_range
from engine.shop.truck_classes import CLASSES, typical_truck

EXIT_WITHIN, EXIT_NOT_WITHIN = 0, 1

KNOWN = ("weighed", "papers", "worked_out", "similar", "guess")


def add(commands: argparse._SubParsersAction[outcome.Parser]) -> None:
    """Add the command to the command line."""
    command = commands.add_parser("new", help="a rig from a wish, every part of it sized")
    command.add_argument("out", help="rig file to write (*.rig.json)")
    command.add_argument("--units", choices=("metric", "us"), default="metric", help="units of bare numbers and sizes")
    command.add_argument("--truck", required=True, help=f"class of the truck: {', '.join(sorted(CLASSES))}")
    command.add_argument(
        "--plate",
        nargs=3,
        metavar=("RATED", "CENTRE", "LIFT"),
        help="what the truck's plate says: rated load, load centre, up to which fork height",
    )
    command.add_argument("--height", required=True, help="height of the hook")
    command.add_argument("--reach", required=True, help="from the fork face to the hook")
    command.add_argument("--load", required=True, help="weight of the load")
    command.add_argument("--known", choices=KNOWN, default="guess", help="how the weight is known")
    command.add_argument(
        "--sling", metavar="RATED", help="what the sling's tag allows on one leg straight down (without it: NOT PROVEN)"
    )
    command.add_argument("--arms", type=int, choices=(0, 1, 2), default=0, help="end arms")
    command.add_argument(
        "--floor",
        choices=("level", "guess", "unknown"),
        default="unknown",
        help="measured and level, a guess of 1 %% both ways, or not measured yet (then there is no verdict)",
    )
    command.add_argument("--steel", default="unknown", help="mark of the steel, such as S235 or A500 B")
    command.add_argument(
        "--welds",
        choices=("own_eye", "qualified_visual", "qualified_ndt"),
        default="own_eye",
        help="who welds it and who looks at the welds",
    )
    command.add_argument("--json", action="store_true", help="print JSON in SI units")


def run(options: argparse.Namespace, tell: Tell) -> int:
    """Size the rig, write it, say what it is made of; returns the exit status.

    Raises
    ------
    TailweightError
        For an answer that cannot be read, or a wish that cannot be drawn.
    """
    wish = _wish(options)
    found = new_rig(wish, tell=tell)
    if found.job is not None:
        rig_file.write(found.job, Path(options.out))
    print(as_json(found) if options.json else as_text(wish, found))
    return EXIT_NOT_WITHIN if found.job is None else EXIT_WITHIN


def as_text(wish: Wish, found: NewRig) -> str:
    """What came of it, and the tubes."""
    said = new_rig_words(wish, found)
    lines = [fill(said.words, said.numbers, wish.units)]
    if found.job is not None:
        lines += [f"  {fill(line.words, line.numbers, wish.units)}" for line in part_lines(found.job)]
    return "\n".join(lines)


def as_json(found: NewRig) -> str:
    """The same with exact numbers in SI."""
    near = found.nearest
    answer: dict[str, Any] = {
        "found": found.job is not None,
        "weight_kg": None if found.job is None else found.weight_kg,
        "limit": found.limit,
        "nearest": None
        if near is None
        else {"reach_m": near.reach_m, "load_kg": near.load.best, "welds": near.quality},
    }
    return json.dumps(answer, indent=2, ensure_ascii=False, allow_nan=False)


def _wish(options: argparse.Namespace) -> Wish:
    units: System = options.units
    level = {"level": Estimate(best=0.0, known="measured"), "guess": Estimate(best=GUESSED_SLOPE, known="guess")}
    slope, truck = level.get(options.floor), typical_truck(options.truck)

    def answer(name: str, text: str, kind: str) -> float:
        return typed_number(
            f"--{name.partition('_')[0].replace('hook', 'height')}", text, kind, units, usual_range(name, truck)
        )

    return Wish(
        name="New rig",
        truck=truck,
        hook_height_m=answer("hook_height_m", options.height, "length"),
        reach_m=answer("reach_m", options.reach, "length"),
        load=Estimate(best=answer("load_kg", options.load, "mass"), known=options.known),
        sling_rated_kg=None if options.sling is None else answer("sling_rated_kg", options.sling, "mass"),
        arms=options.arms,
        plate=None if options.plate is None else _plate(options.plate, units),
        fall_along=slope,
        fall_across=slope,
        units=units,
        steel=options.steel,
        quality=options.welds,
    )


def _plate(texts: list[str], units: System) -> PlateRow:
    rated, centre, lift = (
        typed_number(f"--plate {name}", text, kind, units)
        for name, text, kind in zip(("RATED", "CENTRE", "LIFT"), texts, ("mass", "length", "length"), strict=True)
    )
    return PlateRow(rated_kg=rated, load_centre_m=centre, lift_m=lift)
