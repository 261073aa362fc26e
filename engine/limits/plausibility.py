"""Entries that cannot be right beside each other: plate, weights and wheelbase of the truck, parts and their steel.

A truck is built so that its rear wheels hold the plate's load with something over.  The hold ratio

    k = L W_rear / (Q (c + D))

of wheelbase L, rear axle weight, rated load Q of the lowest plate row, overhang c and load centre D is 1.3 to 1.7 for
the usual trucks; at 1 the truck lies on its nose with the load on its plate.  Likewise the rated load is 0.42 to 0.82
of the bare truck's weight, and its rear wheels carry 0.45 to 0.66 of that.  A part of the rig weighs what its steel
does.

What no truck or part has is refused; what few have is a caution.  Where one entry times 10, 1,000, 25.4 or 2.2046, or
over them, would be usual, that is offered.

Sources: ranges ours, from the trucks of `engine.shop.truck_classes`; statics.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator
from typing import NamedTuple

from engine.base.identity import IdentityKey
from engine.rig.check import Problem
from engine.rig.rig_masses import steel_masses
from engine.schema.model import Policy, Rig, Truck
from engine.schema.quantities import Estimate
from engine.schema.typical_allowances import taken_words
from engine.schema.uncertainty_bands import low_high


class Range(NamedTuple):
    """From where to where a number is usual, and from where to where it is possible at all."""

    usual: tuple[float, float]
    possible: tuple[float, float]


HOLD, RATED_SHARE, REAR_SHARE = (
    Range((1.20, 1.85), (1.0, 2.1)),
    Range((0.42, 0.82), (0.30, 1.1)),
    Range((0.45, 0.66), (0.35, 0.75)),
)

LEAST_OF_STEEL, MOST_OF_STEEL, MORE_KG = 0.15, 4.0, 20.0
"""A part lighter than this share of its steel, or heavier than so many times it and as much more, is refused."""

SLIPS = (10.0, 100.0, 1000.0, 25.4, 2.20462, 3.28084)
"""Factors between units and decimals that are mixed up."""


@functools.lru_cache(maxsize=16)
def _found(same: IdentityKey[Truck, Rig]) -> tuple[Problem, ...]:
    truck, rig = same.parts
    return (*_truck(truck), *_parts(truck, rig))


def problems(truck: Truck, rig: Rig) -> list[Problem]:
    """Entries that cannot be right, each with what contradicts it."""
    return [problem for problem in _found(IdentityKey(truck, rig)) if problem.kind == "impossible"]


def taken_as_typical(policy: Policy) -> tuple[Problem, ...]:
    """Allowances that nobody has set."""
    names = policy.still_typical
    if not names:
        return ()
    numbers: dict[str, float | str] = {name: getattr(policy, name) for name in names}
    return (Problem(kind="caution", where=f"policy.{names[0]}", words=taken_words(names), numbers=numbers),)


def cautions(truck: Truck, rig: Rig) -> tuple[Problem, ...]:
    """Entries that are seldom right."""
    return tuple(problem for problem in _found(IdentityKey(truck, rig)) if problem.kind == "caution")


def _truck(truck: Truck) -> Iterator[Problem]:
    rear_kg, whole_kg = truck.rear_axle_kg.best, truck.front_axle_kg.best + truck.rear_axle_kg.best
    yield from _rear_share(rear_kg / whole_kg)
    if truck.plate is None:
        return
    row = min(truck.plate.rows, key=lambda one: one.lift_m)
    yield from _rated(row.rated_kg, whole_kg)
    arm_m, long_m = truck.front_overhang_m.best + row.load_centre_m, truck.wheelbase_m.best
    hold = long_m * rear_kg / (row.rated_kg * arm_m)
    words = (
        "The rear wheels' {rear:kg} over the wheelbase hold {hold:ratio} times what the plate's {rated:kg} at "
        "{centre:m} pulls forward; {low:ratio} to {high:ratio} times is usual. Check the plate, the axle weights and "
        "the wheelbase."
    )
    numbers = {"rear": rear_kg, "hold": hold, "rated": row.rated_kg, "centre": row.load_centre_m}
    meant_kg = _meant(row.rated_kg, lambda kg: long_m * rear_kg / (kg * arm_m), HOLD)
    yield from _outside("truck.plate", words, hold, HOLD, numbers, meant_kg)


def _rear_share(share: float) -> Iterator[Problem]:
    words = (
        "The rear wheels carry {share:share} of the bare truck; {low:share} to {high:share} is usual. Check the axle "
        "weights: front and rear may be the wrong way round."
    )
    yield from _outside("truck.rear_axle_kg", words, share, REAR_SHARE, {"share": share})


def _rated(rated_kg: float, whole_kg: float) -> Iterator[Problem]:
    words = (
        "The plate's {rated:kg} is {share:share} of the bare truck's {whole:kg}; {low:share} to {high:share} is usual. "
        "Check the plate and the axle weights."
    )
    numbers = {"rated": rated_kg, "share": rated_kg / whole_kg, "whole": whole_kg}
    meant_kg = _meant(rated_kg, lambda kg: kg / whole_kg, RATED_SHARE)
    yield from _outside("truck.plate", words, rated_kg / whole_kg, RATED_SHARE, numbers, meant_kg)


def _parts(truck: Truck, rig: Rig) -> Iterator[Problem]:
    steel = steel_masses(truck, rig)
    entered: list[tuple[str, str, Estimate[float] | None, float]] = [
        ("the sleeves and cross-member", "rig.sleeves.mass_kg", rig.sleeves.mass_kg, steel["sleeves_kg"]),
        ("the jib mast", "rig.jib_mast.mass_kg", rig.jib_mast.mass_kg, steel["jib_mast_kg"]),
        ("the saddles and bed", "rig.saddles.mass_kg", rig.saddles.mass_kg, steel["saddles_kg"]),
        ("the boom", "rig.boom.mass_kg", rig.boom.mass_kg, steel["boom_kg"]),
    ]
    for index, (arm, kg) in enumerate(zip(rig.arms, steel["arms_kg"], strict=True)):
        entered.append((arm.name, f"rig.arms[{index}].mass_kg", arm.mass_kg, kg))
    for name, where, mass_kg, steel_kg in entered:
        if mass_kg is not None:
            yield from _part(name, where, mass_kg, steel_kg)


def _part(name: str, where: str, mass_kg: Estimate[float], steel_kg: float) -> Iterator[Problem]:
    high_kg = low_high(mass_kg, "mass")[1]
    numbers: dict[str, float | str] = {"part": name, "steel": steel_kg, "entered": mass_kg.best}
    words = "The steel of {part} alone weighs {steel:kg}; {entered:kg} is entered. Weigh it, or check its sizes."
    if LEAST_OF_STEEL * steel_kg <= mass_kg.best <= MOST_OF_STEEL * steel_kg + MORE_KG:
        if high_kg < 0.9 * steel_kg:
            yield Problem(kind="caution", where=where, words=words, numbers=numbers)
        return
    meant = _meant(mass_kg.best, lambda kg: kg / steel_kg, Range((0.8, 1.6), (0.0, 0.0)))
    yield _impossible(where, words, numbers, meant)


def _outside(
    where: str,
    words: str,
    value: float,
    within: Range,
    numbers: dict[str, float],
    meant_kg: float | None = None,
) -> Iterator[Problem]:
    (low, high), (least, most) = within
    told: dict[str, float | str] = {**numbers, "low": low, "high": high}
    if not least < value <= most:
        yield _impossible(where, words, told, meant_kg)
    elif not low <= value <= high:
        yield Problem(kind="caution", where=where, words=words, numbers=told)


def _impossible(where: str, words: str, numbers: dict[str, float | str], meant_kg: float | None) -> Problem:
    if meant_kg is not None:
        words, numbers = f"{words} Did you mean {{meant:kg}}?", {**numbers, "meant": meant_kg}
    return Problem(kind="impossible", where=where, words=words, numbers=numbers)


def _meant(entered: float, ratio_of: Callable[[float], float], within: Range) -> float | None:
    """The entry times or over one of `SLIPS` that would be usual, the nearest to the middle of the range."""
    low, high = within.usual
    tried = [entered * factor for slip in SLIPS for factor in (slip, 1.0 / slip)]
    usual = [value for value in tried if low <= ratio_of(value) <= high]
    return min(usual, key=lambda value: abs(ratio_of(value) - (low + high) / 2.0), default=None)
