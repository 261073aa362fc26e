"""Entries that contradict each other: refused where no truck or part is so, told where few are."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.base.formatting import fill
from engine.limits import plausibility
from engine.schema import rig_file
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace
SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_rigs").glob("*.rig.json"))
BOATYARD = rig_file.read(next(path for path in SAMPLES if path.name.startswith("skerry")))


def refused(job: Job) -> list[tuple[str, str]]:
    return [
        (problem.where, fill(problem.words, problem.numbers, "metric"))
        for problem in plausibility.problems(job.truck, job.rig)
    ]


def truck(**changes: object) -> Job:
    return REPLACE(BOATYARD, truck=REPLACE(BOATYARD.truck, **changes))


def plated(rated_kg: float) -> Job:
    plate = BOATYARD.truck.plate
    assert plate is not None
    return truck(plate=REPLACE(plate, rows=tuple(REPLACE(row, rated_kg=rated_kg) for row in plate.rows)))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name.partition(".")[0])
def test_no_sample_is_refused(path: Path) -> None:
    assert refused(rig_file.read(path)) == []


def test_a_jib_mast_of_three_kilograms_is_refused_by_its_steel() -> None:
    """120 x 120 x 6 with corners of 2 t, 1.80 m: 37.35 kg of steel (nominal, 7,850 kg/m3)."""
    section = RectTube(width_m=0.12, depth_m=0.12, wall_m=0.006)
    mast = REPLACE(BOATYARD.rig.jib_mast, section=section, length_m=1.8, mass_kg=Estimate(best=3.0, known="weighed"))
    job = REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, jib_mast=mast))
    ((where, words),) = refused(job)
    assert where == "rig.jib_mast.mass_kg"
    assert words.startswith("The steel of the jib mast alone weighs 37 kg; 3 kg is entered.")
    assert evaluate(job, job.poses[0]).state == "REFUSED"
    light = REPLACE(job, rig=REPLACE(job.rig, jib_mast=REPLACE(mast, mass_kg=Estimate(best=30.0, known="weighed"))))
    assert refused(light) == []
    told = [caution.where for caution in evaluate(light, light.poses[0]).cautions]
    assert "rig.jib_mast.mass_kg" in told
    right = REPLACE(job, rig=REPLACE(job.rig, jib_mast=REPLACE(mast, mass_kg=Estimate(best=37.0, known="weighed"))))
    assert "rig.jib_mast.mass_kg" not in [row.where for row in evaluate(right, right.poses[0]).cautions]


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
    assert found and {where for where, _ in found} == {"truck.plate"}
    assert evaluate(job, job.poses[0]).state == "REFUSED"
    offered = [
        problem.numbers["meant"] for problem in plausibility.problems(job.truck, job.rig) if "meant" in problem.numbers
    ]
    if meant_kg is None:
        assert rated_kg == 7500.0 or offered
    else:
        assert offered and all(value == pytest.approx(meant_kg, rel=1e-4) for value in offered)


def test_rear_wheels_that_hold_too_much_or_too_little_are_refused() -> None:
    """Half as much again on the rear wheels: the ratio goes from 1.518 to 2.277."""
    heavy = truck(rear_axle_kg=Estimate(best=2301.0 * 1.5, known="typical"))
    assert [where for where, _ in refused(heavy)] == ["truck.plate"]
    front, rear = BOATYARD.truck.front_axle_kg, BOATYARD.truck.rear_axle_kg
    light = truck(rear_axle_kg=REPLACE(rear, best=900.0), front_axle_kg=REPLACE(front, best=3000.0))
    assert "truck.rear_axle_kg" in [where for where, _ in refused(light)]


def test_what_few_trucks_have_is_told() -> None:
    """A plate of 2,050 kg on this truck: 1.85 times held, and 0.53 of its weight."""
    job = plated(2000.0)
    assert refused(job) == []
    (caution,) = plausibility.cautions(job.truck, REPLACE(BOATYARD.rig, arms=()))[:1]
    assert caution.where == "truck.plate" and caution.numbers["hold"] == pytest.approx(
        1.6 * 2301 / (2000 * 0.97), rel=1e-6
    )


def test_a_truck_without_a_plate_is_asked_for_it_and_nothing_else() -> None:
    assert refused(truck(plate=None)) == []
