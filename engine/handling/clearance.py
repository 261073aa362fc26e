"""Clearance: how near rig and load come to truck, surroundings, floor and each other over one motion.

Method.  The gaps of `engine.limits.room_rows` at samples of the motion, as drawn and as the loaded rig bends, less what
the rig may move between two of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import msgspec
import numpy as np

from engine.base.geometry import Array
from engine.limits import room_rows
from engine.limits.room_rows import Row
from engine.rig.deflection import place_bent
from engine.rig.kinematics import Figures, walk
from engine.schema.model import Job, Pose

FINENESS_M = 0.01
"""Nothing moves further than this between two samples."""

MOST_SAMPLES = 2000


class Gap(msgspec.Struct, kw_only=True, frozen=True):
    """Least room of one part to one thing, less what sampling may miss; negative where it would run into it.

    ``called`` and ``object`` are part and thing in a sentence, ``wanted_m`` is the free space asked for, ``share`` the
    share of the motion at which that happens.  ``worst_m`` is the gap with all that may be off against it;
    ``unmeasured`` names what of the two nobody has measured, so that a short gap proves nothing.
    """

    part: str
    called: str
    object: str
    clear_m: float
    worst_m: float
    wanted_m: float
    share: float
    unmeasured: str


def gaps(job: Job, pose: Pose, figures_at: Callable[[Array], Figures], travel_m: float) -> tuple[Gap, ...]:
    """Nearest approach to everything that rig or load may run into.

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
        The part that leaves least room, for each thing.
    """
    count = min(MOST_SAMPLES, max(2, math.ceil(travel_m / FINENESS_M) + 1))
    share = np.linspace(0.0, 1.0, count)
    figures = figures_at(share)
    straight = walk(job, figures)
    sag_m = place_bent(job, figures).tip_m - straight.tip_m
    found = room_rows.gaps_of(job, pose, straight, count, sag_m)
    rows = found.of.rows
    room, at_worst = (
        (values - found.of.wanted_m[:, None]).reshape(len(rows), 2, count).min(axis=1)
        for values in (found.gap, found.worst)
    )
    between_m = travel_m / (2.0 * (count - 1))
    # Between two samples the load's height changes by a slope's share of the way at most.
    missed_m = np.array([0.0 if row.kind == room_rows.TO_FLOOR else between_m for row in rows])
    least_m, worst_m = room.min(axis=1) - missed_m, at_worst.min(axis=1) - missed_m
    places: dict[tuple[str, str], list[int]] = {}
    for at, row in enumerate(rows):
        places.setdefault((row.met, row.unmeasured), []).append(at)
    return tuple(_gap(rows, room, least_m, worst_m, of_one, share) for of_one in places.values())


def _gap(rows: Sequence[Row], room_m: Array, least_m: Array, worst_m: Array, places: list[int], share: Array) -> Gap:
    """The row that says most: the shortest as entered, or the shortest at worst where none is short."""
    short = not float(least_m[places].min()) >= 0.0
    told = least_m if short else worst_m
    at = min(places, key=told.__getitem__)
    row = rows[at]
    return Gap(
        part=row.part,
        called=row.called,
        object=row.met,
        clear_m=float(least_m[at]) + row.wanted_m,
        worst_m=float(worst_m[at]) + row.wanted_m,
        wanted_m=row.wanted_m,
        share=float(share[room_m[at].argmin()]),
        unmeasured=row.unmeasured,
    )
