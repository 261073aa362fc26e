"""The circle nobody stands in holds the load, and room for it to fall."""

from __future__ import annotations

import math

import pytest
from any_pose import jobs
from hypothesis import given

from engine.rig.exclusion_zone import exclusion_zone
from engine.rig.kinematics import figures, place
from engine.schema.model import Job


@given(jobs())
def test_the_stay_clear_circle_holds_load_and_hook_and_room_to_fall(job: Job) -> None:
    placed = place(job, figures(job, job.poses[0]))
    zone = exclusion_zone(placed, job.load)
    hung = placed.load_centre_m
    for way_x in (-1.0, 1.0):
        for way_y in (-1.0, 1.0):
            corner = math.hypot(hung.x + way_x * job.load.length_m / 2.0, hung.y + way_y * job.load.width_m / 2.0)
            assert corner + zone.height_m <= zone.radius_m + 1e-9
    assert zone.radius_m == pytest.approx(zone.reach_m + zone.half_load_m + zone.height_m)
