"""Phrases that the window, the papers and the command line share."""

from __future__ import annotations

from engine.base.formatting import System, show
from engine.rig.kinematics import hole_out_m
from engine.schema.model import Job, Pose

LOAD_CONDITIONS = (
    "Applies to this truck, this rig as drawn and a firm floor with the slope shown. Do not travel with the load "
    "raised; work the levers smoothly. Hook load is load and rigging."
)
"""What an allowed load applies to; stands beside every one that is shown."""

PARTS_ENTERED_ONLY = "NOT PROVEN: these loads count only the parts entered. Put right first:"
"""Stands before the reasons where loads of several poses are shown and part of the load path is left out."""


def pose_words(job: Job, pose: Pose, system: System) -> str:
    """A pose in one line: forks, tilt, boom, arms, hook."""
    if pose.hole is not None:
        boom = f"boom out {show(float(hole_out_m(job.rig, pose.hole)), 'length', system)} (hole {pose.hole})"
    else:
        boom = f"boom out {show(pose.free_out_m, 'length', system)} (NOT PINNED)"
    parts = [f"forks {show(pose.lift_m, 'length', system)} up", f"tilt {show(pose.tilt_rad, 'deg', system)}", boom]
    for arm, stance in zip(job.rig.arms, pose.arms, strict=True):
        turn = show(stance.turn_rad, arm.joint.unit, system)
        parts.append(f"{arm.name} {turn}" if stance.fitted else f"{arm.name} removed")
    parts.append("hook loaded" if pose.loaded else "hook empty")
    return ", ".join(parts)
