"""What is told to a helper: dials that count what is left, the stay-clear circle, arcs of the arms, differences."""

from __future__ import annotations

import math

import pytest
from any_pose import REPLACE, jobs
from hypothesis import given

from engine.compare import differences
from engine.dials import dials
from engine.edits import arm_end
from engine.model import Job
from engine.placing import figures, fitted_arms, place
from engine.stayclear import stay_clear
from engine.turnlimits import arm_arc
from engine.verdict import evaluate


def test_dials_stand_at_the_worst_case_and_tick_at_best(sample: Job) -> None:
    verdict = evaluate(sample, sample.poses[0])
    rear, light, governing = dials(sample, verdict)
    assert rear.best == pytest.approx(float(verdict.balance.rear_kg))
    assert light.best == pytest.approx(float(verdict.balance.light_front_kg))
    assert governing.best == pytest.approx(1.0 - float(verdict.governing.use))
    for dial in (rear, light, governing):
        assert dial.left <= dial.best + 1e-9
        assert dial.full >= dial.best


def test_a_dial_is_below_its_limit_exactly_when_that_limit_is_over(vineyard: Job) -> None:
    straight = next(pose for pose in vineyard.poses if "ahead" in pose.name or all(abs(a.turn_rad) < 0.1 for a in pose.arms))
    verdict = evaluate(vineyard, straight)
    assert verdict.state == "OVER"
    assert dials(vineyard, verdict)[2].left < 0.0


def test_there_are_no_dials_without_a_verdict(stone_yard: Job) -> None:
    job = REPLACE(stone_yard, truck=REPLACE(stone_yard.truck, plate=None))
    assert dials(job, evaluate(job, job.poses[0])) == ()


@given(jobs())
def test_the_stay_clear_circle_holds_load_and_hook_and_room_to_fall(job: Job) -> None:
    placed = place(job, figures(job, job.poses[0]))
    found = stay_clear(placed, job.load)
    hung = placed.load_centre_m
    for way_x in (-1.0, 1.0):
        for way_y in (-1.0, 1.0):
            corner = math.hypot(hung.x + way_x * job.load.length_m / 2.0, hung.y + way_y * job.load.width_m / 2.0)
            assert corner + found.height_m <= found.radius_m + 1e-9
    assert found.radius_m == pytest.approx(found.reach_m + found.half_load_m + found.height_m)


@given(jobs())
def test_the_arms_end_lies_on_its_own_arc(job: Job) -> None:
    placed = place(job, figures(job, job.poses[0]))
    for index in range(len(job.rig.arms)):
        arc = arm_arc(job, placed, index)
        assert bool(arc) == (index in fitted_arms(placed.figures))
        if arc:
            end, arm = arm_end(placed, job, index), job.rig.arms[index]
            nearest = min((point - end).length() for point in arc)
            assert nearest <= arm.length_m * (arm.turn_max_rad - arm.turn_min_rad) / (len(arc) - 1)


def test_differences_are_those_of_the_worst_case_and_name_every_limit(vineyard: Job) -> None:
    then, now = (evaluate(vineyard, pose) for pose in vineyard.poses[:2])
    found = differences(then, now)
    assert [(entry.part, entry.kind) for entry in found] == [(check.part, check.kind) for check in now.checks]
    for index, entry in enumerate(found):
        assert entry.use_now == now.doubt.use[index]
        assert entry.change == pytest.approx(now.doubt.use[index] - then.doubt.use[index])
    assert all(entry.change == 0.0 for entry in differences(now, now))


def test_a_limit_only_one_verdict_has_is_told_with_no_change(vineyard: Job) -> None:
    now = evaluate(vineyard, vineyard.poses[0])
    refused_job = REPLACE(vineyard, truck=REPLACE(vineyard.truck, plate=None))
    refused = evaluate(refused_job, refused_job.poses[0])
    found = differences(now, refused)
    assert len(found) == len(now.checks)
    assert all(entry.use_now is None and math.isnan(entry.change) for entry in found)
