"""The rig follows its hook: the pose that brings the hook nearest a point, moving as little as it can.

Method.  Damped least squares on the joints' own directions of motion, step by step, each joint stopping at its limits;
where that falls short, because arms are straight or at a stop, again from the nearest stances of a coarse grid.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple, TypeAlias

import msgspec

from engine.base.errors import EditError
from engine.base.geometry import Array, Frame, Vec
from engine.base.identity import IdentityKey, Uncompared
from engine.base.lazy import np
from engine.rig.feasibility import boom_limits_m
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import (
    Figures,
    Placed,
    arm_link,
    boom_out_m,
    drawable,
    figures,
    fitted_arms,
    inner_frames,
    walk,
)
from engine.schema.joints import Joint, View
from engine.schema.model import Job, Pose
from engine.shop.pose_edits import arm_stopped_at, boom_to, lift_to, turn_arm_to

REPLACE = msgspec.structs.replace

REACHED_M = 1e-4
"""The hook is there when it is within a tenth of a millimetre."""

FOLLOW_STEPS = 30
DAMPING_M = 1e-3
"""Keeps steps short where the arms are stretched out and cannot lengthen further."""

NEARER_M = 1e-3
IDLE_STEPS = 4
"""Steps without a gain of ``NEARER_M`` after which the search ends."""

LONGEST_STEP = 0.5
"""Most a joint travels in one step, in m or rad: its direction of motion holds no further."""

GRID_POINTS = 13
GRID_JOINTS = 3
STARTS = 4
"""A coarse grid: values of each joint, outermost joints varied, nearest stances tried."""


# ---------------------------------------------------------------- the joints that follow


class _Forks(msgspec.Struct, frozen=True):
    """The forks, along the upright."""

    def motion(self, placed: Placed) -> Vec:
        """Hook displacement per metre of lift."""
        return placed.frames["forks"].axes.z

    def moved(self, job: Job, pose: Pose, by: float) -> Pose:
        """The pose with the forks higher by ``by``, as far as the truck lifts."""
        return lift_to(job, pose, pose.lift_m + by)


class _Boom(msgspec.Struct, frozen=True):
    """The boom in its saddles, unpinned while it follows."""

    stops: tuple[float, float]

    def motion(self, placed: Placed) -> Vec:
        """Hook displacement per metre of slide."""
        return placed.frames["boom"].axes.x

    def moved(self, job: Job, pose: Pose, by: float) -> Pose:
        """The pose with the boom further out by ``by``, as far as the saddles hold it."""
        return self.set_to(job, pose, boom_out_m(job.rig, pose) + by)

    def set_to(self, job: Job, pose: Pose, value: float) -> Pose:
        """The pose with the boom's end at ``value`` ahead of the jib mast."""
        return boom_to(job, pose, value, free=True)

    def put_in(self, numbers: Figures, values: Array) -> Figures:
        """Figures with many positions of the boom."""
        return REPLACE(numbers, boom_out_m=values)


class _Arm(msgspec.Struct, frozen=True):
    """An arm on its joint."""

    index: int
    joint: Joint

    @property
    def stops(self) -> tuple[float, float]:
        """Least and greatest coordinate."""
        return self.joint.stops

    def motion(self, placed: Placed) -> Vec:
        """Hook displacement per unit of the joint's coordinate."""
        return self.joint.motion(placed.frames[arm_link(self.index)], placed.tip_m)

    def moved(self, job: Job, pose: Pose, by: float) -> Pose:
        """The pose with the arm moved on, as far as its stops allow."""
        return arm_stopped_at(job, pose, self.index, pose.arms[self.index].turn_rad + by)

    def set_to(self, job: Job, pose: Pose, value: float) -> Pose:
        """The pose with the arm's coordinate at ``value``."""
        return turn_arm_to(job, pose, self.index, value)

    def put_in(self, numbers: Figures, values: Array) -> Figures:
        """Figures with many coordinates of the arm."""
        turns = numbers.turns_rad
        return REPLACE(numbers, turns_rad=(*turns[: self.index], values, *turns[self.index + 1 :]))


_Outer: TypeAlias = "_Boom | _Arm"
"""What follows in the plan: only these are tried on a grid."""
_Follower: TypeAlias = "_Forks | _Boom | _Arm"


# ---------------------------------------------------------------- where the hook should go


