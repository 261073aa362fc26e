"""Every stance that brings the hook to a point: forks, boom hole and arm turns, worked out exactly.

Method.  While only standing arms turn, everything beyond the boom stays in one plane square to their pins.  So the
problem splits.  Fork height and the distance ``u`` along the boom follow from the target in the plane of the upright
(two straight lines that cross).  The rest is flat: the point (u, v) from the jib mast, reached by the boom's length to
a pin hole and at most two turning arms.  Two arms are a triangle with known sides (law of cosines, elbow to either
side); one arm swings a circle; without arms there are only the holes.  Arms beyond the second, and level arms, keep
their turn and count as part of the arm before them.

A circle or a row of holes is not an area: where a point cannot be met exactly, the nearest stance is taken and its miss
is given.  When no stance comes near, the rig follows the point as in a drag (`engine.shop.hook_following`), level arms
included.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Number, Vec
from engine.planning.sweep import Stop, Stopped, best_over, judge, never
from engine.rig.feasibility import FIT_TOLERANCE_M, impossibilities, usable_holes
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import Figures, Placed, arm_link, boom_out_m, figures, fitted_arms, hole_out_m, place
from engine.schema.joints import swings
from engine.schema.model import Job, Pose
from engine.shop.hook_following import hook_to
from engine.worst_case.verdict import State

NEAR_M = 0.02
"""A hook this near its point has reached it: a hung load swings further than that."""

SAME_TURN_RAD = 1e-6
"""Straight arms, solved with the elbow to either side, differ by the root of round-off."""

MOST_TURNING = 2
"""Most arms that are turned to meet the point; those further out are carried along."""


class Stances(msgspec.Struct, kw_only=True, frozen=True):
    """Stances that bring the hook near points: arrays of shape (boom position, elbow side, point).

    ``hole`` is 0 for an unpinned boom; ``turns_rad`` has an array for an arm that is turned, a float for one that keeps
    its turn, ``None`` for one left off; ``can`` is true where every joint is inside its limits.
    """

    hole: NDArray[np.intp]
    out_m: Array
    lift_m: Array
    turns_rad: tuple[Number | None, ...]
    miss_m: Array
    can: NDArray[np.bool_]


class Solution(msgspec.Struct, kw_only=True, frozen=True):
    """One pose that reaches the point: where its hook really is, how far that misses, and its verdict."""

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
    """Every pose that brings the hook to a point, the one with the smallest use first.

    Parameters
    ----------
    job : Job
    pose : Pose
        Gives what stays: tilt, floor, which arms are fitted, the turns of arms beyond the second.
    target_m : Vec
        Where the hook should bear, in the truck's frame.
    near_m : float
        How far a pose may miss; elbows to either side and every pin hole are tried.
    stop
        Asked between two poses.

    Returns
    -------
    tuple of Solution
        Empty when no possible pose comes near.

    Raises
    ------
    Stopped
    """
    poses = _possible_poses_to(job, pose, target_m, near_m)
    if not poses:
        x_m, y_m, z_m = (float(part) for part in target_m)
        followed = hook_to(job, hook_to(job, pose, x_m, z_m=z_m), x_m, y_m)
        poses = [] if impossibilities(job, followed) else [followed]
    solutions = []
    for stance in poses:
        if stop():
            raise Stopped
        solutions.append(_judged(job, stance, target_m))
    near = (solution for solution in solutions if solution.miss_m <= near_m)
    return tuple(sorted(near, key=lambda solution: (solution.use, solution.miss_m)))


def likeliest(job: Job, pose: Pose, target_m: Vec, near_m: float = NEAR_M) -> Pose | None:
    """The exact pose at a point with the smallest use at nominal values; the worst case is not worked out."""
    poses = _possible_poses_to(job, pose, target_m, near_m)
    if not poses:
        return None
    singles = [figures(job, stance) for stance in poses]
    turns = zip(*(numbers.turns_rad for numbers in singles), strict=True)
    numbers = msgspec.structs.replace(
        singles[0],
        lift_m=np.array([single.lift_m for single in singles]),
        boom_out_m=np.array([single.boom_out_m for single in singles]),
        pinned=np.array([single.pinned for single in singles]),
        turns_rad=tuple(None if turn[0] is None else np.array(turn) for turn in turns),
    )
    return poses[int(np.argmin(best_over(job, pose, numbers).use))]


def _possible_poses_to(job: Job, pose: Pose, target_m: Vec, near_m: float) -> list[Pose]:
    return [stance for stance in poses_to(job, pose, target_m, near_m) if not impossibilities(job, stance)]


def poses_to(job: Job, pose: Pose, target_m: Vec, near_m: float = NEAR_M) -> list[Pose]:
    """Every exact pose that brings the hook near a point with all joints inside their limits; none is judged."""
    point = Vec(*(np.array([float(part)]) for part in target_m))
    stances = stances_at(job, pose, point)
    poses: list[Pose] = []
    for where in np.argwhere(stances.can & (stances.miss_m <= near_m)):
        stance = pose_of(pose, stances, tuple(where))
        if not any(_same(stance, other) for other in poses):
            poses.append(stance)
    return poses


def _same(one: Pose, other: Pose) -> bool:
    """Whether two poses are one: straight arms reach a point with both elbow sides at once."""
    turns = zip(one.arms, other.arms, strict=True)
    return one.hole == other.hole and all(abs(a.turn_rad - b.turn_rad) < SAME_TURN_RAD for a, b in turns)


def _judged(job: Job, stance: Pose, target_m: Vec) -> Solution:
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
    """The pose at one index of the stances' arrays."""
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
    """Stances that bring the hook near each of many points, by the method at the top of this module.

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
        can = can & joint_as_free(job.rig, index).allows(turn)
    return Stances(
        hole=hole[:, None, None],
        out_m=out_m,
        lift_m=lift_m[None, None, :],
        turns_rad=tuple(turns),
        miss_m=miss_m,
        can=can,
    )


def _boom_positions(job: Job, pose: Pose) -> tuple[NDArray[np.intp], Array]:
    """Usable holes and how far out each puts the boom; a rig without any keeps the boom where it is."""
    holes = np.array(usable_holes(job), dtype=np.intp)
    if holes.size:
        return holes, hole_out_m(job.rig, holes.astype(float))
    return np.zeros(1, np.intp), np.array([boom_out_m(job.rig, pose)])


def _turning(job: Job, numbers: Figures) -> tuple[int, ...]:
    """The arms to turn: those that swing, from the boom outwards up to the first that does not, at most two."""
    turning: list[int] = []
    for index in fitted_arms(numbers):
        if not swings(job.rig.arms[index].joint) or len(turning) == MOST_TURNING:
            break
        turning.append(index)
    return tuple(turning)


def _carried(placed: Placed, numbers: Figures, turning: tuple[int, ...]) -> Vec:
    """Offset of the hook pin from the last turning arm's hinge (or the boom's end), in that link's own axes."""
    boom = placed.frames["boom"]
    if not turning:
        return boom.axes.own(placed.tip_m - boom.at(numbers.boom_out_m))
    frame = placed.frames[arm_link(turning[-1])]
    return frame.axes.own(placed.tip_m - frame.origin)


def _split(
    job: Job, placed: Placed, numbers: Figures, turning: tuple[int, ...], offset: Vec, points: Vec
) -> tuple[Array, Array, Array]:
    """Fork height, and the hook pin's place along and to the side of the boom's line, for each point.

    The pin is at  O + Z_upright lift + X_boom u + Y v + Z_boom w, where the stack of the arms fixes w; O is the boom
    frame's origin at lift 0.
    """
    forks, boom = placed.frames["forks"].axes, placed.frames["boom"]
    above_m = offset.z + sum(job.rig.arms[index].stack_m for index in turning)
    origin = boom.origin - forks.z.times(numbers.lift_m) + boom.axes.z.times(above_m)
    pin = points - placed.gravity.times(job.rig.hook.drop_m) - origin
    across = forks.z.x * boom.axes.x.z - boom.axes.x.x * forks.z.z
    lift_m = (pin.x * boom.axes.x.z - boom.axes.x.x * pin.z) / across
    along_m = (forks.z.x * pin.z - pin.x * forks.z.z) / across
    return np.asarray(lift_m), np.asarray(along_m), np.asarray(pin.y)


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
    """The same direction, within half a turn either way."""
    return np.arctan2(np.sin(angle_rad), np.cos(angle_rad))
