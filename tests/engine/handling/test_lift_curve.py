"""Rear weight against load: a straight line by hand on a stiff rig, the verdict's own figures, and the marks."""

from __future__ import annotations

import math

import pytest
from any_pose import REPLACE

from engine.handling.lift_curve import LiftCurve, lift_curve
from engine.rig.kinematics import figures, place
from engine.schema.model import Approval, Job, Pose
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import Verdict, evaluate
from tests.samples import sample

LB_KG = 0.45359237


def curve_of(job: Job, pose: Pose) -> tuple[LiftCurve, Verdict]:
    verdict = evaluate(job, pose)
    curve = lift_curve(job, pose, verdict)
    assert curve is not None
    return curve, verdict


def with_load(job: Job, load_kg: float) -> Job:
    return REPLACE(job, load=REPLACE(job.load, mass_kg=REPLACE(job.load.mass_kg, best=load_kg)))


def test_on_a_level_floor_a_stiff_rig_takes_off_load_times_reach_over_wheelbase(boatyard: Job) -> None:
    """R(P) = R0 - P x / L; R0 is the moment of truck and rig about the front axle over the wheelbase, by hand."""
    level = Estimate(best=0.0, known="measured")
    floor = REPLACE(boatyard.floors[0], fall_along=level, fall_across=level)
    job = REPLACE(boatyard, floors=(floor, *boatyard.floors[1:]))
    pose = REPLACE(job.poses[0], floor=floor.name)
    verdict = evaluate(job, pose)
    assert verdict.worst_case is not None
    stiff = REPLACE(verdict.worst_case, numbers=REPLACE(verdict.worst_case.numbers, give=0.0, tyre_m_N=0.0))
    curve = lift_curve(job, pose, REPLACE(verdict, worst_case=stiff))
    assert curve is not None and len(curve.points) > 10
    placed, wheelbase_m = place(job, figures(job, pose)), job.truck.wheelbase_m.best
    truck_and_rig = [body for body in placed.bodies if body.group in ("truck", "rig")]
    empty_kg = sum(-float(body.mass_kg) * float(body.position_m.x) for body in truck_and_rig) / wheelbase_m
    for point in curve.points:
        taken_kg = point.hook_kg * float(placed.hook_m.x) / wheelbase_m
        assert point.on_rear_kg == pytest.approx(empty_kg - taken_kg, abs=1e-6)
    assert curve.tips_at_kg == pytest.approx(empty_kg * wheelbase_m / float(placed.hook_m.x))


def test_each_point_is_the_verdict_with_that_load(boatyard: Job) -> None:
    pose, rigging_kg = boatyard.poses[0], boatyard.load.rigging_kg.best
    curve, _ = curve_of(boatyard, pose)
    for hook_kg in (100.0, 1000.0):
        point = next(point for point in curve.points if point.hook_kg == hook_kg)
        there = evaluate(with_load(boatyard, hook_kg - rigging_kg), pose).leaned
        assert there is not None
        assert point.on_rear_kg == pytest.approx(float(there.rear_kg), rel=1e-9)
        assert point.must_keep_kg == pytest.approx(boatyard.policy.least_rear_share * float(there.normal_kg), rel=1e-9)


@pytest.mark.parametrize(
    ("name", "at"), [("skerry_point_boatyard", 0), ("lantern_lane_scenery", 1), ("pippin_and_rook_cider", 0)]
)
def test_the_worst_case_now_is_the_verdicts_and_never_better_than_as_entered(name: str, at: int) -> None:
    """Two of these have entries that are worse only together with others."""
    job = sample(name)
    curve, verdict = curve_of(job, job.poses[at])
    now = curve.marked("now")
    assert now is not None and verdict.worst_case is not None
    assert now.at_worst_kg == pytest.approx(verdict.worst_case.standing.rear_weight_left_kg, abs=0.01)
    assert all(point.at_worst_kg < point.on_rear_kg for point in curve.points)


