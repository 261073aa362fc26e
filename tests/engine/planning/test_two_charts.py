"""The load charts of one rig on two trucks, against the verdict of each job by itself."""

from __future__ import annotations

import msgspec
import pytest

from engine.explain.two_charts_words import CANNOT_BE, COLUMNS, IN_THE_WAY, chart_cells, chart_words
from engine.planning.sweep import Stopped
from engine.planning.two_charts import AtHole, HoleRow, two_charts
from engine.planning.two_trucks import as_high
from engine.rig.feasibility import usable_holes
from engine.rig.kinematics import drawn
from engine.schema.model import Truck
from engine.shop.another_truck import on_another_truck, with_forks_set
from engine.worst_case.verdict import evaluate
from tests.samples import sample

REPLACE = msgspec.structs.replace


def other_truck(spread_m: float) -> Truck:
    """The stone yard's, its forks so far apart."""
    truck = sample("tarn_hollow_stone_yard").truck
    return REPLACE(truck, forks=REPLACE(truck.forks, spread_m=spread_m))


def test_each_hole_has_what_the_verdict_of_each_truck_allows_there() -> None:
    """Forks at 550 mm: the loads are for forks set to the 600 mm that the sleeves are welded at."""
    job = sample("skerry_point_boatyard")
    pose, truck = job.poses[0], other_truck(0.55)
    charts = two_charts(job, truck, pose)
    height_m = float(drawn(job, pose).hook_m.z)
    assert charts.hook_height_m == height_m and charts.forks_to_m == job.rig.sleeves.welded_spread_m
    assert tuple(row.hole for row in charts.rows) == usable_holes(job)
    there = with_forks_set(on_another_truck(job, truck))
    compared = 0
    for row in charts.rows[::4]:
        for of, at in ((job, row.old), (there, row.new)):
            stands = as_high(of, REPLACE(pose, hole=row.hole), height_m)
            if at is None:
                assert float(drawn(of, stands).hook_m.z) != pytest.approx(height_m, abs=1e-3)
                continue
            verdict = evaluate(of, stands)
            assert verdict.allowed_load_kg is not None
            assert at.reach_m == pytest.approx(float(verdict.placed.hook_m.x), abs=1e-4)
            if not at.in_the_way:
                assert at.allowed_kg == pytest.approx(max(verdict.allowed_load_kg, 0.0), abs=0.05)
            compared += 1
    assert compared >= 2


def test_the_same_truck_allows_the_same_at_every_hole() -> None:
    job = sample("skerry_point_boatyard")
    charts = two_charts(job, job.truck, job.poses[0])
    assert charts.rows and charts.forks_to_m is None
    assert all(row.old == row.new for row in charts.rows)
    held = [chart_cells(row, "metric") for row in charts.rows if row.old is not None]
    assert held and all(cells[-1] == "0 kg" and len(cells) == len(COLUMNS) for cells in held)


def test_a_truck_without_a_plate_has_no_loads_and_the_reason_is_said() -> None:
    job = sample("skerry_point_boatyard")
    charts = two_charts(job, REPLACE(other_truck(0.6), plate=None), job.poses[0])
    assert charts.new_problems and all(row.new is None for row in charts.rows)
    assert any(row.old is not None for row in charts.rows)
    assert [words for words in chart_words(charts, "metric") if words.startswith("Other truck: REFUSED")]
    assert {chart_cells(row, "metric")[4] for row in charts.rows} == {CANNOT_BE}


@pytest.mark.parametrize(
    ("old_kg", "new_kg", "difference"), [(196.95, 197.05, "0 kg"), (197.05, 196.95, "−1 kg"), (190.9, 201.0, "+10 kg")]
)
def test_a_gain_at_a_hole_is_rounded_down(old_kg: float, new_kg: float, difference: str) -> None:
    row = HoleRow(hole=3, old=at(old_kg), new=at(new_kg))
    assert chart_cells(row, "metric")[-1] == difference


def at(allowed_kg: float, *, in_the_way: bool = False) -> AtHole:
    return AtHole(reach_m=2.0, allowed_kg=allowed_kg, governing="boom: bending", in_the_way=in_the_way)


def test_what_is_in_the_way_allows_nothing() -> None:
    cells = chart_cells(HoleRow(hole=3, old=at(150.9), new=at(150.9, in_the_way=True)), "metric")
    assert cells[4] == IN_THE_WAY and cells[2] == "150 kg" and cells[-1] == "−150 kg"


def test_it_stops_before_a_truck() -> None:
    job = sample("skerry_point_boatyard")
    with pytest.raises(Stopped):
        two_charts(job, job.truck, job.poses[0], stop=lambda: True)
