"""Hinge ends against the worked example: 2,518 N·m on barrels 200 apart, tube 100 x 100 x 6.3 (Fy 195, factor 3)."""

from __future__ import annotations

import math

import pytest

from engine.strength.cuts import SectionForces
from engine.strength.hinge_ends import (
    CopedTube,
    EndPlate,
    FaceLug,
    HingePull,
    Sleeve,
    bearing_length_m,
    cope,
    cope_pulls,
    end_plate_groups,
    end_plate_weld_sixes,
    ends,
    least_end_plate_m,
    lug_rupture_N,
    lug_six,
    lug_terms,
    shear_lag,
    sleeve_end_N,
    sleeve_limits,
    sleeve_moment_Nm,
)
from engine.strength.linear_in_load import Linear
from engine.strength.wall_patch import Patch, Wall, folding_along_Nm, folding_pull_N
from engine.strength.weld_lines import Deposit, Joined, laid, plate, pulls

FOUR_FIGURES = 5e-4
FB, FV, BEARING = 65e6, 37.53e6, 81.25e6
MOMENT = 2518.0
SLEEVE = Sleeve(0.173, 0.050, 0.0255, 0.1)


def pull(
    along: float = 0.0, across: float = 0.0, thrust: float = 0.0, moment: float = 0.0, turned: float = 0.0
) -> HingePull:
    return HingePull(*(Linear(value, 0.0) for value in (along, across, thrust, moment, turned)))


def resultant(group: tuple[Linear, ...]) -> float:
    return math.hypot(*(part.fixed for part in group))


def worst(groups: tuple[tuple[Linear, ...], ...]) -> float:
    return max(resultant(group) for group in groups)


def test_each_end_takes_half_the_force_and_the_couple() -> None:
    upper, lower = ends(pull(1000.0, 400.0, 0.0, MOMENT, -60.0), 0.2)
    assert [part.fixed for part in upper] == pytest.approx([500.0 + 12_590.0, 200.0 - 300.0])
    assert [part.fixed for part in lower] == pytest.approx([500.0 - 12_590.0, 200.0 + 300.0])


# ---------------------------------------------------------------- through sleeve


def test_a_through_sleeve() -> None:
    """F (0.173 - c) = 2,518: 15,200 N, c 7.34; F (36.5 - c/2) = 499.0 N·m on 11,440 mm3: 43.62 MPa."""
    end = float(sleeve_end_N(MOMENT, SLEEVE, BEARING))
    assert end == pytest.approx(15_200.0, rel=FOUR_FIGURES)
    assert bearing_length_m(end, SLEEVE, BEARING) * 1000.0 == pytest.approx(7.34, abs=0.005)
    moment = float(sleeve_moment_Nm(end, SLEEVE, BEARING))
    assert moment == pytest.approx(499.0, rel=FOUR_FIGURES)
    assert SLEEVE.modulus_m3 * 1e9 == pytest.approx(11_440.0, rel=FOUR_FIGURES)
    assert moment / SLEEVE.modulus_m3 / 1e6 == pytest.approx(43.62, rel=FOUR_FIGURES)


def test_the_quick_bound_of_a_sleeve_is_never_less() -> None:
    """H (h - d)/2 = 12,590 x 0.05 = 629.5 N·m, 55.02 MPa."""
    bound = MOMENT / 0.2 * (0.2 - 0.1) / 2.0
    assert bound == pytest.approx(629.5, rel=FOUR_FIGURES)
    assert bound / SLEEVE.modulus_m3 / 1e6 == pytest.approx(55.02, rel=FOUR_FIGURES)
    assert bound >= sleeve_moment_Nm(sleeve_end_N(MOMENT, SLEEVE, BEARING), SLEEVE, BEARING)


