"""Pure edits: a job or pose in, a new one out.  Limits, snapping and the rig following the hook live here.

Two manners.  A **drag** (``lift_to``, ``tilt_to``, ``boom_to``, ``turn_arm_to``, ``hook_to``) stops at the limits, as
a hand on a real lever would.  A **typed** value (``set_value``, ``typed_pose``) outside its limits is refused with a
sentence, and nothing changes.
"""

from __future__ import annotations

import functools
import math
import operator
from collections.abc import Iterator
from typing import Any, NamedTuple

import msgspec

from engine.base.errors import EditError
from engine.base.geometry import Frame, Vec
from engine.base.identity import IdentityKey
from engine.base.lazy import np
from engine.rig.feasibility import boom_limits_m, impossibilities, usable_holes
from engine.rig.kinematics import (
    Figures,
    Placed,
    arm_link,
    boom_out_m,
    drawable,
    drawn,
    figures,
    fitted_arms,
    hole_out_m,
    inner_frames,
    walk,
)
from engine.schema.model import Approval, Arm, ArmPose, Estimate, Hinge, Job, LogEntry, Pin, Pose, Rig, Weld
from engine.schema.sections import RectTube
from engine.schema.validation import checked

REPLACE = msgspec.structs.replace

# ---------------------------------------------------------------- drags: they stop at the limits


def lift_to(job: Job, pose: Pose, lift_m: float) -> Pose:
    """The pose with its forks as near ``lift_m`` as the truck goes."""
    upright = job.truck.upright
    return REPLACE(pose, lift_m=_within(lift_m, upright.lift_min_m, upright.lift_max_m))


def tilt_to(job: Job, pose: Pose, tilt_rad: float) -> Pose:
    """The pose with its upright tilted as near ``tilt_rad`` (back positive) as the truck goes."""
    upright = job.truck.upright
    return REPLACE(pose, tilt_rad=_within(tilt_rad, -upright.tilt_forward_max_rad, upright.tilt_back_max_rad))


def tilt_toward(job: Job, pose: Pose, from_x_m: float, from_z_m: float, x_m: float, z_m: float) -> Pose:
    """The pose with its upright turned about the tilt pivot as far as from one point to another seen from it."""
    upright = job.truck.upright
    before = math.atan2(from_z_m - upright.tilt_pivot_z_m, from_x_m - upright.tilt_pivot_x_m)
    after = math.atan2(z_m - upright.tilt_pivot_z_m, x_m - upright.tilt_pivot_x_m)
    return tilt_to(job, pose, pose.tilt_rad + math.remainder(after - before, 2.0 * math.pi))


def boom_to(job: Job, pose: Pose, out_m: float, free: bool = False) -> Pose:
    """The pose with its boom slid to the usable pin hole nearest ``out_m``; ``free`` leaves it unpinned there.

    ``out_m`` is the boom's end ahead of the jib mast axis.  A rig without a usable hole slides free.
    """
    holes = usable_holes(job)
    least, most = boom_limits_m(job)
    out_m = _within(out_m, least, max(least, most))
    if free or not holes:
        return REPLACE(pose, hole=None, free_out_m=out_m)
    return REPLACE(pose, hole=min(holes, key=lambda hole: abs(hole_out_m(job.rig, hole) - out_m)), free_out_m=None)


def boom_by_holes(job: Job, pose: Pose, steps: int) -> Pose:
    """The boom pulled in by ``steps`` holes (out if negative), from the nearest hole, as far as holes go."""
    holes = usable_holes(job)
    if not holes:
        return pose
    pinned = boom_to(job, pose, boom_out_m(job.rig, pose)).hole
    return REPLACE(pose, hole=holes[int(_within(holes.index(pinned) + steps, 0, len(holes) - 1))], free_out_m=None)


def turn_arm_to(job: Job, pose: Pose, index: int, turn_rad: float) -> Pose:
    """The pose with one arm turned as near ``turn_rad`` (left or up positive) as its stops allow."""
    return _with_arm(pose, index, turn_rad=job.rig.arms[index].joint.nearest(_a_number(turn_rad)))


