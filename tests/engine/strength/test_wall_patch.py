"""A tube's wall under a patch, against values worked by hand from AISC 360-10 chapter K (yield 195 MPa, factor 3)."""

from __future__ import annotations

import math

import pytest

from engine.schema.sections import RectTube, properties
from engine.strength.linear_in_load import Linear
from engine.strength.wall_patch import (
    CHORD_STRESS_TOTAL,
    Branch,
    Patch,
    Wall,
    distortion_across_Nm,
    effective_width_m,
    factor_of,
    folding_across_Nm,
    folding_along_Nm,
    folding_pull_N,
    in_tested_range,
    patch_limits,
    patch_terms,
    pressed_sums,
    punching_N,
    relieved,
    side_walls_across_Nm,
    side_walls_along_Nm,
    uneven_across_Nm,
)

FY_PA = 195e6
FACTOR = 3.0
FOUR_FIGURES = 5e-4


def wall(width_mm: float, depth_mm: float, wall_mm: float) -> Wall:
    return Wall(width_mm / 1000.0, depth_mm / 1000.0, wall_mm / 1000.0, FY_PA)


def patch(across_mm: float, along_mm: float) -> Patch:
    return Patch(across_mm / 1000.0, along_mm / 1000.0)


@pytest.mark.parametrize(
    ("width", "thick", "pull_N", "along_Nm", "across_Nm"),
    [(75.0, 6.4, 14_370.0, 243.6, 237.6), (90.0, 6.0, 11_950.0, 224.8, None)],
)
def test_a_hoop_foot_of_20_mm(
    width: float, thick: float, pull_N: float, along_Nm: float, across_Nm: float | None
) -> None:
    on, foot = wall(width, width, thick), patch(20.0, 20.0)
    assert folding_pull_N(on, foot) / FACTOR == pytest.approx(pull_N, rel=FOUR_FIGURES)
    assert folding_along_Nm(on, foot) / FACTOR == pytest.approx(along_Nm, rel=FOUR_FIGURES)
    if across_Nm is not None:
        assert folding_across_Nm(on, foot) / FACTOR == pytest.approx(across_Nm, rel=FOUR_FIGURES)


def test_two_feet_near_each_other_are_one_patch_and_carry_less_than_twice_one() -> None:
    together = folding_pull_N(wall(75.0, 75.0, 6.4), patch(20.0, 100.0)) / FACTOR
    assert together == pytest.approx(22_120.0, rel=FOUR_FIGURES)
    assert together < 2.0 * 14_370.0


def test_a_face_lug_80_wide_on_a_tube_of_100() -> None:
    limits = patch_limits(wall(100.0, 100.0, 6.3), patch(80.0, 120.0), FACTOR)
    assert limits.along_Nm == pytest.approx(3_371.0, rel=FOUR_FIGURES)
    assert folding_pull_N(wall(100.0, 100.0, 6.3), patch(80.0, 120.0)) / FACTOR == pytest.approx(
        54_030.0, rel=FOUR_FIGURES
    )
    punched = 0.60 * FY_PA * 0.0063 * 2.0 * 0.080 / FACTOR  # its sides stand 3.7 mm from the side walls
    assert limits.pull_N == pytest.approx(punched)
    assert limits.beta == pytest.approx(0.8)


def test_a_mast_as_wide_as_its_cross_member() -> None:
    on, foot = wall(120.0, 80.0, 6.0), patch(120.0, 120.0)
    mast = properties(RectTube(width_m=0.12, depth_m=0.12, wall_m=0.005))
    branch = Branch(0.005, FY_PA, mast.plastic_up_m3, mast.plastic_side_m3)
    assert side_walls_across_Nm(on, 0.12) / FACTOR == pytest.approx(6_669.0, rel=FOUR_FIGURES)
    assert distortion_across_Nm(on, 0.12) / FACTOR == pytest.approx(3_209.0, rel=FOUR_FIGURES)
    assert side_walls_along_Nm(on, 0.12) / FACTOR == pytest.approx(4_388.0, rel=FOUR_FIGURES)
    assert effective_width_m(on, foot, branch) == pytest.approx(0.072)
    assert uneven_across_Nm(on, foot, branch) / FACTOR == pytest.approx(5_830.0, rel=FOUR_FIGURES)
    limits = patch_limits(on, foot, FACTOR, branch=branch)
    assert limits.across_Nm == pytest.approx(3_209.0, rel=FOUR_FIGURES), "its own ends are not held square"
    held = patch_limits(on, foot, FACTOR, branch=branch, square_ends=True)
    assert held.across_Nm == pytest.approx(5_830.0, rel=FOUR_FIGURES)