def test_now_and_most_are_load_and_rigging_and_stand_before_what_must_stay_and_before_tipping(boatyard: Job) -> None:
    curve, verdict = curve_of(boatyard, boatyard.poses[0])
    rigging_kg = boatyard.load.rigging_kg.best
    now, most, keep, tips = (curve.marked(mark) for mark in ("now", "most", "must keep", "tips"))
    assert now is not None and most is not None and keep is not None and tips is not None
    assert now.hook_kg == pytest.approx(boatyard.load.mass_kg.best + rigging_kg)
    assert verdict.allowed_load_kg is not None
    assert most.hook_kg == curve.most_kg == pytest.approx(verdict.allowed_load_kg + rigging_kg)
    assert keep.on_rear_kg == pytest.approx(keep.must_keep_kg)
    assert 0.0 <= tips.on_rear_kg < 1.0 and curve.tips_over == "front"
    assert verdict.leaned is not None
    assert curve.tips_at_kg - rigging_kg == pytest.approx(float(verdict.leaned.tipping_load_kg), rel=1e-12)
    assert most.hook_kg < keep.hook_kg < tips.hook_kg == curve.points[-1].hook_kg
    assert curve.points[0].hook_kg == 0.0 and "empty hook" in curve.points[0].marks


def test_the_makers_approval_holds_the_most_down(boatyard: Job) -> None:
    approval = Approval(reference="A-1", date="2026-11-30", allowed_kg=90.0, lift_max_m=3.0, limit_is="load")
    curve, _ = curve_of(REPLACE(boatyard, approval=approval), boatyard.poses[0])
    assert curve.most_kg == pytest.approx(90.0 + boatyard.load.rigging_kg.best)


def test_where_a_side_line_comes_first_the_curve_ends_there_with_weight_still_on_the_rear() -> None:
    job = sample("pippin_and_rook_cider")
    curve, _ = curve_of(job, job.poses[0])
    tips = curve.marked("tips")
    assert tips is not None and curve.tips_over == "left side" and tips.on_rear_kg > 500.0
    at_the_end = evaluate(with_load(job, curve.tips_at_kg - job.load.rigging_kg.best), job.poses[0]).leaned
    assert at_the_end is not None
    margins_Nm = {line.name: float(line.margin_Nm) for line in at_the_end.lines}
    line = next(line for line in at_the_end.lines if line.name == "left side")
    assert 0.0 <= margins_Nm["left side"] < 0.003 * float(line.restoring_Nm)
    assert min(margins_Nm.values()) == margins_Nm["left side"]


def test_points_are_at_round_loads_of_the_persons_unit(boatyard: Job) -> None:
    curve, _ = curve_of(REPLACE(boatyard, units="us"), boatyard.poses[0])
    plain_lb = [point.hook_kg / LB_KG for point in curve.points if not point.marks]
    assert plain_lb[:3] == pytest.approx([200.0, 400.0, 600.0])


def test_an_empty_hook_has_a_curve_and_nothing_now(boatyard: Job) -> None:
    curve, verdict = curve_of(boatyard, REPLACE(boatyard.poses[0], loaded=False))
    now = curve.marked("now")
    assert now is not None and now.hook_kg == 0.0 and verdict.leaned is not None
    assert now.on_rear_kg == pytest.approx(float(verdict.leaned.rear_kg))


def test_where_nothing_may_hang_there_is_no_most_and_without_a_verdict_no_curve(boatyard: Job) -> None:
    nothing = next(pose for pose in boatyard.poses if not pose.loaded)
    curve, verdict = curve_of(boatyard, nothing)
    assert verdict.allowed_load_kg == 0.0 and curve.most_kg is None and curve.marked("most") is None
    unknown = REPLACE(boatyard, truck=REPLACE(boatyard.truck, plate=None))
    assert lift_curve(unknown, boatyard.poses[0], evaluate(unknown, boatyard.poses[0])) is None


def test_a_truck_that_tips_with_nothing_on_the_hook_has_no_curve(boatyard: Job) -> None:
    hook = REPLACE(boatyard.rig.hook, mass_kg=Estimate(best=1500.0, known="weighed"))
    job = REPLACE(boatyard, rig=REPLACE(boatyard.rig, hook=hook))
    verdict = evaluate(job, boatyard.poses[0])
    assert verdict.worst_case is not None and lift_curve(job, boatyard.poses[0], verdict) is None


def test_a_load_over_the_tipping_load_is_past_the_end_of_the_curve(boatyard: Job) -> None:
    curve, _ = curve_of(with_load(boatyard, 1500.0), boatyard.poses[0])
    assert curve.now_kg == 1512.0 and curve.marked("now") is None
    assert not math.isinf(curve.tips_at_kg) and curve.points[-1].hook_kg == curve.tips_at_kg
