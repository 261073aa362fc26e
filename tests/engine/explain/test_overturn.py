"""Which way it goes over is what the balance says; turning about a line moves nothing on it."""

from __future__ import annotations

import pytest
from any_pose import JOBS, REPLACE, between, jobs
from hypothesis import given, settings

from engine.base.geometry import Vec
from engine.explain.overturn import overturning, turned_over
from engine.limits import balance
from engine.rig.kinematics import figures, place
from engine.schema.model import Job
from engine.worst_case.verdict import evaluate

LINES = balance.weigh(place(JOBS[0], figures(JOBS[0], JOBS[0].poses[0]))).lines


def with_load(job: Job, load_kg: float) -> Job:
    return REPLACE(job, load=REPLACE(job.load, mass_kg=REPLACE(job.load.mass_kg, best=load_kg, low=None, high=None)))


def test_a_pick_within_the_limits_goes_over_nowhere(sample: Job) -> None:
    for pose in sample.poses:
        verdict = evaluate(sample, pose)
        if verdict.state == "WITHIN":
            assert overturning(sample, verdict) is None


def test_the_basis_is_the_plainest_that_leaves_nothing(boatyard: Job) -> None:
    pose = boatyard.poses[0]
    at_kg = float(evaluate(boatyard, pose).leaned.tipping_load_kg)
    factor = 1.3
    boatyard = REPLACE(boatyard, policy=REPLACE(boatyard.policy, dynamic_factor=factor))
    for load_kg, basis in ((1.02 * at_kg, "static"), (at_kg * 1.02 / factor, "allowances"), (0.3 * at_kg, None)):
        job = with_load(boatyard, load_kg)
        overturn = overturning(job, evaluate(job, pose))
        assert (overturn.basis if overturn else None) == basis
        if overturn is not None:
            assert overturn.line.name == "front"
            assert "forwards" in overturn.words


def test_guessed_weights_can_go_over_at_worst_alone(boatyard: Job) -> None:
    policy = REPLACE(boatyard.policy, dynamic_factor=1.0)
    job = with_load(
        REPLACE(boatyard, policy=policy), 0.9 * float(evaluate(boatyard, boatyard.poses[0]).leaned.tipping_load_kg)
    )
    guessed = REPLACE(job.load.mass_kg, known="guess")
    job = REPLACE(job, load=REPLACE(job.load, mass_kg=guessed))
    overturn = overturning(job, evaluate(job, job.poses[0]))
    assert overturn.basis == "worst"
    assert "at its worst" in overturn.words


@given(jobs())
@settings(max_examples=15)
def test_it_is_told_exactly_when_a_line_has_nothing_left(job: Job) -> None:
    verdict = evaluate(job, job.poses[0])
    if verdict.leaned is None or verdict.state == "REFUSED":
        return
    overturn = overturning(job, verdict)
    tipped = [line for line in verdict.leaned.lines if line.margin_Nm <= 0.0]
    assert bool(tipped) == (overturn is not None and overturn.basis == "static")


@given(between(-3.0, 3.0), between(-2.0, 2.0), between(0.0, 4.0))
def test_turning_over_a_line_keeps_lengths_and_the_line_itself(x: float, y: float, z: float) -> None:
    for line in LINES:
        point, turned = Vec(x, y, z), turned_over(Vec(x, y, z), line)
        assert (turned - line.a_m).length() == pytest.approx((point - line.a_m).length())
        on = line.a_m + (line.b_m - line.a_m).times(0.3)
        assert turned_over(on, line).array() == pytest.approx(on.array())


@pytest.mark.parametrize(
    ("line", "point", "way"),
    [
        (LINES[0], Vec(-1.0, 0.0, 0.5), lambda d: d.z > 0.0 and d.x > 0.0),
        (LINES[3], Vec(1.0, 0.0, 0.5), lambda d: d.z > 0.0 and d.x < 0.0),
        (LINES[1], Vec(-0.5, -0.5, 1.0), lambda d: d.z > 0.0 and d.y > 0.0),
        (LINES[2], Vec(-0.5, 0.5, 1.0), lambda d: d.z > 0.0 and d.y < 0.0),
    ],
    ids=["front", "rear", "left", "right"],
)
def test_what_stands_behind_the_line_rises_and_comes_over_it(line: balance.TipLine, point: Vec, way: object) -> None:
    assert way(turned_over(point, line) - point)
