"""What the maker is asked, and what the worst poses of the request use."""

from __future__ import annotations

import msgspec
import pytest

from engine.explain.approval_request import Request
from engine.explain.approval_request import request as request_of
from engine.limits.all_limits import leaned
from engine.limits.balance import allowances_of, weigh
from engine.rig.feasibility import usable_holes
from engine.rig.kinematics import figures, place
from engine.schema.model import Job

REPLACE = msgspec.structs.replace


def test_request_says_what_the_maker_cannot_answer_without(charted: tuple[Job, Request]) -> None:
    _, request = charted
    assert request.cannot_answer[0] == "The maker cannot answer without the truck's serial number."
    assert any("typical of its class" in words for words in request.cannot_answer)


def test_request_for_a_truck_without_a_plate_asks_for_no_load(sample: Job) -> None:
    truck = REPLACE(sample.truck, serial="T 1", typical=False, plate=None)
    bare = REPLACE(sample, truck=truck, rig=REPLACE(sample.rig, serial="R 1"))
    request = request_of(bare, bare.poses[0])
    assert len(request.cannot_answer) == 1
    assert "load centre" in request.cannot_answer[0]
    assert all(row.request_kg is None for row in request.at_holes)


def test_request_has_every_hole_with_the_rig_s_mass_and_centre(charted: tuple[Job, Request]) -> None:
    job, request = charted
    assert tuple(row.hole for row in request.at_holes) == usable_holes(job)
    bodies = [body for body in place(job, figures(job, job.poses[0])).bodies if body.group == "rig"]
    assert request.at_holes[0].rig_kg == pytest.approx(sum(float(body.mass_kg) for body in bodies))
    reach = [float(row.hook_m.x) for row in request.at_holes]
    centre = [float(row.centre_m.x) for row in request.at_holes]
    assert reach == sorted(reach, reverse=True)
    assert centre == sorted(centre, reverse=True)
    loads = [row.request_kg for row in request.at_holes if row.request_kg is not None]
    assert loads and loads == sorted(loads) and loads[0] > 0, "where something is in the way nothing is asked for"


def test_truck_and_attachment_weigh_what_the_axles_and_the_rig_weigh(charted: tuple[Job, Request]) -> None:
    sample, request = charted
    both = request.combined
    aboard = sum(body.mass_kg.best for body in sample.truck.aboard if body.counted)
    assert both.truck_kg == pytest.approx(sample.truck.front_axle_kg.best + sample.truck.rear_axle_kg.best + aboard)
    assert both.lift_m == sample.truck.upright.lift_max_m
    assert float(both.centre_loaded_m.y) == pytest.approx(0.0, abs=1e-9)


def test_no_pose_of_the_job_uses_more_of_a_line_than_the_worst_of_the_search(
    charted: tuple[Job, Request],
) -> None:
    """The worst of each direction is at least that of the job's own arm poses, furthest hole, lowest and highest."""
    sample, request = charted
    worst = {pose.line: pose.use for pose in request.worst}
    upright = sample.truck.upright
    for pose in sample.poses:
        if pose.floor != sample.poses[0].floor:
            continue
        for lift in (upright.lift_min_m, upright.lift_max_m):
            stance = REPLACE(
                pose, lift_m=lift, loaded=True, tilt_rad=0.0, hole=usable_holes(sample)[0], free_out_m=None
            )
            placed = place(sample, leaned(figures(sample, stance), sample.policy))
            for line in weigh(placed, allowances_of(sample.policy)).lines:
                assert float(line.use) <= worst[line.name] + 1e-12
