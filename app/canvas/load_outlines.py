"""Outlines of the load and what it hangs in; a long load is shortened, so that the truck keeps its size.

It is cut by break lines and its whole length is written.  Only the picture is shortened: every gap and every limit
takes the load as it is.  Where something that was entered stands within the load's true reach, it is drawn whole, so
that no break hides what it may run into.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from msgspec.structs import replace
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath

from app.canvas.plan_outlines import half_width_m
from app.canvas.shapes import circle, line, polygon, rectangle
from app.canvas.side_outlines import rear_end_m
from app.canvas.transform import level_shares, radians, turned
from engine.base.formatting import show
from engine.base.lazy import lazy
from engine.rig.hung_load import TURNED_ASIDE_RAD, in_reach, seen_from_side_m, swept_m
from engine.rig.kinematics import Placed
from engine.rig.sling_legs import points_of, spreads
from engine.schema.model import Job, Load, Pose

if TYPE_CHECKING:
    from engine.limits import room_rows
else:
    room_rows = lazy("engine.limits.room_rows")

WHOLE = math.inf
"""Half length drawn of a load that is not cut."""

SHARE_OF_TRUCK = 0.6
"""A load that reaches further to either side of its hook is cut: a share of the truck behind the fork face (ours)."""

LEAST_SHARE = 1e-6

SAME_M = 0.02
"""A load seen almost end on from the side is not cut there for this much."""

KEPT, GAP, PAST = 0.62, 0.07, 0.05
"""Shares of what is drawn on one side: up to the break, the gap in it, and how far its lines stand past the load."""

ZIGZAG_HIGH, ZIGZAG_MOST_M, ZIGZAG_WIDE = 0.25, 0.09, 0.6
"""Half the zigzag of a break line: a share of the load's height, at most so much, and a share of the gap in width."""


def drawn_half_m(job: Job, pose: Pose, placed: Placed) -> float:
    """Half of what is drawn of the load's longer side (m); `WHOLE` where it is short or something stands in its reach.

    Lying along the truck it is cut at `SHARE_OF_TRUCK`, lying across it at the truck's own width.
    """
    truck, load = job.truck, job.load
    long_m, wide_m = _sides_m(load)
    along_m = SHARE_OF_TRUCK * (truck.front_overhang_m.best - rear_end_m(truck))
    if long_m / 2.0 <= along_m or _something_in_reach(job, pose, placed):
        return WHOLE
    along, across = level_shares(load.heading_rad)
    if load.width_m > load.length_m:
        along, across = across, along
    across_m = max(half_width_m(truck), wide_m)
    return min(along_m / max(along, LEAST_SHARE), across_m / max(across, LEAST_SHARE))


def _something_in_reach(job: Job, pose: Pose, placed: Placed) -> bool:
    """Whether something entered stands where the load may turn to, or as near as it must not."""
    for box in job.surroundings:
        wanted_m = room_rows.wanted_m(box, job.policy.gaps.load_to_object_m)
        if box.floor in (None, pose.floor) and in_reach(job.load, placed.hook_m, box, wanted_m):
            return True
    return False


def _sides_m(load: Load) -> tuple[float, float]:
    """The longer and the shorter level side."""
    return max(load.length_m, load.width_m), min(load.length_m, load.width_m)


def _seen_m(load: Load, half_m: float) -> tuple[float, float]:
    """Half of what is seen of the load from the side: of the whole, and of what is drawn."""
    longer = "width_m" if load.width_m > load.length_m else "length_m"
    cut = load if half_m == WHOLE else replace(load, **{longer: 2.0 * half_m})
    return seen_from_side_m(load) / 2.0, seen_from_side_m(cut) / 2.0


def length_words(job: Job) -> str:
    """The load's whole length, to be written where less of it is drawn."""
    return f"load {show(_sides_m(job.load)[0], 'mm', job.units)} long"


# ---------------------------------------------------------------- from the side


def side_is_cut(load: Load, half_m: float) -> bool:
    """Whether less than the whole load is drawn from the side."""
    return _is_cut(*_seen_m(load, half_m))


def side_block(load: Load, half_m: float) -> QPainterPath:
    """The load hanging plumb under the hook, as wide from the side as it lies; see `drawn_half_m`."""
    return _block(*_seen_m(load, half_m), -load.sling_m - load.height_m, -load.sling_m)


