"""What a turn pulls the rig with, part by part, against sums by hand."""

from __future__ import annotations

import msgspec
import pytest

from engine.rig.kinematics import figures, place
from engine.rig.load_path import rig_parts
from engine.rig.turning import Field, Pull
from engine.strength.turned_path import turned_path
from tests.samples import sample

JOB = sample("skerry_point_boatyard")
NUMBERS = msgspec.structs.replace(figures(JOB, JOB.poses[0]), tilt_rad=0.0, fall_along=0.0, fall_across=0.0)
PLACED = place(JOB, NUMBERS)
MASSES_KG = [float(part.mass_kg) for part in rig_parts(PLACED)]
"""Sleeves, jib mast, saddles, boom, arm 1, arm 2, hook."""

LEFT = Field(0.0, 1.0, 0.0, 0.0, 0.0, 0.0)
"""One newton on each kilogram, to the left, wherever it is."""

MORE_AHEAD = Field(0.0, 0.0, 0.0, 0.0, 1.0, 0.0)
"""One newton more to the left on each kilogram for each metre ahead of the front axle."""


def pulls(field: Field | None) -> tuple[Pull, ...]:
    path = turned_path(JOB, PLACED, field)
    return (path.sleeves, path.jib_mast, path.saddles, path.boom, *path.arms, path.hook)


def test_every_part_carries_itself_and_all_beyond_it() -> None:
    assert [float(pull.force_N.y) for pull in pulls(LEFT)] == pytest.approx(
        [sum(MASSES_KG[index:]) for index in range(len(MASSES_KG))]
    )


def test_the_moment_is_of_each_weight_at_its_place() -> None:
    """About the upright axis each kilogram's newton has the lever x; all of the rig together."""
    by_hand = sum(float(part.mass_kg) * float(part.position_m.x) for part in rig_parts(PLACED))
    assert float(pulls(LEFT)[0].moment_Nm.z) == pytest.approx(by_hand)


def test_the_boom_is_a_rod_and_no_point() -> None:
    """A pull that grows along it turns it about its own middle with m L squared / 12."""
    *_, boom, arm_1, _, _ = pulls(MORE_AHEAD)
    own = Pull(boom.force_N - arm_1.force_N, boom.moment_Nm - arm_1.moment_Nm)
    part = rig_parts(PLACED)[3]
    assert part.link == "boom"
    assert float(own.about(part.position_m).z) == pytest.approx(MASSES_KG[3] * JOB.rig.boom.length_m**2 / 12.0)


def test_without_a_turn_nothing_is_pulled() -> None:
    assert all(float(pull.force_N.length()) == 0.0 for pull in pulls(None))
