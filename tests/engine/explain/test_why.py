"""Why not: every state is explained with the engine's own numbers, in plain sentences."""

from __future__ import annotations

import re

import pytest
from any_pose import REPLACE, jobs
from hypothesis import given, settings

from engine.base.formatting import fill, show
from engine.explain.why import Statement, Why, why
from engine.schema.model import Job
from engine.worst_case.verdict import evaluate
from tests.thoroughness import times


def sentences(reason: Why, units: str = "metric") -> tuple[str, ...]:
    return tuple(
        fill(statement.words, statement.numbers, units)
        for statement in (reason.cause, reason.order, reason.remedy)
        if statement
    )


def load_of(job: Job, **changes: object) -> Job:
    return REPLACE(job, load=REPLACE(job.load, mass_kg=REPLACE(job.load.mass_kg, **changes)))


def test_over_a_limit_it_names_the_governing_part_its_sum_and_what_gives_next(vineyard: Job) -> None:
    job = load_of(vineyard, best=700.0)
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "OVER"
    cause, order = sentences(why(job, job.poses[0], verdict))
    assert verdict.governing.part in cause and verdict.governing.kind in cause
    assert show(verdict.allowed_load_kg, "kg_down", "metric") in order
    assert order.index(verdict.governing.part) < order.index("then")
    named = [float(text.replace("\u202f", "")) for text in re.findall(r"at ([\d\u202f]+) kg", order)]
    assert named == sorted(named)


def test_a_remedy_worked_out_elsewhere_is_told_only_for_what_is_over(vineyard: Job) -> None:
    remedy = Statement(words="Pull the boom in {holes:count} holes.", numbers={"holes": 2.0})
    over = load_of(vineyard, best=700.0)
    assert sentences(why(over, over.poses[0], evaluate(over, over.poses[0]), remedy))[2] == "Pull the boom in 2 holes."
    within = why(vineyard, vineyard.poses[0], evaluate(vineyard, vineyard.poses[0]), remedy)
    assert "Pull the boom" not in sentences(within)[2]


def test_within_the_limits_it_says_what_would_give_first_and_at_what_load(stone_yard: Job) -> None:
    verdict = evaluate(stone_yard, stone_yard.poses[0])
    assert verdict.state == "WITHIN"
    cause, order, remedy = sentences(why(stone_yard, stone_yard.poses[0], verdict))
    assert "every limit is met" in cause.lower()
    assert show(verdict.allowed_load_kg, "kg_down", "metric") in order
    assert show(verdict.allowed_load_kg, "kg_down", "metric") in remedy


def test_not_proven_names_the_entry_to_measure(stone_yard: Job) -> None:
    allowed = evaluate(stone_yard, stone_yard.poses[0]).allowed_load_kg
    job = load_of(stone_yard, best=0.9 * allowed, known="guess", low=None, high=None)
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "NOT PROVEN"
    cause, _, remedy = sentences(why(job, job.poses[0], verdict))
    assert "weight of the load" in cause
    assert remedy.startswith("Weigh the load")


def test_refused_tells_the_problem_and_allows_nothing(stone_yard: Job) -> None:
    job = REPLACE(stone_yard, truck=REPLACE(stone_yard.truck, plate=None))
    cause, order, remedy = sentences(why(job, job.poses[0], evaluate(job, job.poses[0])))
    assert "plate" in cause
    assert "nothing is allowed" in order
    assert "Find this out" in remedy


@settings(max_examples=times(8, 40))
@given(jobs())
def test_every_verdict_is_told_in_whole_sentences_in_both_units(job: Job) -> None:
    verdict = evaluate(job, job.poses[0])
    reason = why(job, job.poses[0], verdict)
    for units in ("metric", "us"):
        for text in sentences(reason, units):
            assert text.endswith(".") and "{" not in text and "nan" not in text
    if verdict.state != "OVER":
        assert reason.remedy is not None


@pytest.mark.parametrize("units", ["metric", "us"])
def test_an_empty_rig_over_a_limit_gives_with_no_load_at_all(stone_yard: Job, units: str) -> None:
    job = REPLACE(stone_yard, policy=REPLACE(stone_yard.policy, least_rear_share=0.9))
    verdict = evaluate(job, job.poses[0])
    assert "with no load at all" in sentences(why(job, job.poses[0], verdict), units)[1]


def test_what_else_stands_in_the_way_is_said_in_words_not_by_its_place_in_the_file(boatyard: Job) -> None:
    floor = REPLACE(boatyard.floors[0], fall_along=None, fall_across=None)
    job = REPLACE(boatyard, floors=(floor, *boatyard.floors[1:]))
    pose = REPLACE(job.poses[0], floor=floor.name)
    order = why(job, pose, evaluate(job, pose)).order
    said = fill(order.words, order.numbers, "metric")
    assert said == f"After that, 1 more to put right. Side slope at ‘{floor.name}’ is not known."
    high = REPLACE(pose, lift_m=99.0, tilt_rad=0.5)
    said = fill((order := why(job, high, evaluate(job, high)).order).words, order.numbers, "metric")
    assert "4 more" in said and said.count("The upright cannot tilt to 28.6°") == 1 and "floors[" not in said


def test_the_worst_case_and_the_sum_as_entered_are_told_apart(boatyard: Job) -> None:
    """The boatyard with 500 lb: 117 % of what the boom is allowed in the worst case, 112 % as entered."""
    heavy = load_of(boatyard, best=226.8)
    cause, *_ = sentences(why(heavy, heavy.poses[0], evaluate(heavy, heavy.poses[0])))
    worst, as_entered = cause.split(" With every value as entered: ")
    assert worst.endswith("used 117 % in the worst case.")
    assert "112 %" in as_entered and "117 %" not in as_entered
