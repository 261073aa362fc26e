"""Dials count what is left: needle at the worst case, tick at best values."""

from __future__ import annotations

import pytest
from any_pose import REPLACE

from engine.explain.dials import dials
from engine.schema.model import Job
from engine.worst_case.verdict import evaluate


def test_dials_stand_at_the_worst_case_and_tick_at_best(sample: Job) -> None:
    verdict = evaluate(sample, sample.poses[0])
    if verdict.state == "REFUSED":
        assert dials(sample, verdict) == ()
        return
    rear, light, governing = dials(sample, verdict)
    assert rear.best == pytest.approx(float(verdict.leaned.rear_kg))
    assert light.best == pytest.approx(float(verdict.leaned.light_front_kg))
    assert governing.best == pytest.approx(1.0 - float(verdict.governing.use))
    for dial in (rear, light, governing):
        assert dial.left <= dial.best + 1e-9
        assert dial.full >= dial.best


def test_a_dial_is_below_its_limit_exactly_when_that_limit_is_over(vineyard: Job) -> None:
    straight = next(
        pose for pose in vineyard.poses if "ahead" in pose.name or all(abs(a.turn_rad) < 0.1 for a in pose.arms)
    )
    verdict = evaluate(vineyard, straight)
    assert verdict.state == "OVER"
    assert dials(vineyard, verdict)[2].left < 0.0


def test_there_are_no_dials_without_a_verdict(stone_yard: Job) -> None:
    job = REPLACE(stone_yard, truck=REPLACE(stone_yard.truck, plate=None))
    assert dials(job, evaluate(job, job.poses[0])) == ()
