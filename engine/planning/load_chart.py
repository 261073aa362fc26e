"""Load chart: the allowed load at every pin hole, arm pose and hook height, and what governs it.

Method.  Hook height is linear in fork height, so the fork height for a wanted hook height is one division.  Holes and
heights are the two axes of an array; arm poses are taken one by one, since removing an arm changes which bodies there
are.  A cell that the truck cannot reach, or whose fork height has no rated load on the plate, holds no number.

Nothing is rounded here; whoever shows a cell rounds it down (``whole_down``), never up.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.formatting import M_PER_FT, System
from engine.base.geometry import Array
from engine.limits.plate import highest_lift_m
from engine.planning.sweep import SoFar, Stop, Stopped, Tell, limits_over, never, quiet, unheard
from engine.rig.check import Problem, different
from engine.rig.feasibility import FIT_TOLERANCE_M, impossibilities, usable_holes
from engine.rig.kinematics import Figures, figures, hole_out_m, place
from engine.schema.model import ArmPose, Job, Pose
from engine.shop.pose_edits import straight_ahead
from engine.worst_case.verdict import find_problems, find_unsettled

HEIGHT_STEP_M: dict[System, float] = {"metric": 0.5, "us": 2.0 * M_PER_FT}
"""Step of the hook heights of a chart that was asked for without heights, by the job's units."""


class ArmSet(msgspec.Struct, kw_only=True, frozen=True):
    """One arm pose of the chart, with its printed name."""

    name: str
    arms: tuple[ArmPose, ...]


class Chart(msgspec.Struct, kw_only=True, frozen=True):
    """Allowed loads; every array has shape (arm set, hole, hook height).

    ``allowed_kg`` is NaN where the pose cannot be; ``governing`` indexes ``names``, -1 where the pose cannot be.
    ``reach_m`` is how far the hook is ahead of the front axle, ``lift_m`` the fork height.  ``unsettled`` is what
    leaves the loads of each arm set not proven: parts that are not entered, and entries in question.
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
    unsettled: tuple[tuple[Problem, ...], ...]

    @property
    def proven(self) -> NDArray[np.bool_]:
        """Arm sets whose whole load path was entered and is in no question."""
        return np.array([not problems for problems in self.unsettled], bool)

    @property
    def in_the_way(self) -> NDArray[np.bool_]:
        """Cells that are allowed nothing because rig or load would run into something."""
        of_room = np.array([*(name.rpartition(": ")[2].startswith("room ") for name in self.names), False])
        return of_room[self.governing]


def load_chart(
    job: Job,
    pose: Pose,
    arm_sets: tuple[ArmSet, ...] | None = None,
    hook_heights_m: tuple[float, ...] | None = None,
    *,
    also_at_pose: bool = False,
    stop: Stop = never,
    tell: Tell = quiet,
    so_far: SoFar = unheard,
) -> Chart:
    """Allowed load for every hole, arm pose and hook height, with tilt and floor of ``pose``.

    Parameters
    ----------
    job : Job
    pose : Pose
        Gives tilt and floor.
    arm_sets : tuple of ArmSet, optional
        By default `usual_arm_sets`.
    hook_heights_m : tuple of float, optional
        By default every half metre, or two feet where the job is in US units, that some arm pose can hold the hook at.
    also_at_pose : bool
        Whether the hook height of ``pose`` is added to them.
    stop, tell
        Called between two arm sets.
    so_far
        Handed the chart of the arm sets that are done, after each but the last.

    Returns
    -------
    Chart
        With ``problems`` and no numbers where nothing can be allowed at all.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    pose = msgspec.structs.replace(pose, loaded=True)
    arm_sets = usual_arm_sets(job) if arm_sets is None else arm_sets
    heights = _usual_heights_m(job, pose, arm_sets) if hook_heights_m is None else hook_heights_m
    if also_at_pose and heights:
        heights = _with_height(heights, float(place(job, figures(job, pose)).hook_m.z))
    holes = usable_holes(job)
    problems = _common_problems(job, pose, holes, arm_sets)
    stance = msgspec.structs.replace(pose, hole=holes[0], free_out_m=None) if holes else pose
    shape = (len(arm_sets), len(holes), len(heights))
    lift_m, reach_m, allowed_kg = (np.full(shape, math.nan) for _ in range(3))
    governing = np.full(shape, -1, np.intp)
    names: list[str] = []
    unsettled = [find_unsettled(job, msgspec.structs.replace(stance, arms=arm_set.arms)) for arm_set in arm_sets]

    def first(count: int) -> Chart:
        """The chart of the first arm sets."""
        return Chart(
            problems=problems,
            arm_sets=arm_sets[:count],
            holes=holes,
            out_m=tuple(float(hole_out_m(job.rig, hole)) for hole in holes),
            hook_heights_m=tuple(heights),
            lift_m=lift_m[:count],
            reach_m=reach_m[:count],
            allowed_kg=allowed_kg[:count],
            names=tuple(names),
            governing=governing[:count],
            unsettled=tuple(unsettled[:count]),
        )

    for index, arm_set in enumerate(arm_sets if not problems else ()):
        tell(index / len(arm_sets), f"{arm_set.name}, {index + 1} of {len(arm_sets)}")
        if stop():
            raise Stopped
        lift_m[index], reach_m[index], can = _stances(job, pose, arm_set, holes, heights)
        can &= _possible(job, pose, arm_set, holes)[:, None]
        if can.any():
            limits = limits_over(job, pose, _figures(job, pose, arm_set, holes, lift_m[index]), "floor")
            allowed_kg[index] = np.where(can, limits.allowed_kg, math.nan)
            governing[index] = np.where(can, _merged(names, limits.names)[limits.governing], -1)
        if index + 1 < len(arm_sets):
            so_far(first(index + 1))
    tell(1.0)
    return first(len(arm_sets))


