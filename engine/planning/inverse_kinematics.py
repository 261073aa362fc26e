"""Every way of bringing the hook to a point: forks, boom hole and arm turns, worked out exactly.

Method.  While only standing arms turn, everything beyond the boom stays in one plane square to their pins.  So the hook
splits cleanly: fork height and the distance ``u`` along the boom follow from the target in the plane of the upright
(two straight lines that cross), and what is left is flat: the point (u, v) from the jib mast, reached by the boom's
length to a pin hole and at most two turning arms.  Two arms are a triangle with known sides (law of cosines, elbow to
either side); one arm swings a circle; none leaves the holes.  Arms beyond the second, and level arms, keep the turn
they have and are counted as part of the arm they hang on.

Where a point cannot be met exactly (a circle or a row of holes is not an area) the nearest stance is taken and how far
it misses is told.  When nothing comes near, the rig is moved towards the point as a drag would
(``hook_following.hook_to``), level arms included.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Number, Vec
from engine.planning.sweep import Stop, Stopped, best_over, judge, never
from engine.rig.feasibility import FIT_TOLERANCE_M, impossibilities, usable_holes
from engine.rig.kinematics import Figures, Placed, arm_link, figures, fitted_arms, hole_out_m, place
from engine.schema.joints import swings
from engine.schema.model import Job, Pose
from engine.shop import hook_following
from engine.worst_case.verdict import State

NEAR_M = 0.02
"""A hook this near its point is there: a hung load moves further by itself."""

SAME_TURN_RAD = 1e-6
"""Straight arms solved with the elbow to either side differ by the root of round-off."""

TURNS_AT_MOST = 2
"""Arms that are turned to meet the point; those further out are carried along."""


class Stances(msgspec.Struct, kw_only=True, frozen=True):
    """Ways to bring the hook near points: arrays of shape (boom position, elbow side, point).

    ``hole`` is 0 for a free boom position; ``turns_rad`` has an array for each arm that is turned, a float for one that
    keeps its turn, ``None`` for one left off; ``can`` tells where every joint is inside its limits.
    """

    hole: NDArray[np.intp]
    out_m: Array
    lift_m: Array
    turns_rad: tuple[Number | None, ...]
    miss_m: Array
    can: NDArray[np.bool_]


class Solution(msgspec.Struct, kw_only=True, frozen=True):
    """One way to the point: the pose, where its hook really is, how far that misses, and how it stands."""

    pose: Pose
    hook_m: Vec
    miss_m: float
    state: State
    use: float
    allowed_kg: float
    governing: str


def solutions_to(
    job: Job, pose: Pose, target_m: Vec, near_m: float = NEAR_M, stop: Stop = never
) -> tuple[Solution, ...]:
    """Every way found to bring the hook to a point, the one with the smallest use first.

    Parameters
    ----------
    job : Job
    pose : Pose
        Gives what stays: tilt, floor, which arms are fitted, the turns of arms beyond the second.
    target_m : Vec
        Where the hook should bear, in the truck's frame.
    near_m : float
        How far a way may miss; elbows to either side and every pin hole are tried.
    stop
        Asked between two ways.

    Returns
    -------
    tuple of Way
        Empty when nothing comes near or nothing that does can be.

    Raises
    ------
    Stopped
    """
    found = [stance for stance in poses_to(job, pose, target_m, near_m) if not impossibilities(job, stance)]
    if not found:
        drawn = hook_following.hook_to(job, pose, target_m.x, z_m=target_m.z)
        drawn = hook_following.hook_to(job, drawn, target_m.x, target_m.y)
        found = [] if impossibilities(job, drawn) else [drawn]
    ways = []
    for stance in found:
        if stop():
            raise Stopped
        ways.append(_way(job, stance, target_m))
    return tuple(sorted((way for way in ways if way.miss_m <= near_m), key=lambda way: (way.use, way.miss_m)))


def likeliest(job: Job, pose: Pose, target_m: Vec, near_m: float = NEAR_M) -> Pose | None:
    """Of all exact ways to a point the one with the smallest use at best values; not judged in the worst case."""
    found = [stance for stance in poses_to(job, pose, target_m, near_m) if not impossibilities(job, stance)]
    if not found:
        return None
    each = [figures(job, stance) for stance in found]
    turns = zip(*(numbers.turns_rad for numbers in each), strict=True)
    numbers = msgspec.structs.replace(
        each[0],
        lift_m=np.array([one.lift_m for one in each]),
        boom_out_m=np.array([one.boom_out_m for one in each]),
        turns_rad=tuple(None if turn[0] is None else np.array(turn) for turn in turns),
    )
    return found[int(np.argmin(best_over(job, numbers).use))]


def poses_to(job: Job, pose: Pose, target_m: Vec, near_m: float = NEAR_M) -> list[Pose]:
    """Every exact stance that brings the hook near a point, joints inside their limits, nothing judged."""
    point = Vec(*(np.array([float(part)]) for part in target_m))
    stances = stances_at(job, pose, point)
    found: list[Pose] = []
    for where in np.argwhere(stances.can & (stances.miss_m <= near_m)):
        stance = pose_of(pose, stances, tuple(where))
        if not any(_same(stance, other) for other in found):
            found.append(stance)
    return found


def _same(one: Pose, other: Pose) -> bool:
    """Straight arms reach a point with both elbow sides at once; that is one way, not two."""
    turns = zip(one.arms, other.arms, strict=True)
    return one.hole == other.hole and all(abs(a.turn_rad - b.turn_rad) < SAME_TURN_RAD for a, b in turns)


def _way(job: Job, stance: Pose, target_m: Vec) -> Solution:
    judged = judge(job, stance)
    hook = place(job, figures(job, stance)).hook_m
    miss_m = float((hook - target_m).length())
    return Solution(
        pose=stance,
        hook_m=hook,
        miss_m=miss_m,
        state=judged.state,
        use=judged.use,
        allowed_kg=judged.allowed_kg,
        governing=judged.governing,
    )


def pose_of(pose: Pose, stances: Stances, where: tuple[int, ...]) -> Pose:
    """The pose at one place in the stances' arrays."""
    hole = int(np.broadcast_to(stances.hole, stances.can.shape)[where])
    arms = tuple(
        arm
        if turn is None
        else msgspec.structs.replace(arm, turn_rad=float(np.broadcast_to(turn, stances.can.shape)[where]))
        for arm, turn in zip(pose.arms, stances.turns_rad, strict=True)
    )
    return msgspec.structs.replace(
        pose,
        hole=hole or None,
        free_out_m=None if hole else float(np.broadcast_to(stances.out_m, stances.can.shape)[where]),
        lift_m=float(np.broadcast_to(stances.lift_m, stances.can.shape)[where]),
        arms=arms,
    )


