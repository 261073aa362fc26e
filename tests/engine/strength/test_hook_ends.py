"""Hoops pulled any way, drop-in pins and bought gear, against the worked examples and hand sums."""

from __future__ import annotations

import math

import pytest

from engine.strength.bought_gear import allowed_pull_N, leg_angle, leg_share, unpinned_slide_N
from engine.strength.hook_ends import (
    DropIn,
    HoopPull,
    HoopSize,
    drop_in_terms,
    foot_demands,
    foot_groups,
    foot_on_wall,
    foot_weld_groups,
    head_N,
    in_hoop_axes,
    wall_shares,
)
from engine.strength.linear_in_load import Linear
from engine.strength.wall_patch import Patch, Wall, folding_pull_N

FOUR_FIGURES = 5e-4
NONE = Linear(0.0, 0.0)
HOOP = HoopSize(0.02, 0.04, 0.25)
ASIDE_N = 1305.6
"""1,306 N to four figures; 189.3 N·m over 0.29 m is 1,305.5 to 1,306 N."""


def pull(legs: float = 0.0, in_plane: float = 0.0, out: float = 0.0) -> HoopPull:
    return HoopPull(Linear(legs, 0.0), Linear(in_plane, 0.0), Linear(out, 0.0))


def worst(groups: tuple[tuple[Linear, ...], ...]) -> float:
    return max(math.hypot(*(float(part.fixed) for part in group)) for group in groups)


def test_a_hoop_pulled_square_to_its_plane() -> None:
    """Foot 189.3 N·m, 241.0 MPa; twist 26.11 N·m, 16.62 MPa; together by von Mises."""
    at = foot_demands(HOOP)
    assert ASIDE_N * at.moment_out == pytest.approx(189.3, rel=FOUR_FIGURES)
    assert ASIDE_N * at.twist == pytest.approx(26.11, rel=FOUR_FIGURES)
    found = foot_groups(pull(out=ASIDE_N), HOOP)
    stress, twisted = found[0]
    assert abs(float(stress.fixed)) / 1e6 == pytest.approx(241.0, rel=FOUR_FIGURES)
    assert float(twisted.fixed) / math.sqrt(3.0) / 1e6 == pytest.approx(16.62, rel=FOUR_FIGURES)
    assert worst(found) / 1e6 == pytest.approx(math.hypot(241.0, math.sqrt(3.0) * 16.62), rel=FOUR_FIGURES)


def test_the_weld_of_that_foot() -> None:
    """189.3/(pi 0.02^2/4) = 602.6 N/mm straight; shear 1,306/2/62.83 and twist 26.11/(pi 0.02^2/2) across: 52.0."""
    found = foot_weld_groups(pull(out=ASIDE_N), HOOP)
    assert max(abs(float(group[0].fixed)) for group in found) / 1000.0 == pytest.approx(602.6, rel=FOUR_FIGURES)
    assert max(abs(float(group[2].fixed)) for group in found) / 1000.0 == pytest.approx(10.39 + 41.56, rel=1e-3)
    assert worst(found) / 1000.0 == pytest.approx(math.hypot(602.6, 51.95), rel=FOUR_FIGURES)


def test_a_side_pull_in_the_hoops_plane_bends_the_feet_and_pulls_at_one() -> None:
    at = foot_demands(HOOP)
    assert at.moment_in[1] == pytest.approx(0.145)
    assert at.pull[1] == pytest.approx(0.29 / 0.08)
    found = worst(foot_groups(pull(in_plane=1000.0), HOOP))
    assert found == pytest.approx(145.0 * 32.0 / (math.pi * 0.02**3) + 3625.0 * 4.0 / (math.pi * 0.02**2))


def test_signs_of_side_pulls_do_not_relieve_a_foot() -> None:
    found = {
        round(worst(foot_groups(pull(5000.0, side, out), HOOP)), 3)
        for side in (400.0, -400.0)
        for out in (300.0, -300.0)
    }
    assert len(found) == 1


