"""What a verdict rests on that nobody has measured: guesses, missing facts, chosen allowances."""

from __future__ import annotations

import msgspec

from engine.base.formatting import fill
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import low_high
from engine.shop.assumptions import allowances, assumed, known_numbers, missing

REPLACE = msgspec.structs.replace


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
    assert any("slope is not known" in said.words for said in missing(job, job.poses[0]))
    told = " ".join(fill(said.words, said.numbers, "metric") for said in allowances(job))
    assert f"{job.policy.dynamic_factor:.2f}" in told
    assert "{" not in told


def test_a_floor_whose_surface_nobody_named_is_said_to_be_taken_as_wet(sample: Job) -> None:
    def told(job: Job) -> bool:
        return any("taken as wet" in said.words for said in assumed(job, job.poses[0]))

    bare = REPLACE(sample, floors=tuple(REPLACE(floor, surface=None) for floor in sample.floors))
    dry = REPLACE(sample, floors=tuple(REPLACE(floor, surface="dry") for floor in sample.floors))
    assert told(bare) and not told(dry)
