"""Every stance that brings the hook to a point: forks, boom hole and arm turns.

Method.  While only standing arms turn, everything beyond the boom stays in one plane square to their pins.  So the
problem splits.  Fork height and the distance ``u`` along the boom follow from the target in the plane of the upright
(two straight lines that cross).  The rest is flat: the point (u, v) from the jib mast, reached by the boom's length to
a pin hole and at most two turning arms.  Two arms are a triangle with known sides (law of cosines, elbow to either
side); one arm swings a circle; without arms there are only the holes.  In `stances_at`, arms beyond the second, and
level arms, keep their turn and count as part of the arm before them.

A rig with a level arm, or with more than two, has stances beyond those: `engine.planning.stance_search` looks for them.

A circle or a row of holes is not an area: where a point cannot be met, the stances that come near it count, each with
its miss.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Number, Vec
from engine.planning.stance_search import REACHED_M, boom_positions, find_stances, poses_of
from engine.planning.sweep import SoFar, Stop, Stopped, Tell, best_over, in_few_figures, never, quiet, unheard
from engine.rig.feasibility import FIT_TOLERANCE_M, impossibilities
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import Figures, Placed, arm_link, drawable, figures, fitted_arms, place
from engine.schema.joints import swings
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import State, evaluate

NEAR_M = 0.02
"""A hook this near its point will do where the rig cannot meet it: a hung load swings further than that."""

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
    """One pose that reaches the point: where its hook really is, how far that misses, and its verdict.

    ``has_room`` says that no gap is short, even in the worst case.
    """

    pose: Pose
    hook_m: Vec
    miss_m: float
    state: State
    state_words: str
    has_room: bool
    use: float
    allowed_kg: float
    governing: str


def solutions_to(
    job: Job,
    pose: Pose,
    target_m: Vec,
    near_m: float | None = None,
    stop: Stop = never,
    tell: Tell = quiet,
    so_far: SoFar = unheard,
) -> tuple[Solution, ...]:
    """Poses that bring the hook to a point: those with room first, then by their worst-case use.

    Of a rig with at most two arms, both standing, every one there is; of others the best `MOST_POSTURES`, and where an
    arm is to spare one of each posture (`engine.planning.stance_search`).

    Parameters
    ----------
    job : Job
    pose : Pose
        Gives what stays: tilt, floor, which arms are fitted.
    target_m : Vec
        Where the hook should bear, in the truck's frame.
    near_m : float, optional
        How far a pose may miss; by default `REACHED_M`, or `NEAR_M` for a point that none comes so near.
    stop, tell
        Called between two poses.
    so_far
        Handed the solutions found, best first, after each but the last.

    Returns
    -------
    tuple of Solution
        Empty when no possible pose comes near.

    Raises
    ------
    Stopped
    """
    stances = _possible(job, poses_to(job, pose, target_m, near_m, stop))
    solutions: tuple[Solution, ...] = ()
    for number, stance in enumerate(stances, start=1):
        tell((number - 1) / len(stances), f"stance {number} of {len(stances)}")
        if stop():
            raise Stopped
        solutions = _best_first((*solutions, _judged(job, stance, target_m)))
        if number < len(stances):
            so_far(solutions)
    return solutions


def _best_first(solutions: tuple[Solution, ...]) -> tuple[Solution, ...]:
    return tuple(sorted(solutions, key=lambda solution: (not solution.has_room, solution.use, solution.miss_m)))


def likeliest(job: Job, pose: Pose, target_m: Vec, near_m: float = NEAR_M) -> Pose | None:
    """One possible pose near a point, for a remedy to try: found quickly, not the best of all.

    With level arms and those beyond the second as they are, the smallest use at nominal values decides; where they have
    to move, the worst case of some.
    """
    poses = _possible(job, _closed_form_to(job, pose, target_m, near_m))
    if not poses:
        if not _is_searched(job, pose):
            return None
        candidates = find_stances(job, pose, target_m, near_m, rounds=0)
        return next(iter(_possible(job, list(poses_of(pose, candidates)))), None)
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


def _possible(job: Job, poses: list[Pose]) -> list[Pose]:
    return [stance for stance in poses if not impossibilities(job, stance)]


def poses_to(job: Job, pose: Pose, target_m: Vec, near_m: float | None = None, stop: Stop = never) -> list[Pose]:
    """Poses that bring the hook to a point, with all joints inside their limits; as `solutions_to`, none judged."""
    for miss_m in (REACHED_M, NEAR_M) if near_m is None else (near_m,):
        if _is_searched(job, pose):
            poses = list(poses_of(pose, find_stances(job, pose, target_m, miss_m, stop=stop)))
        else:
            poses = _closed_form_to(job, pose, target_m, miss_m)
        if poses:
            return poses
    return []


def _is_searched(job: Job, pose: Pose) -> bool:
    """Whether some stances are beyond the closed form: with a level arm, or more arms than it turns."""
    fitted = [arm for arm, stance in zip(job.rig.arms, pose.arms, strict=True) if stance.fitted]
    return len(fitted) > MOST_TURNING or not all(swings(arm.joint) for arm in fitted)


def _closed_form_to(job: Job, pose: Pose, target_m: Vec, near_m: float) -> list[Pose]:
    """Every pose of `stances_at` that brings the hook near a point."""
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
    verdict = evaluate(job, stance)
    judged, hook = in_few_figures(verdict), verdict.placed.hook_m
    return Solution(
        pose=stance,
        hook_m=hook,
        miss_m=float((hook - target_m).length()),
        state=verdict.state,
        state_words=verdict.state_words,
        has_room=not verdict.room.short_at_worst,
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
    numbers = drawable(figures(job, pose))
    placed = place(job, numbers)
    turning = _turning(job, numbers)
    offset = _carried(placed, numbers, turning)
    lift_m, along_m, aside_m = _split(job, placed, numbers, turning, offset, points)
    hole, out_m = boom_positions(job, pose)
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