def test_a_pull_along_the_legs_is_the_u_frame() -> None:
    """Half of the pull in each leg, and the frame's foot moment."""
    frame = HOOP.frame
    stress = worst(foot_groups(pull(5000.0), HOOP))
    assert stress == pytest.approx(2500.0 / (math.pi * 1e-4) + 5000.0 * frame.foot * 0.04 * 32.0 / (math.pi * 0.02**3))
    straight, moments, out = foot_on_wall(pull(5000.0, 100.0, 60.0), HOOP)
    assert max(float(value.fixed) for value in straight) == pytest.approx(2500.0 + 362.5)
    assert max(float(value.fixed) for value in moments) == pytest.approx(5000.0 * frame.foot * 0.04 + 14.5)
    assert out.fixed == pytest.approx(60.0 * 0.145)


def test_an_arm_raised_pulls_a_hoop_across_it_out_of_its_plane() -> None:
    """P sin of the angle runs along the link; a hoop in the link's own plane takes it in its plane."""
    raised, load = 0.3, 2000.0
    force = Linear(-load * math.sin(raised), 0.0), Linear(50.0, 0.0), Linear(-load * math.cos(raised), 0.0)
    across, along = in_hoop_axes(force, "across", "under"), in_hoop_axes(force, "along", "under")
    assert abs(float(across.out_of_plane.fixed)) == pytest.approx(load * math.sin(raised))
    assert abs(float(along.in_plane.fixed)) == pytest.approx(load * math.sin(raised))
    assert across.along_legs.fixed == along.along_legs.fixed == pytest.approx(load * math.cos(raised))
    at_end = in_hoop_axes(force, "along", "end")
    assert (at_end.along_legs, at_end.in_plane, at_end.out_of_plane) == (force[0], force[2], force[1])
    assert in_hoop_axes(force, "across", "end").out_of_plane is force[2]


# ---------------------------------------------------------------- drop-in pin


def test_a_drop_in_pin() -> None:
    """300 N at 120 mm under walls 100 apart: near 660, far 360 N; 36 N·m on 25 mm: 23.47 MPa; head 9,482 N."""
    pin = DropIn(0.025, 0.12, 0.1)
    assert [300.0 * share for share in wall_shares(pin)] == pytest.approx([660.0, 360.0])
    terms = drop_in_terms(NONE, (Linear(-300.0, 0.0), NONE), pin)
    assert sum(weight * abs(value.fixed) for weight, value in terms) / 1e6 == pytest.approx(23.47, rel=FOUR_FIGURES)
    tension = drop_in_terms(Linear(5000.0, 0.0), (NONE, NONE), pin)
    assert sum(weight * abs(value.fixed) for weight, value in tension) == pytest.approx(5000.0 / 4.9087e-4, rel=1e-4)
    whole = folding_pull_N(Wall(0.1, 0.1, 0.0063, 195e6), Patch(0.05, 0.05)) / 3.0
    assert head_N(whole, 0.026, 0.05) == pytest.approx(9482.0, rel=FOUR_FIGURES)


# ---------------------------------------------------------------- bought gear


@pytest.mark.parametrize(("angle_deg", "share"), [(30.0, 0.5774), (45.0, 0.7071), (60.0, 1.000)])
def test_two_legs_carry_all(angle_deg: float, share: float) -> None:
    for legs in (2, 3, 4):
        assert leg_share(legs, math.radians(angle_deg)) == pytest.approx(share, rel=FOUR_FIGURES)


def test_ratings_and_angles_of_legs() -> None:
    assert allowed_pull_N(500.0, 2, math.radians(45.0)) == pytest.approx(500.0 * 9.80665 / 0.70711, rel=1e-4)
    assert allowed_pull_N(500.0, 1, 0.0) == pytest.approx(500.0 * 9.80665)
    words = [leg_angle(2, math.radians(angle)) for angle in (30.0, 31.0, 45.0, 46.0, 60.0, 61.0)]
    assert words == ["plumb", "spread", "spread", "flat", "flat", "over"]
    assert leg_angle(1, 0.0) == "plumb"


def test_a_boom_that_nothing_pins_slides_with_its_load() -> None:
    """250 kg on 3 degrees: 128.3 N."""
    assert unpinned_slide_N(250.0, math.radians(3.0)) == pytest.approx(128.3, rel=FOUR_FIGURES)