def arm_toward(
    job: Job, pose: Pose, index: int, x_m: float, y_m: float | None = None, z_m: float | None = None
) -> Pose:
    """The pose with one arm turned until its end points at a place, or comes level with ``x_m`` alone.

    ``y_m`` or ``z_m`` may be left out: a standing-axis arm seen from the side is given only x and keeps to the side
    it is on (left when straight).
    """
    placed = drawn(job, pose)
    frame = placed.frames.get(arm_link(index))
    if frame is None:
        return pose
    arm, turn = job.rig.arms[index], pose.arms[index].turn_rad
    axes = arm.joint.carried(frame, -turn).axes
    sideways = arm.joint.aside(axes)
    away = Vec(x_m - frame.origin.x, (y_m or 0.0) - frame.origin.y, (z_m or 0.0) - frame.origin.z)
    seen = [
        direction for direction, given in (((1, 0, 0), x_m), ((0, 1, 0), y_m), ((0, 0, 1), z_m)) if given is not None
    ]
    if len(seen) > 1:
        flat = Vec(*(part if given is not None else 0.0 for part, given in zip(away, (x_m, y_m, z_m), strict=True)))
        return turn_arm_to(job, pose, index, math.atan2(flat.dot(sideways), flat.dot(axes.x)))
    span = arm.length_m * math.hypot(axes.x.x, sideways.x)
    lead = math.atan2(sideways.x, axes.x.x)
    bend = math.acos(_within(away.x / span, -1.0, 1.0)) if span > 0.0 else 0.0
    return turn_arm_to(job, pose, index, lead + (bend if math.remainder(turn - lead, 2.0 * math.pi) >= 0.0 else -bend))


def arm_end(placed: Placed, job: Job, index: int) -> Vec:
    """Where a fitted arm ends, at its next hinge or the hook."""
    return placed.frames[arm_link(index)].at(job.rig.arms[index].length_m)


def fit_arm(pose: Pose, index: int, fitted: bool) -> Pose:
    """The pose with one arm fitted or left off."""
    return _with_arm(pose, index, fitted=fitted)


def _with_arm(pose: Pose, index: int, **changes: Any) -> Pose:
    arms = list(pose.arms)
    arms[index] = REPLACE(arms[index], **changes)
    return REPLACE(pose, arms=tuple(arms))


def _within(value: float, least: float, most: float) -> float:
    return min(max(_a_number(value), least), most)


def _a_number(value: float) -> float:
    if math.isnan(value):
        raise EditError("pose", "a number", "not a number")
    return float(value)


# ---------------------------------------------------------------- the rig follows the hook

REACHED_M = 1e-4
"""The hook is there when it is within a tenth of a millimetre."""

FOLLOW_STEPS = 30
DAMPING_M = 1e-3
"""Keeps steps short where the arms are stretched out and cannot lengthen further."""

NEARER_M = 1e-3
IDLE_STEPS = 4
"""So many steps that bring the hook no millimetre nearer, and it gets no nearer."""

LONGEST_STEP = 0.5
"""Most a joint travels in one step, in m or rad: its direction of motion holds no further."""

LOOKS = 13
JOINTS_LOOKED_AT = 3
STARTS = 4
"""A coarse look round: so many values of each of the outermost joints, and so many of the nearest stances tried."""


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
        raise EditError("pose", "a number", "not a number")
    target = Vec(x_m, math.nan if y_m is None else y_m, math.nan if z_m is None else z_m)
    aim = _Aim(
        job=job,
        start=_start_at(job, pose),
        target_m=target,
        wanted=tuple(way for way, at in enumerate(target) if at == at),
    )
    fitted = fitted_arms(aim.numbers)
    view = "side" if y_m is None else "plan"
    arms = [("turn", index) for index in fitted if job.rig.arms[index].joint.plane == view]
    slides = [("lift", -1)] if y_m is None else []
    if y_m is None:
        moved = _follow(aim, pose, [*slides, ("boom", -1), *arms])
        pinned = boom_to(job, moved, boom_out_m(job.rig, moved), free)
        return _follow(aim, pinned, [*slides, *arms])
    moved = _follow_with_elbows(aim, pose, arms)
    if aim.miss_m(moved) <= REACHED_M:
        return moved
    slid = _follow_with_elbows(aim, pose, [("boom", -1), *arms])
    pinned = boom_to(job, slid, boom_out_m(job.rig, slid), free)
    return _follow_with_elbows(aim, pinned, arms)


