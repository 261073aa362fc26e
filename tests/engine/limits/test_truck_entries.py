"""What a truck's entries say about each other: plate, weights, height of the centre, rows against the tape."""

from __future__ import annotations

import msgspec
import pytest

from engine.base.formatting import fill
from engine.limits import plausibility
from engine.rig.check import Problem
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import evaluate
from tests.samples import sample

REPLACE = msgspec.structs.replace
BOATYARD = sample("skerry_point_boatyard")


def told(problems: tuple[Problem, ...]) -> list[tuple[str, str]]:
    return [(problem.where, fill(problem.words, problem.numbers, "metric")) for problem in problems]


def refused(job: Job) -> list[tuple[str, str]]:
    return told(plausibility.problems(job))


def asked(job: Job) -> list[tuple[str, str]]:
    return told(plausibility.questions(job))


def truck(**changes: object) -> Job:
    return REPLACE(BOATYARD, truck=REPLACE(BOATYARD.truck, **changes))


def plated(rated_kg: float) -> Job:
    plate = BOATYARD.truck.plate
    assert plate is not None
    return truck(plate=REPLACE(plate, rows=tuple(REPLACE(row, rated_kg=rated_kg) for row in plate.rows)))


@pytest.mark.parametrize(
    ("rated_kg", "meant_kg"),
    [
        (7500.0, None),  # three times the plate: it would lie on its nose
        (2500.0 * 2.20462, 2500.0),  # pounds
        (25_000.0, 2500.0),
        (500.0, None),
    ],
)
def test_a_plate_that_no_such_truck_has_is_refused(rated_kg: float, meant_kg: float | None) -> None:
    """2.5 t truck: 1.6 m x 2,301 kg over 2,500 kg x (0.47 + 0.5) m = 1.518; three times the plate 0.506."""
    job = plated(rated_kg)
    found = refused(job)
    assert found and {where for where, _ in found} == {"truck.plate.rows[0].rated_kg"}
    assert evaluate(job, job.poses[0]).state == "REFUSED"
    offered = [problem.numbers["meant"] for problem in plausibility.problems(job) if "meant" in problem.numbers]
    if meant_kg is None:
        assert rated_kg == 7500.0 or offered
    else:
        assert offered and all(value == pytest.approx(meant_kg, rel=1e-4) for value in offered)


def test_rear_wheels_that_hold_too_much_or_too_little_are_refused() -> None:
    """Half as much again on the rear wheels: the ratio goes from 1.518 to 2.277."""
    heavy = truck(rear_axle_kg=Estimate(best=2301.0 * 1.5, known="typical"))
    assert [where for where, _ in refused(heavy)] == ["truck.plate.rows[0].rated_kg"]
    front, rear = BOATYARD.truck.front_axle_kg, BOATYARD.truck.rear_axle_kg
    light = truck(rear_axle_kg=REPLACE(rear, best=900.0), front_axle_kg=REPLACE(front, best=3000.0))
    assert "truck.rear_axle_kg" in [where for where, _ in refused(light)]


@pytest.mark.parametrize(("rated_kg", "level"), [(2500.0, ""), (2200.0, "caution"), (2000.0, "asked")])
def test_what_few_trucks_have_is_told_or_asked(rated_kg: float, level: str) -> None:
    """1.6 m x 2,301 kg over the plate x (0.47 + 0.5) m: 1.518, 1.725 and 1.898; 1.3 to 1.7 is usual."""
    job = plated(rated_kg)
    assert refused(job) == []
    where = "truck.plate.rows[0].rated_kg"
    assert [row.where for row in plausibility.cautions(job) if "truck" in row.where] == [where] * (level == "caution")
    assert [row for row, _ in asked(job)] == [where] * (level == "asked")
    assert evaluate(job, job.poses[0]).state == ("NOT PROVEN" if level == "asked" else "WITHIN")


def test_a_truck_without_a_plate_is_asked_for_it_and_nothing_else() -> None:
    assert refused(truck(plate=None)) == []


