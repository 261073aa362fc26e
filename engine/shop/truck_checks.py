"""What the truck's entries say about each other: plate against scale and tape, standard tests, usual ranges, wear."""

from __future__ import annotations

import msgspec

from engine.limits import truck_entries
from engine.limits.truck_entries import SIDE_SLOPE, cg_height_cap_m
from engine.schema.model import PlateRow, Truck
from engine.shop.truck_measurement import DerivedValue


class Contradiction(msgspec.Struct, kw_only=True, frozen=True):
    """Two numbers that cannot both be right, or one no real truck has; ``words`` is a template with the numbers."""

    where: str
    words: str
    numbers: dict[str, float | str]


# ---------------------------------------------------------------- plate and standard tests


def plate_moment_kgm(row: PlateRow, overhang_m: float) -> float:
    """Moment (kg·m) about the front axle that one row allows; the truck's restoring moment is at least this."""
    return row.rated_kg * (overhang_m + row.load_centre_m)


STACKING_SLOPE, STACKING_SLOPE_HEAVY = 0.04, 0.035
HEAVY_KG = 5000.0
"""Japan, Fork-lift Structure Standard, Art. 1: stacking test on 4 %, 3.5 % from 5 t."""


def stacking_slope(rated_kg: float) -> float:
    """Slope of the forward stacking test for a truck of this rating."""
    return STACKING_SLOPE if rated_kg < HEAVY_KG else STACKING_SLOPE_HEAVY


def stacking_bound(truck: Truck, row: PlateRow) -> DerivedValue:
    """Least restoring moment (kg·m) about the front axle of a truck that met the forward stacking test.

    Rated load at full height on a slope i: ``W d >= C (x0 + LC) + i (C (zmax + LC) + W h)`` with the load's centre LC
    over the blades.  For understanding only: never used to raise an allowance.
    """
    slope, mass_kg = stacking_slope(row.rated_kg), truck.front_axle_kg.best + truck.rear_axle_kg.best
    allowed = plate_moment_kgm(row, truck.front_overhang_m.best)
    extra = slope * (row.rated_kg * (row.lift_m + row.load_centre_m) + mass_kg * truck.cg_height_m.best)
    has = truck.wheelbase_m.best * truck.rear_axle_kg.best
    return DerivedValue(
        value=allowed + extra,
        low=allowed,
        high=allowed + extra,
        known="worked_out",
        words=(
            "an unaltered truck that passed the {slope:fall} stacking test holds at least {value:kgm}, of which the "
            "plate allows {allowed:kgm}; by its axle weights this one holds {has:kgm}. For understanding only."
        ),
        numbers={"slope": slope, "value": allowed + extra, "allowed": allowed, "has": has},
    )


def cg_height_cap(truck: Truck) -> DerivedValue:
    """Greatest height of the bare truck's centre that passes the empty side test (`engine.limits.truck_entries`)."""
    cap_m = cg_height_cap_m(truck)
    return DerivedValue(
        value=cap_m,
        low=0.0,
        high=cap_m,
        known="worked_out",
        words="the empty side test on {slope:fall} caps the height of the centre at {cap:m}",
        numbers={"slope": SIDE_SLOPE, "cap": cap_m},
    )


# ---------------------------------------------------------------- forks

WORN_OUT = 0.10
"""Forks are replaced at 10 % of thickness lost at the heel (as read in trade and safety texts; ISO 5057)."""


def fork_strength_left(thickness_m: float, worn_m: float) -> float:
    """Share of a fork's bending strength left after losing ``worn_m`` at the heel: it goes as thickness squared."""
    return (1.0 - worn_m / thickness_m) ** 2


# ---------------------------------------------------------------- contradictions


def contradictions(truck: Truck) -> tuple[Contradiction, ...]:
    """Everything in the truck's data that disagrees with itself or with every real truck, each with both numbers."""
    told = (
        Contradiction(where=problem.where, words=problem.words, numbers=dict(problem.numbers))
        for problem in truck_entries.problems(truck)
    )
    worn = _worn(truck)
    return (*told, *(() if worn is None else (worn,)))


def _worn(truck: Truck) -> Contradiction | None:
    if truck.forks.worn_m is None or truck.forks.worn_m < WORN_OUT * truck.forks.thickness_m:
        return None
    lost = truck.forks.worn_m / truck.forks.thickness_m
    return Contradiction(
        where="truck.forks.worn_m",
        words=(
            "the forks have lost {lost:share} of their thickness at the heel; they are replaced at {limit:share}, "
            "where {left:share} of their strength is left. Stop using them."
        ),
        numbers={"lost": lost, "limit": WORN_OUT, "left": fork_strength_left(1.0, WORN_OUT)},
    )
