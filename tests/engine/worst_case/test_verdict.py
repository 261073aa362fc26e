"""The verdict: total over anything well-formed, and never within by default."""

from __future__ import annotations

import math
import random
from typing import Any

import msgspec
import pytest
from any_pose import jobs, policies
from hypothesis import given, settings

from engine.base.errors import TailweightError
from engine.cli import verdict_report
from engine.schema.model import Job
from engine.schema.validation import as_job
from engine.worst_case.verdict import evaluate
from tests.thoroughness import times

REPLACE = msgspec.structs.replace


@settings(max_examples=15)
@given(jobs(most_fall=0.3), policies())
def test_any_pose_gets_a_state_and_within_only_with_every_use_a_number_of_at_most_one(job: Job, policy: object) -> None:
    job = REPLACE(job, policy=policy)
    verdict = evaluate(job, job.poses[0])
    if verdict.state == "REFUSED":
        assert verdict.problems
        assert verdict.allowed_load_kg is None and verdict.governing is None and verdict.checks == ()
        return
    uses = [float(check.use) for check in (*verdict.checks, *verdict.room.checks)]
    assert uses
    assert verdict.governing in (*verdict.checks, *verdict.room.checks)
    assert verdict.allowed_load_kg >= 0.0
    if verdict.state == "WITHIN":
        assert all(math.isfinite(use) and use <= 1.0 for use in uses)
    if verdict.state == "OVER":
        assert any(not use <= 1.0 for use in uses)


@pytest.mark.parametrize(
    ("change", "where"),
    [
        (lambda job: REPLACE(job, truck=REPLACE(job.truck, plate=None)), "truck.plate"),
        (
            lambda job: REPLACE(job, floors=(REPLACE(job.floors[0], fall_along=None), *job.floors[1:])),
            "floors[0].fall_along",
        ),
        (
            lambda job: REPLACE(job, floors=(REPLACE(job.floors[0], fall_across=None), *job.floors[1:])),
            "floors[0].fall_across",
        ),
    ],
)
def test_a_missing_fact_refuses_the_verdict_by_name(sample: Job, change: Any, where: str) -> None:
    job = change(sample)
    pose = REPLACE(job.poses[0], floor=job.floors[0].name)
    verdict = evaluate(job, pose)
    assert verdict.state == "REFUSED"
    assert where in [problem.where for problem in verdict.problems]
    assert all(problem.kind == "missing" for problem in verdict.problems)


def test_a_plate_that_does_not_reach_the_forks_height_refuses(boatyard: Job) -> None:
    row = REPLACE(boatyard.truck.plate.rows[0], lift_m=0.5)
    job = REPLACE(boatyard, truck=REPLACE(boatyard.truck, plate=REPLACE(boatyard.truck.plate, rows=(row,))))
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "REFUSED"
    assert [problem.where for problem in verdict.problems] == ["truck.plate.rows"]


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({"rear_axle_kg": 181.0, "front_axle_kg": 3700.0, "cg_height_m": 1.4}, "side"),
        ({"cg_height_m": 40.0}, ""),
    ],
)
def test_a_truck_that_does_not_stand_by_itself_is_an_error_in_words(
    boatyard: Job, changes: dict[str, float], line: str
) -> None:
    values = {name: REPLACE(getattr(boatyard.truck, name), best=best) for name, best in changes.items()}
    floor = REPLACE(
        boatyard.floors[0],
        fall_along=REPLACE(boatyard.floors[0].fall_along, best=0.2),
        fall_across=REPLACE(boatyard.floors[0].fall_across, best=0.3),
    )
    job = REPLACE(boatyard, truck=REPLACE(boatyard.truck, **values), floors=(floor,))
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "REFUSED"
    assert verdict.allowed_load_kg is None
    text = verdict_report.as_text(job, job.poses[0], verdict, "metric")
    assert "does not stand by itself" in text
    assert line in text
    assert {problem.kind for problem in verdict.problems} == {"impossible"}


def test_a_floor_named_with_brackets_is_told_as_named(boatyard: Job) -> None:
    floor = REPLACE(boatyard.floors[0], name="bay {2}", fall_along=None)
    job = REPLACE(boatyard, floors=(floor,), poses=(REPLACE(boatyard.poses[0], floor="bay {2}"),))
    assert "bay {2}" in verdict_report.as_text(job, job.poses[0], evaluate(job, job.poses[0]), "metric")


# ---------------------------------------------------------------- whatever a file may hold


def numbers_in(node: Any, trail: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    if isinstance(node, bool) or node is None or isinstance(node, str):
        return []
    if isinstance(node, int | float):
        return [trail]
    entries = node.items() if isinstance(node, dict) else enumerate(node)
    return [inner for key, value in entries for inner in numbers_in(value, (*trail, key))]


@pytest.mark.slow
def test_any_numbers_the_model_allows_get_a_verdict_and_a_text_never_a_crash(sample: Job) -> None:
    """Numbers of a rig made far too small, far too large or zero: whatever still opens must be judged and printed.

    Up to ten rigs made of each sample, until two open; twenty with ``TAILWEIGHT_THOROUGH=1``.
    """
    rng = random.Random(sample.name)
    raw = msgspec.to_builtins(sample)
    places = numbers_in(raw)
    judged = 0
    for _ in range(times(10, 20)):
        if judged >= times(2, 20):
            break
        changed = msgspec.json.decode(msgspec.json.encode(raw))
        for trail in rng.sample(places, rng.randint(1, 3)):
            holder = changed
            for key in trail[:-1]:
                holder = holder[key]
            value = holder[trail[-1]]
            new = rng.choice((0, value * 1e-3, value * 0.5, value * 2, value * 30, -value, 1e-9, 49.0, 199_999.0))
            holder[trail[-1]] = round(new) if isinstance(value, int) else float(new)
        try:
            job = as_job(changed)
        except TailweightError as error:
            assert error.where and error.expected and error.got
            continue
        judged += 1
        for pose in job.poses[:1]:
            verdict = evaluate(job, pose)
            verdict_report.as_json(job, pose, verdict)
            assert verdict_report.as_text(job, pose, verdict, "us")
            if verdict.state == "WITHIN":
                assert all(float(check.use) <= 1.0 for check in verdict.checks)
    assert judged >= times(1, 3)


def test_the_samples_open_with_the_states_their_stories_tell(boatyard: Job, stone_yard: Job) -> None:
    for job in (boatyard, stone_yard):
        verdict = evaluate(job, job.poses[0])
        assert [c for c in verdict.checks if c.part in ("truck balance", "plate") and c.use > 1.0] == []
