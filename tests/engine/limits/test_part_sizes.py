"""Slips of a unit or a decimal: found where no part is that large or small, or where another entry contradicts them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
import pytest

from engine.base.errors import TailweightError
from engine.base.formatting import fill
from engine.limits import part_sizes, plausibility
from engine.schema import rig_file
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.schema.sections import RoundTube
from engine.shop.edits import set_value, value_at
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace
SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_rigs").glob("*.rig.json"))
BOATYARD = rig_file.read(next(path for path in SAMPLES if path.name.startswith("skerry")))

LENGTHS = (10.0, 100.0, 1000.0, 25.4, 3.28084, 39.3701)
MASSES = (10.0, 100.0, 1000.0, 2.20462, 9.80665)

A_FOOT = (0.3048,)
LIGHTER = (0.1, 0.45359, 0.10197)

NOT_FOUND: dict[str, tuple[float, ...]] = {
    # Metres typed for feet, of lengths that are as real in the other unit and that nothing else speaks of.
    "truck.pivot_height_m": A_FOOT,
    "truck.front_tyre_radius_m": A_FOOT,
    "truck.upright.lift_max_m": A_FOOT,
    "truck.plate.rows[0].lift_m": A_FOOT,
    "rig.saddles.strap_make.corner_weld.leg_m": A_FOOT,
    "rig.saddles.strap_weld.leg_m": A_FOOT,
    "rig.arms[0].length_m": A_FOOT,
    "rig.arms[1].length_m": A_FOOT,
    "rig.arms[0].hinge.weld.leg_m": A_FOOT,
    "load.rigging.legs[0].length_m": A_FOOT,
    "load.sling_m": A_FOOT,
    # What is lifted and what it hangs in may weigh anything.
    "rig.hook.mass_kg": LIGHTER,
    "load.mass_kg": LIGHTER,
    "load.rigging_kg": (*LIGHTER, 0.01, 0.001),
}
"""Slips that stay green: from a file alone nobody could know.  The window reads a number in the unit it shows."""


def bounded(job: Job) -> list[tuple[str, part_sizes.Bound]]:
    """Every entry of a job that has a bound."""
    return [
        (entry.where, bound)
        for root in ("truck", "rig", "load")
        for entry in part_sizes.entries(getattr(job, root), root)
        if (bound := part_sizes.bound_of(entry.where)) is not None
    ]


def slipped(job: Job, where: str, factor: float) -> Job | None:
    """The job with one entry off by a factor; None where the file would not even open."""
    entered: Any = value_at(job, where)
    if isinstance(entered, Estimate):
        ends = {end: None if (at := getattr(entered, end)) is None else at * factor for end in ("low", "high")}
        changed: Any = REPLACE(entered, best=entered.best * factor, **ends)
    else:
        changed = entered * factor
    try:
        return set_value(job, where, changed)
    except TailweightError:
        return None


@pytest.mark.slow
@pytest.mark.parametrize("half", [0, 1])
def test_a_slip_that_breaks_a_bound_or_another_entry_is_never_green(half: int) -> None:
    """Every sized or weighed entry of the boatyard, off by every factor that is mixed up, both ways."""
    assert evaluate(BOATYARD, BOATYARD.poses[0]).state == "WITHIN"
    tried, green = 0, set()
    for where, bound in bounded(BOATYARD)[half::2]:
        for slip in MASSES if bound.is_mass else LENGTHS:
            for factor in (slip, 1.0 / slip):
                job = slipped(BOATYARD, where, factor)
                tried += 1
                if job is None or plausibility.problems(job) or plausibility.questions(job):
                    continue  # what is asked or refused is looked at below
                if evaluate(job, BOATYARD.poses[0]).state == "WITHIN":
                    green.add((where, round(factor, 5)))
    assert tried > 400
    assert green <= {(where, factor) for where, factors in NOT_FOUND.items() for factor in factors}


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name.partition(".")[0])
def test_every_size_of_every_sample_is_real(path: Path) -> None:
    job = rig_file.read(path)
    assert part_sizes.problems(job.truck, job.rig, job.load) == ()


def test_every_bound_speaks_of_an_entry_of_some_sample() -> None:
    """A pattern that matches nothing would check nothing."""
    jobs = [rig_file.read(path) for path in SAMPLES]
    first, *others = BOATYARD.rig.arms
    round_arm = REPLACE(first, section=RoundTube(diameter_m=0.1, wall_m=0.006))
    jobs.append(REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, arms=(round_arm, *others))))
    met = {bound for job in jobs for _, bound in bounded(job)}
    missing = [bound.where.pattern for bound in part_sizes.BOUNDS if bound not in met]
    assert missing == []


@pytest.mark.parametrize(
    ("where", "entered", "meant"),
    [
        ("truck.forks.thickness_m", 36.0, 0.036),  # pick.md section 5: millimetres typed as metres
        ("truck.forks.thickness_m", 0.9144, 0.036),  # 36 mm read in inches
        ("rig.jib_mast.length_m", 40.0, 1.016),  # inches
        ("truck.wheelbase_m", 5.25, 1.6),  # feet
        ("truck.plate.rows[0].rated_kg", 25_000.0, 2500.0),
    ],
)
def test_a_slip_is_offered_back(where: str, entered: float, meant: float) -> None:
    value = value_at(BOATYARD, where)
    job = set_value(BOATYARD, where, REPLACE(value, best=entered) if isinstance(value, Estimate) else entered)
    (problem,) = part_sizes.problems(job.truck, job.rig, job.load)
    assert (problem.kind, problem.where) == ("asked", where)
    assert problem.numbers["meant"] == pytest.approx(meant, rel=0.02)
    assert "Did you mean" in fill(problem.words, problem.numbers, "metric")


def test_36_metres_of_fork_reads_as_a_person_would_ask_it() -> None:
    job = set_value(BOATYARD, "truck.forks.thickness_m", 36.0)
    (problem,) = part_sizes.problems(job.truck, job.rig, job.load)
    words = fill(problem.words, problem.numbers, "metric")
    assert (
        words == "The thickness of the forks is entered as 36\u202f000 mm; 20 mm to 90 mm is real. Did you mean 36 mm?"
    )


def test_a_size_that_no_slip_explains_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A boom of 2.4 m where only 0.80 to 0.85 m were real: no factor brings it there."""
    bound = part_sizes.bound_of("rig.boom.length_m")
    assert bound is not None
    monkeypatch.setattr(part_sizes, "bound_of", part_sizes.bound_of.__wrapped__)  # past what it remembers
    monkeypatch.setattr(part_sizes, "BOUNDS", (bound._replace(low=0.80, high=0.85),))
    boom = REPLACE(BOATYARD.rig.boom, length_m=2.45)
    job = REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, boom=boom))
    (problem,) = part_sizes.problems(job.truck, job.rig, job.load)
    assert (problem.kind, problem.where) == ("impossible", "rig.boom.length_m")
    assert problem in plausibility.problems(job)
    assert evaluate(job, job.poses[0]).state == "REFUSED"
