"""No lift on a slope of more than 10 %, and a word on every slope that trucks are not tried on."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import Verdict, evaluate
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")
AXLES = ("front_axle_kg", "rear_axle_kg")
LOW = BOATYARD.poses[3]
"""Hook empty: the truck itself stands on any slope here."""


def on(along: float = 0.0, across: float = 0.0, known: str = "measured") -> Job:
    falls = {"fall_along": along, "fall_across": across}
    floor = {name: Estimate(best=value, known=known) for name, value in falls.items()}
    floors = tuple(REPLACE(old, **floor) for old in BOATYARD.floors)
    return REPLACE(BOATYARD, floors=floors, trial_lifts=())


def use(verdict: Verdict, way: str) -> float:
    (check,) = (check for check in verdict.checks if check.name == f"floor: slope {way}")
    return float(check.use)


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize("way", ["along", "across"])
def test_a_slope_of_more_than_ten_per_cent_is_over_whichever_way_it_falls(way: str, sign: float) -> None:
    for fall, expected in ((0.05, 0.5), (0.10, 1.0), (0.101, 1.01), (0.30, 3.0)):
        verdict = evaluate(on(**{way: sign * fall}), LOW)
        assert use(verdict, way) == pytest.approx(expected)
        assert (verdict.state == "OVER") or fall <= 0.10
        if fall > 0.10:
            assert verdict.allowed_load_kg == 0.0


def test_a_slope_near_it_is_not_proven_before_it_is_measured_well() -> None:
    """Measured with a long level, 0.2 % either way; guessed, 2 %."""
    (known,) = (check for check in evaluate(on(0.06), LOW).checks if check.name == "floor: slope along")
    assert float(known.use) == pytest.approx(0.6)
    worst = evaluate(on(0.09, known="guess"), LOW).worst_case
    assert worst is not None and max(worst.use) > 1.0


@pytest.mark.parametrize(
    ("along", "across", "lift_m", "said"),
    [
        (0.02, 0.0, 0.2, ()),
        (0.03, 0.0, 0.2, ("keep the load low",)),
        (0.05, 0.0, 0.2, ("keep the load low",)),
        (0.05, 0.0, 0.7, ("are tried",)),
        (0.0, 0.05, 0.7, ("keep the load low",)),
        (0.0, -0.07, 0.7, ("are tried",)),
        (0.05, 0.07, 0.7, ("are tried", "are tried")),
    ],
)
def test_words_on_a_slope(along: float, across: float, lift_m: float, said: tuple[str, ...]) -> None:
    """Raised tests use 4 % along and 6 % across; over 2 % it is walked first."""
    cautions = evaluate(on(along, across), REPLACE(LOW, lift_m=lift_m)).cautions
    told = [caution.words for caution in cautions if caution.where.endswith(("fall_along", "fall_across"))]
    assert len(told) == len(said) and all(part in words for part, words in zip(said, told, strict=True))


def test_a_truck_of_five_tonnes_is_tried_on_less() -> None:
    plate = BOATYARD.truck.plate
    assert plate is not None
    rows = tuple(REPLACE(row, rated_kg=5000.0) for row in plate.rows)
    job = on(0.037)
    twice = {name: REPLACE(getattr(job.truck, name), best=2.0 * getattr(job.truck, name).best) for name in AXLES}
    heavy = REPLACE(job, truck=REPLACE(job.truck, plate=REPLACE(plate, rows=rows), **twice))
    for tried, expected in ((job, "keep the load low"), (heavy, "are tried")):
        words = [c.words for c in evaluate(tried, REPLACE(LOW, lift_m=0.7)).cautions if c.where.endswith("fall_along")]
        assert expected in words[0]
