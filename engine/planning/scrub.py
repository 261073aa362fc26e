"""Where the rig stands part-way through a step of a move, for looking at it there."""

from __future__ import annotations

from typing import Any

import msgspec

from engine.planning.move import MoveStep, Plan
from engine.rig.kinematics import boom_out_m
from engine.schema.model import Job, Pose


def pose_at(job: Job, step: MoveStep, share: float) -> Pose:
    """The pose at a share from 0 to 1 of one step.

    A step that moves no joint (creep, pick up, set down, fit an arm) stands as before until it is done.
    """
    if share <= 0.0:
        return step.before
    if share >= 1.0:
        return step.after
    changed = _between(job, step, share)
    return msgspec.structs.replace(step.before, **changed) if changed else step.before


def pose_on(job: Job, plan: Plan, place: float) -> Pose:
    """The pose at a place along the whole plan, counted in steps: 2.25 is a quarter through the third step."""
    index = min(max(int(place), 0), len(plan.steps) - 1)
    return pose_at(job, plan.steps[index].step, place - index)


def _between(job: Job, step: MoveStep, share: float) -> dict[str, Any]:
    before, after = step.before, step.after
    if step.kind in ("raise", "lower"):
        return {"lift_m": before.lift_m + share * (after.lift_m - before.lift_m)}
    if step.kind == "tilt":
        return {"tilt_rad": before.tilt_rad + share * (after.tilt_rad - before.tilt_rad)}
    if step.kind == "boom":
        start, end = boom_out_m(job.rig, before), boom_out_m(job.rig, after)
        return {"hole": None, "free_out_m": start + share * (end - start)}
    if step.kind == "arm" and step.arm is not None:
        one, other = before.arms[step.arm], after.arms[step.arm]
        turned = msgspec.structs.replace(one, turn_rad=one.turn_rad + share * (other.turn_rad - one.turn_rad))
        return {"arms": (*before.arms[: step.arm], turned, *before.arms[step.arm + 1 :])}
    return {}