class _Start(NamedTuple):
    """The pose a hook starts from: its figures, its inner frames, where everything is.  On the way only joints change."""

    pose: Pose
    numbers: Figures
    inner: dict[str, Frame]
    placed: Placed


def _start_at(job: Job, pose: Pose) -> _Start:
    """Kept, since a drag works every step out from the pose it began with; the job is another one at every step."""
    return _start_of(IdentityKey(job.truck, job.rig, job.load, job.floors, pose, of=job))


@functools.lru_cache(maxsize=2)
def _start_of(same: IdentityKey) -> _Start:
    job, pose = same.of, same.parts[-1]
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
        return [self.target_m[way] - placed.hook_m[way] for way in self.wanted]

    def miss_m(self, pose: Pose) -> float:
        """How far from the target a pose leaves the hook."""
        return math.hypot(*self.miss(self.placed(pose)))


def _follow_with_elbows(aim: _Aim, pose: Pose, joints: list[tuple[str, int]]) -> Pose:
    """Follow from the pose as it is; where that falls short, from the nearest stances of a coarse look round."""
    best = _follow(aim, pose, joints)
    nearest_m = aim.miss_m(best)
    turns = [index for kind, index in joints if kind == "turn"]
    if not turns or nearest_m <= REACHED_M or _beyond(aim, best, turns, ("boom", -1) in joints):
        return best
    for start in _other_starts(aim, pose, joints):
        if nearest_m <= REACHED_M:
            break
        tried = _follow(aim, start, joints)
        miss_m = aim.miss_m(tried)
        if miss_m < nearest_m:
            best, nearest_m = tried, miss_m
    return best


def _beyond(aim: _Aim, pose: Pose, turns: list[int], slides: bool) -> bool:
    """Whether the target is further from the first hinge than all arms stretched, and the boom's travel, come to."""
    job = aim.job
    hinge = aim.placed(pose).frames[arm_link(turns[0])].origin
    least, most = boom_limits_m(job)
    lengths = [job.rig.arms[index].length_m for index in fitted_arms(aim.numbers) if index >= turns[0]]
    reach_m = sum(lengths) + (most - least if slides else 0.0) + job.rig.hook.drop_m
    return math.hypot(*(aim.target_m[way] - hinge[way] for way in aim.wanted)) > reach_m


def _other_starts(aim: _Aim, pose: Pose, joints: list[tuple[str, int]]) -> Iterator[Pose]:
    """Stances whose hook is nearest the target, of a coarse grid over the joints: one sweep places them all.

    Arms at a stop may have to come round the other way, and straight arms do not know which way to fold: small steps
    find neither.
    """
    job, looked = aim.job, joints[-JOINTS_LOOKED_AT:]
    spans = [_span(job, joint) for joint in looked]
    grid = np.meshgrid(*(np.linspace(least, most, LOOKS) for least, most in spans), indexing="ij")
    numbers = aim.figures(pose)
    turns = list(numbers.turns_rad)
    changes: dict[str, Any] = {}
    for (kind, index), values in zip(looked, grid, strict=True):
        if kind == "turn":
            turns[index] = values
        else:
            changes["boom_out_m"] = values
    hook = walk(job, REPLACE(numbers, turns_rad=tuple(turns), **changes)).hook_m.array()
    wanted = list(aim.wanted)
    miss_m = np.linalg.norm(hook[..., wanted] - np.array(aim.target_m)[wanted], axis=-1)
    for flat in np.argsort(miss_m, axis=None, kind="stable")[:STARTS]:
        start = pose
        for (kind, index), values in zip(looked, grid, strict=True):
            value = float(values.flat[flat])
            start = turn_arm_to(job, start, index, value) if kind == "turn" else boom_to(job, start, value, free=True)
        yield start


def _span(job: Job, joint: tuple[str, int]) -> tuple[float, float]:
    """From where to where a joint goes."""
    kind, index = joint
    if kind == "boom":
        return boom_limits_m(job)
    return job.rig.arms[index].joint.stops


def _follow(aim: _Aim, pose: Pose, joints: list[tuple[str, int]]) -> Pose:
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
        motions = {}
        for joint in joints:
            motion = _motion(placed, aim.job, joint)
            motions[joint] = [motion[way] for way in aim.wanted]
        after = _stepped(aim.job, pose, motions, miss)
        if after == pose:
            break
        pose = after
    return pose


