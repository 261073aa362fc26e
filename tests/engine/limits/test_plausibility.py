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