def rigging(load: Load, half_m: float) -> QPainterPath:
    """The sling from the hook to where it holds the load; two legs to its top where nobody has said."""

    def drawn(along_m: float) -> float:
        return _drawn_at(along_m, *_seen_m(load, half_m))

    if load.rigging is None:
        half = drawn(load.length_m * 0.4)
        return line((-half, -load.sling_m), (0.0, 0.0), (half, -load.sling_m))
    points = points_of(load.rigging) if spreads(load.rigging) else None
    if points is None:
        return line((0.0, 0.0), (0.0, -load.sling_m))
    behind, ahead = drawn(-points.a_m), drawn(points.b_m)
    if load.rigging.hitch == "spreader":
        return line((behind, -load.sling_m), (0.0, 0.0), (ahead, -load.sling_m), (behind, -load.sling_m))
    holds_z = min(points.above_m - load.sling_m - load.height_m / 2.0, -load.sling_m)
    return line((behind, holds_z), (0.0, 0.0), (ahead, holds_z))


# ---------------------------------------------------------------- from above


def plan_is_cut(half_m: float) -> bool:
    """Whether less than the whole load is drawn from above."""
    return half_m != WHOLE


def plan_block(load: Load, half_m: float = WHOLE, aside_rad: float = 0.0) -> QPainterPath:
    """The load about its own centre as it lies, or turned further by an angle; cut along its longer side."""
    long_m, wide_m = _sides_m(load)
    path = _block(long_m / 2.0, half_m, -wide_m / 2.0, wide_m / 2.0)
    quarter_rad = radians(90.0) if load.width_m > load.length_m else 0.0
    # A turn to the left is counter-clockwise on the sheet.
    return turned(path, QPointF(), -load.heading_rad - aside_rad - quarter_rad)


def plan_sweep(load: Load) -> QPainterPath:
    """Where the load may turn to, never cut: the circle it sweeps, or the furthest it turns to either side."""
    if load.hang == "free":
        return circle(0.0, 0.0, swept_m(load))
    path, aside = plan_block(load, aside_rad=TURNED_ASIDE_RAD[load.hang]), -TURNED_ASIDE_RAD[load.hang]
    path.addPath(plan_block(load, aside_rad=aside))
    return path


# ---------------------------------------------------------------- cut between break lines


def _is_cut(half_m: float, most_m: float) -> bool:
    return half_m > most_m + SAME_M


def _block(half_m: float, most_m: float, low_m: float, high_m: float) -> QPainterPath:
    """A level block about the origin, ``half_m`` to either side; past ``most_m`` it is cut and its ends moved in."""
    if not _is_cut(half_m, most_m):
        return rectangle(-half_m, half_m, low_m, high_m)
    near, far = KEPT * most_m, (KEPT + GAP) * most_m
    path = polygon((*_zigzag(-near, most_m, low_m, high_m), *reversed(_zigzag(near, most_m, low_m, high_m))))
    for end, cut in ((-most_m, -far), (most_m, far)):
        path.addPath(polygon(((end, high_m), (end, low_m), *_zigzag(cut, most_m, low_m, high_m))))
    for cut in (-far, -near, near, far):
        path.addPath(line((cut, low_m - PAST * most_m), (cut, low_m)))
        path.addPath(line((cut, high_m), (cut, high_m + PAST * most_m)))
    return path


def _zigzag(x: float, most_m: float, low_m: float, high_m: float) -> list[tuple[float, float]]:
    """Break line from the underside to the top."""
    tall, middle = high_m - low_m, (low_m + high_m) / 2.0
    high, wide = min(ZIGZAG_HIGH * tall, ZIGZAG_MOST_M), ZIGZAG_WIDE * GAP * most_m
    return [
        *((x, low_m), (x, middle - high), (x - wide, middle - high / 3.0)),
        *((x + wide, middle + high / 3.0), (x, middle + high), (x, high_m)),
    ]


def _drawn_at(along_m: float, half_m: float, most_m: float) -> float:
    """Where a place on the load is drawn (m from under the hook), or on what is tied to it."""
    if not _is_cut(half_m, most_m):
        return along_m
    out, removed = abs(along_m), half_m - most_m
    if out > KEPT * most_m:
        out = max(out - removed, KEPT * most_m)
    return out if along_m >= 0.0 else -out
