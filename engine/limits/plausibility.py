"""Entries that cannot be right beside each other: of the truck, of parts and their steel, of load and slings.

The truck's own entries are held against each other in `engine.limits.truck_entries`.  A part of the rig weighs what
its steel does, and a load what its box can hold.

What no truck or part has is ``impossible``; what few have is ``asked``: the pose is not proven until the entry is
corrected or somebody says that it is right (`Job.answers`), which lapses when the number changes.  What is only unusual
is a ``caution``.  Where one entry times 10, 1,000, 25.4 or 2.2046, or over them, would be usual, that is offered.

Sources: ranges ours; statics.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Mapping

import msgspec

from engine.base.identity import IdentityKey
from engine.limits import part_sizes, truck_entries
from engine.limits.believed import Level, Range, at_level, outside, what_was_meant
from engine.rig.check import Problem
from engine.rig.rig_masses import steel_masses
from engine.rig.strap_pieces import bed_ends_m
from engine.schema.model import Answer, Arm, Boom, JibMast, Job, Load, Policy, Rig, Truck
from engine.schema.quantities import Estimate
from engine.schema.sections import mass_per_length_kg_m
from engine.schema.typical_allowances import taken_words
from engine.schema.uncertainty_bands import low_high

DENSITY = Range((0.05, 8.0), (0.01, 12.0), (0.0, 23.0))
"""Of a load over its box, water being 1: from bales to steel; foam is 0.01, the heaviest metal 23."""

WATER_KG_M3 = 1000.0

USUAL_OF_STEEL = 0.15
"""A part whose weight is off its steel's by more than this share is told of."""

BAND_OF_STEEL = 0.9
"""Steel may be this share of what is worked out: walls within their tolerance (A500)."""

ASKED_OF_STEEL, ASKED_MORE_KG = 1.6, 10.0
LEAST_OF_STEEL, MOST_OF_STEEL, MORE_KG = 0.5, 4.0, 20.0
"""A part lighter than this share of its tubes alone, or heavier than so many times its steel and as much more, cannot
be."""

ANSWERED = "You said that this is right."


@functools.lru_cache(maxsize=16)
def _found(same: IdentityKey[Truck, Rig, Load], answers: tuple[Answer, ...]) -> Mapping[str, tuple[Problem, ...]]:
    """Everything there is to say, by kind."""
    truck, rig, load = same.parts
    by_kind: dict[str, list[Problem]] = {"impossible": [], "asked": [], "caution": []}
    sizes = part_sizes.problems(truck, rig, load)
    for problem in (*sizes, *truck_entries.problems(truck), *_parts(truck, rig), *_load(load), *_slings(load)):
        told = _answered(problem) if problem.kind == "asked" and _is_answered(problem, answers) else problem
        by_kind[told.kind].append(told)
    return {kind: tuple(problems) for kind, problems in by_kind.items()}


def _of(job: Job, kind: Level) -> tuple[Problem, ...]:
    return _found(IdentityKey(job.truck, job.rig, job.load), job.answers)[kind]


def problems(job: Job) -> tuple[Problem, ...]:
    """Entries that cannot be right, each with what contradicts it."""
    return _of(job, "impossible")


def questions(job: Job, *, loaded: bool = True) -> tuple[Problem, ...]:
    """Entries that are hardly right and that nobody has answered for; those of the load only where it hangs."""
    return tuple(problem for problem in _of(job, "asked") if loaded or not problem.where.startswith("load."))


def cautions(job: Job) -> tuple[Problem, ...]:
    """Entries that are unusual, and those that somebody has said are right."""
    return _of(job, "caution")


def answered(job: Job) -> tuple[Problem, ...]:
    """Entries that are hardly right and that somebody has said are."""
    return tuple(problem for problem in cautions(job) if problem.words.endswith(ANSWERED))


def answer_to(problem: Problem) -> Answer:
    """The answer that a questioned entry is right as it stands."""
    return Answer(where=problem.where, value=float(problem.numbers["value"]))


def taken_as_typical(policy: Policy) -> tuple[Problem, ...]:
    """Allowances that nobody has set."""
    names = policy.still_typical
    if not names:
        return ()
    numbers: dict[str, float | str] = {name: getattr(policy, name) for name in names}
    return (Problem(kind="caution", where=f"policy.{names[0]}", words=taken_words(names), numbers=numbers),)


def _is_answered(problem: Problem, answers: tuple[Answer, ...]) -> bool:
    value = float(problem.numbers["value"])
    return any(
        answer.where == problem.where and math.isclose(answer.value, value, rel_tol=SAME_SHARE) for answer in answers
    )


SAME_SHARE = 1e-6
"""An answer holds for the number it was given for, and for no other."""


def _answered(problem: Problem) -> Problem:
    return msgspec.structs.replace(problem, kind="caution", words=f"{problem.words} {ANSWERED}")


# ---------------------------------------------------------------- rig and load


