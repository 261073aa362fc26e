"""From where to where numbers lie: the model's limits (engine/schema), and real parts' (pick.md section 5)."""

from __future__ import annotations

import math

import pytest

from engine.limits.entry_ranges import range_of
from tests.samples import sample


@pytest.mark.parametrize(
    ("path", "least", "most"),
    [
        ("rig.boom.length_m", 0.3, 6.0),
        ("rig.boom.section.wall_m", 0.001, 0.025),
        ("rig.arms[1].length_m", 0.1, 3.0),
        ("policy.braking", 0.0, 0.6),
        ("truck.upright.tilt_back_max_rad", 0.0, 0.35),
        ("floors[0].fall_along.best", -0.35, 0.35),
        ("load.mass_kg.high", 0.0, 5000.0),
        ("load.mass_kg", 0.0, 5000.0),
    ],
)
def test_a_number_lies_in_the_narrower_of_the_models_limits_and_those_of_real_parts(
    path: str, least: float, most: float
) -> None:
    assert range_of(sample("skerry_point_boatyard"), path) == pytest.approx((least, most))


def test_a_path_that_says_nothing_has_no_limits() -> None:
    job = sample("skerry_point_boatyard")
    assert range_of(job, "rig.sleeves.heel_hold.nothing_m") == (-math.inf, math.inf)
    assert range_of(job, "rig.arms[0].stay.length_min_m") == (-math.inf, math.inf)
