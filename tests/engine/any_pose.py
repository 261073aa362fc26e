"""Hypothesis strategies: any pose, floor, load and allowances a sample rig can have."""

from __future__ import annotations

import msgspec
from hypothesis import strategies as st

from engine.rig.feasibility import boom_limits_m
from engine.rig.free_turn import joint_as_free
from engine.schema.model import ArmPose, Floor, Job, Policy, Pose
from engine.schema.quantities import Estimate
from tests.samples import PLATED_PATHS, read_once

REPLACE = msgspec.structs.replace
JOBS = tuple(map(read_once, PLATED_PATHS))
"""Sample rigs whose truck has a plate: without one there are no limits to ask about."""


def between(least: float, most: float) -> st.SearchStrategy[float]:
    """Any float of an interval."""
    return st.floats(least, most, allow_nan=False, allow_subnormal=False)


@st.composite
def arm_poses(draw: st.DrawFn, job: Job) -> tuple[ArmPose, ...]:
    """A stance of every arm within its stops; some left off."""
    return tuple(
        ArmPose(
            turn_rad=draw(between(*joint_as_free(job.rig, index).stops)),
            fitted=draw(st.sampled_from((True, True, False))),
        )
        for index in range(len(job.rig.arms))
    )


@st.composite
def poses(draw: st.DrawFn, job: Job, tilted: bool = True) -> Pose:
    """A pose within every limit of the job, on its first floor."""
    upright = job.truck.upright
    tilt = draw(between(-upright.tilt_forward_max_rad, upright.tilt_back_max_rad)) if tilted else 0.0
    return Pose(
        name="any",
        lift_m=draw(between(upright.lift_min_m, upright.lift_max_m)),
        tilt_rad=tilt,
        hole=None,
        free_out_m=draw(between(*boom_limits_m(job))),
        arms=draw(arm_poses(job)),
        floor=job.floors[0].name,
    )


@st.composite
def jobs(draw: st.DrawFn, most_fall: float = 0.06, tilted: bool = True) -> Job:
    """A sample rig with any one pose, floor and load; its only pose is the drawn one."""
    job = draw(st.sampled_from(JOBS))
    floor = Floor(
        name="any",
        fall_along=Estimate(best=draw(between(-most_fall, most_fall)), known="measured"),
        fall_across=Estimate(best=draw(between(-most_fall, most_fall)), known="measured"),
    )
    load = REPLACE(job.load, mass_kg=Estimate(best=draw(between(0.0, 1500.0)), known="weighed"))
    pose = REPLACE(draw(poses(job, tilted)), floor=floor.name)
    return REPLACE(job, floors=(floor,), load=load, poses=(pose,), moves=())


@st.composite
def policies(draw: st.DrawFn, braking: bool = True) -> Policy:
    """Any allowances and limits."""
    return Policy(
        dynamic_factor=draw(between(1.0, 2.0)),
        swing_rad=draw(st.sampled_from((0.0, 0.05, 0.1))),
        braking=draw(st.sampled_from((0.0, 0.1, 0.2))) if braking else 0.0,
        lean_rad=draw(between(0.0, 0.02)),
        allowed_tipping_use=draw(between(0.2, 1.0)),
        least_rear_share=draw(between(0.0, 0.4)),
        least_light_wheel_share=draw(between(0.0, 0.8)),
        plate_rule=draw(st.sampled_from(("both", "axle", "fork_face"))),
    )