def hook_to(
    job: Job, pose: Pose, x_m: float, y_m: float | None = None, z_m: float | None = None, free: bool = False
) -> Pose:
    """The pose whose hook is as near a point as the rig goes, moving as little as it can.

    Parameters
    ----------
    x_m, y_m, z_m : float
        Where the hook should go in the truck's frame; ``None`` leaves that direction alone.  With ``z_m`` (side view)
        forks, boom and level arms follow; with ``y_m`` (plan) the standing arms do, and the boom where they cannot.
    free : bool
        Leave the boom unpinned instead of in the nearest hole.

    Returns
    -------
    Pose
        Within every limit.  The nearest it gets when the point is out of reach.

    Raises
    ------
    EditError
        For a place that is not a number.
    ValueError
        With both of ``y_m`` and ``z_m``, or neither.
    """
    if (y_m is None) is (z_m is None):
        raise ValueError(f"hook_to: expected either y_m or z_m, got {y_m} and {z_m}")
    if any(value is not None and value != value for value in (x_m, y_m, z_m)):
        raise EditError("pose", "a number", "not a number", plain="This is not a number.")
    target = Vec(x_m, math.nan if y_m is None else y_m, math.nan if z_m is None else z_m)
    aim = _Aim(
        job=job,
        start=_start_at(job, pose),
        target_m=target,
        wanted=tuple(direction for direction, at in enumerate(target) if at == at),
    )
    if y_m is None:
        return _to_in_side_view(aim, pose, free)
    return _to_in_plan(aim, pose, free)


def _to_in_side_view(aim: _Aim, pose: Pose, free: bool) -> Pose:
    arms = aim.arms("side")
    moved = _follow(aim, pose, [_Forks(), _Boom(boom_limits_m(aim.job)), *arms])
    pinned = boom_to(aim.job, moved, boom_out_m(aim.job.rig, moved), free)
    return _follow(aim, pinned, [_Forks(), *arms])


def _to_in_plan(aim: _Aim, pose: Pose, free: bool) -> Pose:
    arms = aim.arms("plan")
    moved = _follow_with_elbows(aim, pose, arms)
    if aim.miss_m(moved) <= REACHED_M:
        return moved
    slid = _follow_with_elbows(aim, pose, [_Boom(boom_limits_m(aim.job)), *arms])
    pinned = boom_to(aim.job, slid, boom_out_m(aim.job.rig, slid), free)
    return _follow_with_elbows(aim, pinned, arms)


class _Start(NamedTuple):
    """The pose a hook starts from: its figures, its inner frames, where everything is; the rest only moves joints."""

    pose: Pose
    numbers: Figures
    inner: dict[str, Frame]
    placed: Placed


def _start_at(job: Job, pose: Pose) -> _Start:
    """Kept, since every step of a drag starts from the pose the drag began with; the job is another at every step."""
    same = IdentityKey(job.truck, job.rig, job.load, job.floors, pose)
    return _start_of(same, Uncompared((job, pose)))


@functools.lru_cache(maxsize=2)
def _start_of(_same: IdentityKey, given: Uncompared[tuple[Job, Pose]]) -> _Start:
    job, pose = given.value
    numbers = drawable(figures(job, pose))
    inner = inner_frames(job, numbers)
    return _Start(pose, numbers, inner, walk(job, numbers, inner))


def placed_at_start(job: Job, pose: Pose) -> Placed:
    """Where the rig is in the pose that a drag begins with, kept while it lasts."""
    return _start_at(job, pose).placed


class _Aim(NamedTuple):
    """Where the hook should go, in which directions, and the pose it starts from."""

    job: Job
    start: _Start
    target_m: Vec
    wanted: tuple[int, ...]

    @property
    def numbers(self) -> Figures:
        """Figures of the pose it starts from."""
        return self.start.numbers

    def arms(self, view: View) -> list[_Arm]:
        """The fitted arms that move in the plane of a view, from the boom outwards."""
        arms = [_Arm(index, joint_as_free(self.job.rig, index)) for index in fitted_arms(self.numbers)]
        return [arm for arm in arms if arm.joint.plane == view]

    def figures(self, pose: Pose) -> Figures:
        """The figures of a pose on the way."""
        turns = tuple(arm.turn_rad if arm.fitted else None for arm in pose.arms)
        return REPLACE(self.numbers, lift_m=pose.lift_m, boom_out_m=boom_out_m(self.job.rig, pose), turns_rad=turns)

    def placed(self, pose: Pose) -> Placed:
        """Where a pose on the way has the rig."""
        if pose is self.start.pose:
            return self.start.placed
        return walk(self.job, self.figures(pose), self.start.inner if pose.lift_m == self.numbers.lift_m else None)

    def miss(self, placed: Placed) -> list[float]:
        """What is missing to the target, direction by direction."""
        return [float(self.target_m[direction] - placed.hook_m[direction]) for direction in self.wanted]

    def miss_m(self, pose: Pose) -> float:
        """How far from the target a pose leaves the hook."""
        return math.hypot(*self.miss(self.placed(pose)))


# ---------------------------------------------------------------- a grid to start from


