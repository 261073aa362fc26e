"""Two verdicts limit by limit."""

from __future__ import annotations

import math

import pytest
from any_pose import REPLACE

from engine.planning.compare import differences
from engine.schema.model import Job
from engine.worst_case.verdict import evaluate


def test_differences_are_those_of_the_worst_case_and_name_every_limit(vineyard: Job) -> None:
    then, now = (evaluate(vineyard, pose) for pose in vineyard.poses[:2])
    changes = differences(then, now)
    assert [(entry.part, entry.kind) for entry in changes] == [(check.part, check.kind) for check in now.checks]
    for index, entry in enumerate(changes):
        assert entry.use_now == now.worst_case.use_of_each[index]
        assert entry.change == pytest.approx(now.worst_case.use_of_each[index] - then.worst_case.use_of_each[index])
    assert all(entry.change == 0.0 for entry in differences(now, now))


def test_a_limit_only_one_verdict_has_is_told_with_no_change(vineyard: Job) -> None:
    now = evaluate(vineyard, vineyard.poses[0])
    refused_job = REPLACE(vineyard, truck=REPLACE(vineyard.truck, plate=None))
    refused = evaluate(refused_job, refused_job.poses[0])
    changes = differences(now, refused)
    assert len(changes) == len(now.checks)
    assert all(entry.use_now is None and math.isnan(entry.change) for entry in changes)