def test_what_a_sleeve_is_allowed_meets_its_stress_just_there() -> None:
    limits = sleeve_limits(SLEEVE, FB, FV, BEARING)
    moment = sleeve_moment_Nm(limits.bending_N, SLEEVE, BEARING)
    assert moment / SLEEVE.modulus_m3 == pytest.approx(FB)
    assert limits.bending_N == min(limits[:3])
    assert limits.lever_m == pytest.approx(SLEEVE.length_m - bearing_length_m(limits.bending_N, SLEEVE, BEARING))
    # With that lever a moment's end force is exact at the limit and never less below it.
    at_limit = limits.bending_N * limits.lever_m
    assert sleeve_end_N(at_limit, SLEEVE, BEARING) == pytest.approx(limits.bending_N)
    assert MOMENT / limits.lever_m >= sleeve_end_N(MOMENT, SLEEVE, BEARING)


def test_a_sleeve_too_stout_to_bend_is_held_to_shear_and_bearing() -> None:
    stout = Sleeve(0.120, 0.08, 0.02, 0.1)
    limits = sleeve_limits(stout, FB, FV, BEARING)
    # Half of the 10 mm overhang bears at most: F (10 - 2.5) mm = S Fb.
    assert limits.bending_N == pytest.approx(math.pi * (0.08**4 - 0.02**4) / (32.0 * 0.08) * FB / 0.0075)
    assert limits.bending_N > max(limits.shear_N, limits.bearing_N)
    assert sleeve_limits(Sleeve(0.1, 0.08, 0.02, 0.1), FB, FV, BEARING).bending_N == math.inf
    assert limits.shear_N == pytest.approx(math.pi * (0.08**2 - 0.02**2) / 8.0 * FV)
    assert limits.bearing_N == pytest.approx(BEARING * 0.02 * 0.06)


SNUG = CopedTube(0.062, 0.0, 0.0063)
"""A tube just wide enough for a sleeve of 50 and legs of 6, whose side walls the sleeve reaches."""


@pytest.mark.parametrize(("coped", "q"), [("half", 225.1), ("through", 160.3)])
def test_the_cope_of_a_sleeve(coped: str, q: float) -> None:
    weld = cope(SLEEVE, coped, SNUG, 0.006)  # type: ignore[arg-type]
    if coped == "half":
        assert weld.second_m3 == pytest.approx(5.594e-4, rel=FOUR_FIGURES)
    found = worst(cope_pulls(pull(moment=MOMENT), weld, 0.1)) / 1000.0
    assert found == pytest.approx(q, rel=FOUR_FIGURES)
    if coped == "half":
        assert found / 203.0 == pytest.approx(1.109, rel=FOUR_FIGURES)
        assert found / 6.3 == pytest.approx(35.72, rel=FOUR_FIGURES)


def test_forces_of_a_hinge_spread_over_the_whole_cope() -> None:
    weld = cope(SLEEVE, "half", SNUG, 0.006)
    length = math.pi * 0.05 + 0.2
    assert weld.length_m == pytest.approx(length)
    found = worst(cope_pulls(pull(300.0, -400.0, 1200.0), weld, 0.1))
    assert found == pytest.approx(1300.0 / length)


def test_a_cope_is_welded_only_where_flat_and_side_walls_reach() -> None:
    """Sleeve of 60 in a tube 90 x 6: flat 33 to each side, so asin(33/36) = 66.44 degrees each way; no side wall."""
    sleeve, tube = Sleeve(0.178, 0.06, 0.0255, 0.09), CopedTube(0.09, 0.012, 0.006)
    quarter = 0.03 * math.radians(66.4435)
    assert cope(sleeve, "through", tube, 0.006).arc_m == pytest.approx(4.0 * quarter, rel=1e-5)
    half = cope(sleeve, "half", tube, 0.006)
    assert half.arc_m == pytest.approx(2.0 * quarter, rel=1e-5)
    assert half.length_m == pytest.approx(4.0 * quarter, rel=1e-5)
    # At the side walls' inside, 78 apart, both are welded along 90.
    wide = cope(sleeve._replace(outer_m=0.078), "half", tube, 0.006)
    assert wide.length_m - 2.0 * wide.arc_m == pytest.approx(0.18)
    assert cope(sleeve, "through", tube._replace(corner_m=0.045), 0.006).arc_m == 0.0