def _parts(truck: Truck, rig: Rig) -> Iterator[Problem]:
    steel = steel_masses(truck, rig)
    sleeves, mast, saddles, boom = rig.sleeves, rig.jib_mast, rig.saddles, rig.boom
    entered: list[tuple[str, str, Estimate[float] | None, float, float]] = [
        (
            "the sleeves and cross-member",
            "rig.sleeves.mass_kg",
            sleeves.mass_kg,
            steel["sleeves_kg"],
            2.0 * mass_per_length_kg_m(sleeves.section) * sleeves.length_m,
        ),
        ("the jib mast", "rig.jib_mast.mass_kg", mast.mass_kg, steel["jib_mast_kg"], _tube_kg(mast)),
        ("the saddles and bed", "rig.saddles.mass_kg", saddles.mass_kg, steel["saddles_kg"], _bed_kg(rig)),
        ("the boom", "rig.boom.mass_kg", boom.mass_kg, steel["boom_kg"], _tube_kg(boom)),
    ]
    for index, (arm, kg) in enumerate(zip(rig.arms, steel["arms_kg"], strict=True)):
        entered.append((arm.name, f"rig.arms[{index}].mass_kg", arm.mass_kg, kg, _tube_kg(arm)))
    for name, where, mass_kg, steel_kg, tube_kg in entered:
        if mass_kg is not None and steel_kg > 0.0:
            yield from _part(name, where, mass_kg, steel_kg, tube_kg)


def _bed_kg(rig: Rig) -> float:
    """The saddle bed alone, without its straps."""
    if rig.saddles.bed_section is None:
        return 0.0
    rear_m, front_m = bed_ends_m(rig)
    return mass_per_length_kg_m(rig.saddles.bed_section) * (front_m - rear_m)


def _tube_kg(part: JibMast | Boom | Arm) -> float:
    """The tube alone, without what is welded on it."""
    return mass_per_length_kg_m(part.section) * part.length_m


def _part(name: str, where: str, mass_kg: Estimate[float], steel_kg: float, tube_kg: float) -> Iterator[Problem]:
    best_kg, high_kg = mass_kg.best, low_high(mass_kg, "mass")[1]
    numbers: dict[str, float | str] = {
        "of": name,
        "steel": steel_kg,
        "entered": best_kg,
        "value": best_kg / steel_kg,
        "part": f"the weight of {name}",
        "measure": f"weigh {name} or check its sizes",
        "lacks": "confirmed",
    }
    words = "The steel of {of} alone weighs {steel:kg}; {entered:kg} is entered. Weigh it, or check its sizes."
    meant = what_was_meant(best_kg, lambda kg: kg / steel_kg, (0.8, 1.6))
    if not LEAST_OF_STEEL * tube_kg <= best_kg <= MOST_OF_STEEL * steel_kg + MORE_KG:
        yield at_level("impossible", where, words, numbers, meant)
    elif high_kg < BAND_OF_STEEL * steel_kg or best_kg > ASKED_OF_STEEL * steel_kg + ASKED_MORE_KG:
        yield at_level("asked", where, words, numbers, meant)
    elif not 1.0 - USUAL_OF_STEEL <= best_kg / steel_kg <= 1.0 + USUAL_OF_STEEL:
        yield at_level("caution", where, words, numbers)


def _load(load: Load) -> Iterator[Problem]:
    """The load against the box it fills, and a guess that is said to be exact."""
    mass_kg = load.mass_kg
    water_kg = WATER_KG_M3 * load.length_m * load.width_m * load.height_m
    words = (
        "The load's {entered:kg} is {value:ratio} times what water would weigh in its box of {length:length} by "
        "{width:length} by {height:length}; steel would be 7.85 times. Check its weight and its sizes."
    )
    numbers: dict[str, float | str] = {
        "entered": mass_kg.best,
        "length": load.length_m,
        "width": load.width_m,
        "height": load.height_m,
        "part": "the load's weight",
        "measure": "weigh the load and measure its box",
    }
    meant = what_was_meant(mass_kg.best, lambda kg: kg / water_kg, DENSITY.usual)
    if mass_kg.best > 0.0:
        yield from outside("load.mass_kg", words, mass_kg.best / water_kg, DENSITY, numbers, meant)
    if mass_kg.known == "guess" and mass_kg.low == mass_kg.best == mass_kg.high and mass_kg.best > 0.0:
        words = "The load's weight is a guess of exactly {entered:kg}, and no one guesses to the kilogram."
        numbers |= {"value": mass_kg.best, "measure": "enter the least and the most it could be", "lacks": "confirmed"}
        yield Problem(kind="asked", where="load.mass_kg.high", words=words, numbers=numbers)


def _slings(load: Load) -> Iterator[Problem]:
    """The distance from hook to load against the legs' own length, where they hold the load."""
    rigging = load.rigging
    if rigging is None or rigging.hitch not in ("single", "two_leg"):
        return
    leg_m = max(leg.length_m for leg in rigging.legs)
    points = rigging.points
    down_m = leg_m if points is None else math.sqrt(max(leg_m**2 - max(points.a_m, points.b_m) ** 2, 0.0))
    over_m = 0.0 if points is None else points.above_m
    least_m, most_m = down_m + over_m - load.height_m / 2.0 - SHORT_M, leg_m + LONG_M
    if least_m <= load.sling_m <= most_m:
        return
    words = (
        "From hook to load {sling:length} is entered, and the sling's longest leg is {value:length}: one of them is "
        "wrong, or there is more between them than is entered."
    )
    numbers: dict[str, float | str] = {
        "sling": load.sling_m,
        "value": leg_m,
        "part": "the length of the slings",
        "measure": "measure the slings and the distance from hook to load again",
        "lacks": "confirmed",
    }
    yield at_level("asked", "load.rigging.legs[0].length_m", words, numbers)


SHORT_M, LONG_M = 0.2, 1.5
"""How much nearer to the load the hook may be than the legs' length says, and how much bought gear may add (ours)."""