# ---------------------------------------------------------------- exact inverse


def stances_at(job: Job, pose: Pose, points: Vec) -> Stances:
    """Ways to bring the hook near each of many points; see the module's own words for the method.

    Parameters
    ----------
    points : Vec
        Components of shape (n,), in the truck's frame.

    Returns
    -------
    Stances
        Of shape (boom positions, elbow sides, n).
    """
    numbers = figures(job, pose)
    placed = place(job, numbers)
    turning = _turning(job, numbers)
    offset = _carried(placed, numbers, turning)
    lift_m, along_m, aside_m = _split(job, placed, numbers, turning, offset, points)
    hole, out_m = _boom_positions(job, pose)
    out_m = out_m[:, None, None]
    miss_m, turned = _flat(job, turning, offset, along_m[None, None, :] - out_m, aside_m[None, None, :])
    turns = list(numbers.turns_rad)
    upright = job.truck.upright
    can = (lift_m >= upright.lift_min_m - FIT_TOLERANCE_M) & (lift_m <= upright.lift_max_m + FIT_TOLERANCE_M)
    can = np.broadcast_to(can, miss_m.shape)
    for index, turn in zip(turning, turned, strict=True):
        turns[index] = turn
        can = can & job.rig.arms[index].joint.allows(turn)
    return Stances(
        hole=hole[:, None, None],
        out_m=out_m,
        lift_m=lift_m[None, None, :],
        turns_rad=tuple(turns),
        miss_m=miss_m,
        can=can,
    )


