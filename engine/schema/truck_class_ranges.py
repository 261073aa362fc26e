"""Classes of truck by rated load: the usual range of every number."""

from __future__ import annotations

import itertools
import math

import msgspec


class TruckClass(msgspec.Struct, kw_only=True, frozen=True):
    """Usual ranges of a class of truck, and values in their middle; common practice, no source."""

    rated_kg: float
    load_centre_m: float
    mass_kg: tuple[float, float]
    wheelbase_m: tuple[float, float]
    overhang_m: tuple[float, float]
    rear_share: tuple[float, float]
    cg_height_m: tuple[float, float]
    front_radius_m: tuple[float, float]
    rear_radius_m: tuple[float, float]
    front_track_m: tuple[float, float]
    pivot_height_m: tuple[float, float]
    steer_axle_kg: float
    carriage_kg: float
    upright_kg: tuple[float, float]
    lowered_m: float
    fork: tuple[float, float, float, float]


TRUCK_CLASSES: dict[str, TruckClass] = {
    "1.5 t": TruckClass(
        rated_kg=1500.0, load_centre_m=0.5, mass_kg=(2550.0, 3100.0), wheelbase_m=(1.25, 1.45), overhang_m=(0.36, 0.42),
        rear_share=(0.52, 0.58), cg_height_m=(0.52, 0.65), front_radius_m=(0.23, 0.29), rear_radius_m=(0.20, 0.24),
        front_track_m=(0.86, 0.95), pivot_height_m=(0.22, 0.30), steer_axle_kg=110.0, carriage_kg=60.0,
        upright_kg=(170.0, 120.0), lowered_m=1.95, fork=(60.0, 1.07, 0.10, 0.035),
    ),
    "2.5 t": TruckClass(
        rated_kg=2500.0, load_centre_m=0.5, mass_kg=(3600.0, 4500.0), wheelbase_m=(1.55, 1.70), overhang_m=(0.44, 0.50),
        rear_share=(0.55, 0.62), cg_height_m=(0.58, 0.75), front_radius_m=(0.32, 0.35), rear_radius_m=(0.26, 0.27),
        front_track_m=(0.94, 1.02), pivot_height_m=(0.25, 0.35), steer_axle_kg=180.0, carriage_kg=95.0,
        upright_kg=(260.0, 190.0), lowered_m=2.0, fork=(90.0, 1.07, 0.122, 0.04),
    ),
    "3.5 t": TruckClass(
        rated_kg=3500.0, load_centre_m=0.5, mass_kg=(4600.0, 5300.0), wheelbase_m=(1.70, 1.85), overhang_m=(0.47, 0.54),
        rear_share=(0.57, 0.63), cg_height_m=(0.65, 0.80), front_radius_m=(0.35, 0.37), rear_radius_m=(0.29, 0.31),
        front_track_m=(1.00, 1.08), pivot_height_m=(0.28, 0.38), steer_axle_kg=230.0, carriage_kg=130.0,
        upright_kg=(330.0, 240.0), lowered_m=2.1, fork=(125.0, 1.07, 0.125, 0.05),
    ),
    "5.0 t": TruckClass(
        rated_kg=5000.0, load_centre_m=0.6, mass_kg=(6500.0, 8200.0), wheelbase_m=(2.00, 2.25), overhang_m=(0.55, 0.63),
        rear_share=(0.54, 0.62), cg_height_m=(0.75, 0.95), front_radius_m=(0.41, 0.42), rear_radius_m=(0.33, 0.35),
        front_track_m=(1.10, 1.22), pivot_height_m=(0.32, 0.45), steer_axle_kg=330.0, carriage_kg=190.0,
        upright_kg=(450.0, 330.0), lowered_m=2.3, fork=(185.0, 1.20, 0.15, 0.06),
    ),
}  # fmt: skip
"""Common practice, no source: start values to be replaced by tape, plate and scale."""


def class_of(rated_kg: float) -> str:
    """Name of the class nearest in rating."""
    return min(TRUCK_CLASSES, key=lambda name: abs(math.log(TRUCK_CLASSES[name].rated_kg / rated_kg)))


def usual_mass_kg(rated_kg: float) -> tuple[float, float]:
    """What bare trucks of a rating usually weigh, between the classes and in proportion outside them."""
    classes = sorted(TRUCK_CLASSES.values(), key=lambda usual: usual.rated_kg)
    for lower, upper in itertools.pairwise(classes):
        if lower.rated_kg <= rated_kg <= upper.rated_kg:
            share = (rated_kg - lower.rated_kg) / (upper.rated_kg - lower.rated_kg)
            least, most = ((1.0 - share) * a + share * b for a, b in zip(lower.mass_kg, upper.mass_kg, strict=True))
            return least, most
    nearest = TRUCK_CLASSES[class_of(rated_kg)]
    least, most = (kg * rated_kg / nearest.rated_kg for kg in nearest.mass_kg)
    return least, most
