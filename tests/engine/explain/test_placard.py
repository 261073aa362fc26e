"""The placard's loads against its chart, the verdict and the approval."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest
from approvals import approved

from engine.explain.approval_request import Request
from engine.explain.placard import placard, placard_of
from engine.planning.load_chart import Chart
from engine.schema.model import Job
from engine.schema.uncertainty_bands import low_high
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace


def clear_heights(chart: Chart, arms: int, hole: int) -> set[float]:
    """Hook heights of a cell at which the hook can be and nothing is in the way, by the names of what governs."""
    heights = set()
    for row, height_m in enumerate(chart.hook_heights_m):
        index = int(chart.governing[arms, hole, row])
        if index >= 0 and ": room " not in chart.names[index]:
            heights.add(height_m)
    return heights


def test_placard_gives_the_least_of_the_chart_between_its_heights_rounded_down(charted: tuple[Job, Request]) -> None:
    job, request = charted
    chart, loads = request.chart, request.loads
    stance = REPLACE(job.poses[0], loaded=True, hole=chart.holes[0], free_out_m=None)
    proven = [evaluate(job, REPLACE(stance, arms=arm_set.arms)).proven for arm_set in chart.arm_sets]
    assert proven[0]
    assert loads.cells and any(between is not None for between in loads.between_m)
    for hole, (row, between) in enumerate(zip(loads.cells, loads.between_m, strict=True)):
        for arms, cell in enumerate(row):
            if cell.allowed_kg is None:
                clear = between is not None and clear_heights(chart, arms, hole) >= inside(chart, between)
                assert not (proven[arms] and clear)
                continue
            assert between is not None and proven[arms]
            assert inside(chart, between) <= clear_heights(chart, arms, hole), "nothing is in the way on it"
            rows = [at for at, height_m in enumerate(chart.hook_heights_m) if between[0] <= height_m <= between[1]]
            assert cell.allowed_kg == math.floor(np.min(chart.allowed_kg[arms, hole, rows]))


def inside(chart: Chart, between: tuple[float, float]) -> set[float]:
    return {height_m for height_m in chart.hook_heights_m if between[0] <= height_m <= between[1]}


def test_a_cell_of_the_placard_is_never_more_than_the_verdict_allows(charted: tuple[Job, Request]) -> None:
    """At the lowest and highest hook height of a few cells, by single verdicts."""
    job, request = charted
    chart, loads = request.chart, request.loads
    for arms in range(len(loads.arm_sets)):
        for hole in (0, len(loads.holes) - 1):
            cell, between = loads.cells[hole][arms], loads.between_m[hole]
            if cell.allowed_kg is None or between is None:
                continue
            for height_m in between:
                lift = chart.lift_m[arms, hole, chart.hook_heights_m.index(height_m)]
                pose = REPLACE(
                    job.poses[0],
                    arms=loads.arm_sets[arms].arms,
                    hole=loads.holes[hole],
                    free_out_m=None,
                    lift_m=float(lift),
                )
                assert cell.allowed_kg <= evaluate(job, pose).allowed_load_kg + 1e-6


def test_holes_whose_tail_is_at_the_driver_low_hold_higher_up(boatyard: Job) -> None:
    """Low, no further in than hole 1 at worst; from 2.5 m of hook height the tail is over the guard in every hole."""
    loads = placard(boatyard, boatyard.poses[0])
    assert loads.holes[:2] == (1, 2) and loads.between_m[0] is not None
    assert loads.between_m[0][0] == 2.0
    assert {between[0] for between in loads.between_m[1:] if between is not None} == {2.5}
    assert all(row[0].allowed_kg for row in loads.cells)


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
