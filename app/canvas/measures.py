"""What to measure for an entry of the truck, as two points and words, so that the drawing can show it."""

from __future__ import annotations

from typing import NamedTuple

from engine.base.geometry import Vec
from engine.schema.model import Truck


class Measure(NamedTuple):
    """A distance to tape: its ends, what to put the tape on, and in which view it is seen."""

    view: str
    a: Vec
    b: Vec
    words: str


def measure_of(path: str, truck: Truck) -> Measure | None:
    """The distance an entry of the truck asks for, or None where there is nothing to tape."""
    entry = path.removeprefix("truck.").partition(".best")[0]
    base, overhang = -truck.wheelbase_m.best, truck.front_overhang_m.best
    half, rear_half = truck.front_track_m.best / 2.0, truck.rear_track_m / 2.0
    front_hub, rear_hub = truck.front_tyre_radius_m, truck.rear_tyre_radius_m
    found = {
        "wheelbase_m": Measure("side", Vec(base, 0.0, rear_hub), Vec(0.0, 0.0, front_hub), "axle centre to axle centre"),
        "front_overhang_m": Measure("side", Vec(0.0, 0.0, front_hub), Vec(overhang, 0.0, front_hub), "axle centre to front face of fork shank, upright vertical"),
        "pivot_height_m": Measure("side", Vec(base, 0.0, 0.0), Vec(base, 0.0, truck.pivot_height_m.best), "floor to the rear axle's pivot pin"),
        "front_tyre_radius_m": Measure("side", Vec(0.0, 0.0, 0.0), Vec(0.0, 0.0, front_hub), "floor to hub centre, tyre loaded"),
        "rear_tyre_radius_m": Measure("side", Vec(base, 0.0, 0.0), Vec(base, 0.0, rear_hub), "floor to hub centre, tyre loaded"),
        "cg_height_m": Measure("side", Vec(_cg_x(truck), 0.0, 0.0), Vec(_cg_x(truck), 0.0, truck.cg_height_m.best), "height of the centre: weigh with one axle raised"),
        "front_track_m": Measure("plan", Vec(0.0, half, 0.0), Vec(0.0, -half, 0.0), "front tyre centre to tyre centre"),
        "rear_track_m": Measure("plan", Vec(base, rear_half, 0.0), Vec(base, -rear_half, 0.0), "rear tyre centre to tyre centre"),
        "front_axle_kg": Measure("side", Vec(0.0, 0.0, 0.0), Vec(0.0, 0.0, front_hub), "weigh the front axle: level floor, forks low, driver off"),
        "rear_axle_kg": Measure("side", Vec(base, 0.0, 0.0), Vec(base, 0.0, rear_hub), "weigh the rear axle: level floor, forks low, driver off"),
        "upright.lowered_height_m": Measure("side", Vec(overhang, 0.0, 0.0), Vec(overhang, 0.0, truck.upright.lowered_height_m), "floor to the upright's top, lowered"),
        "forks.length_m": Measure("side", Vec(overhang, 0.0, 0.1), Vec(overhang + truck.forks.length_m, 0.0, 0.1), "fork face to fork tip"),
        "forks.spread_m": Measure("plan", Vec(overhang + 0.5, truck.forks.spread_m / 2.0, 0.0), Vec(overhang + 0.5, -truck.forks.spread_m / 2.0, 0.0), "fork centre to fork centre"),
    }  # fmt: skip
    return found.get(entry)


def _cg_x(truck: Truck) -> float:
    """Centre of the bare truck behind the front axle, for showing where it is."""
    front, rear = truck.front_axle_kg.best, truck.rear_axle_kg.best
    return -truck.wheelbase_m.best * rear / (front + rear)
