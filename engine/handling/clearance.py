"""Clearance: how near rig and load come to the boxes around them, and to the floor, over one motion.

Method.  The solids of the rig and the load as it may hang (``engine.rig.solids``) at samples of the motion, less what
the rig may move between two of them.  Nothing is entered of the truck's own body, so the load is held against it and
the jib mast as if it were as wide as its shorter side.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec
import numpy as np

from engine.base.geometry import Array, Number
from engine.limits import room
from engine.rig import solids
from engine.rig.kinematics import Figures, Placed, place
from engine.schema.model import Job, Pose
from engine.schema.sections import outer_depth_m

FLOOR, OWN_MAST, TRUCK = "the floor", "the rig's own jib mast", "the truck"

FINENESS_M = 0.01
"""Nothing moves further than this between two samples."""

MOST_SAMPLES = 2000


class Gap(msgspec.Struct, kw_only=True, frozen=True):
    """Nearest that one part comes to one object, less what sampling may miss; negative is how far it would run into it.

    ``wanted_m`` is the free space asked for, ``share`` the share of the motion at which that happens.
    """

    part: str
    object: str
    clear_m: float
    wanted_m: float
    share: float


def gaps(job: Job, pose: Pose, figures_at: Callable[[Array], Figures], travel_m: float) -> tuple[Gap, ...]:
    """Nearest approach to every surrounding box, and of the load to jib mast, truck and floor.

    Parameters
    ----------
    job : Job
    pose : Pose
        Says which floor the truck stands on, boxes of other floors do not count, and whether a load hangs on the hook.
    figures_at : callable
        Figures at an array of shares (n) of the motion.
    travel_m : float
        More than any point moves over the whole motion.

    Returns
    -------
    tuple of Gap
        The part that leaves least room, for each object; a hung load's gaps to jib mast, truck and floor come last.
    """
    boxes = [box for box in job.surroundings if box.floor in (None, pose.floor)]
    count = min(MOST_SAMPLES, max(2, math.ceil(travel_m / FINENESS_M) + 1))
    share = np.linspace(0.0, 1.0, count)
    placed = place(job, figures_at(share))
    between_m = travel_m / (2.0 * (count - 1))

    def gap(part: str, object_name: str, clear_m: Number, wanted_m: float = 0.0) -> Gap:
        samples_m = np.broadcast_to(clear_m, share.shape)
        at = int(np.argmin(samples_m))
        clear = float(samples_m[at]) - between_m
        return Gap(part=part, object=object_name, clear_m=clear, wanted_m=wanted_m, share=float(share[at]))

    nearest, hung = [], room.hung_load(job, placed, count)
    if boxes:
        listed = solids.parts(job, placed, count, loaded=pose.loaded)
        for box in boxes:
            each = solids.gaps_to_box(listed, box).min(axis=1)
            wanted_m = room.wanted_m(box, job.policy.gaps.rig_to_object_m)
            found = [gap(part, box.name, each[at], wanted_m) for at, part in enumerate(listed.parts)]
            if pose.loaded:
                on_load_m = 0.0 if box.sets_load else room.wanted_m(box, job.policy.gaps.load_to_object_m)
                found.append(gap(job.load.name, box.name, solids.load_to_box(hung, box), on_load_m))
            nearest.append(min(found, key=lambda one: one.clear_m - one.wanted_m))
    if not pose.loaded:
        return tuple(nearest)
    own = (gap(job.load.name, name, clear_m) for name, clear_m in _distances_to_own(job, placed))
    under = msgspec.structs.replace(gap(job.load.name, FLOOR, hung.under), clear_m=float(np.min(hung.under)))
    return (*nearest, *own, under)


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


def _signed(x: Number, y: Number, z: Number) -> Number:
    """Distance from the gaps along three axes: outside to the corner, inside minus the least distance to come out."""
    outside = np.sqrt(np.maximum(x, 0.0) ** 2 + np.maximum(y, 0.0) ** 2 + np.maximum(z, 0.0) ** 2)
    return outside + np.minimum(np.maximum(np.maximum(x, y), z), 0.0)
