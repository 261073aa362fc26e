"""Where the rear of the truck goes as it turns: out beyond the path of its front wheels.

The truck turns about (0, R) or (0, -R), R at the middle of the front axle.  Its outermost rear corner goes round that
point at sqrt((R + W/2)^2 + (L + o)^2), with W its width, L the wheelbase and o what stands behind the rear axle; the
front wheel on that side at R + W/2 at most.

The counterweight is swept forward round both ways from where the truck starts, and from where it ends for one that
backs in, as far as it creeps; where nobody has said how far, a quarter turn (ours).  A way on which the front runs into
a thing first is not one that the rear swings out on: nobody drives it, and what stands on the way is to be walked.

Source: geometry; gaps as between a body and a machine, ISO 13854 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from engine.base.geometry import Array
from engine.rig.hinge_boxes import Span
from engine.rig.truck_solids import (
    BODY_Z_M,
    COUNTERWEIGHT_AHEAD_M,
    COUNTERWEIGHT_Z_M,
    MEASURED_OFF_M,
    USUAL_OFF_M,
    half_width_m,
    rear_overhang_m,
)
from engine.schema.model import Job, Surrounding, Truck

REAR_WANTED_M, PERSON_M = 0.10, 0.50
"""Free space wanted from the rear to things, and to where anybody stands."""

QUARTER_RAD = math.pi / 2.0

PLACES = 1001
"""Places of the rear that are looked at on its way."""


class RearGap(NamedTuple):
    """How near the rear comes to a thing (m): as entered, and with all that may be off against it."""

    object: str
    clear_m: float
    worst_m: float


def corner_radius_m(truck: Truck, radius_m: float) -> float:
    """Radius that the outermost rear corner goes round."""
    back_m = truck.wheelbase_m.best + rear_overhang_m(truck)
    return math.hypot(radius_m + half_width_m(truck), back_m)


def swing_out_m(truck: Truck, radius_m: float) -> float:
    """How far the rear swings out beyond the path of the front wheel."""
    return corner_radius_m(truck, radius_m) - (radius_m + half_width_m(truck))


def rear_gaps(job: Job, radius_m: float, distance_m: float | None, floors: tuple[str, ...]) -> Iterator[RearGap]:
    """How near the rear comes to everything that stands round these floors, turning to either side."""
    truck = job.truck
    turn_rad = QUARTER_RAD if distance_m is None else min(distance_m / radius_m, math.pi)
    angles = np.linspace(0.0, turn_rad, PLACES)
    # Between two places no point goes further than half of the way from one to the next.
    between_m = corner_radius_m(truck, radius_m) * turn_rad / (2 * (PLACES - 1))
    measured = truck.width_m is not None and truck.rear_overhang_m is not None
    off_m = MEASURED_OFF_M["measured"] if measured else USUAL_OFF_M
    rear, front = _rear_x_m(truck), (0.0, truck.front_tyre_radius_m)
    for box in job.surroundings:
        if box.floor is not None and box.floor not in floors:
            continue
        ways = [
            _least_gap_m(truck, rear, COUNTERWEIGHT_Z_M, box, side * radius_m, side * angles)
            for side in (1.0, -1.0)
            if _least_gap_m(truck, front, BODY_Z_M, box, side * radius_m, side * angles) > 0.0
        ]
        if ways:
            clear_m = min(ways) - between_m
            yield RearGap(box.name, clear_m, clear_m - off_m - MEASURED_OFF_M[box.known])


def _rear_x_m(truck: Truck) -> Span:
    """From where to where the counterweight reaches, ahead of the front axle."""
    base_m = truck.wheelbase_m.best
    return -base_m - rear_overhang_m(truck), -base_m + COUNTERWEIGHT_AHEAD_M


def _least_gap_m(truck: Truck, x_m: Span, z_m: Span, box: Surrounding, middle_m: float, angles: Array) -> float:
    """Least gap to a box that stands, of a part as wide as the truck turned about (0, middle) by each of the angles.

    Of the directions of their sides the one that parts them most counts: never more than the distance.
    """
    long, wide = (x_m[1] - x_m[0]) / 2.0, half_width_m(truck)
    box_long, box_wide = (box.x1_m - box.x0_m) / 2.0, (box.y1_m - box.y0_m) / 2.0
    along, across = np.cos(angles), np.sin(angles)
    centre_x, centre_y = (x_m[0] + x_m[1]) / 2.0, -middle_m
    away_x = (box.x0_m + box.x1_m) / 2.0 - (centre_x * along - centre_y * across)
    away_y = (box.y0_m + box.y1_m) / 2.0 - (centre_x * across + centre_y * along + middle_m)
    turned, square = np.abs(along), np.abs(across)
    plan_m = np.maximum.reduce(
        [
            np.abs(away_x) - box_long - long * turned - wide * square,
            np.abs(away_y) - box_wide - long * square - wide * turned,
            np.abs(away_x * along + away_y * across) - long - box_long * turned - box_wide * square,
            np.abs(away_y * along - away_x * across) - wide - box_long * square - box_wide * turned,
        ]
    )
    over_m = max(box.z0_m - z_m[1], z_m[0] - box.z1_m)
    return float(np.maximum(plan_m, over_m).min())
