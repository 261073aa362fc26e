"""What the truck's entries say about each other: plate against scale and tape, and against usual and tested trucks.

A truck is built so that its rear wheels hold the plate's load with something over.  The hold ratio

    k = L W_rear / (Q (c + D))

of wheelbase L, rear axle weight, rated load Q of the plate row of least lift, overhang c and load centre D is 1.3 to
1.7 for the usual trucks; at 1 the truck lies on its nose with the load on its plate.  Likewise the rated load is 0.42
to 0.82 of the bare truck's weight, its rear wheels carry 0.45 to 0.66 of that, and it weighs what trucks of its rating
do.  Two rows of a plate at one height that balance limits give the front overhang:
``c = (Q2 D2 - Q1 D1) / (Q1 - Q2)``.

Sources: ranges ours, from the trucks of `engine.schema.truck_class_ranges`; statics; the side test as named below.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from engine.limits.believed import Range, at_level, outside, what_was_meant
from engine.rig.check import Problem
from engine.schema.model import Plate, PlateRow, Truck
from engine.schema.truck_class_ranges import usual_mass_kg

HOLD = Range((1.30, 1.70), (1.20, 1.85), (1.0, 2.1))
RATED_SHARE = Range((0.42, 0.82), (0.42, 0.82), (0.30, 1.1))
REAR_SHARE = Range((0.45, 0.66), (0.45, 0.66), (0.35, 0.75))
OF_CLASS = Range((0.90, 1.10), (0.75, 1.25), (0.40, 1.60))
"""Of the bare truck's weight over the nearer end of what trucks of its rating weigh."""

OF_CAP = Range((0.0, 1.05), (0.0, 1.1), (0.0, 1.4))
"""Of the height of the centre over the greatest that passes the empty side test; a twentieth over is no news."""

SIDE_SLOPE = 0.40
"""Steepest empty side test of a truck under 5 t (ISO 22915-2, from memory: 50 % from 5 t, and less for slow trucks).
The lesser one is used for all, so that no sound truck is reported."""

PLATE_STEP_KG = 50.0
"""Plates are printed to about this step, so each load has an error of half of it (ours, no source)."""

OVERHANG_TOLD_M, OVERHANG_ASKED_M = 0.04, 0.08
"""By how much the tape may be outside what two rows of the plate give before it is told of, and asked (ours)."""


def problems(truck: Truck) -> Iterator[Problem]:
    """Everything in the truck's entries that disagrees with itself or with what trucks are, each by its level."""
    yield from _height(truck)
    rear_kg, whole_kg = truck.rear_axle_kg.best, truck.front_axle_kg.best + truck.rear_axle_kg.best
    yield from _rear_share(rear_kg / whole_kg)
    if truck.plate is None:
        return
    index, row = min(enumerate(truck.plate.rows), key=lambda pair: pair[1].lift_m)
    where = f"truck.plate.rows[{index}].rated_kg"
    yield from _rated(where, row.rated_kg, whole_kg)
    if RATED_SHARE.believed[0] <= row.rated_kg / whole_kg <= RATED_SHARE.believed[1]:
        yield from _of_class(truck.plate, whole_kg)
    yield from _overhang(truck.plate, truck.front_overhang_m.best)
    arm_m, long_m = truck.front_overhang_m.best + row.load_centre_m, truck.wheelbase_m.best
    hold = long_m * rear_kg / (row.rated_kg * arm_m)
    words = (
        "The rear wheels' {rear:kg} over the wheelbase hold {value:ratio} times what the plate's {rated:kg} at "
        "{centre:m} pulls forward; {low:ratio} to {high:ratio} times is usual. Check the plate, the axle weights and "
        "the wheelbase."
    )
    numbers: dict[str, float | str] = {
        "rear": rear_kg,
        "rated": row.rated_kg,
        "centre": row.load_centre_m,
        "part": "the plate beside the axle weights",
        "measure": "read the plate and weigh the axles again",
    }
    meant_kg = what_was_meant(row.rated_kg, lambda kg: long_m * rear_kg / (kg * arm_m), HOLD.believed)
    yield from outside(where, words, hold, HOLD, numbers, meant_kg)


def _rear_share(share: float) -> Iterator[Problem]:
    words = (
        "The rear wheels carry {value:share} of the bare truck; {low:share} to {high:share} is usual. Check the axle "
        "weights: front and rear may be the wrong way round."
    )
    numbers: dict[str, float | str] = {"part": "the rear axle weight", "measure": "weigh both axles again"}
    yield from outside("truck.rear_axle_kg", words, share, REAR_SHARE, numbers)


def _rated(where: str, rated_kg: float, whole_kg: float) -> Iterator[Problem]:
    words = (
        "The plate's {rated:kg} is {value:share} of the bare truck's {whole:kg}; {low:share} to {high:share} is usual. "
        "Check the plate and the axle weights."
    )
    numbers: dict[str, float | str] = {
        "rated": rated_kg,
        "whole": whole_kg,
        "part": "the plate's rated load",
        "measure": "read the plate and weigh the axles again",
    }
    meant_kg = what_was_meant(rated_kg, lambda kg: kg / whole_kg, RATED_SHARE.believed)
    yield from outside(where, words, rated_kg / whole_kg, RATED_SHARE, numbers, meant_kg)


