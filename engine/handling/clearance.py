"""Clearance: how near rig and load come to the boxes around them, and to the floor, over one motion.

Method.  Every long part is its centreline with half its section's diagonal around it.  The load is an upright block on
its plumb line, as wide each way as its diagonal, because nobody knows how it hangs around that line.  Distance from a
centreline to a box is convex along the line, so its least is at the end of a golden-section search; inside a box the
distance is negative: how far to come out.  All shapes carry the samples of the motion as an array.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec
import numpy as np

from engine.base.geometry import Array, Number, Vec
from engine.rig.kinematics import Figures, Placed, arm_link, drawable, figures, fitted_arms, place
from engine.schema.model import Job, Pose, Surrounding
from engine.schema.sections import RectTube, RoundTube, outer_depth_m, outer_width_m

FLOOR, OWN_MAST, TRUCK = "the floor", "the rig's own jib mast", "the truck"

FINENESS_M = 0.01
"""Nothing moves further than this between two samples."""

MOST_SAMPLES = 2000
SECTIONS = 40
"""Golden-section steps: a 10 m part to under a micrometre."""

RAIL_HALF_WIDTH_M = 0.05
"""Half width of the upright's rails (common practice, no source)."""


class Gap(msgspec.Struct, kw_only=True, frozen=True):
    """Nearest that one part comes to one object, less what sampling may miss; negative is how far it would run into it.

    ``share`` is the share of the motion at which that happens.
    """

    part: str
    object: str
    clear_m: float
    share: float


def gaps(
    job: Job, floor: str, figures_at: Callable[[Array], Figures], travel_m: float, loaded: bool
) -> tuple[Gap, ...]:
    """Nearest approach of every part to every surrounding box, and of the load to the floor.

    Parameters
    ----------
    job : Job
    floor : str
        Place the truck stands at: boxes of other places do not count.
    figures_at : callable
        Figures at an array of shares (n) of the motion.
    travel_m : float
        More than any point moves over the whole motion.
    loaded : bool
        Whether a load hangs on the hook.

    Returns
    -------
    tuple of Gap
        The nearest part for each object; a hung load's gaps to jib mast, truck and floor come last.
    """
    boxes = [box for box in job.surroundings if box.floor is None or box.floor == floor]
    count = min(MOST_SAMPLES, max(2, math.ceil(travel_m / FINENESS_M) + 1))
    share = np.linspace(0.0, 1.0, count)
    placed = place(job, figures_at(share))
    between_m = travel_m / (2.0 * (count - 1))

    def gap(part: str, object_name: str, clear_m: Number) -> Gap:
        samples_m = np.broadcast_to(clear_m, share.shape)
        at = int(np.argmin(samples_m))
        return Gap(part=part, object=object_name, clear_m=float(samples_m[at]), share=float(share[at]))

    nearest = []
    for box in boxes:
        part, clear_m = min(_part_distances(job, placed, box, loaded), key=lambda named: float(np.min(named[1])))
        nearest.append(gap(part, box.name, clear_m - between_m))
    if not loaded:
        return tuple(nearest)
    under_m = placed.hook_m.z - job.load.sling_m - job.load.height_m
    return (
        *nearest,
        *(gap(job.load.name, name, clear_m - between_m) for name, clear_m in _distances_to_own(job, placed)),
        gap(job.load.name, FLOOR, under_m),
    )


def standing_gaps(job: Job, pose: Pose) -> tuple[Gap, ...]:
    """Nearest part to every surrounding box, and the load to the floor, in one pose that stands still.

    A floor slope that is not known counts as none, as it is drawn.
    """
    numbers = drawable(figures(job, pose))
    return gaps(
        job,
        pose.floor,
        lambda share: msgspec.structs.replace(numbers, lift_m=numbers.lift_m + 0.0 * share),
        0.0,
        pose.loaded,
    )


def _distances_to_own(job: Job, placed: Placed) -> tuple[tuple[str, Number], ...]:
    """Distance (n) of the load from jib mast and truck in plan, the load as wide as its shorter side.

    Nobody knows how it hangs around its plumb line, so a negative distance says only that it fits no way around.
    """
    half_m = min(job.load.length_m, job.load.width_m) / 2.0
    hook, mast = placed.hook_m, placed.frames["jib mast"].origin
    mast_m = np.hypot(hook.x - mast.x, hook.y - mast.y) - outer_depth_m(job.rig.jib_mast.section) / 2.0 - half_m
    ahead_m = hook.x - placed.figures.front_overhang_m
    aside_m = np.abs(hook.y) - placed.figures.front_track_m / 2.0
    return (OWN_MAST, mast_m), (TRUCK, _signed(ahead_m, aside_m, np.full_like(ahead_m + aside_m, -math.inf)) - half_m)