def chart_at(job: Job, pose: Pose, *, stop: Stop = never, tell: Tell = quiet) -> Chart:
    """The chart of a pose's own arm pose at its own hook height: allowed load against reach, hole by hole.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    as_set = ArmSet(name=pose.name, arms=pose.arms)
    height_m = float(place(job, figures(job, pose)).hook_m.z)
    heights_m = (height_m,) if math.isfinite(height_m) else ()
    return load_chart(job, pose, (as_set,), heights_m, stop=stop, tell=tell)


def all_unsettled(chart: Chart) -> tuple[Problem, ...]:
    """What leaves any load of the chart not proven, each thing once."""
    return different(problem for problems in chart.unsettled for problem in problems)


def _merged(names: list[str], added: tuple[str, ...]) -> NDArray[np.intp]:
    """Adds names that the list lacks; returns the index of each of ``added`` in the list."""
    names += [name for name in dict.fromkeys(added) if name not in names]
    return np.array([names.index(name) for name in added], dtype=np.intp)


def whole_down(value: float) -> int:
    """An allowance in whole units, never rounded up."""
    return math.floor(value)


def usual_arm_sets(job: Job) -> tuple[ArmSet, ...]:
    """Every arm straight, the outer arms removed one by one, then the arm poses of the job's own poses."""
    straight = straight_ahead(job)
    sets = [ArmSet(name="arms straight" if straight else "hook in the boom", arms=straight)]
    for fitted in range(len(straight) - 1, -1, -1):
        off = tuple(
            arm if index < fitted else msgspec.structs.replace(arm, fitted=False) for index, arm in enumerate(straight)
        )
        left_off = " and ".join(arm.name for arm in job.rig.arms[fitted:])
        sets.append(ArmSet(name=f"{left_off} removed", arms=off))
    for pose in job.poses:
        if all(pose.arms != known.arms for known in sets):
            sets.append(ArmSet(name=f"as in {pose.name!r}", arms=pose.arms))
    return tuple(sets)


def _usual_heights_m(job: Job, pose: Pose, arm_sets: tuple[ArmSet, ...]) -> tuple[float, ...]:
    """Every half metre, or two feet, at which some arm pose can hold the hook, with the tilt of ``pose``."""
    lows, highs = [], []
    for arm_set in arm_sets:
        line, upright = _hook_line(job, pose, arm_set), job.truck.upright
        ends = (line.base_m + line.per_lift * upright.lift_min_m, line.base_m + line.per_lift * upright.lift_max_m)
        lows.append(min(ends))
        highs.append(max(ends))
    if not lows or not all(map(math.isfinite, lows)):
        return ()
    step_m = HEIGHT_STEP_M[job.units]
    first, last = math.ceil(min(lows) / step_m - 1e-9), math.floor(max(highs) / step_m + 1e-9)
    return tuple(step * step_m for step in range(max(first, 0), last + 1))


