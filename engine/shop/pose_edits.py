"""Edits of a pose: a pose in, a new one out.

A drag (`lift_to`, `tilt_to`, `boom_to`, `turn_arm_to`, `arm_toward`) stops at the limits, as a hand on a real lever
would. A typed value (`typed_pose`) outside its limits is refused with a sentence, and nothing changes.
"""

from __future__ import annotations

import math
from typing import Any

import msgspec

from engine.base.errors import ContradictionError, EditError
from engine.base.formatting import fill
from engine.base.geometry import Vec
from engine.rig.check import Problem
from engine.rig.feasibility import boom_limits_m, impossibilities, no_such_hole, usable_holes
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import Placed, arm_link, boom_out_m, drawn, hole_out_m
from engine.schema.joints import View
from engine.schema.model import ArmPose, Job, Pose
from engine.schema.validation import refused

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
    return REPLACE(pose, hole=_nearest_hole(job, holes, out_m), free_out_m=None)


def boom_by_holes(job: Job, pose: Pose, steps: int) -> Pose:
    """The boom pulled in by ``steps`` holes (out if negative), from the nearest hole, as far as holes go."""
    holes = usable_holes(job)
    if not holes:
        return pose
    now = holes.index(_nearest_hole(job, holes, boom_out_m(job.rig, pose)))
    return REPLACE(pose, hole=holes[min(max(now + steps, 0), len(holes) - 1)], free_out_m=None)


def beyond_holes(job: Job, pose: Pose, steps: int) -> Problem | None:
    """Why the boom does not go so many holes in (out if negative) from where it is; None where it does."""
    holes = usable_holes(job)
    if not holes:
        words = "No pin hole of this boom keeps it in both saddles: type how far the boom end is out."
        return Problem(kind="impossible", where="pose.hole", words=words)
    hole = _nearest_hole(job, holes, boom_out_m(job.rig, pose)) + steps
    if hole in holes:
        return None
    if not 1 <= hole <= job.rig.boom.hole_count:
        end = 1 if hole < 1 else job.rig.boom.hole_count
        if end in holes:
            words = "Pin hole {end} is the last one {way}: this boom has {holes}."
            numbers = {"end": str(end), "way": "out" if hole < 1 else "in", "holes": str(job.rig.boom.hole_count)}
            return Problem(kind="impossible", where="pose.hole", words=words, numbers=numbers)
        hole = end
    there = REPLACE(pose, hole=hole, free_out_m=None)
    why = next(one for one in impossibilities(job, there) if one.where == "pose.hole")
    words = f"Pin hole {{hole}} cannot be used. {why.words}"
    return Problem(kind="impossible", where="pose.hole", words=words, numbers={**why.numbers, "hole": str(hole)})


def _nearest_hole(job: Job, holes: tuple[int, ...], out_m: float) -> int:
    return min(holes, key=lambda hole: abs(hole_out_m(job.rig, hole) - out_m))


def turn_arm_to(job: Job, pose: Pose, index: int, turn_rad: float) -> Pose:
    """The pose with one arm turned as near ``turn_rad`` (left or up positive) as its stops allow."""
    return _with_arm(pose, index, turn_rad=joint_as_free(job.rig, index).nearest(_a_number(turn_rad)))


def arm_stopped_at(job: Job, pose: Pose, index: int, turn_rad: float) -> Pose:
    """The pose with one arm's coordinate so, or at the stop it is past; whole turns are not taken off."""
    return _with_arm(pose, index, turn_rad=joint_as_free(job.rig, index).stopped(_a_number(turn_rad)))


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
    straight = arm.joint.carried(frame, -turn).axes
    aside = arm.joint.aside(straight)
    away = Vec(x_m, y_m or 0.0, z_m or 0.0) - frame.origin
    if y_m is not None or z_m is not None:
        seen = Vec(away.x, 0.0 if y_m is None else away.y, 0.0 if z_m is None else away.z)
        return turn_arm_to(job, pose, index, math.atan2(seen.dot(aside), seen.dot(straight.x)))
    span_m = arm.length_m * math.hypot(straight.x.x, aside.x)
    lead = math.atan2(aside.x, straight.x.x)
    bend = math.acos(_within(float(away.x) / span_m, -1.0, 1.0)) if span_m > 0.0 else 0.0
    return turn_arm_to(job, pose, index, lead + (bend if math.remainder(turn - lead, 2.0 * math.pi) >= 0.0 else -bend))


