"""What to measure for an entry of the truck, as two points and words, so that the drawing can show it."""

from __future__ import annotations

from typing import NamedTuple

from engine.base.geometry import Vec
from engine.schema.joints import View
from engine.schema.model import Truck


class Measure(NamedTuple):
    """A distance to measure: the view that shows it, its ends, and what to put the tape on."""

    view: View
    a: Vec
    b: Vec
    words: str


def measure_of(path: str, truck: Truck) -> Measure | None:
    """The distance an entry of the truck asks for, or None where there is nothing to measure."""
    entry = path.removeprefix("truck.").partition(".best")[0]
    rear, overhang = -truck.wheelbase_m.best, truck.front_overhang_m.best
    half_front, half_rear = truck.front_track_m.best / 2.0, truck.rear_track_m / 2.0
    front_hub, rear_hub = truck.front_tyre_radius_m, truck.rear_tyre_radius_m
    front_kg, rear_kg = truck.front_axle_kg.best, truck.rear_axle_kg.best
    centre = rear * rear_kg / (front_kg + rear_kg)
    half_spread, blade_x = truck.forks.spread_m / 2.0, overhang + 0.5
    weigh = "level floor, forks low, driver off"
    measures = {
        "wheelbase_m": Measure(
            "side", Vec(rear, 0.0, rear_hub), Vec(0.0, 0.0, front_hub), "axle centre to axle centre"
        ),
        "front_overhang_m": _along(
            0.0, overhang, front_hub, "axle centre to front face of fork shank, upright vertical"
        ),
        "pivot_height_m": _up(rear, truck.pivot_height_m.best, "floor to the rear axle's pivot pin"),
        "front_tyre_radius_m": _up(0.0, front_hub, "floor to hub centre, tyre loaded"),
        "rear_tyre_radius_m": _up(rear, rear_hub, "floor to hub centre, tyre loaded"),
        "cg_height_m": _up(centre, truck.cg_height_m.best, "height of the centre: weigh with one axle raised"),
        "front_track_m": _across(0.0, half_front, "front tyre centre to tyre centre"),
        "rear_track_m": _across(rear, half_rear, "rear tyre centre to tyre centre"),
        "front_axle_kg": _up(0.0, front_hub, f"weigh the front axle: {weigh}"),
        "rear_axle_kg": _up(rear, rear_hub, f"weigh the rear axle: {weigh}"),
        "upright.lowered_height_m": _up(
            overhang, truck.upright.lowered_height_m, "floor to the upright's top, lowered"
        ),
        "forks.length_m": _along(overhang, overhang + truck.forks.length_m, 0.1, "fork face to fork tip"),
        "forks.spread_m": _across(blade_x, half_spread, "fork centre to fork centre"),
    }
    return measures.get(entry)


def _up(x: float, height: float, words: str) -> Measure:
    """A height over the floor."""
    return Measure("side", Vec(x, 0.0, 0.0), Vec(x, 0.0, height), words)


def _along(x_from: float, x_to: float, z: float, words: str) -> Measure:
    """A length along the truck."""
    return Measure("side", Vec(x_from, 0.0, z), Vec(x_to, 0.0, z), words)


def _across(x: float, half_width: float, words: str) -> Measure:
    """A width across the truck."""
    return Measure("plan", Vec(x, half_width, 0.0), Vec(x, -half_width, 0.0), words)
