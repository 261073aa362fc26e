"""Rig, upright and load as plain solids, and how far they are from what stands round the truck.

Every part is an oriented box from its own section and length; a round tube is a box of its diameter.  The load is a
box that hangs plumb under its hook: free to turn it sweeps the circle through its corners, held by lines or set fixed
it keeps a direction within a few degrees.

**Gaps.**  A box from a box: the greatest separation along the 15 axes that can separate two boxes (3 and 3 face
normals, 9 products of edges).  It is never more than the true distance, exact where faces meet, and minus the depth
where they overlap (separating-axis theorem for oriented boxes, from memory).  The load's circle or box from a box: the
greater of the gap seen from above and the gap between heights.

Arrays: every gap has the shape of the poses (n,); one pose has n = 1.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple, TypeAlias

from engine.base.geometry import ZERO, Array, Axes, Frame, Indices, Number, Vec
from engine.base.identity import IdentityKey
from engine.base.lazy import np
from engine.rig import strap_pieces
from engine.rig.hinge_boxes import Box, Round, boom_short_m, end_solids, tube_span_m
from engine.rig.hinge_pieces import link_ends
from engine.rig.kinematics import FORK_SHANK_HEIGHT_M, Placed, arm_link, fitted_arms
from engine.schema.model import Job, Load, Rig, Surrounding, Truck
from engine.schema.sections import outer_depth_m, outer_width_m

UPRIGHT, FORKS, HOOK = "upright", "forks and sleeves", "hook and rigging"

RAIL_X_M, RAIL_Y_M = (-0.35, -0.10), (0.24, 0.40)
"""The upright's channels: behind the fork face, and beside the truck's middle, one each side (ours, typical)."""

RAIL_FROM_M = 0.10
"""Lower end of the channels over the floor, forks down."""

SLING_M = 0.03
"""Round a sling's legs."""

HOOK_HALF_M = 0.05
"""Half the width of hook and shackle."""

TURNED_ASIDE_RAD = {"fixed": math.radians(5.0), "two_lines": math.radians(15.0), "one_line": math.radians(30.0)}
"""How far a load that is held still turns to either side (ours)."""

LEAST_AXIS = 1e-9
"""Products of edges shorter than this separate nothing."""


class Boxes(NamedTuple):
    """Many oriented boxes: parts, middles (boxes, 3, n), axes (boxes, axis, 3, n), half sizes (boxes, axis)."""

    parts: tuple[str, ...]
    middle: Array
    axes: Array
    half: Array

    def without(self, part: str) -> Boxes:
        """The boxes of all other parts."""
        kept = [index for index, name in enumerate(self.parts) if name != part]
        return Boxes(tuple(self.parts[at] for at in kept), self.middle[kept], self.axes[kept], self.half[kept])


# ---------------------------------------------------------------- parts


BOOM_END, TIP, BELOW_HOOK = "boom end", "tip", "below hook"
"""Frames of a pose besides those of its links: the boom's end, and what hangs plumb at the hook pin and the hook."""


def end_of(link: str) -> str:
    """Name of the frame at the pin of the next hinge, in a link's own axes."""
    return f"end of {link}"


_STIFF = ("upright outer", "upright inner", "forks", "jib mast", "boom", TIP, BELOW_HOOK)
"""Frames of what does not go down with the boom's end, or is already placed where that is."""


class _Layout(NamedTuple):
    """Boxes in the frames they ride on: part, frame, middle in it (boxes, 3), half sizes (boxes, 3)."""

    parts: tuple[str, ...]
    frames: tuple[str, ...]
    index: Indices
    middle: Array
    half: Array


def parts(job: Job, placed: Placed, count: int, *, loaded: bool, sag_m: Vec = ZERO) -> Boxes:
    """Every part of rig, forks and upright, and the sling, over ``count`` poses; the load is `hung_load`.

    ``sag_m`` is how far the rig's end goes under its load; boom and arms are moved by all of it.
    """
    layout = _layout(IdentityKey(job.truck, job.rig), fitted_arms(placed.figures), job.load.sling_m if loaded else 0.0)
    frames = [_frame(job, placed, name) for name in layout.frames]
    if count == 1 and all(isinstance(number, float) for frame in frames for number in frame.origin):
        origins = np.array([frame.origin for frame in frames])[..., None]
        axes = np.array([frame.axes for frame in frames])[..., None]
    else:
        origins = np.stack([_vector(frame.origin, count) for frame in frames])
        axes = np.stack([np.stack([_vector(axis, count) for axis in frame.axes]) for frame in frames])
    axes = axes[layout.index]
    middle = origins[layout.index] + np.einsum("ba,bakn->bkn", layout.middle, axes)
    if sag_m is not ZERO:
        sags = np.array([frame not in _STIFF for frame in layout.frames])[layout.index]
        middle = middle + np.where(sags[:, None, None], _vector(sag_m, count), 0.0)
    return Boxes(layout.parts, middle, axes, layout.half)


