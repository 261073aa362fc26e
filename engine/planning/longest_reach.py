"""How far out the hook may be with a load: the longest reach of each arm pose at one hook height.

The load chart at that height says where the load is allowed; the whole verdict decides, from the longest reach inward.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import msgspec

from engine.planning.load_chart import Chart, load_chart
from engine.planning.mend import NOT_JUDGED
from engine.planning.mend_wanted import with_load
from engine.planning.sweep import Stop, Stopped, Tell, never, quiet
from engine.rig.check import Problem
from engine.rig.kinematics import figures, place
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace


class Reached(msgspec.Struct, kw_only=True, frozen=True):
    """A place of the hook.

    Attributes
    ----------
    arm_set : str
        Name of the arm pose, as in the load chart.
    pose : Pose
        Its hole and fork height with it.
    reach_m : float
        How far the hook is ahead of the front axle.
    allowed_kg : float
        The load allowed there.
    limit : str
        The limit that allows no more.
    """

    arm_set: str
    pose: Pose
    reach_m: float
    allowed_kg: float
    limit: str


class LongestReach(msgspec.Struct, kw_only=True, frozen=True):
    """The longest reach of each arm pose with a load, the longest first, and the next place out, which does not hold.

    ``beyond`` is the nearest place further out than any that holds, None where the boom and the arms end first; where
    none holds, the place that allows most.  ``why_not`` says why none does, ``problems`` why
    there is no verdict.
    """

    load_kg: float
    height_m: float
    found: tuple[Reached, ...]
    beyond: Reached | None = None
    why_not: str = ""
    problems: tuple[Problem, ...] = ()


NOWHERE = "This load is allowed nowhere at this hook height."


def longest_reach(job: Job, pose: Pose, load_kg: float, stop: Stop = never, tell: Tell = quiet) -> LongestReach:
    """The longest reach with a load of each arm pose of the load chart, at the pose's hook height.

    Parameters
    ----------
    job : Job
    pose : Pose
        Gives hook height, tilt and floor.
    load_kg : float
        The load, no less and no more.
    stop, tell
        Called between two arm poses.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    job, pose = with_load(job, load_kg), REPLACE(pose, loaded=True)
    height_m = float(place(job, figures(job, pose)).hook_m.z)
    chart = load_chart(job, pose, hook_heights_m=(height_m,), stop=stop, tell=tell)
    if chart.problems:
        return LongestReach(load_kg=load_kg, height_m=height_m, found=(), why_not=NOT_JUDGED, problems=chart.problems)
    found: list[Reached] = []
    over: list[Reached] = []
    for index in range(len(chart.arm_sets)):
        if stop():
            raise Stopped
        for spot in _outward_in(chart, pose, index):
            verdict = evaluate(job, spot.pose)
            if verdict.state == "WITHIN":
                found.append(REPLACE(spot, allowed_kg=verdict.allowed_load_kg or 0.0))
                break
            over.append(spot)
    found.sort(key=lambda spot: -spot.reach_m)
    further = [spot for spot in over if not found or spot.reach_m > found[0].reach_m]
    beyond = min(further, key=lambda spot: spot.reach_m if found else -spot.allowed_kg, default=None)
    return LongestReach(
        load_kg=load_kg,
        height_m=height_m,
        found=tuple(found),
        beyond=beyond,
        why_not="" if found else NOWHERE,
    )


def _outward_in(chart: Chart, pose: Pose, index: int) -> Iterator[Reached]:
    """The places of one arm pose, the furthest out first."""
    arm_set, spots = chart.arm_sets[index], []
    for at, hole in enumerate(chart.holes):
        allowed_kg = float(chart.allowed_kg[index, at, 0])
        if math.isnan(allowed_kg):
            continue
        there = REPLACE(pose, hole=hole, free_out_m=None, arms=arm_set.arms, lift_m=float(chart.lift_m[index, at, 0]))
        limit = chart.names[int(chart.governing[index, at, 0])]
        reach_m = float(chart.reach_m[index, at, 0])
        spots.append(Reached(arm_set=arm_set.name, pose=there, reach_m=reach_m, allowed_kg=allowed_kg, limit=limit))
    yield from sorted(spots, key=lambda spot: -spot.reach_m)
