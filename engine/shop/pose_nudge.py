"""Small steps of a pose: what an arrow key does to a body that is held.

A step lands on whole multiples: from 703 mm up is 710.  Steps are ours: 10 mm or 1/2 in of place, half a degree of
tilt, 5 degrees of an arm, one hole of the boom.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.base.formatting import M_PER_IN, System
from engine.rig.kinematics import boom_out_m
from engine.schema.joints import View
from engine.schema.model import Job, Pose
from engine.shop import pose_edits
from engine.shop.hook_following import hook_to, placed_at_start

PLACE_M: dict[System, float] = {"metric": 0.01, "us": M_PER_IN / 2.0}
TILT_RAD = math.radians(0.5)
ARM_RAD, FINE_ARM_RAD = math.radians(5.0), math.radians(1.0)

MORE = 10
"""Steps at once with Shift; an arm then turns finely instead."""

ON_A_STEP = 1e-6
"""A value this near to a whole step, as a share of a step, stands on it."""


class Nudge(NamedTuple):
    """An arrow key: one step across (ahead positive) or up (up in the side view, left in the plan).

    ``more`` is with Shift, ``free`` with Alt (Ctrl and an arrow step the holes anywhere): the boom is left unpinned.
    """

    across: int
    up: int
    more: bool = False
    free: bool = False


def stepped(value: float, step: float, steps: int) -> float:
    """The value so many steps on, on a whole multiple of the step."""
    if not steps:
        return value
    at = value / step
    whole = math.floor(at + ON_A_STEP) if steps > 0 else math.ceil(at - ON_A_STEP)
    return (whole + steps) * step


def nudged(job: Job, pose: Pose, handle: str, view: View, nudge: Nudge, system: System) -> Pose:
    """The pose after an arrow key on a body that is held; never past a stop.

    Parameters
    ----------
    job, pose : Job, Pose
    handle : str
        What the body is moved by: ``hook``, ``boom``, ``lift``, ``tilt`` or ``arm`` and its index.
    view : str
        ``side`` or ``plan``.
    nudge : Nudge
    system : System
        Says how long a step is.
    """
    many = MORE if nudge.more else 1
    across, up, place_m = nudge.across * many, nudge.up * many, PLACE_M[system]
    if handle == "lift":
        return pose_edits.lift_to(job, pose, stepped(pose.lift_m, place_m, up))
    if handle == "tilt":
        return pose_edits.tilt_to(job, pose, stepped(pose.tilt_rad, TILT_RAD, -across or up))
    if handle == "boom":
        if nudge.free:
            return pose_edits.boom_to(job, pose, stepped(boom_out_m(job.rig, pose), place_m, across), free=True)
        return pose_edits.boom_by_holes(job, pose, -across)
    if handle == "hook":
        return _hook(job, pose, view, (across * place_m, up * place_m), nudge.free)
    index, step = int(handle.split()[1]), FINE_ARM_RAD if nudge.more else ARM_RAD
    turn_rad = stepped(pose.arms[index].turn_rad, step, nudge.up or -nudge.across)
    return pose_edits.turn_arm_to(job, pose, index, turn_rad)


def _hook(job: Job, pose: Pose, view: View, by_m: tuple[float, float], free: bool) -> Pose:
    """The hook a step on; what it does not step it keeps."""
    hook = placed_at_start(job, pose).hook_m
    x_m = float(hook.x) + by_m[0]
    if view == "plan":
        return hook_to(job, pose, x_m, y_m=float(hook.y) + by_m[1], free=free)
    return hook_to(job, pose, x_m, z_m=float(hook.z) + by_m[1], free=free)