def _of_class(plate: Plate, whole_kg: float) -> Iterator[Problem]:
    rated_kg = max(row.rated_kg for row in plate.rows)
    least_kg, most_kg = usual_mass_kg(rated_kg)
    words = (
        "The bare truck weighs {whole:kg}; trucks rated {rated:kg} usually weigh {least:kg} to {most:kg}. Check the "
        "scale and the plate."
    )
    numbers: dict[str, float | str] = {
        "whole": whole_kg,
        "rated": rated_kg,
        "least": least_kg,
        "most": most_kg,
        "part": "the truck's weight",
        "measure": "weigh both axles again and read the plate",
    }
    share = whole_kg / min(max(whole_kg, least_kg), most_kg)
    yield from outside("truck.front_axle_kg", words, share, OF_CLASS, numbers)


def cg_height_cap_m(truck: Truck) -> float:
    """Greatest height of the bare truck's centre that passes the empty side test.

    On a side slope i the centre stays inside the line from front tyre to rear axle pivot:
    ``h <= z_line + half width / i``, both at the centre's own place along the truck.
    """
    rear_share = truck.rear_axle_kg.best / (truck.front_axle_kg.best + truck.rear_axle_kg.best)
    line_m = truck.pivot_height_m.best * rear_share
    half_m = truck.front_track_m.best / 2.0 * (1.0 - rear_share)
    return line_m + half_m / SIDE_SLOPE


def _height(truck: Truck) -> Iterator[Problem]:
    words = (
        "The truck's centre is entered at {height:m}; a truck that passes the empty side test has it no higher than "
        "{cap:m}. Check its height, the front track and the height of the rear axle pivot."
    )
    cap_m, height_m = cg_height_cap_m(truck), truck.cg_height_m.best
    numbers: dict[str, float | str] = {
        "height": height_m,
        "cap": cap_m,
        "part": "the height of the truck's centre",
        "measure": "weigh the truck with one axle raised",
    }
    yield from outside("truck.cg_height_m", words, height_m / cap_m, OF_CAP, numbers)


def plate_overhangs_m(one: PlateRow, other: PlateRow) -> tuple[float, float, float]:
    """Front overhang that two rows of different loads and load centres give if balance limits both.

    As printed, the least and the most that the plate's rounding to `PLATE_STEP_KG` leaves; below 0 no truck has it.
    Rows nearer to each other than that step leave anything open.
    """

    def overhang_m(first_kg: float, second_kg: float) -> float:
        return (second_kg * other.load_centre_m - first_kg * one.load_centre_m) / (first_kg - second_kg)

    if abs(one.rated_kg - other.rated_kg) <= PLATE_STEP_KG:
        return overhang_m(one.rated_kg, other.rated_kg), -math.inf, math.inf
    half = PLATE_STEP_KG / 2.0
    ends = [overhang_m(one.rated_kg + a, other.rated_kg + b) for a, b in itertools.product((-half, half), repeat=2)]
    return overhang_m(one.rated_kg, other.rated_kg), min(ends), max(ends)


def _balance_rows(plate: Plate) -> tuple[PlateRow, PlateRow] | None:
    """Two rows at one height with different loads and load centres, the furthest apart; None if there are none."""
    pairs = [
        (one, other)
        for one, other in itertools.combinations(sorted(plate.rows, key=lambda row: row.load_centre_m), 2)
        if one.lift_m == other.lift_m and one.rated_kg != other.rated_kg and one.load_centre_m != other.load_centre_m
    ]
    return max(pairs, key=lambda pair: pair[1].load_centre_m - pair[0].load_centre_m, default=None)


def _overhang(plate: Plate, tape_m: float) -> Iterator[Problem]:
    """The plate's front overhang against the tape's.  Never impossible: strength may limit a row of a real plate."""
    pair = _balance_rows(plate)
    if pair is None:
        return
    one, other = pair
    by_plate_m, least_m, most_m = plate_overhangs_m(one, other)
    off_m = max(least_m - tape_m, tape_m - most_m)
    numbers: dict[str, float | str] = {
        "plate": by_plate_m,
        "tape": tape_m,
        "value": off_m,
        "one": one.rated_kg,
        "one_at": one.load_centre_m,
        "other": other.rated_kg,
        "other_at": other.load_centre_m,
        "part": "the front overhang beside the plate",
        "measure": "read the plate again and tape from the front axle to the face of the forks",
        "lacks": "confirmed",
    }
    words = (
        "The plate's rows, {one:kg} at {one_at:mm} and {other:kg} at {other_at:mm}, give a front overhang of "
        "{plate:mm}; the tape says {tape:mm}. One row may be limited by strength, or the tape went to the wrong edge."
    )
    if by_plate_m <= 0.0:
        words = (
            "The plate's rows, {one:kg} at {one_at:mm} and {other:kg} at {other_at:mm}, give no front overhang at "
            "all; the tape says {tape:mm}. One row is limited by strength, or misread."
        )
    if off_m > OVERHANG_ASKED_M:
        yield at_level("asked", "truck.front_overhang_m", words, numbers)
    elif off_m > OVERHANG_TOLD_M:
        yield at_level("caution", "truck.front_overhang_m", words, numbers)
