"""What the truck's entries say about each other: plate against scale and tape, standard tests, usual ranges, wear."""

from __future__ import annotations

import itertools

import msgspec

from engine.schema.model import Plate, PlateRow, Truck
from engine.shop.truck_classes import CLASS_ROOM, REAL_REAR_SHARE, TRUCK_CLASSES, class_of
from engine.shop.truck_measurement import DerivedValue, ReadingError, overhang_from_plate


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

SIDE_SLOPE = 0.40
"""Steepest empty side test of a truck under 5 t (ISO 22915-2, from memory: 50 % from 5 t, and less for slow trucks).
The lesser one is used for all, so that no sound truck is reported."""


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
    """Greatest height of the bare truck's centre that passes the empty side test.

    On a side slope i the centre stays inside the line from front tyre to rear axle pivot:
    ``h <= z_line + half width / i``, both at the centre's own place along the truck.
    """
    rear_share = truck.rear_axle_kg.best / (truck.front_axle_kg.best + truck.rear_axle_kg.best)
    line_m = truck.pivot_height_m.best * rear_share
    half_m = truck.front_track_m.best / 2.0 * (1.0 - rear_share)
    cap = line_m + half_m / SIDE_SLOPE
    return DerivedValue(
        value=cap,
        low=0.0,
        high=cap,
        known="worked_out",
        words="the empty side test on {slope:fall} caps the height of the centre at {cap:m}",
        numbers={"slope": SIDE_SLOPE, "cap": cap},
    )


# ---------------------------------------------------------------- forks

WORN_OUT = 0.10
"""Forks are replaced at 10 % of thickness lost at the heel (as read in trade and safety texts; ISO 5057)."""


def fork_strength_left(thickness_m: float, worn_m: float) -> float:
    """Share of a fork's bending strength left after losing ``worn_m`` at the heel: it goes as thickness squared."""
    return (1.0 - worn_m / thickness_m) ** 2


# ---------------------------------------------------------------- contradictions

OVERHANG_ROOM_M = 0.04
"""Difference between plate and tape that is not reported (ours, no source)."""


def contradictions(truck: Truck) -> tuple[Contradiction, ...]:
    """Everything in the truck's data that disagrees with itself or with every real truck, each with both numbers."""
    checks = (_rear_share, _mass_in_class, _overhang, _holds_plate, _height, _worn)
    return tuple(contradiction for check in checks if (contradiction := check(truck)) is not None)


def _rear_share(truck: Truck) -> Contradiction | None:
    share = truck.rear_axle_kg.best / (truck.front_axle_kg.best + truck.rear_axle_kg.best)
    least, most = REAL_REAR_SHARE
    if least <= share <= most:
        return None
    return Contradiction(
        where="truck.rear_axle_kg",
        words=(
            "{share:share} of the bare truck would stand on the rear axle; real trucks have {least:share} to "
            "{most:share}. Are front and rear swapped, or was something on the forks?"
        ),
        numbers={"share": share, "least": least, "most": most},
    )


def _rated(truck: Truck) -> PlateRow | None:
    """The plate's row with the greatest load."""
    return max(truck.plate.rows, key=lambda row: row.rated_kg) if truck.plate else None


def _mass_in_class(truck: Truck) -> Contradiction | None:
    row = _rated(truck)
    if row is None:
        return None
    name = class_of(row.rated_kg)
    least, most = TRUCK_CLASSES[name].mass_kg
    mass_kg = truck.front_axle_kg.best + truck.rear_axle_kg.best
    if least * (1.0 - CLASS_ROOM) <= mass_kg <= most * (1.0 + CLASS_ROOM):
        return None
    return Contradiction(
        where="truck.front_axle_kg",
        words=(
            "the truck weighs {mass:kg}; trucks rated {rated:kg} usually weigh {least:kg} to {most:kg}. Check the "
            "scale and the plate."
        ),
        numbers={"mass": mass_kg, "rated": row.rated_kg, "least": least, "most": most},
    )


def _overhang(truck: Truck) -> Contradiction | None:
    """The plate's overhang against the tape's, from two rows at one height, the furthest apart in load centre."""
    pair = _balance_rows(truck.plate) if truck.plate else None
    if pair is None:
        return None
    tape_m = truck.front_overhang_m.best
    try:
        plate = overhang_from_plate(*pair)
    except ReadingError:
        return Contradiction(
            where="truck.plate",
            words=(
                "two plate rows, {one:kg} at {one_at:mm} and {other:kg} at {other_at:mm}, give no front overhang at "
                "all; the tape says {tape:mm}. One row is limited by strength, or misread."
            ),
            numbers={**_pair_numbers(*pair), "tape": tape_m},
        )
    if plate.low - OVERHANG_ROOM_M <= tape_m <= plate.high + OVERHANG_ROOM_M:
        return None
    return Contradiction(
        where="truck.front_overhang_m",
        words=(
            "the plate's rows give a front overhang of {plate:mm}, the tape says {tape:mm}. One row may be limited by "
            "strength, or the tape went to the wrong edge."
        ),
        numbers={"plate": plate.value, "tape": tape_m},
    )


def _pair_numbers(one: PlateRow, other: PlateRow) -> dict[str, float | str]:
    return {"one": one.rated_kg, "one_at": one.load_centre_m, "other": other.rated_kg, "other_at": other.load_centre_m}


def _balance_rows(plate: Plate) -> tuple[PlateRow, PlateRow] | None:
    """Two rows at one height with different loads and load centres, the furthest apart; None if there are none."""
    pairs = [
        (one, other)
        for one, other in itertools.combinations(sorted(plate.rows, key=lambda row: row.load_centre_m), 2)
        if one.lift_m == other.lift_m and one.rated_kg != other.rated_kg and one.load_centre_m != other.load_centre_m
    ]
    return max(pairs, key=lambda pair: pair[1].load_centre_m - pair[0].load_centre_m, default=None)


def _holds_plate(truck: Truck) -> Contradiction | None:
    """The plate's moment against what the axle weights hold."""
    row = _rated(truck)
    if row is None:
        return None
    holds = truck.wheelbase_m.best * truck.rear_axle_kg.best
    allows = plate_moment_kgm(row, truck.front_overhang_m.best)
    if holds > allows:
        return None
    return Contradiction(
        where="truck.rear_axle_kg",
        words=(
            "the plate allows {allows:kgm} about the front axle, but by its axle weights the truck holds only "
            "{holds:kgm}. Plate, scale or wheelbase is wrong."
        ),
        numbers={"allows": allows, "holds": holds},
    )


def _height(truck: Truck) -> Contradiction | None:
    cap = cg_height_cap(truck)
    if truck.cg_height_m.best <= cap.value * (1.0 + CLASS_ROOM):
        return None
    return Contradiction(
        where="truck.cg_height_m",
        words=(
            "the truck's centre is entered at {height:m}; a truck that passes the empty side test has it no higher "
            "than {cap:m}."
        ),
        numbers={"height": truck.cg_height_m.best, "cap": cap.value},
    )


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