# ---------------------------------------------------------------- end plate


@pytest.mark.parametrize(("thick_mm", "stress"), [(12.0, 262.3), (25.0, 60.43)])
def test_an_end_plate_as_wide_as_its_tube(thick_mm: float, stress: float) -> None:
    """12,590 x 0.05 = 629.5 N·m on 100 wide."""
    found = worst(end_plate_groups(pull(moment=MOMENT), EndPlate(thick_mm / 1000.0, 0.1, 0.1, 0.1, 0.2, 0.05)))
    assert found / 1e6 == pytest.approx(stress, rel=FOUR_FIGURES)


@pytest.mark.parametrize(("yield_MPa", "least_mm"), [(195.0, 24.10), (230.0, 22.19)])
def test_least_end_plate(yield_MPa: float, least_mm: float) -> None:
    thin = EndPlate(0.012, 0.1, 0.1, 0.1, 0.2, 0.05)
    found = least_end_plate_m(MOMENT / 0.2, thin, yield_MPa * 1e6 / 3.0)
    assert found * 1000.0 == pytest.approx(least_mm, rel=FOUR_FIGURES)


def test_an_end_plate_pulled_across() -> None:
    """5,000 N at 37.5 mm off a 25 mm plate: twist 10.35 and bending 6.000 MPa; 5,000 N comes as 10,000 on the hinge."""
    plate_25 = EndPlate(0.025, 0.1, 0.1, 0.1, 0.2, 0.05)
    assert plate_25.reach_m == pytest.approx(0.0375)
    groups = end_plate_groups(pull(across=10_000.0), plate_25)
    stress, shear = max(groups, key=resultant)
    assert abs(shear.fixed) / math.sqrt(3.0) / 1e6 == pytest.approx(10.35, rel=FOUR_FIGURES)
    assert abs(stress.fixed) / 1e6 == pytest.approx(6.000, rel=FOUR_FIGURES)


def test_thrust_bends_an_end_plate_at_one_barrel_whatever_its_sign() -> None:
    plate_25 = EndPlate(0.025, 0.1, 0.1, 0.1, 0.2, 0.05)
    for thrust in (2000.0, -2000.0):
        found = worst(end_plate_groups(pull(thrust=thrust, moment=MOMENT), plate_25)) / 1e6
        assert found == pytest.approx(60.43 + 2000.0 * 0.0375 * 6.0 / (0.1 * 0.025**2) / 1e6, rel=FOUR_FIGURES)


def test_a_wide_plate_carries_on_the_tube_and_a_thickness_at_each_side() -> None:
    assert EndPlate(0.02, 0.3, 0.1, 0.1, 0.2, 0.05).carrying_m == pytest.approx(0.14)
    assert EndPlate(0.02, 0.12, 0.1, 0.1, 0.2, 0.05).carrying_m == pytest.approx(0.12)
    assert EndPlate(0.02, 0.12, 0.1, 0.1, 0.08, 0.05).overhang_m == 0.0


def test_the_weld_of_an_end_plate_carries_the_whole_hinge() -> None:
    """Box of 100: 2,518/0.01333 = 188.8 N/mm; at its reach across force turns it and thrust bends it, either way."""
    box = laid(0.1, 0.1, plate(0.3, 0.3), Deposit(0.006, 413.7e6, 0.7), Joined(0.0063, 290e6, 3.0))
    both = end_plate_weld_sixes(pull(moment=MOMENT), 0.0375)
    assert worst(tuple(point for six in both for point in pulls(box, six))) / 1000.0 == pytest.approx(
        188.8, rel=FOUR_FIGURES
    )
    found = end_plate_weld_sixes(pull(100.0, 200.0, 300.0, MOMENT, 50.0), 0.0375)
    assert {round(float(six.bend_up.fixed), 6) for six in found} == {2518.0 + 11.25, 2518.0 - 11.25}
    for six in found:
        assert [six.axial.fixed, six.shear_up.fixed, six.shear_side.fixed, six.twist.fixed] == [
            100.0,
            300.0,
            200.0,
            50.0,
        ]
        assert six.bend_side.fixed == pytest.approx(7.5)