SAME_HEIGHT_M = 0.005
"""Hook heights nearer to each other than this read alike."""


def _with_height(heights_m: tuple[float, ...], height_m: float) -> tuple[float, ...]:
    """Hook heights with one more among them, unless it is there already or is not known."""
    if not math.isfinite(height_m):
        return heights_m
    others = (known for known in heights_m if abs(known - height_m) > SAME_HEIGHT_M)
    return tuple(sorted((*others, height_m)))


def _common_problems(job: Job, pose: Pose, holes: tuple[int, ...], arm_sets: tuple[ArmSet, ...]) -> tuple[Problem, ...]:
    """Why every cell is refused: a missing fact, a rig that does not fit the truck, no usable hole, arms past stops."""
    lowest = job.truck.upright.lift_min_m
    hole = {"hole": holes[0], "free_out_m": None} if holes else {}
    problems = list(find_problems(job, msgspec.structs.replace(pose, lift_m=lowest, arms=straight_ahead(job), **hole)))
    for arm_set in arm_sets if not problems else ():
        problems += impossibilities(job, msgspec.structs.replace(pose, lift_m=lowest, arms=arm_set.arms, **hole))
    return tuple(problems)


class _HookLine(NamedTuple):
    """Hook height: ``base_m`` with the forks at 0, and what each metre of lift and of boom out adds to it."""

    base_m: float
    per_lift: float
    per_out: float


def _hook_line(job: Job, pose: Pose, arm_set: ArmSet) -> _HookLine:
    """Hook height with the boom where ``pose`` has it; a leaning boom carries the hook up or down as it slides."""
    numbers = figures(job, msgspec.structs.replace(pose, arms=arm_set.arms))
    placed = place(job, numbers)
    per_lift, per_out = placed.frames["forks"].axes.z.z, placed.frames["boom"].axes.x.z
    return _HookLine(float(placed.hook_m.z - per_lift * numbers.lift_m), float(per_lift), float(per_out))


def _stances(
    job: Job, pose: Pose, arm_set: ArmSet, holes: tuple[int, ...], heights: tuple[float, ...]
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Fork height, reach and whether the forks can stand there, each of shape (holes, hook heights)."""
    line = _hook_line(job, pose, arm_set)
    out_m = np.asarray(hole_out_m(job.rig, np.array(holes)), float)[:, None]
    at_hole_m = line.base_m + line.per_out * (out_m - figures(job, pose).boom_out_m)
    lift_m = (np.array(heights)[None, :] - at_hole_m) / line.per_lift
    upright = job.truck.upright
    most_m = min(upright.lift_max_m + FIT_TOLERANCE_M, highest_lift_m(job.truck.plate))
    can = (lift_m >= upright.lift_min_m - FIT_TOLERANCE_M) & (lift_m <= most_m)
    hook = place(job, _figures(job, pose, arm_set, holes, lift_m)).hook_m
    return lift_m, np.broadcast_to(hook.x, lift_m.shape), can


def _possible(job: Job, pose: Pose, arm_set: ArmSet, holes: tuple[int, ...]) -> NDArray[np.bool_]:
    """Whether the rig can be pinned in each hole with this arm pose, whatever the fork height."""
    low = msgspec.structs.replace(pose, lift_m=job.truck.upright.lift_min_m, arms=arm_set.arms)
    pinned = (msgspec.structs.replace(low, hole=hole, free_out_m=None) for hole in holes)
    return np.array([not impossibilities(job, stance) for stance in pinned], bool)


def _figures(job: Job, pose: Pose, arm_set: ArmSet, holes: tuple[int, ...], lift_m: Array) -> Figures:
    """Figures of shape (holes, hook heights) at these fork heights."""
    numbers = figures(job, msgspec.structs.replace(pose, arms=arm_set.arms))
    out_m = np.asarray(hole_out_m(job.rig, np.array(holes)), float)[:, None]
    return msgspec.structs.replace(numbers, boom_out_m=out_m, lift_m=lift_m, pinned=1.0)