def _vector(vec: Vec, count: int) -> Array:
    return np.stack([np.broadcast_to(np.asarray(part, float), (count,)) for part in vec])


def _frame(job: Job, placed: Placed, name: str) -> Frame:
    if name in placed.frames:
        return placed.frames[name]
    if name == TIP:
        return Frame(_plumb(placed.gravity), placed.tip_m)
    if name == BELOW_HOOK:
        return Frame(_plumb(placed.gravity), placed.hook_m)
    if name == BOOM_END:
        boom = placed.frames["boom"]
        return Frame(boom.axes, boom.at(placed.figures.boom_out_m))
    for index, arm in enumerate(job.rig.arms):
        link = arm_link(index - 1) if index else "boom"
        if name == end_of(link):
            inner = placed.frames[link]
            length_m = job.rig.arms[index - 1].length_m if index else placed.figures.boom_out_m
            return Frame(inner.axes, inner.at(length_m, 0.0, arm.stack_m))
    raise KeyError(name)


def _plumb(gravity: Vec) -> Axes:
    """Axes of what hangs: up against gravity, the first near the truck's forward."""
    up = gravity.times(-1.0)
    aside = up.cross(Vec(1.0, 0.0, 0.0)).unit()
    return Axes(aside.cross(up), aside, up)


@functools.lru_cache(maxsize=32)
def _layout(same: IdentityKey[Truck, Rig], fitted: tuple[int, ...], sling_m: float) -> _Layout:
    truck, rig = same.parts
    found = [*_upright(truck), *_base(truck, rig), *_boom(rig), *_arms(rig, fitted), *_hook(rig, sling_m)]
    frames = tuple(dict.fromkeys(frame for _, frame, _ in found))
    low = np.array([[span[0] for span in box] for _, _, box in found])
    high = np.array([[span[1] for span in box] for _, _, box in found])
    index = np.array([frames.index(frame) for _, frame, _ in found])
    return _Layout(tuple(part for part, _, _ in found), frames, index, (low + high) / 2.0, (high - low) / 2.0)


_Placed: TypeAlias = tuple[str, str, Box]
"""A part, the frame it rides on, and its box in that frame."""


def _upright(truck: Truck) -> Iterator[_Placed]:
    tall = RAIL_FROM_M, truck.upright.lowered_height_m
    for rail in ("upright outer", "upright inner"):
        for low, high in (RAIL_Y_M, (-RAIL_Y_M[1], -RAIL_Y_M[0])):
            yield UPRIGHT, rail, (RAIL_X_M, (low, high), tall)


def _base(truck: Truck, rig: Rig) -> Iterator[_Placed]:
    forks, sleeves, mast = truck.forks, rig.sleeves, rig.jib_mast
    section, thick = sleeves.section, forks.thickness_m
    along = sleeves.heel_gap_m, sleeves.heel_gap_m + sleeves.length_m
    for side in (1.0, -1.0):
        middle = side * forks.spread_m / 2.0
        blade = middle - forks.width_m / 2.0, middle + forks.width_m / 2.0
        sleeve = middle - section.width_m / 2.0, middle + section.width_m / 2.0
        yield FORKS, "forks", ((0.0, forks.length_m), blade, (-thick, 0.0))
        yield FORKS, "forks", ((-thick, 0.0), blade, (-thick, FORK_SHANK_HEIGHT_M))
        yield FORKS, "forks", (along, sleeve, (section.wall_m - section.depth_m, section.wall_m))
    tall = 0.0, mast.length_m + rig.saddles.cap_m
    yield "jib mast", "jib mast", (_half(outer_depth_m(mast.section)), _half(outer_width_m(mast.section)), tall)


def _half(size_m: float) -> tuple[float, float]:
    return -size_m / 2.0, size_m / 2.0


def _boom(rig: Rig) -> Iterator[_Placed]:
    saddles, boom = rig.saddles, rig.boom
    deep, wide = _half(outer_depth_m(boom.section)), _half(outer_width_m(boom.section))
    top_m = strap_pieces.inside_m(saddles, boom)[1] + deep[0] + saddles.strap_thickness_m
    over = _half(strap_pieces.over_legs_m(saddles, boom))
    yield "saddles", "boom", (strap_pieces.bed_ends_m(rig), over, (deep[0] - saddles.seat_m, top_m))
    yield "boom", BOOM_END, ((-boom.length_m, -boom_short_m(rig)), wide, deep)


def _arms(rig: Rig, fitted: tuple[int, ...]) -> Iterator[_Placed]:
    """Tubes of the fitted arms, and the pieces at both ends of their hinges, each with the link it stands on."""
    for index, arm in enumerate(rig.arms):
        if index and index - 1 not in fitted:
            continue
        before = rig.arms[index - 1].name if index else "boom"
        ends = link_ends(rig, index, index - 1 if index else None)
        on_inner = end_of(arm_link(index - 1) if index else "boom")
        yield from _pieces(before, on_inner, end_solids(arm.hinge, ends[0], outer=False))
        if index in fitted:
            deep, wide = _half(outer_depth_m(arm.section)), _half(outer_width_m(arm.section))
            yield arm.name, arm_link(index), (tube_span_m(rig, index), wide, deep)
            yield from _pieces(arm.name, arm_link(index), end_solids(arm.hinge, ends[1], outer=True))