def arm_round(job: Job, pose: Pose, index: int, view: View, held: tuple[float, float], at: tuple[float, float]) -> Pose:
    """The pose with one arm turned so that the place it is held at follows a point round its hinge.

    Parameters
    ----------
    view : {"side", "plan"}
        Points are (forward, up) or (forward, left), in metres.
    held, at : tuple of float
        Where the arm is held in ``pose``, and where that place is to go.
    """
    placed = drawn(job, pose)
    if arm_link(index) not in placed.frames:
        return pose
    hinge, end = placed.frames[arm_link(index)].origin, arm_end(placed, job, index)
    (hinge_x, hinge_y), (end_x, end_y) = (
        (float(point.x), float(point.y if view == "plan" else point.z)) for point in (hinge, end)
    )
    before, after = (math.atan2(y - hinge_y, x - hinge_x) for x, y in (held, at))
    by, along, aside = after - before, end_x - hinge_x, end_y - hinge_y
    x_m = hinge_x + along * math.cos(by) - aside * math.sin(by)
    other_m = hinge_y + along * math.sin(by) + aside * math.cos(by)
    return arm_toward(job, pose, index, x_m, **{"y_m" if view == "plan" else "z_m": other_m})


def arm_end(placed: Placed, job: Job, index: int) -> Vec:
    """Where a fitted arm ends, at its next hinge or the hook."""
    return placed.frames[arm_link(index)].at(job.rig.arms[index].length_m)


def fit_arm(pose: Pose, index: int, fitted: bool) -> Pose:
    """The pose with one arm fitted or left off."""
    return _with_arm(pose, index, fitted=fitted)


def straight_ahead(job: Job) -> tuple[ArmPose, ...]:
    """Every arm fitted and straight, or as near as its stops allow."""
    return tuple(ArmPose(turn_rad=arm.joint.stopped(0.0)) for arm in job.rig.arms)


def _with_arm(pose: Pose, index: int, **changes: Any) -> Pose:
    arms = list(pose.arms)
    arms[index] = REPLACE(arms[index], **changes)
    return REPLACE(pose, arms=tuple(arms))


def _within(value: float, least: float, most: float) -> float:
    return min(max(_a_number(value), least), most)


def _a_number(value: float) -> float:
    if math.isnan(value):
        raise EditError("pose", "a number", "not a number", plain="This is not a number.")
    return float(value)


# ---------------------------------------------------------------- typed values: refused outside their limits


def typed_pose(job: Job, before: Pose, **changes: Any) -> Pose:
    """The pose with typed entries changed.

    Raises
    ------
    EditError
        When the changed pose cannot be for a reason the pose before did not have already.
    EntryError
        When an entry is outside its limits.
    """
    try:
        changed = REPLACE(before, **changes)
        if "hole" in changes:
            for problem in no_such_hole(job, changed):  # told before the bounds of the types are
                raise ImpossibleEdit(problem)
        after = msgspec.convert(msgspec.to_builtins(changed), Pose)
    except ContradictionError as error:
        raise EditError(
            "pose", "a possible pose", f"{changes}", str(error), plain=error.words, numbers=error.numbers
        ) from None
    except msgspec.ValidationError as error:
        raise refused(error, "pose", msgspec.to_builtins(changed)) from None
    had = {problem.where for problem in impossibilities(job, before)}
    for problem in impossibilities(job, after):
        if problem.where not in had:
            raise ImpossibleEdit(problem)
    return after


class ImpossibleEdit(EditError):
    """A typed entry whose result cannot be; carries the problem so that a window can show it in its own units."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(
            problem.where,
            "a possible rig and pose",
            "one that cannot be",
            fill(problem.words, problem.numbers, "metric"),
            plain=problem.words,
            numbers=problem.numbers,
        )