def _stepped(job: Job, pose: Pose, motions: dict[tuple[str, int], list[float]], miss: list[float]) -> Pose:
    """One step towards the target; a joint that stands at its stop is left out, so that the others make up for it."""
    while motions:
        push = _damped(list(motions.values()), miss)
        after, stopped = pose, []
        for joint, motion in motions.items():
            before, amount = after, sum(map(operator.mul, motion, push))
            after = _moved(job, after, joint, _within(amount, -LONGEST_STEP, LONGEST_STEP))
            if after == before:
                stopped.append(joint)
        if not stopped or len(stopped) == len(motions):
            return after
        motions = {joint: motion for joint, motion in motions.items() if joint not in stopped}
    return pose


def _damped(motions: list[list[float]], miss: list[float]) -> tuple[float, float]:
    """Solves (M M^T + damping) push = miss for the two directions wanted; M has a column for each joint's motion."""
    a = sum(x * x for x, _ in motions) + DAMPING_M
    b = sum(x * y for x, y in motions)
    d = sum(y * y for _, y in motions) + DAMPING_M
    share = a * d - b * b  # never 0: both of a and d are over the damping
    return (d * miss[0] - b * miss[1]) / share, (a * miss[1] - b * miss[0]) / share


def _motion(placed: Placed, job: Job, joint: tuple[str, int]) -> Vec:
    """Hook displacement per unit of one joint's travel (m per m, or m per rad)."""
    kind, index = joint
    if kind == "lift":
        return placed.frames["forks"].axes.z
    if kind == "boom":
        return placed.frames["boom"].axes.x
    return job.rig.arms[index].joint.motion(placed.frames[arm_link(index)], placed.tip_m)


def _moved(job: Job, pose: Pose, joint: tuple[str, int], amount: float) -> Pose:
    kind, index = joint
    if kind == "lift":
        return lift_to(job, pose, pose.lift_m + amount)
    if kind == "boom":
        return boom_to(job, pose, boom_out_m(job.rig, pose) + amount, free=True)
    turned = _a_number(pose.arms[index].turn_rad + amount)
    return _with_arm(pose, index, turn_rad=job.rig.arms[index].joint.stopped(turned))


# ---------------------------------------------------------------- typed values: refused outside their limits


def typed_pose(job: Job, before: Pose, **changes: Any) -> Pose:
    """The pose with typed entries changed.

    Raises
    ------
    EditError
        When the changed pose cannot be for a reason the pose before did not have already.
    """
    try:
        after = msgspec.convert(msgspec.to_builtins(REPLACE(before, **changes)), Pose)
    except (msgspec.ValidationError, ValueError) as error:
        raise EditError("pose", "a possible pose", f"{changes}", str(error)) from None
    had = {problem.where for problem in impossibilities(job, before)}
    for problem in impossibilities(job, after):
        if problem.where not in had:
            raise ImpossibleEdit(problem)
    return after


class ImpossibleEdit(EditError):
    """A typed entry whose result cannot be; carries the problem so that a window can show it in its own units."""

    def __init__(self, problem: Any) -> None:
        self.problem = problem
        plain = (
            problem.words.replace(":mm", "").replace(":m", "").replace(":kg", "").replace(":deg", "").replace(":Nm", "")
        )
        super().__init__(
            problem.where, "a possible rig and pose", "one that cannot be", plain.format(**problem.numbers)
        )


def set_value(job: Job, path: str, value: Any) -> Job:
    """The job with one entry changed, every entry checked again.

    Parameters
    ----------
    path : str
        As in error messages, e.g. ``truck.wheelbase_m.best`` or ``rig.arms[1].length_m``.
    value : Any
        New value in SI.

    Raises
    ------
    EditError
        When there is no such entry.
    RigFileError
        When the value is outside what the model allows.
    """
    steps = path.replace("[", ".[").split(".")
    return checked(_set(job, steps, value, path))