def _boom_positions(job: Job, pose: Pose) -> tuple[NDArray[np.intp], Array]:
    """Usable holes and how far out each puts the boom; a rig without any keeps the position it has."""
    holes = np.array(usable_holes(job), dtype=np.intp)
    if holes.size:
        return holes, np.asarray(hole_out_m(job.rig, holes), float)
    return np.zeros(1, np.intp), np.array([figures(job, pose).boom_out_m])


def _turning(job: Job, numbers: Figures) -> tuple[int, ...]:
    """Standing arms from the boom outwards, at most two, up to the first level arm."""
    found: list[int] = []
    for index in fitted_arms(numbers):
        if not swings(job.rig.arms[index].joint) or len(found) == TURNS_AT_MOST:
            break
        found.append(index)
    return tuple(found)


def _carried(placed: Placed, numbers: Figures, turning: tuple[int, ...]) -> Vec:
    """Hook pin from the last turning arm's hinge (or the boom's end), in that link's own axes."""
    boom = placed.frames["boom"]
    if not turning:
        return boom.axes.own(placed.tip_m - boom.at(numbers.boom_out_m))
    frame = placed.frames[arm_link(turning[-1])]
    return frame.axes.own(placed.tip_m - frame.origin)


def _split(
    job: Job, placed: Placed, numbers: Figures, turning: tuple[int, ...], offset: Vec, points: Vec
) -> tuple[Array, Array, Array]:
    """Fork height, and the hook pin's place along and aside of the boom's line, for each point.

    The pin is at  O + Z_upright lift + X_boom u + Y v + Z_boom w  with w fixed by how the arms are stacked; O is the
    boom frame's origin at lift 0.
    """
    forks, boom = placed.frames["forks"].axes, placed.frames["boom"]
    above_m = offset.z + sum(job.rig.arms[index].stack_m for index in turning)
    origin = boom.origin - forks.z.times(numbers.lift_m) + boom.axes.z.times(above_m)
    pin = points - placed.gravity.times(job.rig.hook.drop_m) - origin
    across = forks.z.x * boom.axes.x.z - boom.axes.x.x * forks.z.z
    lift_m = (pin.x * boom.axes.x.z - boom.axes.x.x * pin.z) / across
    along_m = (forks.z.x * pin.z - pin.x * forks.z.z) / across
    return lift_m, along_m, np.asarray(pin.y, float)


def _flat(
    job: Job, turning: tuple[int, ...], offset: Vec, ahead_m: Array, aside_m: Array
) -> tuple[Array, tuple[Array, ...]]:
    """Miss and arm turns for a hook pin ``ahead_m`` of the boom's end and ``aside_m`` to the left of it."""
    if not turning:
        return np.hypot(ahead_m - offset.x, aside_m - offset.y), ()
    outer_m, skew_rad = math.hypot(offset.x, offset.y), math.atan2(offset.y, offset.x)
    away_m, bearing = np.hypot(ahead_m, aside_m), np.arctan2(aside_m, ahead_m)
    if len(turning) == 1:
        return np.abs(away_m - outer_m), (_wrapped(bearing - skew_rad),)
    inner_m = job.rig.arms[turning[0]].length_m
    cosine = (away_m**2 - inner_m**2 - outer_m**2) / (2.0 * inner_m * outer_m)
    elbow = np.array([1.0, -1.0])[None, :, None] * np.arccos(np.clip(cosine, -1.0, 1.0))
    first = bearing - np.arctan2(outer_m * np.sin(elbow), inner_m + outer_m * np.cos(elbow))
    miss_m = np.maximum(np.maximum(away_m - inner_m - outer_m, abs(inner_m - outer_m) - away_m), 0.0)
    return np.broadcast_to(miss_m, elbow.shape), (_wrapped(first), _wrapped(elbow - skew_rad))


def _wrapped(angle_rad: Array) -> Array:
    """The same direction within half a turn either way."""
    return np.arctan2(np.sin(angle_rad), np.cos(angle_rad))