# ---------------------------------------------------------------- face lugs

LUG = FaceLug(0.025, 0.08, 0.12, 0.06, 0.0375)


def lug_group(six: SectionForces) -> float:
    """Two lines of 120, 80 apart."""
    lines = laid(
        0.08, 0.12, plate(1.0, 1.0), Deposit(0.006, 413.7e6, 0.7), Joined(0.0063, 290e6, 3.0), ("left", "right")
    )
    return worst(pulls(lines, six)) / 1000.0


def test_the_weld_of_a_face_lug() -> None:
    """Along 52.45, standoff couple 131.1, thrust of 2,000 N 58.33: 196.6 N/mm in all."""
    end, thrust, none = Linear(MOMENT / 0.2, 0.0), Linear(2000.0, 0.0), Linear(0.0, 0.0)
    parts = [
        max(lug_group(six) for six in lug_six(*forces, LUG)) for forces in ((end, none, thrust), (none, none, thrust))
    ]
    assert parts == pytest.approx([196.6, 58.33], rel=FOUR_FIGURES)
    (six, _) = lug_six(end, none, none, LUG)
    alone = six._replace(bend_up=none)
    assert lug_group(alone) == pytest.approx(52.45, rel=FOUR_FIGURES)
    assert lug_group(SectionForces(none, none, none, none, six.bend_up, none)) == pytest.approx(131.1, rel=FOUR_FIGURES)


def test_a_pull_across_a_face_lug_twists_its_weld_and_tips_it() -> None:
    none = Linear(0.0, 0.0)
    (six, _) = lug_six(none, Linear(1000.0, 0.0), none, LUG)
    assert six.twist.fixed == pytest.approx(1000.0 * 0.12)
    assert six.bend_side.fixed == pytest.approx(1000.0 * 0.05)


def test_the_wall_under_a_face_lug() -> None:
    """12,590 x 0.05 + 2,000 x 0.12 = 869.5 N·m; the wall of 100 x 6.3 allows 3,371 along, 54,030 N of pull."""
    none = Linear(0.0, 0.0)
    demand = max(abs(six.bend_up.fixed) for six in lug_six(Linear(MOMENT / 0.2, 0.0), none, Linear(2000.0, 0.0), LUG))
    assert demand == pytest.approx(869.5, rel=FOUR_FIGURES)
    wall, patch = Wall(0.1, 0.1, 0.0063, 195e6), Patch(0.08, 0.12)
    assert folding_along_Nm(wall, patch) / 3.0 == pytest.approx(3371.0, rel=FOUR_FIGURES)
    assert folding_pull_N(wall, patch) / 3.0 == pytest.approx(54_030.0, rel=FOUR_FIGURES)


def test_a_face_lug_as_a_plate() -> None:
    """Shear lag 0.8710; 12,590/(80 x 25) + 6 x 2,000 x 60/(80 x 25^2) = 6.295 + 14.4 MPa."""
    assert shear_lag(LUG) == pytest.approx(0.8710, rel=FOUR_FIGURES)
    terms = lug_terms(Linear(-MOMENT / 0.2, 0.0), Linear(0.0, 0.0), Linear(2000.0, 0.0), LUG)
    assert sum(weight * abs(value.fixed) for weight, value in terms) / 1e6 == pytest.approx(20.695, rel=FOUR_FIGURES)
    across = lug_terms(Linear(0.0, 0.0), Linear(1000.0, 0.0), Linear(0.0, 0.0), LUG)
    assert sum(weight * abs(value.fixed) for weight, value in across) == pytest.approx(6.0 * 60.0 / (0.025 * 0.08**2))
    assert lug_rupture_N(LUG, 290e6, 3.6) == pytest.approx(290e6 * 0.002 * 0.871 / 3.6, rel=FOUR_FIGURES)