@pytest.mark.parametrize(("share", "level"), [(1.04, ""), (1.07, "caution"), (1.2, "asked"), (1.5, "impossible")])
def test_a_centre_over_what_the_side_test_allows(share: float, level: str) -> None:
    """Boatyard: track 0.98, pivot 0.30 m, 2,301 of 3,900 kg behind: 0.30 x 0.59 + 0.49 x 0.41 / 0.40 = 0.679 m."""
    cap_m = 0.30 * 2301.0 / 3900.0 + 0.98 / 2.0 * 1599.0 / 3900.0 / 0.40
    job = truck(
        cg_height_m=Estimate(best=share * cap_m, known="typical"),
        front_track_m=Estimate(best=0.98, known="taped"),
        pivot_height_m=Estimate(best=0.30, known="taped"),
    )
    assert levels_at(job, "truck.cg_height_m") == [level] * (level != "")


@pytest.mark.parametrize(
    ("rated_kg", "whole_kg", "level"),
    [
        (2500.0, 4500.0, ""),
        (2500.0, 5000.0, "caution"),  # 1.11 times 4,500
        (2500.0, 3200.0, "caution"),  # 0.89 times 3,600
        (2000.0, 4200.0, "caution"),  # between the classes: 1.105 times 3,800
        (2000.0, 4760.0, "asked"),  # 1.253 times
        (7500.0, 9500.0, ""),  # in proportion beyond the classes: 9,750 to 12,300
    ],
)
def test_a_truck_against_what_trucks_of_its_rating_weigh(rated_kg: float, whole_kg: float, level: str) -> None:
    """Usual: 2,550 to 3,100 kg at 1.5 t, 3,600 to 4,500 kg at 2.5 t, 6,500 to 8,200 kg at 5 t (common practice)."""
    job = REPLACE(
        plated(rated_kg),
        truck=REPLACE(
            plated(rated_kg).truck,
            front_axle_kg=Estimate(best=0.42 * whole_kg, known="weighed"),
            rear_axle_kg=Estimate(best=0.58 * whole_kg, known="weighed"),
        ),
    )
    assert levels_at(job, "truck.front_axle_kg") == [level] * (level != "")


@pytest.mark.parametrize(("tape_m", "level"), [(0.47, ""), (0.56, "caution"), (0.64, "asked"), (0.30, "asked")])
def test_two_rows_of_the_plate_against_the_tape(tape_m: float, level: str) -> None:
    """2,500 kg at 0.50 m and 1,560 kg at 1.07 m: (1,669 - 1,250) / 940 = 0.446 m; each 25 kg off, 0.384 to 0.515 m."""
    plate = BOATYARD.truck.plate
    assert plate is not None
    row = plate.rows[0]
    rows = (REPLACE(row, rated_kg=2500.0, load_centre_m=0.5), REPLACE(row, rated_kg=1560.0, load_centre_m=1.07))
    taped = Estimate(best=tape_m, known="taped")
    job = truck(plate=REPLACE(plate, rows=rows), front_overhang_m=taped)
    assert levels_at(job, "truck.front_overhang_m") == [level] * (level != "")
    near = (rows[0], REPLACE(row, rated_kg=2475.0, load_centre_m=0.6))  # nearer than plates are printed to
    assert levels_at(truck(plate=REPLACE(plate, rows=near), front_overhang_m=taped), "truck.front_overhang_m") == []


def test_rows_that_no_balance_gives_are_asked_and_never_refused() -> None:
    """2,500 kg at 0.5 m and 1,000 kg at 0.9 m: (900 - 1,250) / 1,500 is behind the axle."""
    plate = BOATYARD.truck.plate
    assert plate is not None
    row = plate.rows[0]
    rows = (REPLACE(row, rated_kg=2500.0, load_centre_m=0.5), REPLACE(row, rated_kg=1000.0, load_centre_m=0.9))
    job = truck(plate=REPLACE(plate, rows=rows))
    assert levels_at(job, "truck.front_overhang_m") == ["asked"]
    assert any("strength" in words for _, words in asked(job))


def levels_at(job: Job, where: str) -> list[str]:
    found = (*plausibility.problems(job), *plausibility.questions(job), *plausibility.cautions(job))
    return [problem.kind for problem in found if problem.where == where]
