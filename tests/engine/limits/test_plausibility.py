"""Entries that contradict each other: refused where no truck or part is so, told where few are."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.base.formatting import fill
from engine.limits import plausibility
from engine.rig.check import Problem
from engine.schema import rig_file
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.schema.rig_file import decode, encode
from engine.schema.sections import RectTube
from engine.shop.answers import corrected, said_right
from engine.shop.assumptions import assumed
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace
SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_rigs").glob("*.rig.json"))
BOATYARD = rig_file.read(next(path for path in SAMPLES if path.name.startswith("skerry")))


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


def masted(kg: float, known: str = "weighed") -> Job:
    """A jib mast of 120 x 120 x 6, 1.80 m long, with corners of 2 t: 37.35 kg of steel (nominal, 7,850 kg/m3)."""
    section = RectTube(width_m=0.12, depth_m=0.12, wall_m=0.006)
    mast = REPLACE(BOATYARD.rig.jib_mast, section=section, length_m=1.8, mass_kg=Estimate(best=kg, known=known))
    return REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, jib_mast=mast))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name.partition(".")[0])
def test_no_sample_is_refused_or_asked(path: Path) -> None:
    assert refused(rig_file.read(path)) == []
    assert asked(rig_file.read(path)) == []


def test_a_jib_mast_of_three_kilograms_is_refused_by_its_steel() -> None:
    """3/37.35 is 0.080, under half."""
    job = masted(3.0)
    ((where, words),) = refused(job)
    assert where == "rig.jib_mast.mass_kg"
    assert words.startswith("The steel of the jib mast alone weighs 37 kg; 3 kg is entered.")
    assert evaluate(job, job.poses[0]).state == "REFUSED"


@pytest.mark.parametrize(
    ("kg", "level"),
    [
        (18.0, "impossible"),  # under half of 37.35
        (19.0, "asked"),
        (32.0, "asked"),  # weighed, up to 32.64: under 0.9 of the steel
        (34.0, "believed"),  # up to 34.68, over 33.6; and within 15 %
        (37.0, "believed"),
        (42.0, "believed"),
        (44.0, "caution"),  # 18 % over
        (69.0, "caution"),
        (71.0, "asked"),  # over 1.6 x 37.35 + 10 = 69.8
        (169.0, "asked"),
        (170.0, "impossible"),  # over 4 x 37.35 + 20 = 169.4
    ],
)
def test_levels_of_a_weight_beside_its_steel(kg: float, level: str) -> None:
    job = masted(kg)
    found = {
        "impossible": plausibility.problems(job),
        "asked": plausibility.questions(job),
        "caution": plausibility.cautions(job),
    }
    levels = [name for name, rows in found.items() if any(row.where == "rig.jib_mast.mass_kg" for row in rows)]
    assert levels == ([] if level == "believed" else [level])


def test_a_question_leaves_the_pose_not_proven_until_it_is_answered_and_the_answer_is_for_that_number_alone() -> None:
    job = masted(31.0)
    sure = evaluate(masted(37.0), job.poses[0])
    assert sure.state == "WITHIN"
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "NOT PROVEN"
    (question,) = [problem for problem in verdict.not_entered if problem.kind == "asked"]
    answered = said_right(job, question)
    now = evaluate(answered, job.poses[0])
    assert now.state == "WITHIN" and "rig.jib_mast.mass_kg" in [caution.where for caution in now.cautions]
    assert "You said that this is right." in " ".join(line.words for line in assumed(answered, answered.poses[0]))
    again = decode(encode(answered))
    assert again.answers == answered.answers and evaluate(again, again.poses[0]).state == "WITHIN"
    lighter = REPLACE(masted(30.0), answers=answered.answers)
    assert evaluate(lighter, lighter.poses[0]).state == "NOT PROVEN"


def test_what_was_meant_is_put_in_with_its_ends() -> None:
    weight = Estimate(best=3_700.0, known="guess", low=3_000.0, high=4_500.0)
    mast = REPLACE(masted(37.0).rig.jib_mast, mass_kg=weight)
    job = REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, jib_mast=mast))
    (problem,) = [one for one in plausibility.problems(job) if "meant" in one.numbers]
    assert "Did you mean 37 kg?" in fill(problem.words, problem.numbers, "metric")
    mended = corrected(job, problem).rig.jib_mast.mass_kg
    assert mended is not None
    assert (mended.best, mended.low, mended.high) == pytest.approx((37.0, 30.0, 45.0))


@pytest.mark.parametrize(
    ("kg", "level"), [(0.5, "asked"), (3.0, "caution"), (185.0, ""), (1400.0, "caution"), (1600.0, "asked")]
)
def test_a_load_is_held_against_its_box(kg: float, level: str) -> None:
    """In a box of 0.5 m: 4, 24, 1,480, 11,200 and 12,800 kg/m3."""
    load = REPLACE(BOATYARD.load, mass_kg=Estimate(best=kg, known="weighed"), length_m=0.5, width_m=0.5, height_m=0.5)
    job = REPLACE(BOATYARD, load=load)
    assert [where for where, _ in asked(job)] == (["load.mass_kg"] if level == "asked" else [])
    assert [row.where for row in plausibility.cautions(job)] == (["load.mass_kg"] if level == "caution" else [])
    assert plausibility.questions(job, loaded=False) == ()


def test_a_guess_of_exactly_so_much_is_asked() -> None:
    exact = Estimate(best=185.0, known="guess", low=185.0, high=185.0)
    job = REPLACE(BOATYARD, load=REPLACE(BOATYARD.load, mass_kg=exact))
    assert any("no one guesses to the kilogram" in words for _, words in asked(job))
    spread = REPLACE(BOATYARD, load=REPLACE(BOATYARD.load, mass_kg=REPLACE(exact, high=220.0)))
    assert asked(spread) == []


def test_slings_of_feet_entered_as_metres_contradict_the_distance_from_hook_to_load() -> None:
    """One leg of 0.40 m, read as 1.31 m; the load's top hangs 0.40 m under the hook."""
    rigging = BOATYARD.load.rigging
    assert rigging is not None and [leg.length_m for leg in rigging.legs] == [0.4]
    long = REPLACE(rigging, legs=tuple(REPLACE(leg, length_m=leg.length_m * 3.28084) for leg in rigging.legs))
    assert [where for where, _ in asked(REPLACE(BOATYARD, load=REPLACE(BOATYARD.load, rigging=long)))] == [
        "load.rigging.legs[0].length_m"
    ]


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