def _pieces(part: str, frame: str, solids: Sequence[Box | Round]) -> Iterator[_Placed]:
    """One box round all that stands at an end of a hinge."""
    boxes = [_box_of(solid) for solid in solids]
    if boxes:
        x, y, z = ((min(box[axis][0] for box in boxes), max(box[axis][1] for box in boxes)) for axis in range(3))
        yield part, frame, (x, y, z)


def _box_of(solid: Box | Round) -> Box:
    if not isinstance(solid, Round):
        return solid
    around = _half(2.0 * solid.radius_m)
    return (around, around, solid.along_pin) if solid.deep else (around, solid.along_pin, around)


def _hook(rig: Rig, sling_m: float) -> Iterator[_Placed]:
    """The hook under its pin, and the sling under the hook, plumb."""
    if rig.hook.drop_m > 0.0:
        yield HOOK, TIP, (_half(2.0 * HOOK_HALF_M), _half(2.0 * HOOK_HALF_M), (-rig.hook.drop_m, 0.0))
    if sling_m > 0.0:
        yield HOOK, BELOW_HOOK, (_half(2.0 * SLING_M), _half(2.0 * SLING_M), (-sling_m, 0.0))


# ---------------------------------------------------------------- gaps of boxes


def gaps_to_box(boxes: Boxes, box: Surrounding) -> Array:
    """Gap (boxes, n) of every box from one that stands square to the truck."""
    middle = np.array([(box.x0_m + box.x1_m), (box.y0_m + box.y1_m), (box.z0_m + box.z1_m)])[None, :, None] / 2.0
    half = np.array([box.x1_m - box.x0_m, box.y1_m - box.y0_m, box.z1_m - box.z0_m]) / 2.0
    apart = boxes.middle - middle
    # Along the box's own axes, x, y and z.
    reach = np.einsum("bakn,ba->bkn", np.abs(boxes.axes), boxes.half)
    found = (np.abs(apart) - reach - half[None, :, None]).max(axis=1)
    # Along the part's axes.
    along = np.abs(np.einsum("bakn,bkn->ban", boxes.axes, apart))
    other = np.einsum("bakn,k->ban", np.abs(boxes.axes), half)
    found = np.maximum(found, (along - other - boxes.half[:, :, None]).max(axis=1))
    # Along the products of one edge of each: e_k x a.
    zero = np.zeros_like(boxes.axes[:, :, 0])
    ax, ay, az = boxes.axes[:, :, 0], boxes.axes[:, :, 1], boxes.axes[:, :, 2]
    for cross in ((zero, -az, ay), (az, zero, -ax), (-ay, ax, zero)):
        n = np.stack(cross, axis=2)  # (boxes, axis, 3, n)
        long = np.sqrt((n * n).sum(axis=2))
        scale = 1.0 / np.maximum(long, LEAST_AXIS)
        between = np.abs(np.einsum("bakn,bkn->ban", n, apart))
        own = np.einsum("bakn,bckn->bacn", n, boxes.axes)
        size = np.einsum("bacn,bc->ban", np.abs(own), boxes.half) + np.einsum("bakn,k->ban", np.abs(n), half)
        gap = np.where(long > LEAST_AXIS, (between - size) * scale, -np.inf)
        found = np.maximum(found, gap.max(axis=1))
    return found


# ---------------------------------------------------------------- the load


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


def hung_load(load: Load, placed: Placed, count: int, wander_m: float = 0.0) -> HungLoad:
    """The load of many poses, as it may hang; ``wander_m`` is how far swing moves it aside."""

    def wide(number: Number) -> Array:
        return np.broadcast_to(np.asarray(number, float), (count,))

    hook = placed.hook_m
    top = wide(hook.z) - load.sling_m
    half = load.length_m / 2.0, load.width_m / 2.0
    if load.hang == "free":
        round_m, headings = math.hypot(*half), (0.0, 0.0)
    else:
        aside = TURNED_ASIDE_RAD[load.hang]
        round_m, headings = None, (load.heading_rad - aside, load.heading_rad + aside)
    return HungLoad(wide(hook.x), wide(hook.y), top - load.height_m, top, round_m, half, headings, wander_m)


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


def load_to_parts(load: HungLoad, boxes: Boxes) -> Array:
    """Gap (boxes, n) of the load from oriented boxes: the best of the directions that may separate the two.

    Plumb; each box's own axes; level and square to each of them; level from its middle to the load's.
    """
    tall = (load.top - load.under) / 2.0
    apart = np.stack(np.broadcast_arrays(load.x, load.y, (load.top + load.under) / 2.0)) - boxes.middle  # (boxes, 3, n)
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
