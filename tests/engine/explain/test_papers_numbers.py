"""What papers say in numbers: approval, placard, request to the maker, assumptions."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.base.formatting import fill
from engine.explain.approval_request import Request
from engine.explain.approval_request import request as asked_of
from engine.explain.placard import placard, placard_of
from engine.limits.all_limits import leaned
from engine.limits.approval import permitted
from engine.limits.balance import allowances_of, weigh
from engine.rig.feasibility import usable_holes
from engine.rig.kinematics import figures, place
from engine.schema import rig_file
from engine.schema.model import Approval, Estimate, Job
from engine.schema.uncertainty_bands import low_high
from engine.shop.assumptions import allowances, assumed, known_numbers, missing
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"


@pytest.fixture(scope="module", params=["tarn_hollow_stone_yard", "skerry_point_boatyard"])
def charted(request: pytest.FixtureRequest) -> tuple[Job, Request]:
    """Two samples with their request, whose chart costs seconds: worked out once for all that is asked of it."""
    job = rig_file.read(SAMPLES / f"{request.param}.rig.json")
    return job, asked_of(job, job.poses[0])


def approved(job: Job, allowed_kg: float, lift_max_m: float) -> Job:
    approval = Approval(reference="R-1", date="2026-01-02", by="maker", allowed_kg=allowed_kg, lift_max_m=lift_max_m)
    return REPLACE(job, approval=approval)


# ---------------------------------------------------------------- approval


def test_without_an_approval_a_load_is_only_planned_for(sample: Job) -> None:
    assert permitted(sample, 1.0, 300.0).by == "planned"


def test_with_an_approval_the_lower_of_both_counts(sample: Job) -> None:
    rigging_kg = low_high(sample.load.rigging_kg, "mass")[1]
    job = approved(sample, 200.0, 2.0)
    assert permitted(job, 1.0, 300.0) == permitted(job, 2.0, 300.0)
    assert permitted(job, 1.0, 300.0).load_kg == pytest.approx(200.0 - rigging_kg)
    assert permitted(job, 1.0, 100.0).load_kg == 100.0
    assert (permitted(job, 1.0, 300.0).by, permitted(job, 1.0, 100.0).by) == ("approval", "limits")


def test_above_the_approval_s_fork_height_nothing_is_approved(sample: Job) -> None:
    assert permitted(approved(sample, 5000.0, 2.0), 2.1, 300.0).load_kg == 0.0


def test_the_verdict_itself_holds_a_pose_against_the_approval(sample: Job) -> None:
    """Worst case: rigging at its heaviest, forks as high as they may be read."""
    pose = sample.poses[0]
    free = evaluate(sample, pose).allowed_load_kg
    rigging_kg = low_high(sample.load.rigging_kg, "mass")[1]
    for allowed_kg, lift_max_m in (
        (0.5 * free, pose.lift_m + 0.1),
        (3.0 * free + 500.0, pose.lift_m + 0.1),
        (free, pose.lift_m - 0.1),
    ):
        job = approved(sample, allowed_kg, lift_max_m)
        found = [evaluate(job, pose) for _ in range(6)]  # the same by formula and by tape
        most = 0.0 if lift_max_m < pose.lift_m else max(allowed_kg - rigging_kg, 0.0)
        assert {round(verdict.allowed_load_kg, 6) for verdict in found} == {round(min(free, most), 6)}
        assert (found[0].governing.part == "approval") == (most < free)
        assert permitted(job, pose.lift_m, found[0].allowed_load_kg).by == ("approval" if most < free else "limits")
    assert evaluate(sample, pose).allowed_load_kg == pytest.approx(free)


# ---------------------------------------------------------------- placard


def test_placard_gives_the_least_of_the_chart_at_any_height_rounded_down(charted: tuple[Job, Request]) -> None:
    _, found = charted
    assert found.loads.cells
    for hole, row in enumerate(found.loads.cells):
        for arms, cell in enumerate(row):
            column = found.chart.allowed_kg[arms, hole]
            if cell.allowed_kg is None:
                assert not np.isfinite(column).any()
            else:
                assert cell.allowed_kg == math.floor(np.nanmin(column))


def test_a_cell_of_the_placard_is_never_more_than_the_verdict_allows(charted: tuple[Job, Request]) -> None:
    """At the lowest and highest hook height of a few cells, by single verdicts."""
    job, found = charted
    for arms in range(len(found.loads.arm_sets)):
        for hole in (0, len(found.loads.holes) - 1):
            cell = found.loads.cells[hole][arms]
            for lift in found.chart.lift_m[arms, hole][np.isfinite(found.chart.allowed_kg[arms, hole])][[0, -1]]:
                pose = REPLACE(
                    job.poses[0],
                    arms=found.loads.arm_sets[arms].arms,
                    hole=found.loads.holes[hole],
                    free_out_m=None,
                    lift_m=float(lift),
                )
                assert cell.allowed_kg <= evaluate(job, pose).allowed_load_kg + 1e-6


def test_an_approval_caps_every_cell_of_the_placard_and_its_height(charted: tuple[Job, Request]) -> None:
    plain, found = charted
    job = approved(plain, 60.0, plain.truck.upright.lift_min_m + 1.0)
    capped = placard_of(job, found.chart)
    most = math.floor(60.0 - low_high(job.load.rigging_kg, "mass")[1])
    figures_ = [cell.allowed_kg for row in capped.cells for cell in row if cell.allowed_kg is not None]
    assert figures_
    assert max(figures_) <= most
    assert capped.lift_max_m == pytest.approx(job.approval.lift_max_m)
    assert capped.hook_m[1] < found.loads.hook_m[1]


def test_without_a_plate_the_placard_has_no_figure(sample: Job) -> None:
    found = placard(REPLACE(sample, truck=REPLACE(sample.truck, plate=None)), sample.poses[0])
    assert found.problems
    assert found.cells == ()


# ---------------------------------------------------------------- request


def test_request_says_what_the_maker_cannot_answer_without(charted: tuple[Job, Request]) -> None:
    job, found = charted
    assert found.cannot_answer[0] == "The maker cannot answer without the truck's serial number."
    assert any("typical of its class" in words for words in found.cannot_answer)


def test_request_for_a_truck_without_a_plate_asks_for_no_load(sample: Job) -> None:
    truck = REPLACE(sample.truck, serial="T 1", typical=False, plate=None)
    bare = REPLACE(sample, truck=truck, rig=REPLACE(sample.rig, serial="R 1"))
    found = asked_of(bare, bare.poses[0])
    assert len(found.cannot_answer) == 1
    assert "load centre" in found.cannot_answer[0]
    assert all(row.request_kg is None for row in found.at_holes)


def test_request_has_every_hole_with_the_rig_s_mass_and_centre(charted: tuple[Job, Request]) -> None:
    job, found = charted
    assert tuple(row.hole for row in found.at_holes) == usable_holes(job)
    bodies = [body for body in place(job, figures(job, job.poses[0])).bodies if body.group == "rig"]
    assert found.at_holes[0].rig_kg == pytest.approx(sum(float(body.mass_kg) for body in bodies))
    reach = [float(row.hook_m.x) for row in found.at_holes]
    centre = [float(row.centre_m.x) for row in found.at_holes]
    assert reach == sorted(reach, reverse=True)
    assert centre == sorted(centre, reverse=True)
    loads = [row.request_kg for row in found.at_holes]
    assert loads == sorted(loads)


def test_truck_and_attachment_weigh_what_the_axles_and_the_rig_weigh(charted: tuple[Job, Request]) -> None:
    sample, found = charted
    both = found.combined
    aboard = sum(body.mass_kg.best for body in sample.truck.aboard if body.counted)
    assert both.truck_kg == pytest.approx(sample.truck.front_axle_kg.best + sample.truck.rear_axle_kg.best + aboard)
    assert both.lift_m == sample.truck.upright.lift_max_m
    assert float(both.centre_loaded_m.y) == pytest.approx(0.0, abs=1e-9)


def test_no_pose_of_the_job_uses_more_of_a_line_than_the_worst_found_when_it_was_searched(
    charted: tuple[Job, Request],
) -> None:
    """The worst of each direction is at least that of every arm pose of the job at the furthest hole, lowest and highest."""
    sample, asked = charted
    worst = {found.line: found.use for found in asked.worst}
    upright = sample.truck.upright
    for pose in sample.poses:
        if pose.floor != sample.poses[0].floor:
            continue
        for lift in (upright.lift_min_m, upright.lift_max_m):
            stance = REPLACE(
                pose, lift_m=lift, loaded=True, tilt_rad=0.0, hole=usable_holes(sample)[0], free_out_m=None
            )
            placed = place(sample, leaned(figures(sample, stance), sample.policy))
            for line in weigh(placed, allowances_of(sample.policy)).lines:
                assert float(line.use) <= worst[line.name] + 1e-12


# ---------------------------------------------------------------- assumptions


def test_every_number_without_a_reading_is_listed_with_its_band(sample: Job) -> None:
    guess = Estimate(best=sample.load.mass_kg.best, known="guess")
    job = REPLACE(sample, load=REPLACE(sample.load, mass_kg=guess))
    told = " ".join(fill(said.words, said.numbers, "metric") for said in assumed(job, job.poses[0]))
    assert "a guess: weight of the load" in told
    low, high = low_high(guess, "mass")
    assert f"{low:.0f}" in told.replace("\u202f", "")
    assert f"{high:.0f}" in told.replace("\u202f", "")
    assert any(number.name == "weight of the load" for number in known_numbers(job, job.poses[0]))


def test_missing_facts_and_chosen_allowances_are_said(sample: Job) -> None:
    floor = REPLACE(sample.floors[0], fall_along=None)
    job = REPLACE(
        sample,
        floors=(floor, *sample.floors[1:]),
        poses=tuple(REPLACE(pose, floor=floor.name) for pose in sample.poses),
    )
    assert any("fall along is not known" in said.words for said in missing(job, job.poses[0]))
    told = " ".join(fill(said.words, said.numbers, "metric") for said in allowances(job))
    assert f"{job.policy.dynamic_factor:.2f}" in told
    assert "{" not in told
