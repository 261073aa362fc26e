"""What a verdict says of its worst case: keys, agreement with the verdict, plain words."""

from __future__ import annotations

import json

import msgspec
import pytest

from engine.cli import verdict_report, worst_case_report
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import Verdict, evaluate

REPLACE = msgspec.structs.replace


def guessed(job: Job, best_kg: float) -> Job:
    return REPLACE(job, load=REPLACE(job.load, mass_kg=Estimate(best=best_kg, known="guess")))


def near_its_limit(job: Job) -> tuple[Job, Verdict]:
    """The load guessed at nine tenths of what the worst case allows: not proven until it is weighed."""
    allowed_kg = evaluate(job, job.poses[0]).allowed_load_kg
    doubtful = guessed(job, 0.9 * allowed_kg)
    return doubtful, evaluate(doubtful, job.poses[0])


def test_worst_and_best_stand_beside_the_fixed_keys(sample: Job) -> None:
    for pose in sample.poses[:2]:
        verdict = evaluate(sample, pose)
        answer = json.loads(verdict_report.as_json(sample, pose, verdict))
        if verdict.worst_case is None:
            assert answer["worst"] is None and answer["best"] is None and answer["doubt"] == []
            continue
        assert answer["worst"]["state"] == answer["state"]
        assert answer["worst"]["allowed_load_kg"] == answer["allowed_load_kg"]
        assert answer["worst"]["governing"] == answer["governing"]
        assert answer["allowed_load_kg"] <= answer["best"]["allowed_load_kg"] + 1e-9
        assert answer["worst"]["rear_weight_left_kg"] <= answer["rear_weight_left_kg"]
        assert answer["worst"]["light_front_wheel_kg"] <= answer["light_front_wheel_kg"]
        assert answer["worst"]["tipping_load_kg"] <= answer["tipping_load_kg"]
        assert len(answer["worst"]["checks"]) == len(answer["checks"])
        for line in answer["tip_lines"]:
            assert answer["worst"]["tipping_use"][line["name"]] >= line["use"]


def test_the_doubt_is_ranked_and_named(sample: Job) -> None:
    rows = json.loads(verdict_report.as_json(sample, sample.poses[0], evaluate(sample, sample.poses[0])))["doubt"]
    costs = [row["cost"] for row in rows]
    assert costs == sorted(costs, reverse=True)
    assert sum(row["share"] for row in rows) <= 1.0 + 1e-9


def test_weighing_a_guessed_load_turns_not_proven_into_within(stone_yard: Job) -> None:
    _, verdict = near_its_limit(stone_yard)
    first = worst_case_report.cost_dicts(verdict)[0]
    assert first["entry"] == "weight of the load"
    assert first["buys"] == "Weigh the load: NOT PROVEN becomes WITHIN, if it comes out as entered."


@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_text_shows_best_and_worst(stone_yard: Job, system: str) -> None:
    job, verdict = near_its_limit(stone_yard)
    text = verdict_report.as_text(job, job.poses[0], verdict, system)
    assert "NOT PROVEN" in text
    assert "as entered it would be a load of" in text
    assert "Worst case, every uncertain entry against it together" in text
    assert "Weigh the load: NOT PROVEN becomes WITHIN" in text


def test_a_guess_that_no_weighing_mends_says_so(stone_yard: Job) -> None:
    allowed_kg = evaluate(stone_yard, stone_yard.poses[0]).nominal_allowed_load_kg
    job = guessed(stone_yard, 0.999 * allowed_kg)
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "NOT PROVEN"
    text = verdict_report.as_text(job, job.poses[0], verdict, "metric")
    assert "Measuring these alone is not enough" in text