def _part_distances(job: Job, placed: Placed, box: Surrounding, loaded: bool) -> list[tuple[str, Number]]:
    """Name of every part of rig, upright and load, and its distance (n) from one box."""
    rig = job.rig
    boom, out_m = placed.frames["boom"], placed.figures.boom_out_m
    lines = [
        ("jib mast", placed.frames["jib mast"].origin, boom.origin, _half_diagonal_m(rig.jib_mast.section)),
        ("boom", boom.at(out_m - rig.boom.length_m), boom.at(out_m), _half_diagonal_m(rig.boom.section)),
        (
            "forks",
            placed.frames["forks"].origin,
            placed.frames["forks"].at(job.truck.forks.length_m),
            job.truck.forks.spread_m / 2.0,
        ),
    ]
    height_m = job.truck.upright.lowered_height_m
    for rail in ("upright outer", "upright inner"):
        frame = placed.frames[rail]
        lines.append((rail, frame.origin, frame.at(z_m=height_m), RAIL_HALF_WIDTH_M))
    for index in fitted_arms(placed.figures):
        frame, arm = placed.frames[arm_link(index)], rig.arms[index]
        lines.append((arm.name, frame.origin, frame.at(arm.length_m), _half_diagonal_m(arm.section)))
    distances = [(name, _line_to_box(start, end, box) - half_m) for name, start, end, half_m in lines]
    distances.append(("hook", _line_to_box(placed.tip_m, placed.hook_m, box)))
    if loaded:
        distances.append((job.load.name, _load_to_box(job, placed.hook_m, box)))
    return distances


def _half_diagonal_m(section: RectTube | RoundTube) -> float:
    """Half the diagonal of a section."""
    return math.hypot(outer_depth_m(section), outer_width_m(section)) / 2.0


def _line_to_box(start: Vec, end: Vec, box: Surrounding) -> Number:
    """Least signed distance from the points of a line to a box: golden section on a convex function."""
    along = end - start
    low, high = 0.0 * (start.x + end.x + start.z + end.z), 1.0 + 0.0 * (start.x + end.x + start.z + end.z)
    golden = (math.sqrt(5.0) - 1.0) / 2.0

    def distance(at: Number) -> Number:
        return _to_box(start + along.times(at), box)

    for _ in range(SECTIONS):
        one, two = high - golden * (high - low), low + golden * (high - low)
        left = distance(one) < distance(two)
        low, high = np.where(left, low, one), np.where(left, two, high)
    return np.minimum(np.minimum(distance((low + high) / 2.0), distance(0.0)), distance(1.0))


def _to_box(point: Vec, box: Surrounding) -> Number:
    """Distance from a point to a box; inside, minus the distance to come out."""
    beyond = [
        np.maximum(low - part, part - high)
        for part, low, high in (
            (point.x, box.x0_m, box.x1_m),
            (point.y, box.y0_m, box.y1_m),
            (point.z, box.z0_m, box.z1_m),
        )
    ]
    return _signed(*beyond)


def _signed(x: Number, y: Number, z: Number) -> Number:
    """Distance from the gaps along three axes: outside to the corner, inside minus the least distance to come out."""
    outside = np.sqrt(np.maximum(x, 0.0) ** 2 + np.maximum(y, 0.0) ** 2 + np.maximum(z, 0.0) ** 2)
    return outside + np.minimum(np.maximum(np.maximum(x, y), z), 0.0)


def _load_to_box(job: Job, hook: Vec, box: Surrounding) -> Number:
    """Distance of the load's upright block from a box."""
    load = job.load
    half_m = math.hypot(load.length_m, load.width_m) / 2.0
    top = hook.z - load.sling_m
    gap_x = np.maximum(box.x0_m - (hook.x + half_m), (hook.x - half_m) - box.x1_m)
    gap_y = np.maximum(box.y0_m - (hook.y + half_m), (hook.y - half_m) - box.y1_m)
    gap_z = np.maximum(box.z0_m - top, (top - load.height_m) - box.z1_m)
    return _signed(gap_x, gap_y, gap_z)
