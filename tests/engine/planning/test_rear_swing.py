"""The rear of a truck that turns: how far it swings out, and what it runs into."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.base.formatting import fill
from engine.planning.move import plan
from engine.planning.rear_swing import corner_radius_m, rear_gaps, swing_out_m
from engine.schema.model import Job, Move, Surrounding
from engine.schema.quantities import Estimate
from tests.samples import read_once

REPLACE = msgspec.structs.replace
CAROUSEL = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "larkfield_carousel_works.rig.json")
SIZES = {"wheelbase_m": 1.6, "rear_overhang_m": 0.45, "width_m": 1.10, "turning_radius_m": 2.3}
TRUCK = REPLACE(CAROUSEL.truck, **{name: Estimate(best=size, known="measured") for name, size in SIZES.items()})


def beside(**sides: float) -> Job:
    """The truck with one bench 0.9 m high beside it, on every floor."""
    box = Surrounding(name="bench", known="measured", z0_m=0.0, z1_m=0.9, **sides)
    return REPLACE(CAROUSEL, truck=TRUCK, surroundings=(box,))


@pytest.mark.parametrize(("radius_m", "corner_m", "out_m"), [(1.2, 2.695, 0.945), (2.0, 3.272, 0.722)])
def test_the_rear_swings_out_beyond_the_front_wheels(radius_m: float, corner_m: float, out_m: float) -> None:
    """By hand: sqrt((R + 0.55)2 + 2.05^2), less R + 0.55."""
    assert corner_radius_m(TRUCK, radius_m) == pytest.approx(corner_m, abs=5e-4)
    assert swing_out_m(TRUCK, radius_m) == pytest.approx(out_m, abs=5e-4)


def swept_m(radius_m: float, turn_rad: float, box: Surrounding) -> float:
    """Distance by brute force: points all over the counterweight, turned forward, to the box in plan.

    Of the ways round on which the front, points all over it, does not come to the box.
    """

    def least_m(x_m: tuple[float, float], side: float) -> float:
        x, y = np.meshgrid(np.linspace(*x_m, 25), np.linspace(-0.55, 0.55, 45))
        least, middle = math.inf, side * radius_m
        for angle in side * np.linspace(0.0, turn_rad, 601):
            at_x = x * np.cos(angle) - (y - middle) * np.sin(angle)
            at_y = x * np.sin(angle) + (y - middle) * np.cos(angle) + middle
            away_x = np.maximum(np.maximum(box.x0_m - at_x, at_x - box.x1_m), 0.0)
            away_y = np.maximum(np.maximum(box.y0_m - at_y, at_y - box.y1_m), 0.0)
            least = min(least, float(np.hypot(away_x, away_y).min()))
        return least

    front = (0.0, TRUCK.front_tyre_radius_m)
    return min(least_m((-2.05, -1.45), side) for side in (1.0, -1.0) if least_m(front, side) > 0.0)


@pytest.mark.parametrize(
    "sides",
    [
        {"x0_m": -1.0, "x1_m": 0.5, "y0_m": 1.40, "y1_m": 2.0},
        {"x0_m": -3.0, "x1_m": 1.0, "y0_m": -2.5, "y1_m": -1.40},
        {"x0_m": -4.0, "x1_m": -2.4, "y0_m": -0.5, "y1_m": 0.5},
        {"x0_m": 0.0, "x1_m": 0.4, "y0_m": 1.9, "y1_m": 2.4},
    ],
)
@pytest.mark.parametrize("distance_m", [0.8, 1.5])
def test_the_gap_of_the_swept_rear_is_never_more_than_there_is(sides: dict[str, float], distance_m: float) -> None:
    job = beside(**sides)
    (gap,) = rear_gaps(job, 2.0, distance_m, ("anywhere",))
    there_m = swept_m(2.0, distance_m / 2.0, job.surroundings[0])
    if there_m > 0.0:
        assert 0.7 * there_m - 0.01 <= gap.clear_m <= there_m  # from corner to corner it says less than there is
    else:
        assert gap.clear_m <= 0.0
    assert gap.worst_m == pytest.approx(gap.clear_m - 0.06)


def test_only_what_stands_as_high_as_the_counterweight_and_on_these_floors_counts() -> None:
    job = beside(x0_m=-1.0, x1_m=0.5, y0_m=0.8, y1_m=2.0)
    box = job.surroundings[0]
    (inside,) = rear_gaps(job, 2.0, None, ("here",))
    assert inside.clear_m < 0.0
    overhead = REPLACE(job, surroundings=(REPLACE(box, z0_m=2.0, z1_m=3.0),))
    (above,) = rear_gaps(overhead, 2.0, None, ("here",))
    assert above.clear_m == pytest.approx(2.0 - 1.10, abs=0.01)
    elsewhere = REPLACE(job, surroundings=(REPLACE(box, floor=CAROUSEL.floors[0].name),))
    assert not list(rear_gaps(elsewhere, 2.0, None, ("here",)))


@pytest.mark.parametrize(
    ("extra_m", "state", "words"),
    [
        (0.040, "OVER", "Turning, the rear comes within 4"),
        (0.130, "NOT PROVEN", "Turning, the rear would have 13"),
        (0.250, "WITHIN", ""),
        (-0.050, "OVER", "Turning, the rear runs into bench by 5"),
    ],
)
def test_a_move_that_swings_the_rear_into_a_bench_is_over(extra_m: float, state: str, words: str) -> None:
    """A bench along the way, ``extra_m`` beyond where the rear corner goes; the hook is empty."""
    edge_m = corner_radius_m(TRUCK, 2.0) - 2.0 + extra_m + 0.003
    job = beside(x0_m=-6.0, x1_m=3.0, y0_m=edge_m, y1_m=edge_m + 0.5)
    low = REPLACE(job.poses[2], loaded=False)
    places = [REPLACE(low, name=floor.name, floor=floor.name) for floor in job.floors[:2]]
    job = REPLACE(job, poses=(*job.poses, *places))
    planned = plan(job, Move(name="round", poses=(places[0].name, places[1].name), turns=True))
    told = [fill(one.words, one.numbers, "metric") for one in planned.objections]
    assert planned.state == state, told
    assert any(one.startswith(words) for one in told) if words else not any("bench" in one for one in told)
