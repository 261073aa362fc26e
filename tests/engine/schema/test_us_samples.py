"""Three sample rigs are in US sizes throughout: inches in 64ths, whole pounds, units US."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import msgspec
import pytest

from engine.base.formatting import KG_PER_LB, is_round
from engine.schema.model import Job
from engine.schema.nominals import size_names
from engine.worst_case.verdict import evaluate
from tests.samples import SAMPLE_PATHS, read_once

US_SAMPLES = [path for path in SAMPLE_PATHS if read_once(path).units == "us"]


def entries(node: Any, path: str = "") -> Iterator[tuple[str, float]]:
    """Every number of a job with its path."""
    if isinstance(node, dict):
        for key, value in node.items():
            yield from entries(value, f"{path}.{key}" if path else key)
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from entries(value, f"{path}[{index}]")
    elif isinstance(node, float | int) and not isinstance(node, bool):
        yield path, float(node)


def named(job: Job, unit: str) -> list[tuple[str, float]]:
    """The entries whose names end in a unit."""
    return [
        (path, value)
        for path, value in entries(msgspec.to_builtins(job))
        if re.search(rf"_{unit}(\[\d+\])?(\.(best|low|high))?$", path)
    ]


def test_three_samples_are_in_us_units() -> None:
    assert len(US_SAMPLES) == 3


@pytest.mark.parametrize("path", US_SAMPLES, ids=lambda path: path.name.split(".")[0])
def test_every_size_of_a_us_sample_is_one_of_a_us_shop(path: Any) -> None:
    job = read_once(path)
    lengths, masses = named(job, "m"), named(job, "kg")
    assert len(lengths) > 80 and len(masses) > 10
    assert [entry for entry in lengths if not is_round(entry[1], "us")] == []
    assert [entry for entry in masses if abs(entry[1] / KG_PER_LB - round(entry[1] / KG_PER_LB)) > 1e-4] == []
    assert size_names(job).design == "us"


@pytest.mark.parametrize("path", US_SAMPLES, ids=lambda path: path.name.split(".")[0])
def test_a_us_sample_has_every_joint_entered_and_a_pose_within(path: Any) -> None:
    job = read_once(path)
    verdicts = [evaluate(job, pose) for pose in job.poses]
    assert any(verdict.state == "WITHIN" for verdict in verdicts)
    assert all(not verdict.not_entered and not verdict.problems for verdict in verdicts)
