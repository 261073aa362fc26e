"""Never WITHIN out of ignorance: any one entry taken away or spoiled ends in a refusal or an error.

The entries are found by walking the model's own types, so that a new one is covered the day it is added.
"""

from __future__ import annotations

import json
import math
from typing import Any

import msgspec
import pytest
from spoiling import Trail, kinds_in, kinds_of, look_up, number_trails, replaced, required_trails

from engine.base.errors import RigFileError
from engine.schema import rig_file
from engine.schema.model import Job
from engine.schema.validation import as_job
from engine.worst_case.verdict import Verdict, evaluate

NOT_A_VALUE: tuple[Any, ...] = (math.nan, math.inf, -math.inf, -1e12, 1e12, [], {}, "\u0000")
"""What no required entry can be."""


def plain(job: Job) -> Any:
    """A job as the plain values of its file."""
    return json.loads(rig_file.encode(job))


def essence(verdict: Verdict) -> tuple[Any, ...]:
    """What a verdict comes to, compared as text so that NaN equals itself."""
    worst = verdict.worst_case
    return (
        verdict.state,
        repr(verdict.allowed_load_kg),
        tuple(repr((check.part, check.use, check.allowed_load_kg)) for check in verdict.checks),
        repr(worst.allowed_load_kg if worst else None),
    )


def path_of(trail: Trail) -> str:
    return "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in trail).lstrip(".")


def test_an_entry_taken_away_is_refused_by_name(sample: Job) -> None:
    raw, count = plain(sample), 0
    for trail in required_trails(sample):
        holder, key = look_up(raw, trail[:-1]), trail[-1]
        kept = list(holder.items())
        del holder[key]
        with pytest.raises(RigFileError) as refusal:
            as_job(raw, "f")
        assert repr(key) in refusal.value.expected, path_of(trail)
        holder.clear()
        holder.update(kept)
        count += 1
    assert count > 100 and as_job(raw) == sample


def test_an_entry_that_is_no_value_is_refused(sample: Job) -> None:
    raw = plain(sample)
    for trail in required_trails(sample):
        holder, key = look_up(raw, trail[:-1]), trail[-1]
        kept = holder[key]
        for spoiled in NOT_A_VALUE:
            holder[key] = spoiled
            with pytest.raises(RigFileError):
                as_job(raw, "f")
        holder[key] = kept
    assert as_job(raw) == sample


def test_an_entry_that_is_not_known_refuses_every_pose_it_matters_to(sample: Job) -> None:
    """Null stands for not known: the file may open, the verdict must not."""
    raw, opened = plain(sample), 0
    before = [essence(evaluate(sample, pose)) for pose in sample.poses]
    for trail in required_trails(sample):
        holder, key = look_up(raw, trail[:-1]), trail[-1]
        kept = holder[key]
        holder[key] = None
        try:
            job = as_job(raw, "f")
        except RigFileError:
            continue
        finally:
            holder[key] = kept
        if kept is None:
            continue
        opened += 1
        changed = 0
        for pose, was in zip(job.poses, before, strict=True):
            verdict = evaluate(job, pose)
            if essence(verdict) != was:
                changed += 1
                assert verdict.state == "REFUSED", f"{path_of(trail)}, {pose.name}: {verdict.state}"
        refused_anyway = all(was[0] == "REFUSED" for was in before)
        assert changed or refused_anyway, f"{path_of(trail)}: not known, and no pose minds"
    assert opened, "floors may be unknown"


def test_a_missing_plate_refuses_every_pose(sample: Job) -> None:
    job = msgspec.structs.replace(sample, truck=msgspec.structs.replace(sample.truck, plate=None))
    assert {evaluate(job, pose).state for pose in job.poses} == {"REFUSED"}


def outcome(job: Job, index: int) -> str:
    """The verdict's state, or that there is none: an error of any kind tells nobody that all is well."""
    try:
        return evaluate(job, job.poses[index]).state
    except Exception:
        return "error"


@pytest.mark.parametrize("spoiled", [math.nan, -math.nan, math.inf, -math.inf])
def test_a_number_that_is_none_never_gets_a_verdict(sample: Job, spoiled: float) -> None:
    """Put in behind the file's back, as a fault in the program would: every number of the job in turn."""
    count = 0
    for trail in number_trails(sample):
        state = outcome(replaced(sample, trail, spoiled), 0)
        assert state in ("REFUSED", "error"), f"{path_of(trail)} is {spoiled} and the verdict is {state}"
        count += 1
    assert count > 50


def test_a_number_that_is_none_is_named(boatyard: Job) -> None:
    spoiled = replaced(boatyard, ("rig", "arms", 1, "hinge", "spacing_m"), math.nan)
    (problem,) = evaluate(spoiled, spoiled.poses[0]).problems
    assert problem.where == "rig.arms[1].hinge.spacing_m"
    dragged = replaced(boatyard.poses[0], ("lift_m",), math.nan)
    assert "pose.lift_m" in [problem.where for problem in evaluate(boatyard, dragged).problems]


def test_the_walk_reaches_the_kinds_the_verdict_rests_on(boatyard: Job, vineyard: Job, stone_yard: Job) -> None:
    reached = kinds_in(boatyard) | kinds_in(vineyard) | kinds_in(stone_yard)
    names = {kind.__name__ for kind in kinds_of(Job)}
    assert {
        "Job",
        "Truck",
        "Upright",
        "Forks",
        "Plate",
        "PlateRow",
        "Rig",
        "Boom",
        "Arm",
        "Hinge",
        "Pose",
        "Floor",
        "Estimate",
    } <= names
    assert {"Job", "Truck", "Plate", "Rig", "Boom", "Arm", "Hinge", "Pin", "Weld", "Pose", "Floor", "Estimate"} <= {
        kind.__name__ for kind in reached
    }
