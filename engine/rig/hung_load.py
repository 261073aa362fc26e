"""The load as it may hang: a box plumb under its hook, and how far it is from other boxes.

Free to turn it sweeps the circle through its corners; held by lines or set fixed it keeps a direction within a few
degrees.  Its gap from a box is the greater of the gap seen from above and the gap between heights, or the best of the
directions that may separate the two.

Arrays: every gap has the shape of the poses (n,); one pose has n = 1.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.base.geometry import Array, Vec
from engine.base.lazy import np
from engine.rig.boxes import Boxes
from engine.rig.figure_vector import filled
from engine.rig.kinematics import Placed
from engine.schema.model import Load, Surrounding

TURNED_ASIDE_RAD = {"fixed": math.radians(5.0), "two_lines": math.radians(15.0), "one_line": math.radians(30.0)}
"""How far a load that is held still turns to either side (ours)."""

LEAST_AXIS = 1e-9
"""Directions shorter than this separate nothing."""


class HungLoad(NamedTuple):
    """The load under its hook (n): its middle seen from above, the heights of underside and top.

    ``round_m`` is the circle it sweeps, or None where it is held; then ``half_m`` and the headings say how it lies.
    """

    x: Array
    y: Array
    under: Array
    top: Array
    round_m: float | None
    half_m: tuple[float, float]
    headings: tuple[float, float]
    wander_m: float

    def half_along(self, x: float, y: float) -> float:
        """Greatest half width along a level direction, over every way it may lie."""
        if self.round_m is not None:
            return self.round_m + self.wander_m
        towards = math.atan2(y, x)
        least, most = self.headings
        turns = [least, most]
        corner = math.atan2(self.half_m[1], self.half_m[0])
        for at in (towards - corner, towards + corner, towards, towards + math.pi / 2.0):
            turns += [at + k * math.pi for k in range(-3, 4) if least <= at + k * math.pi <= most]
        long, wide = self.half_m
        widest = max(long * abs(math.cos(towards - turn)) + wide * abs(math.sin(towards - turn)) for turn in turns)
        return widest + self.wander_m


def swept_m(load: Load) -> float:
    """Radius of the circle that a load free to turn sweeps round its plumb line."""
    return math.hypot(load.length_m, load.width_m) / 2.0


def seen_from_side_m(load: Load) -> float:
    """How long a load is along the truck as it lies."""
    along, across = abs(math.cos(load.heading_rad)), abs(math.sin(load.heading_rad))
    return load.length_m * along + load.width_m * across


def in_reach(load: Load, hook_m: Vec, box: Surrounding, spare_m: float = 0.0) -> bool:
    """Whether a box stands, seen from above, where the load may turn to, or within ``spare_m`` of that."""
    x, y = float(hook_m.x), float(hook_m.y)
    aside = max(box.x0_m - x, x - box.x1_m, 0.0), max(box.y0_m - y, y - box.y1_m, 0.0)
    return math.hypot(*aside) <= swept_m(load) + spare_m


def hung_load(load: Load, placed: Placed, count: int, wander_m: float = 0.0) -> HungLoad:
    """The load of many poses, as it may hang; ``wander_m`` is how far swing moves it aside."""
    x, y, z = filled(placed.hook_m, (count,))
    top = z - load.sling_m
    half = load.length_m / 2.0, load.width_m / 2.0
    if load.hang == "free":
        round_m, headings = swept_m(load), (0.0, 0.0)
    else:
        aside = TURNED_ASIDE_RAD[load.hang]
        round_m, headings = None, (load.heading_rad - aside, load.heading_rad + aside)
    return HungLoad(x, y, top - load.height_m, top, round_m, half, headings, wander_m)


def load_to_box(load: HungLoad, box: Surrounding) -> Array:
    """Gap (n) of the load from a box that stands square to the truck."""
    x = np.maximum(box.x0_m - load.x, load.x - box.x1_m)
    y = np.maximum(box.y0_m - load.y, load.y - box.y1_m)
    if load.round_m is not None:
        outside = np.hypot(np.maximum(x, 0.0), np.maximum(y, 0.0)) + np.minimum(np.maximum(x, y), 0.0)
        plan = outside - load.round_m - load.wander_m
    else:
        plan = np.maximum(x - load.half_along(1.0, 0.0), y - load.half_along(0.0, 1.0))
    return np.maximum(plan, np.maximum(box.z0_m - load.top, load.under - box.z1_m))


def load_to_parts(load: HungLoad, boxes: Boxes, enough_m: Array) -> Array:
    """Gap (boxes, n) of the load from oriented boxes: the best of the directions that may separate the two.

    Plumb; each box's own axes; level and square to each of them; level from its middle to the load's.  Boxes further
    off than ``enough_m`` (boxes) along one of the truck's axes keep that distance, which is never more than the gap.
    """
    reach = boxes.reach()
    tall = (load.top - load.under) / 2.0
    between = _from(load, boxes)
    apart = np.abs(between) - reach
    x, y, z = apart[:, 0] - load.half_along(1.0, 0.0), apart[:, 1] - load.half_along(0.0, 1.0), apart[:, 2] - tall
    found = np.maximum(np.maximum(x, y), z)
    near = np.flatnonzero((found < enough_m[:, None]).any(axis=1)).tolist()
    if near:
        found[near] = np.maximum(found[near], _near_gaps(load, boxes.of(near), between[near], tall))
    return found


def _from(load: HungLoad, boxes: Boxes) -> Array:
    """From the middles of boxes to the load's (boxes, 3, n)."""
    return np.array((load.x, load.y, (load.top + load.under) / 2.0)) - boxes.middle


def _near_gaps(load: HungLoad, boxes: Boxes, apart: Array, tall: Array) -> Array:
    zero = np.zeros_like(apart[:, 0])
    ways = [np.stack([zero, zero, zero + 1.0], axis=1), *(boxes.axes[:, axis] for axis in range(3))]
    ways += [np.stack([-way[:, 1], way[:, 0], zero], axis=1) for way in ways[1:]]
    ways.append(np.stack([apart[:, 0], apart[:, 1], zero], axis=1))
    way = np.stack(ways, axis=1)  # (boxes, ways, 3, n)
    long = np.sqrt((way * way).sum(axis=2))
    unit = way / np.maximum(long, LEAST_AXIS)[:, :, None]
    between = np.abs(np.einsum("bwkn,bkn->bwn", unit, apart))
    size = np.einsum("bwan,ba->bwn", np.abs(np.einsum("bwkn,bakn->bwan", unit, boxes.axes)), boxes.half)
    level = np.hypot(unit[:, :, 0], unit[:, :, 1])
    own = level * _half_along(load, unit) + np.abs(unit[:, :, 2]) * tall
    return np.where(long > 1e-6, between - size - own, -np.inf).max(axis=1)


def _half_along(load: HungLoad, unit: Array) -> Array | float:
    """Greatest half width of the load along the level part of directions (..., 3, n)."""
    if load.round_m is not None:
        return load.round_m + load.wander_m
    least, most = load.headings
    turns = np.linspace(least, most, 13)
    # Between two of these turns the width grows by less than half the diagonal times the turn.
    between = math.hypot(*load.half_m) * (most - least) / 24.0
    towards = np.arctan2(unit[:, :, 1], unit[:, :, 0])[..., None] - turns
    width = load.half_m[0] * np.abs(np.cos(towards)) + load.half_m[1] * np.abs(np.sin(towards))
    return width.max(axis=-1) + between + load.wander_m