def _set(node: Any, steps: list[str], value: Any, path: str) -> Any:
    if not steps:
        return value
    step, rest = steps[0], steps[1:]
    try:
        if step.startswith("["):
            index = int(step[1:-1])
            return (*node[:index], _set(node[index], rest, value, path), *node[index + 1 :])
        return _replaced(node, step, _set(getattr(node, step), rest, value, path), path)
    except (AttributeError, IndexError, ValueError, TypeError) as error:
        if isinstance(error, EditError):
            raise
        raise EditError(path, "an entry of the rig", f"no {step!r}", str(error)) from None


def _replaced(node: Any, key: str, value: Any, path: str) -> Any:
    try:
        return REPLACE(node, **{key: value})
    except ValueError as error:
        raise EditError(path, "a rig that can be", f"{value!r}", str(error)) from None


# ---------------------------------------------------------------- lengths

LEAST_LENGTH_M = 0.1
"""No dragged part gets shorter than this."""


def stretched(job: Job, part: str, by_m: float) -> Job:
    """The job with one part made longer (shorter if negative), to the millimetre, as far as the rig can still be.

    Parameters
    ----------
    part : str
        ``mast`` (upwards), ``boom`` (at its tail: the pin holes stay where they are from the front end) or ``arm 0``,
        ``arm 1``...
    by_m : float

    Returns
    -------
    Job
        Unchanged where the longer or shorter part would not fit.  A weighed mass goes with the length and is then only
        worked out.
    """
    try:
        rig = _stretched_rig(job.rig, part, round(by_m, 3))
        return job if rig is None else REPLACE(job, rig=rig)
    except ValueError:
        return job


def _stretched_rig(rig: Rig, part: str, by_m: float) -> Rig | None:
    if part == "mast":
        return (
            REPLACE(rig, jib_mast=_longer(rig.jib_mast, by_m))
            if rig.jib_mast.length_m + by_m >= LEAST_LENGTH_M
            else None
        )
    if part == "boom":
        first_m = rig.boom.first_hole_m + by_m
        return (
            REPLACE(rig, boom=REPLACE(_longer(rig.boom, by_m), first_hole_m=round(first_m, 6)))
            if first_m > 0.0
            else None
        )
    index = int(part.split()[1])
    arm = rig.arms[index]
    if arm.length_m + by_m < LEAST_LENGTH_M:
        return None
    return REPLACE(rig, arms=(*rig.arms[:index], _longer(arm, by_m), *rig.arms[index + 1 :]))


def _longer(part: Any, by_m: float) -> Any:
    length_m = round(part.length_m + by_m, 6)
    mass = part.mass_kg
    if mass is not None:
        mass = Estimate(best=mass.best * length_m / part.length_m, known="worked_out")
    return REPLACE(part, length_m=length_m, mass_kg=mass)


# ---------------------------------------------------------------- arms


def new_arm(index: int) -> Arm:
    """A plain arm to start from, standing axis, steel unknown, named by its place."""
    weld = Weld(leg_m=0.006)
    hinge = Hinge(
        pin=Pin(diameter_m=0.03, hole_m=0.0305),
        spacing_m=0.2,
        barrel_outer_m=0.06,
        barrel_length_m=0.05,
        lug_thickness_m=0.012,
        lug_edge_m=0.045,
        weld=weld,
    )
    section = RectTube(width_m=0.075, depth_m=0.075, wall_m=0.0064)
    reach = 5.0 * math.pi / 6.0
    return Arm(
        name=f"arm {index + 1}", section=section, length_m=0.6, hinge=hinge, turn_min_rad=-reach, turn_max_rad=reach
    )


def add_arm(job: Job) -> Job:
    """The job with one more arm at the end, like the last one; every pose gets it fitted and straight.

    Trial lifts made before had no such arm: there it is left off.

    Raises
    ------
    RigFileError
        When the rig has as many arms as it may.
    """
    arms = job.rig.arms
    arm = REPLACE(arms[-1] if arms else new_arm(0), name=_free_name(f"arm {len(arms) + 1}", [arm.name for arm in arms]))
    stance = ArmPose(turn_rad=arm.joint.stopped(0.0))
    poses = tuple(REPLACE(pose, arms=(*pose.arms, stance)) for pose in job.poses)
    off = REPLACE(stance, fitted=False)
    lifts = tuple(REPLACE(lift, pose=REPLACE(lift.pose, arms=(*lift.pose.arms, off))) for lift in job.trial_lifts)
    changed = {"rig": REPLACE(job.rig, arms=(*arms, arm)), "poses": poses, "trial_lifts": lifts}
    return checked(Job(**{**_entries(job), **changed}))


