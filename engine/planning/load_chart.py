"""Load chart: the allowed load at every pin hole, arm pose and hook height, and what governs it.

Method.  Hook height is linear in fork height, so the fork height for a wanted hook height is one division.  Holes and
heights are swept as the two axes of an array; arm poses are taken one by one, since leaving an arm off changes what
hangs where.  A cell the truck cannot reach, or whose height the plate says nothing about, holds no number.

Nothing is rounded here; whoever shows a cell rounds it down (``whole_down``), never up.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array
from engine.limits.plate import HEIGHT_TOLERANCE_M
from engine.planning.sweep import Stop, Stopped, Tell, limits_over, never, quiet
from engine.rig.check import Problem
from engine.rig.feasibility import FIT_TOLERANCE_M, impossibilities, usable_holes
from engine.rig.kinematics import Figures, figures, hole_out_m, place
from engine.schema.model import ArmPose, Job, Pose
from engine.shop.pose_edits import straight_ahead
from engine.worst_case.verdict import find_problems

HEIGHT_STEP_M = 0.5
"""Hook heights of a chart nobody asked for in particular."""


class ArmSet(msgspec.Struct, kw_only=True, frozen=True):
    """One arm pose of the chart, with the name it is printed under."""

    name: str
    arms: tuple[ArmPose, ...]


class Chart(msgspec.Struct, kw_only=True, frozen=True):
    """Allowed loads of shape (arm set, hole, hook height).

    ``allowed_kg`` is NaN where the pose cannot be; ``governing`` indexes ``names`` (-1 there).  ``reach_m`` is the hook
    ahead of the front axle, of shape (arm set, hole, height); ``lift_m`` the fork height of each cell.
    """

    problems: tuple[Problem, ...]
    arm_sets: tuple[ArmSet, ...]
    holes: tuple[int, ...]
    out_m: tuple[float, ...]
    hook_heights_m: tuple[float, ...]
    lift_m: Array
    reach_m: Array
    allowed_kg: Array
    names: tuple[str, ...]
    governing: NDArray[np.intp]


def load_chart(
    job: Job,
    pose: Pose,
    arm_sets: tuple[ArmSet, ...] | None = None,
    hook_heights_m: tuple[float, ...] | None = None,
    stop: Stop = never,
    tell: Tell = quiet,
) -> Chart:
    """Allowed load for every hole, arm pose and hook height, tilt and floor as in ``pose``.

    Parameters
    ----------
    job : Job
    pose : Pose
        Gives tilt and floor.
    arm_sets : tuple of ArmSet, optional
        By default those of the job's poses and every arm straight, the outer ones left off one by one.
    hook_heights_m : tuple of float, optional
        By default every half metre the hook can stand at.
    stop, tell
        Asked and told between two arm sets.

    Returns
    -------
    Chart
        With ``problems`` and no numbers where nothing can be allowed at all.

    Raises
    ------
    Stopped
    """
    pose = msgspec.structs.replace(pose, loaded=True)
    arm_sets = usual_arm_sets(job) if arm_sets is None else arm_sets
    heights = usual_heights_m(job, pose, arm_sets) if hook_heights_m is None else hook_heights_m
    holes = usable_holes(job)
    problems = _standing_problems(job, pose, holes, arm_sets)
    shape = (len(arm_sets), len(holes), len(heights))
    lift_m, reach_m, allowed_kg = (np.full(shape, math.nan) for _ in range(3))
    governing = np.full(shape, -1, np.intp)
    names: list[str] = []
    for index, arm_set in enumerate(arm_sets if not problems else ()):
        if stop():
            raise Stopped
        lift_m[index], reach_m[index], can = _stances(job, pose, arm_set, holes, heights)
        can &= _possible(job, pose, arm_set, holes)[:, None]
        if can.any():
            limits = limits_over(job, pose, _figures(job, pose, arm_set, holes, lift_m[index]))
            allowed_kg[index] = np.where(can, limits.allowed_kg, math.nan)
            governing[index] = np.where(can, _shared(names, limits.names)[limits.governing], -1)
        tell((index + 1) / len(arm_sets))
    return Chart(
        problems=problems,
        arm_sets=arm_sets,
        holes=holes,
        out_m=tuple(float(hole_out_m(job.rig, hole)) for hole in holes),
        hook_heights_m=tuple(heights),
        lift_m=lift_m,
        reach_m=reach_m,
        allowed_kg=allowed_kg,
        names=tuple(names),
        governing=governing,
    )


def _shared(names: list[str], own: tuple[str, ...]) -> NDArray[np.intp]:
    """Where each of an arm set's own names stands in the chart's list, which grows by those it lacks."""
    names += [name for name in dict.fromkeys(own) if name not in names]
    return np.array([names.index(name) for name in own], dtype=np.intp)


def whole_down(value: float) -> int:
    """An allowance in whole units, never rounded up."""
    return math.floor(value)


def usual_arm_sets(job: Job) -> tuple[ArmSet, ...]:
    """Every arm straight, the outer ones left off one by one, then the arm poses the job's own poses use."""
    straight = straight_ahead(job)
    sets = [ArmSet(name="arms straight" if straight else "hook in the boom", arms=straight)]
    for fitted in range(len(straight) - 1, -1, -1):
        off = tuple(
            arm if index < fitted else msgspec.structs.replace(arm, fitted=False) for index, arm in enumerate(straight)
        )
        left_off = " and ".join(arm.name for arm in job.rig.arms[fitted:])
        sets.append(ArmSet(name=f"{left_off} left off", arms=off))
    for pose in job.poses:
        if all(pose.arms != known.arms for known in sets):
            sets.append(ArmSet(name=f"as in {pose.name!r}", arms=pose.arms))
    return tuple(sets)