def test_a_mast_stepped_on_a_wider_cross_member_folds_its_wall() -> None:
    on, foot = wall(200.0, 100.0, 5.0), patch(100.0, 100.0)
    limits = patch_limits(on, foot, FACTOR)
    assert limits.across_Nm == pytest.approx(806.7, rel=FOUR_FIGURES)
    assert limits.along_Nm == pytest.approx(784.6, rel=FOUR_FIGURES)
    assert distortion_across_Nm(on, 0.1) / FACTOR == pytest.approx(3_885.0, rel=FOUR_FIGURES)


def test_a_base_plate_of_160_is_a_patch_that_folds_the_wall_later() -> None:
    limits = patch_limits(wall(200.0, 100.0, 5.0), patch(160.0, 160.0), FACTOR)
    assert limits.across_Nm == pytest.approx(2_403.0, rel=FOUR_FIGURES)


def test_a_drop_in_head_of_50_with_a_hole_of_26() -> None:
    whole = folding_pull_N(wall(100.0, 100.0, 6.3), patch(50.0, 50.0)) / FACTOR
    assert whole * (1.0 - 26.0 / 50.0) == pytest.approx(9_482.0, rel=FOUR_FIGURES)


def test_a_push_cripples_thin_side_walls_that_a_pull_only_yields() -> None:
    """120 x 300 x 2 under a patch of 120 x 120, two walls, over 3.

    J10-2: 2 x 195 x 2 x (7.5 x 2 + 120) = 105,300 N.  J10-4: 2 x 0.80 x 2^2 x (1 + 3 x 120/300) sqrt(199,948 x 195) =
    87,920 N.
    """
    limits = patch_limits(wall(120.0, 300.0, 2.0), patch(120.0, 120.0), FACTOR)
    assert limits.pull_N == pytest.approx(105_300.0 / 3.0)
    assert limits.push_N == pytest.approx(87_920.0 / 3.0, rel=FOUR_FIGURES)


def test_a_patch_near_the_side_walls_cannot_punch_along_them() -> None:
    on = wall(100.0, 100.0, 6.0)
    assert punching_N(on, patch(60.0, 50.0)) == pytest.approx(0.60 * FY_PA * 0.006 * 0.22)
    assert punching_N(on, patch(80.0, 50.0)) == pytest.approx(0.60 * FY_PA * 0.006 * 0.16), "4 mm from a side wall"
    assert punching_N(on, patch(90.0, 50.0)) == math.inf


def test_a_wall_pressed_to_its_limit_leaves_a_narrow_patch_half() -> None:
    """Qf = 1.3 - 0.4 / 0.5 = 0.5 for beta 0.5 in a fully used wall."""
    taken = relieved(0.5, FY_PA / FACTOR, FY_PA, FACTOR)
    assert 1.3 - taken == pytest.approx(0.5)
    assert 806.7 * (1.3 - taken) == pytest.approx(403.0, rel=1e-3)


def test_the_factor_is_never_under_a_half_more() -> None:
    assert factor_of(1.2) == 1.5
    assert factor_of(3.0) == 3.0


@pytest.mark.parametrize(
    ("on", "stands", "tested"),
    [
        (wall(100.0, 100.0, 5.0), patch(50.0, 50.0), True),
        (wall(200.0, 100.0, 5.0), patch(100.0, 50.0), False),
        (wall(100.0, 40.0, 5.0), patch(50.0, 50.0), False),
        (wall(100.0, 100.0, 5.0), patch(20.0, 50.0), False),
    ],
    ids=["within", "too slender", "too shallow", "too narrow"],
)
def test_the_tested_range_is_said(on: Wall, stands: Patch, tested: bool) -> None:
    assert in_tested_range(on, stands) is tested


def test_actions_on_a_patch_add_up_and_a_pressed_wall_leaves_less() -> None:
    """Stepped foot of beta 0.5: half of 806.7 across and a wall at Fy/3: 0.5 + 0.4/0.5 = 1.3, just allowed."""
    limits = patch_limits(wall(200.0, 100.0, 5.0), patch(100.0, 100.0), FACTOR)
    none, across = Linear(0.0, 0.0), Linear(-limits.across_Nm / 2.0, 0.0)
    terms = patch_terms(limits, Linear(0.25 * limits.push_N, 0.0), none, across)
    assert sum(weight * abs(value.fixed) for weight, value in terms) == pytest.approx(0.75)
    pressed = pressed_sums(limits, none, none, across, Linear(FY_PA / FACTOR, 0.0), (FY_PA, FACTOR))
    assert max(value.fixed for value in pressed) == pytest.approx(CHORD_STRESS_TOTAL)
    pulled = pressed_sums(limits, none, none, across, Linear(-FY_PA / FACTOR, 0.0), (FY_PA, FACTOR))
    assert max(value.fixed for value in pulled) < 0.0, "a wall in tension leaves the other row to govern"
