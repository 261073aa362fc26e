"""Requests to the maker, whose load charts cost seconds: worked out once for every test of placard and request."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.explain.approval_request import Request
from engine.explain.approval_request import request as request_of
from engine.schema.model import Job
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"


@pytest.fixture(scope="package", params=["tarn_hollow_stone_yard", "skerry_point_boatyard"])
def charted(request: pytest.FixtureRequest) -> tuple[Job, Request]:
    """Two samples, each with its request."""
    job = read_once(SAMPLES / f"{request.param}.rig.json")
    return job, request_of(job, job.poses[0])
