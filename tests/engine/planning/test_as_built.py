"""As built against as drawn, and what each difference costs."""

from __future__ import annotations

import msgspec
import pytest

from engine.planning import as_built
from engine.schema import rig_file
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.shop import edits
from engine.worst_case.verdict import evaluate


def built(job: Job, **entries: object) -> Job:
    job = msgspec.structs.replace(job, drawn=job.rig)
    for path, value in entries.items():
        job = edits.set_value(job, path.replace("__", "."), value)
    return job


def test_without_a_drawn_rig_there_is_nothing_to_compare(boatyard: Job) -> None:
    assert as_built.compare(boatyard, boatyard.poses[0]) is None


def test_built_as_drawn_costs_nothing(boatyard: Job) -> None:
    comparison = as_built.compare(built(boatyard), boatyard.poses[0])
    assert comparison.costs == () and comparison.drawn_kg == comparison.built_kg


def test_each_difference_is_named_with_both_values_and_its_cost_alone(boatyard: Job) -> None:
    wall = boatyard.rig.boom.section.wall_m
    job = built(
        boatyard, rig__boom__section__wall_m=wall - 0.0005, rig__hook__mass_kg=Estimate(best=14.0, known="weighed")
    )
    comparison = as_built.compare(job, job.poses[0])
    assert [cost.difference.path for cost in comparison.costs] == ["rig.boom.section.wall_m", "rig.hook.mass_kg"]
    thinner = comparison.costs[0]
    assert (thinner.difference.drawn, thinner.difference.built) == (wall, wall - 0.0005)
    alone = evaluate(edits.set_value(boatyard, "rig.boom.section.wall_m", wall - 0.0005), boatyard.poses[0])
    assert thinner.change_kg == pytest.approx(alone.allowed_load_kg - comparison.drawn_kg)
    assert thinner.change_kg < 0.0
    assert comparison.built_kg == pytest.approx(evaluate(job, job.poses[0]).allowed_load_kg)


def test_other_arms_than_drawn_are_told_and_not_worked_out(boatyard: Job) -> None:
    job = edits.remove_arm(msgspec.structs.replace(boatyard, drawn=boatyard.rig), 1)
    comparison = as_built.compare(job, job.poses[0])
    assert [cost.difference.path for cost in comparison.costs] == ["rig.arms"]
    assert comparison.drawn_kg is None and comparison.costs[0].change_kg is None


def test_the_drawn_rig_is_kept_in_the_file(boatyard: Job) -> None:
    job = built(boatyard, rig__jib_mast__length_m=1.4)
    assert rig_file.decode(rig_file.encode(job)) == job
