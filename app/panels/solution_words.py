"""What is said of a pose that brings the hook to a point: how it stands, then how to set it."""

from __future__ import annotations

import math

from engine.base.formatting import System, show
from engine.planning.inverse_kinematics import Solution
from engine.planning.stance_search import REACHED_M
from engine.schema.model import Job


def solution_words(job: Job, solution: Solution, units: System) -> str:
    """One solution in a sentence; of one without room the gap governs, so no use is shown."""
    pose = solution.pose
    used = "nothing allowed"
    if math.isfinite(solution.use) and solution.has_room:
        used = f"{show(solution.use, 'use', units)} used, {show(solution.allowed_kg, 'kg_down', units)} allowed"
    settings = [
        f"hole {pose.hole}"
        if pose.hole is not None
        else f"boom end {show(pose.free_out_m, 'length', units)} out, NOT PINNED"
    ]
    for arm, stance in zip(job.rig.arms, pose.arms, strict=True):
        joint = arm.joint
        turned = f"{show(abs(stance.turn_rad), joint.unit, units)} {joint.direction(stance.turn_rad)}"
        settings.append(f"{arm.name} {turned}" if stance.fitted else f"{arm.name} removed")
    settings.append(f"forks {show(pose.lift_m, 'length', units)} up")
    governs = f". Governs: {solution.governing}" if solution.governing else ""
    miss = f". Misses by {show(solution.miss_m, 'mm', units)}" if solution.miss_m > REACHED_M else ""
    return f"{solution.state_words}: {used}; {', '.join(settings)}{governs}{miss}."
