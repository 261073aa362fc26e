"""Classes of truck: the usual range of every number, and a typical truck of each class to start from."""

from __future__ import annotations

import math

import msgspec

from engine.schema.model import Forks, Truck, Upright
from engine.schema.quantities import Estimate
from engine.shop.truck_measurement import ReadingError


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

CLASS_ROOM = 0.10
"""A number is reported only when it is this share outside its usual range (ours, no source)."""

REAL_REAR_SHARE = (0.45, 0.70)
"""Least and most share of its weight that a bare truck has on the rear axle (common practice, no source)."""


def class_of(rated_kg: float) -> str:
    """Name of the class nearest in rating."""
    return min(TRUCK_CLASSES, key=lambda name: abs(math.log(TRUCK_CLASSES[name].rated_kg / rated_kg)))


def typical_truck(name: str) -> Truck:
    """A truck of a class with usual values everywhere, marked typical, and no plate: a plate must be read.

    Raises
    ------
    ReadingError
        For a class that is not in `TRUCK_CLASSES`.
    """
    if name not in TRUCK_CLASSES:
        raise ReadingError("class", f"one of {sorted(TRUCK_CLASSES)}", repr(name))
    usual = TRUCK_CLASSES[name]

    def middle(ends: tuple[float, float]) -> float:
        return round(sum(ends) / 2.0, 4)

    def about(ends: tuple[float, float]) -> Estimate[float]:
        return Estimate(best=middle(ends), known="typical")

    mass_kg, share = middle(usual.mass_kg), middle(usual.rear_share)
    fork_kg, fork_m, fork_width_m, fork_thick_m = usual.fork
    return Truck(
        name=f"Typical {name} truck",
        typical=True,
        front_axle_kg=Estimate(best=round(mass_kg * (1.0 - share), 1), known="typical"),
        rear_axle_kg=Estimate(best=round(mass_kg * share, 1), known="typical"),
        cg_height_m=about(usual.cg_height_m),
        wheelbase_m=about(usual.wheelbase_m),
        front_overhang_m=about(usual.overhang_m),
        front_track_m=about(usual.front_track_m),
        rear_track_m=round(middle(usual.front_track_m) - 0.04, 4),
        pivot_height_m=about(usual.pivot_height_m),
        front_tyre_radius_m=middle(usual.front_radius_m),
        rear_tyre_radius_m=middle(usual.rear_radius_m),
        steer_axle_kg=Estimate(best=usual.steer_axle_kg, known="typical"),
        carriage_kg=usual.carriage_kg,
        upright=Upright(
            outer_kg=usual.upright_kg[0],
            inner_kg=usual.upright_kg[1],
            lowered_height_m=usual.lowered_m,
            tilt_pivot_x_m=0.0,
            tilt_pivot_z_m=0.4,
            tilt_back_max_rad=math.radians(8.0),
            tilt_forward_max_rad=math.radians(5.0),
            lift_min_m=0.06,
            lift_max_m=3.3,
        ),
        forks=Forks(mass_kg=fork_kg, length_m=fork_m, width_m=fork_width_m, thickness_m=fork_thick_m, spread_m=0.6),
    )


class TotalWeight(msgspec.Struct, kw_only=True, frozen=True):
    """Axles of a truck of which only the whole weight is known: the rear share is what its class has."""

    front_kg: Estimate[float]
    rear_kg: Estimate[float]


def from_total_weight(total_kg: float, rated_kg: float) -> TotalWeight:
    """Both axle weights (kg) of a bare truck from its whole weight and the share its class has on the rear axle.

    Raises
    ------
    ReadingError
        When no truck of this rating weighs so little or so much.
    """
    usual = TRUCK_CLASSES[class_of(rated_kg)]
    low, high = usual.rear_share
    if not 0.5 * usual.mass_kg[0] < total_kg < 2.0 * usual.mass_kg[1]:
        least, most = (f"{kg:.0f} kg" for kg in (0.5 * usual.mass_kg[0], 2.0 * usual.mass_kg[1]))
        raise ReadingError("whole truck", f"{least} to {most}, for its plate", f"{total_kg:.0f} kg")

    def about(least: float, most: float) -> Estimate[float]:
        return Estimate(
            best=total_kg * (least + most) / 2.0, known="typical", low=total_kg * least, high=total_kg * most
        )

    return TotalWeight(front_kg=about(1.0 - high, 1.0 - low), rear_kg=about(low, high))
