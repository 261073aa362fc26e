"""A typical truck of each class to start from, and the axles of a truck of which only the whole weight is known."""

from __future__ import annotations

import math

import msgspec

from engine.base.formatting import System
from engine.schema.model import Forks, Truck, Upright
from engine.schema.quantities import Estimate
from engine.schema.truck_class_ranges import TRUCK_CLASSES, class_of
from engine.schema.us_truck_classes import US_TRUCK_CLASSES
from engine.shop.truck_measurement import ReadingError

CLASSES = {**TRUCK_CLASSES, **US_TRUCK_CLASSES}
"""Every class by its name."""

OFFERED: dict[System, tuple[str, ...]] = {"metric": tuple(TRUCK_CLASSES), "us": tuple(US_TRUCK_CLASSES)}
"""Names of the classes that a person is offered, by the units chosen."""

MIDDLING: dict[System, str] = {"metric": "2.5 t", "us": "5,000 lb pneumatic"}
"""The class that is chosen before anybody has."""


def typical_truck(name: str) -> Truck:
    """A truck of a class with usual values everywhere, marked typical, and no plate: a plate must be read.

    Raises
    ------
    ReadingError
        For a class that is not in `CLASSES`.
    """
    if name not in CLASSES:
        raise ReadingError("class", f"one of {sorted(CLASSES)}", repr(name), plain="There is no such class of truck.")
    usual = CLASSES[name]

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
        raise ReadingError(
            "whole truck",
            f"{least} to {most}, for its plate",
            f"{total_kg:.0f} kg",
            plain="No truck of this plate weighs {total:mass}: {least:kg_up} to {most:kg_down}. Check both.",
            numbers={"total": total_kg, "least": 0.5 * usual.mass_kg[0], "most": 2.0 * usual.mass_kg[1]},
        )

    def about(least: float, most: float) -> Estimate[float]:
        return Estimate(
            best=total_kg * (least + most) / 2.0, known="typical", low=total_kg * least, high=total_kg * most
        )

    return TotalWeight(front_kg=about(1.0 - high, 1.0 - low), rear_kg=about(low, high))
