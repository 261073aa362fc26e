"""The forks' spread against the sleeves', by the sizes in the boatyard's file: sleeves 160 x 80 x 8, 600 mm apart."""

from __future__ import annotations

import msgspec
import pytest

from engine.base.formatting import fill
from engine.rig.feasibility import impossibilities
from engine.rig.rig_masses import steel_masses
from engine.schema.model import Job
from engine.schema.sections import mass_per_length_kg_m
from engine.shop.cut_list import pieces
from engine.worst_case.verdict import evaluate
from tests.samples import sample

REPLACE = msgspec.structs.replace
SIDE_ROOM_M = 0.160 - 2 * 0.008 - 0.122


def apart(forks_m: float, sleeves_m: float | None = 0.6) -> Job:
    """The boatyard's rig with its forks and its sleeves so far apart."""
    job = sample("skerry_point_boatyard")
    truck, rig = job.truck, job.rig
    return REPLACE(
        job,
        truck=REPLACE(truck, forks=REPLACE(truck.forks, spread_m=forks_m)),
        rig=REPLACE(rig, sleeves=REPLACE(rig.sleeves, welded_spread_m=sleeves_m)),
    )


def state(job: Job) -> str:
    return evaluate(job, job.poses[0]).state


def test_the_sample_s_sizes_are_those_of_the_sums_here() -> None:
    job = sample("skerry_point_boatyard")
    section = job.rig.sleeves.section
    assert (section.width_m, section.wall_m, job.truck.forks.width_m) == (0.16, 0.008, 0.122)
    assert job.rig.sleeves.welded_spread_m == job.truck.forks.spread_m == 0.6
    assert state(job) == "WITHIN"


@pytest.mark.parametrize("off_m", [0.010, -0.010])
def test_forks_off_by_what_the_worst_case_counts_are_covered(off_m: float) -> None:
    verdict = evaluate(apart(0.6 + off_m), apart(0.6 + off_m).poses[0])
    assert verdict.state != "REFUSED"
    assert not [problem for problem in verdict.not_entered if problem.where == "truck.forks.spread_m"]


@pytest.mark.parametrize("off_m", [0.012, -0.012, SIDE_ROOM_M, -SIDE_ROOM_M])
def test_forks_that_go_in_further_off_are_never_within(off_m: float) -> None:
    job = apart(0.6 + off_m)
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "NOT PROVEN"
    (problem,) = [problem for problem in verdict.not_entered if problem.where == "truck.forks.spread_m"]
    words = fill(problem.words, problem.numbers, "metric")
    assert "600 mm" in words and f"{600 + 1000 * off_m:.0f} mm apart" in words and "10 mm off and no more" in words


@pytest.mark.parametrize("off_m", [SIDE_ROOM_M + 0.001, -SIDE_ROOM_M - 0.001, 0.25])
def test_forks_that_do_not_go_in_are_refused_with_both_spreads_and_what_to_do(off_m: float) -> None:
    job = apart(0.6 + off_m)
    assert state(job) == "REFUSED"
    (problem,) = impossibilities(job, job.poses[0])
    words = fill(problem.words, problem.numbers, "metric")
    assert problem.where == "truck.forks.spread_m"
    assert f"the forks stand {600 + 1000 * off_m:.0f} mm apart" in words and "Set the forks to 600 mm" in words


def test_sleeves_whose_spread_nobody_entered_stand_as_the_forks_do() -> None:
    job = apart(0.7, None)
    assert state(job) != "REFUSED" and job.rig.sleeves.spread_on(job.truck.forks) == 0.7


def test_the_cross_member_is_as_long_as_between_the_sleeves_wherever_the_forks_stand() -> None:
    job = apart(0.59)
    (cross,) = [piece for piece in pieces(job) if piece.part == "cross-member"]
    assert cross.length_m == pytest.approx(0.6 - 0.16)
    cross_kg = mass_per_length_kg_m(job.rig.sleeves.cross_section) * (0.6 - 0.16)
    pair_kg = 2.0 * mass_per_length_kg_m(job.rig.sleeves.section) * job.rig.sleeves.length_m
    assert steel_masses(job.truck, job.rig)["sleeves_kg"] == pytest.approx(pair_kg + cross_kg, rel=1e-9)