def _follow_with_elbows(aim: _Aim, pose: Pose, joints: Sequence[_Outer]) -> Pose:
    """Follow from the pose as it is; where that falls short, from the nearest stances of a coarse grid."""
    best = _follow(aim, pose, joints)
    nearest_m = aim.miss_m(best)
    if nearest_m <= REACHED_M or _beyond(aim, best, joints):
        return best
    for start in _other_starts(aim, pose, joints):
        if nearest_m <= REACHED_M:
            break
        tried = _follow(aim, start, joints)
        miss_m = aim.miss_m(tried)
        if miss_m < nearest_m:
            best, nearest_m = tried, miss_m
    return best


def _beyond(aim: _Aim, pose: Pose, joints: Sequence[_Outer]) -> bool:
    """Whether no arm follows, or the target is further off than all arms stretched, and the boom's travel, come to."""
    job = aim.job
    first = next((joint.index for joint in joints if isinstance(joint, _Arm)), None)
    if first is None:
        return True
    hinge = aim.placed(pose).frames[arm_link(first)].origin
    lengths_m = [job.rig.arms[index].reach_m for index in fitted_arms(aim.numbers) if index >= first]
    slides_m = sum(joint.stops[1] - joint.stops[0] for joint in joints if isinstance(joint, _Boom))
    reach_m = sum(lengths_m) + slides_m + job.rig.hook.drop_m
    return math.hypot(*(float(aim.target_m[to] - hinge[to]) for to in aim.wanted)) > reach_m


def _other_starts(aim: _Aim, pose: Pose, joints: Sequence[_Outer]) -> Iterator[Pose]:
    """Stances whose hook is nearest the target, of a coarse grid over the joints: one sweep places them all.

    Arms at a stop may have to come round the other way, and straight arms do not know which way to fold: small steps
    find neither.
    """
    job, outermost = aim.job, joints[-GRID_JOINTS:]
    points = [np.linspace(*joint.stops, GRID_POINTS) for joint in outermost]
    grid = np.meshgrid(*points, indexing="ij")
    numbers = aim.figures(pose)
    for joint, values in zip(outermost, grid, strict=True):
        numbers = joint.put_in(numbers, values)
    wanted = list(aim.wanted)
    miss_m = np.linalg.norm(walk(job, numbers).hook_m.array()[..., wanted] - np.array(aim.target_m)[wanted], axis=-1)
    for flat in np.argsort(miss_m, axis=None, kind="stable")[:STARTS]:
        start = pose
        for joint, values in zip(outermost, grid, strict=True):
            start = joint.set_to(job, start, float(values.flat[flat]))
        yield start


# ---------------------------------------------------------------- step by step


def _follow(aim: _Aim, pose: Pose, joints: Sequence[_Follower]) -> Pose:
    """Damped least squares on the joints' own directions of motion; each joint stops at its limits."""
    nearest_m, idle = math.inf, 0
    for _ in range(FOLLOW_STEPS if joints else 0):
        placed = aim.placed(pose)
        miss = aim.miss(placed)
        miss_m = math.hypot(*miss)
        idle = 0 if miss_m < nearest_m - NEARER_M else idle + 1
        nearest_m = min(nearest_m, miss_m)
        if miss_m <= REACHED_M or idle == IDLE_STEPS:
            break
        one, other = aim.wanted
        motions = {}
        for joint in joints:
            motion = joint.motion(placed)
            motions[joint] = (float(motion[one]), float(motion[other]))
        after = _stepped(aim.job, pose, motions, miss)
        if after == pose:
            break
        pose = after
    return pose


def _stepped(job: Job, pose: Pose, motions: dict[_Follower, tuple[float, float]], miss: list[float]) -> Pose:
    """One step towards the target; a joint that is at its stop is left out, so that the others make up for it."""
    while motions:
        push = _damped(list(motions.values()), miss)
        after, stopped = pose, []
        for joint, motion in motions.items():
            before, amount = after, motion[0] * push[0] + motion[1] * push[1]
            after = joint.moved(job, after, min(max(amount, -LONGEST_STEP), LONGEST_STEP))
            if after == before:
                stopped.append(joint)
        if not stopped or len(stopped) == len(motions):
            return after
        motions = {joint: motion for joint, motion in motions.items() if joint not in stopped}
    return pose


def _damped(motions: list[tuple[float, float]], miss: list[float]) -> tuple[float, float]:
    """Solves (M M^T + damping) push = miss for the two directions wanted; M has a column for each joint's motion."""
    a = sum(x * x for x, _ in motions) + DAMPING_M
    b = sum(x * y for x, y in motions)
    d = sum(y * y for _, y in motions) + DAMPING_M
    share = a * d - b * b  # never 0: both of a and d are over the damping
    return (d * miss[0] - b * miss[1]) / share, (a * miss[1] - b * miss[0]) / share
