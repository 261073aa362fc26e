"""The placard's loads against its chart, the verdict and the approval."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest
from approvals import approved

from engine.explain.approval_request import Request
from engine.explain.placard import placard, placard_of
from engine.schema.model import Job
from engine.schema.uncertainty_bands import low_high
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace


def test_placard_gives_the_least_of_the_chart_at_any_height_rounded_down(charted: tuple[Job, Request]) -> None:
    _, request = charted
    assert request.loads.cells
    for hole, row in enumerate(request.loads.cells):
        for arms, cell in enumerate(row):
            column = request.chart.allowed_kg[arms, hole]
            if cell.allowed_kg is None:
                assert not np.isfinite(column).any()
            else:
                assert cell.allowed_kg == math.floor(np.nanmin(column))


def test_a_cell_of_the_placard_is_never_more_than_the_verdict_allows(charted: tuple[Job, Request]) -> None:
    """At the lowest and highest hook height of a few cells, by single verdicts."""
    job, request = charted
    for arms in range(len(request.loads.arm_sets)):
        for hole in (0, len(request.loads.holes) - 1):
            cell = request.loads.cells[hole][arms]
            for lift in request.chart.lift_m[arms, hole][np.isfinite(request.chart.allowed_kg[arms, hole])][[0, -1]]:
                pose = REPLACE(
                    job.poses[0],
                    arms=request.loads.arm_sets[arms].arms,
                    hole=request.loads.holes[hole],
                    free_out_m=None,
                    lift_m=float(lift),
                )
                assert cell.allowed_kg <= evaluate(job, pose).allowed_load_kg + 1e-6


def test_an_approval_caps_every_cell_of_the_placard_and_its_height(charted: tuple[Job, Request]) -> None:
    plain, request = charted
    job = approved(plain, 60.0, plain.truck.upright.lift_min_m + 1.0)
    capped = placard_of(job, request.chart)
    most = math.floor(60.0 - low_high(job.load.rigging_kg, "mass")[1])
    loads_kg = [cell.allowed_kg for row in capped.cells for cell in row if cell.allowed_kg is not None]
    assert loads_kg
    assert max(loads_kg) <= most
    assert capped.lift_max_m == pytest.approx(job.approval.lift_max_m)
    assert capped.hook_m[1] < request.loads.hook_m[1]


def test_without_a_plate_the_placard_has_no_figure(sample: Job) -> None:
    bare = placard(REPLACE(sample, truck=REPLACE(sample.truck, plate=None)), sample.poses[0])
    assert bare.problems
    assert bare.cells == ()
