"""Arcs between the stops of an arm."""

from __future__ import annotations

from any_pose import jobs
from hypothesis import given

from engine.rig.arm_arcs import ARC_POINTS, arm_arc
from engine.rig.kinematics import figures, fitted_arms, place
from engine.schema.model import Job
from engine.shop.pose_edits import arm_end


@given(jobs())
def test_the_arms_end_lies_on_its_own_arc(job: Job) -> None:
    placed = place(job, figures(job, job.poses[0]))
    for index in range(len(job.rig.arms)):
        arc = arm_arc(job, placed, index)
        assert (arc is not None) == (index in fitted_arms(placed.figures))
        if arc is not None:
            end, arm = arm_end(placed, job, index), job.rig.arms[index]
            nearest = float((arc - end).length().min())
            assert nearest <= arm.length_m * (arm.turn_max_rad - arm.turn_min_rad) / (ARC_POINTS - 1)