def remove_arm(job: Job, index: int) -> Job:
    """The job without one of its arms; every pose loses it too.

    Raises
    ------
    EditError
        When there is no such arm, or a trial lift was made with it.
    """
    if not 0 <= index < len(job.rig.arms):
        raise EditError("rig.arms", f"an arm from 1 to {len(job.rig.arms)}", str(index + 1))

    def without(entries: tuple[Any, ...]) -> tuple[Any, ...]:
        return (*entries[:index], *entries[index + 1 :])

    if any(lift.pose.arms[index].fitted for lift in job.trial_lifts):
        raise EditError(
            "rig.arms",
            "an arm that no trial lift was made with",
            job.rig.arms[index].name,
            "Take the trial lift out first.",
        )
    poses = tuple(REPLACE(pose, arms=without(pose.arms)) for pose in job.poses)
    lifts = tuple(REPLACE(lift, pose=REPLACE(lift.pose, arms=without(lift.pose.arms))) for lift in job.trial_lifts)
    changed = {"rig": REPLACE(job.rig, arms=without(job.rig.arms)), "poses": poses, "trial_lifts": lifts}
    return checked(Job(**{**_entries(job), **changed}))


def _entries(job: Job) -> dict[str, Any]:
    return {name: getattr(job, name) for name in job.__struct_fields__}


def _free_name(name: str, taken: list[str]) -> str:
    count, free = 2, name
    while free in taken:
        free, count = f"{name} ({count})", count + 1
    return free


# ---------------------------------------------------------------- named poses


def with_pose(job: Job, index: int, pose: Pose) -> Job:
    """The job with its pose at ``index`` replaced; the pose itself is taken as already possible."""
    return REPLACE(job, poses=(*job.poses[:index], pose, *job.poses[index + 1 :]))


def add_pose(job: Job, pose: Pose, name: str) -> Job:
    """The job with a copy of ``pose`` added at the end under a new name.

    Raises
    ------
    EditError
        When the name is empty or taken.
    """
    _refuse_taken(job, name)
    return checked(REPLACE(job, poses=(*job.poses, REPLACE(pose, name=name))))


def rename_pose(job: Job, index: int, name: str) -> Job:
    """The job with one pose renamed, in its moves too."""
    was = job.poses[index].name
    if was == name:
        return job
    _refuse_taken(job, name)
    moves = tuple(
        REPLACE(move, poses=tuple(name if stop == was else stop for stop in move.poses)) for move in job.moves
    )
    poses = (*job.poses[:index], REPLACE(job.poses[index], name=name), *job.poses[index + 1 :])
    return checked(REPLACE(job, poses=poses, moves=moves))


def remove_pose(job: Job, index: int) -> Job:
    """The job without one pose; the last one, and one that a move passes, cannot be removed."""
    if len(job.poses) == 1:
        raise EditError("poses", "at least one pose", "none", "The last pose cannot be removed.")
    for move in job.moves:
        if job.poses[index].name in move.poses:
            raise EditError(
                "poses",
                "a pose that no move passes",
                f"one on the move {move.name!r}",
                "Take it out of the move first.",
            )
    return REPLACE(job, poses=(*job.poses[:index], *job.poses[index + 1 :]))


def _refuse_taken(job: Job, name: str) -> None:
    if not name.strip():
        raise EditError("poses", "a name for the pose", "nothing")
    if name in (pose.name for pose in job.poses):
        raise EditError("poses", "a name not taken yet", repr(name))


def straight_ahead(job: Job) -> tuple[ArmPose, ...]:
    """Every arm fitted and straight, or as near as its stops allow."""
    return tuple(ArmPose(turn_rad=arm.joint.stopped(0.0)) for arm in job.rig.arms)


# ---------------------------------------------------------------- records


def with_approval(job: Job, approval: Approval | None) -> Job:
    """The job with the maker's approval entered, or taken out again."""
    return checked(REPLACE(job, approval=approval))


def with_log_entry(job: Job, entry: LogEntry) -> Job:
    """The job with one more line in the rig's log.

    Raises
    ------
    EditError
        When the log is full.
    """
    return checked(REPLACE(job, log=(*job.log, entry)))