def usual_heights_m(job: Job, pose: Pose, arm_sets: tuple[ArmSet, ...]) -> tuple[float, ...]:
    """Every half metre at which at least one of the arm poses can hold the hook, tilt as in ``pose``."""
    lows, highs = [], []
    for arm_set in arm_sets:
        base_m, per_m, _ = _hook_line(job, pose, arm_set)
        ends = (base_m + per_m * job.truck.upright.lift_min_m, base_m + per_m * job.truck.upright.lift_max_m)
        lows.append(min(ends))
        highs.append(max(ends))
    if not lows or not all(map(math.isfinite, lows)):
        return ()
    first, last = math.ceil(min(lows) / HEIGHT_STEP_M - 1e-9), math.floor(max(highs) / HEIGHT_STEP_M + 1e-9)
    return tuple(step * HEIGHT_STEP_M for step in range(max(first, 0), last + 1))


def _standing_problems(
    job: Job, pose: Pose, holes: tuple[int, ...], arm_sets: tuple[ArmSet, ...]
) -> tuple[Problem, ...]:
    """What refuses every cell: a missing fact, a rig that does not fit the truck, no hole to pin, arms past their stops."""
    lowest = job.truck.upright.lift_min_m
    hole = {"hole": holes[0], "free_out_m": None} if holes else {}
    found = list(find_problems(job, msgspec.structs.replace(pose, lift_m=lowest, arms=straight_ahead(job), **hole)))
    for arm_set in arm_sets if not found else ():
        found += impossibilities(job, msgspec.structs.replace(pose, lift_m=lowest, arms=arm_set.arms, **hole))
    return tuple(found)


def _hook_line(job: Job, pose: Pose, arm_set: ArmSet) -> tuple[float, float, float]:
    """Hook height with the forks on the floor and what each metre of lift adds to it; boom slid to its present place.

    A leaning boom carries the hook up or down as it slides; the third number is what each metre out adds.
    """
    stance = msgspec.structs.replace(pose, arms=arm_set.arms)
    numbers = figures(job, stance)
    placed = place(job, numbers)
    per_lift, per_out = placed.frames["forks"].axes.z.z, placed.frames["boom"].axes.x.z
    return placed.hook_m.z - per_lift * numbers.lift_m, per_lift, per_out


def _stances(
    job: Job, pose: Pose, arm_set: ArmSet, holes: tuple[int, ...], heights: tuple[float, ...]
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Fork height, reach and whether it can be, for each hole (down) and hook height (across)."""
    base_m, per_lift, per_out = _hook_line(job, pose, arm_set)
    out_m = np.asarray(hole_out_m(job.rig, np.array(holes)), float)[:, None]
    at_hole_m = base_m + per_out * (out_m - figures(job, pose).boom_out_m)
    lift_m = (np.array(heights)[None, :] - at_hole_m) / per_lift
    upright = job.truck.upright
    highest_m = min(
        upright.lift_max_m + FIT_TOLERANCE_M, max(row.lift_m for row in job.truck.plate.rows) + HEIGHT_TOLERANCE_M
    )
    can = (lift_m >= upright.lift_min_m - FIT_TOLERANCE_M) & (lift_m <= highest_m)
    hook = place(job, _figures(job, pose, arm_set, holes, lift_m)).hook_m
    return lift_m, np.broadcast_to(hook.x, lift_m.shape), can


def _possible(job: Job, pose: Pose, arm_set: ArmSet, holes: tuple[int, ...]) -> NDArray[np.bool_]:
    """Whether the rig can be pinned in each hole with the arms so, whatever the fork height."""
    lift_m = job.truck.upright.lift_min_m
    low = (
        msgspec.structs.replace(pose, lift_m=lift_m, arms=arm_set.arms, hole=hole, free_out_m=None) for hole in holes
    )
    return np.array([not impossibilities(job, each) for each in low], bool)


def _figures(job: Job, pose: Pose, arm_set: ArmSet, holes: tuple[int, ...], lift_m: Array) -> Figures:
    numbers = figures(job, msgspec.structs.replace(pose, arms=arm_set.arms))
    out_m = np.asarray(hole_out_m(job.rig, np.array(holes)), float)[:, None]
    return msgspec.structs.replace(numbers, boom_out_m=out_m, lift_m=lift_m)
