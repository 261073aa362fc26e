"""Straps over a boom that wants to roll, against worked numbers and hand sums (Fy 195 MPa, factor 3)."""

from __future__ import annotations

import math

import pytest

from engine.strength.linear_in_load import Linear
from engine.strength.strap_contact import (
    LegWeights,
    Strap,
    bed_forces,
    bend_clearance_m,
    both_faces_N_m,
    contact,
    contact_modes,
    lap,
    lap_N_m,
    least_bend_radius_m,
    left_side_gap_m,
    moments,
    one_line_Pa,
    pin_pulls,
    pin_touch_rad,
    plate_Pa,
    side_demands,
    sway_and_spread_m,
    top_demands,
    top_forces,
    wall_forces,
    winkler,
    wobble,
)
from engine.strength.wall_edge import allowed_N, crippling_N, yielding_N

FOUR_FIGURES = 5e-4
FY_PA, FACTOR = 195e6, 3.0
TIGHT = Strap(0.025, 0.08, 0.0, 0.0)
AT = contact(0.15, 0.15, 0.0128, TIGHT)
TWIST, REAR, NO_SIDE = Linear(4397.0, 0.0), Linear(-5879.0, 0.0), Linear(0.0, 0.0)
IN = 0.0254


def greatest(values: tuple[Linear, ...]) -> float:
    return max(float(value.fixed) for value in values)


def test_forces_of_the_corners_on_strap_bed_and_wall() -> None:
    """Boom 150 x 150 x 6.4: C = 4,397/0.1244 = 35,350; rear -5,879 and front 9,860 N."""
    assert greatest(top_forces(REAR, TWIST, AT.flat_width_m)) == pytest.approx(35_346.0 + 2_939.5, rel=1e-4)
    front = Linear(9860.0, 0.0)
    assert greatest(wall_forces(front, TWIST, AT.flat_width_m)) == pytest.approx(40_280.0, rel=FOUR_FIGURES)
    assert greatest(wall_forces(REAR, TWIST, AT.flat_width_m)) < 38_290.0
    at_rear = max(abs(float(force.fixed)) for force in wall_forces(REAR, TWIST, AT.flat_width_m))
    assert at_rear == pytest.approx(38_290.0, rel=FOUR_FIGURES)
    assert greatest(bed_forces(front, TWIST, AT.flat_width_m)) == pytest.approx(40_280.0, rel=FOUR_FIGURES)


def test_a_boom_that_presses_down_more_than_it_rocks_leaves_the_strap_alone() -> None:
    """T under R w_b/2."""
    assert greatest(top_forces(Linear(9860.0, 0.0), Linear(600.0, 0.0), AT.flat_width_m)) < 0.0


def test_the_rear_leg_beside_the_corner_that_presses() -> None:
    m = moments(AT, 0.025)
    pull = greatest(top_forces(REAR, TWIST, AT.flat_width_m))
    assert pull * m.top == pytest.approx(828.6, rel=FOUR_FIGURES)
    assert pull * m.top_corner == pytest.approx(708.8, rel=FOUR_FIGURES)
    assert pull * m.top_foot == pytest.approx(354.4, rel=FOUR_FIGURES)
    for weights, want in (
        (plate_Pa(TIGHT, 1.0, 0.0, 0.0), 19.14e6),
        (plate_Pa(TIGHT, 0.0, m.top, 0.0), 99.43e6),
        (plate_Pa(TIGHT, 1.0, m.top_corner, 0.0), 104.2e6),
        (both_faces_N_m(TIGHT, m.top_foot, 0.0), 416.5e3),
    ):
        assert greatest(top_demands(REAR, NO_SIDE, TWIST, AT, weights)) == pytest.approx(want, rel=FOUR_FIGURES)


def test_the_rear_leg_that_a_side_presses() -> None:
    m, none = moments(AT, 0.025), Linear(0.0, 0.0)
    for weights, want in (
        (LegWeights(0.0, m.push_foot), 1849.0),
        (plate_Pa(TIGHT, 0.0, 0.0, m.push_foot), 221.9e6),
        (both_faces_N_m(TIGHT, 0.0, m.push_foot)._replace(pull=0.0), 924.6e3),
    ):
        assert greatest(side_demands(none, none, TWIST, AT, weights)) == pytest.approx(want, rel=FOUR_FIGURES)


def test_what_holds_the_boom_down_pulls_at_the_leg_a_side_presses_and_what_presses_it_down_does_not() -> None:
    """924.6 N/mm and 5,879/2 over two lines of 80: 18.4 N/mm more."""
    weights = both_faces_N_m(TIGHT, 0.0, moments(AT, 0.025).push_foot)
    held = greatest(side_demands(REAR, NO_SIDE, TWIST, AT, weights))
    assert held == pytest.approx(924.6e3 + 5879.0 / 2.0 / 0.16, rel=FOUR_FIGURES)
    pressed = greatest(side_demands(Linear(9860.0, 0.0), NO_SIDE, TWIST, AT, weights))
    assert pressed == pytest.approx(924.6e3, rel=FOUR_FIGURES)


def test_a_side_push_on_a_smaller_strap() -> None:
    """1,722 N on boom 100, strap 80 x 20, corner 12: beta 0.2885, foot 64.38 N·m, 40.24 N/mm, one 6 mm line 268.3."""
    strap = Strap(0.02, 0.08, 0.0, 0.0)
    at = contact(0.1, 0.1, 0.012, strap)
    push, none = Linear(-1722.0, 0.0), Linear(0.0, 0.0)
    m = moments(at, 0.02)
    assert (m.push_foot - 0.012) / 0.088 == pytest.approx(0.2885, rel=FOUR_FIGURES)
    throat = 0.006 / math.sqrt(2.0)
    for weights, want in (
        (LegWeights(0.0, m.push_foot), 64.38),
        (both_faces_N_m(strap, 0.0, m.push_foot), 40.24e3),
        (one_line_Pa(strap, throat, 0.0, m.push_foot), 268.3e6),
    ):
        assert greatest(side_demands(none, push, none, at, weights)) == pytest.approx(want, rel=FOUR_FIGURES)


def test_a_frame_of_bars_that_bend_and_stretch_asks_less_at_that_foot() -> None:
    """57.93 N·m by a frame solver."""
    at = contact(0.1, 0.1, 0.012, Strap(0.02, 0.08, 0.0, 0.0))
    assert 1722.0 * sum(sway_and_spread_m(at, 0.02, at.high_m)) / 2.0 == pytest.approx(57.93, rel=FOUR_FIGURES)


def test_side_push_and_twist_add_whatever_their_signs() -> None:
    weights = LegWeights(0.0, 1.0)
    for twist in (TWIST, TWIST.times(-1.0)):
        for side in (Linear(1000.0, 0.0), Linear(-1000.0, 0.0)):
            found = greatest(side_demands(Linear(0.0, 0.0), side, twist, AT, weights))
            assert found == pytest.approx(4397.0 / 0.1244 + 1000.0)


def test_one_outside_line_makes_hinges_and_outside_corners_make_cantilevers() -> None:
    spread = (0.1625**2 - 0.1372**2) / (0.1625 * (2.0 * 0.1625 + 3.0 * 0.175))
    in_leg = 2.0 - (1.0 + spread) * 0.1372 / 0.1625
    assert in_leg > 1.0 + spread
    assert moments(AT, 0.025, foot="outside").push_corner == pytest.approx(0.1372 / 2.0 * in_leg)
    assert moments(AT, 0.025, corner="outside").push_foot == pytest.approx(0.15 - 0.0128)
    assert moments(AT, 0.025, corner="both") == moments(AT, 0.025)


@pytest.mark.parametrize(
    ("gaps_in", "touch_deg", "modes"),
    [
        ((1 / 64, 1 / 64), (0.597, 0.275), "AB"),
        ((1 / 64, 1 / 16), (2.387, 0.275), "B"),
        ((1 / 16, 1 / 64), (0.597, 1.102), "A"),
    ],
)
def test_which_faces_touch(gaps_in: tuple[float, float], touch_deg: tuple[float, float], modes: str) -> None:
    """Boom 3 x 8 in, wall 3/8, strap 1/2 by 8 in, T 2,777 N·m, 1,779 N held down; sides give 1.752 degrees."""
    side, top = (gap * IN for gap in gaps_in)
    strap = Strap(0.5 * IN, 8.0 * IN, side, top)
    at = contact(3.0 * IN, 8.0 * IN, 0.75 * IN, strap)
    found = contact_modes(at, strap)
    touch = math.degrees(found.top_touch_rad), math.degrees(found.sides_touch_rad)
    assert touch == pytest.approx(touch_deg, abs=6e-4)
    assert math.degrees(2777.0 * found.sides_give_rad_Nm) == pytest.approx(1.752, abs=6e-4)
    counted = ("A" if found.top_from_Nm < 2777.0 else "") + ("B" if found.sides_from_Nm < 2777.0 else "")
    assert counted == modes
    m = moments(at, strap.thickness_m)
    bounds = {
        "A": greatest(top_demands(Linear(-1779.0, 0.0), NO_SIDE, Linear(2777.0, 0.0), at, LegWeights(m.top, 0.0))),
        "B": greatest(side_demands(NO_SIDE, NO_SIDE, Linear(2777.0, 0.0), at, LegWeights(0.0, m.push_foot))),
    }
    want = {"A": {1 / 64: 1356.0, 1 / 16: 1407.0}[gaps_in[0]], "B": 1146.0}
    for mode in modes:
        assert bounds[mode] == pytest.approx(want[mode], rel=FOUR_FIGURES)


def test_gaps_that_are_not_entered_keep_both_modes_from_no_twist_on() -> None:
    strap = Strap(0.5 * IN, 8.0 * IN, IN / 64.0, IN / 16.0)
    found = contact_modes(contact(3.0 * IN, 8.0 * IN, 0.75 * IN, strap), strap, gaps_known=False)
    assert (found.top_from_Nm, found.sides_from_Nm) == (0.0, 0.0)


def test_weld_shrinkage_comes_off_the_side_gap() -> None:
    assert left_side_gap_m(0.0025) == pytest.approx(0.0015)
    assert left_side_gap_m(0.0005) == 0.0


def test_a_lapped_leg() -> None:
    """10 kN and 100 N·m in all on edges of 60 and a line of 80: 50.00 in its plane, 53.03 N/mm across."""
    group = lap(0.08, 0.06)
    assert 10_000.0 / group.length_m / 1000.0 == pytest.approx(50.00)
    assert 100.0 / group.modulus_m2 / 1000.0 == pytest.approx(53.03, rel=FOUR_FIGURES)
    strap = Strap(0.012, 0.08, 0.0, 0.0)
    per_N = lap_N_m(strap, 0.06, 0.01 - 0.006, 0.002)
    assert 10_000.0 * per_N.pull / 1000.0 == pytest.approx(math.hypot(50.00, 53.03), rel=FOUR_FIGURES)
    assert per_N.push == pytest.approx(0.002 / group.modulus_m2)


@pytest.mark.parametrize(("bearing_mm", "middle_N", "end_N"), [(0.0, 19_970.0, 9_984.0), (40.0, 36_610.0, 26_620.0)])
def test_one_wall_of_the_boom_at_a_saddles_edge(bearing_mm: float, middle_N: float, end_N: float) -> None:
    bearing = bearing_mm / 1000.0
    middle = allowed_N(0.0064, 0.15, FY_PA, FACTOR, bearing_m=bearing)
    end = allowed_N(0.0064, 0.15, FY_PA, FACTOR, bearing_m=bearing, to_end_m=0.0)
    assert (middle, end) == pytest.approx((middle_N, end_N), rel=FOUR_FIGURES)


def test_a_thin_wall_cripples_before_it_yields() -> None:
    """t 1.5: 0.80 t^2 sqrt(E Fy) = 11,240 N over 3; yielding Fy t (7.5 t + 40) = 14,990 N over 3."""
    assert crippling_N(0.0015, 0.15, FY_PA) == pytest.approx(0.8 * 0.0015**2 * math.sqrt(199.948e9 * FY_PA), rel=1e-4)
    assert yielding_N(0.0015, FY_PA, 0.04) == pytest.approx(14_990.0, rel=FOUR_FIGURES)
    wide = crippling_N(0.0015, 0.15, FY_PA, 0.04)
    assert wide == pytest.approx(1.8 * crippling_N(0.0015, 0.15, FY_PA))
    near = [crippling_N(0.0015, 0.15, FY_PA, share * 0.15, near_end=True) for share in (0.2, 0.2 + 1e-12)]
    assert near[0] == pytest.approx(near[1]), "both forms of J10.3(b) meet where they take over"


@pytest.mark.parametrize(("factor", "over"), [(1.0, 2.0), (3.0, 3.0)])
def test_a_thin_deep_wall_under_a_long_edge_is_allowed_what_it_cripples_at(factor: float, over: float) -> None:
    """t 1.5, d 300, l 100: J10.3 11,240 x (1 + 1) = 22,480 N; J10.2 195 x 1.5 x (11.25 + 100) = 32,540 N.

    Omega is 2.00 for crippling and 1.50 for yielding, the design factor where that is more.
    """
    allowed = allowed_N(0.0015, 0.3, FY_PA, factor, bearing_m=0.1)
    assert allowed == pytest.approx(22_480.0 / over, rel=FOUR_FIGURES)


def test_the_boom_pin_takes_twist_and_slide_as_vectors() -> None:
    """T/w = 29,310 N on a 20 mm pin: 93.31 MPa."""
    slide, couple = pin_pulls(Linear(1200.0, 0.0), TWIST, 0.15)
    assert slide.fixed == pytest.approx(600.0)
    assert couple.fixed == pytest.approx(29_310.0, rel=FOUR_FIGURES)
    assert couple.fixed / (math.pi * 0.02**2 / 4.0) == pytest.approx(93.31e6, rel=FOUR_FIGURES)
    assert pin_touch_rad(0.15, 0.021, 0.0215, 0.02) == pytest.approx(0.0025 / 0.15)


def test_wobble_of_a_boom_with_2_mm_over_it_and_of_one_that_its_pin_holds() -> None:
    loose = Strap(0.025, 0.08, 0.004, 0.002)
    at = contact(0.15, 0.15, 0.0128, loose)
    found = wobble(at, loose, 0.525)
    assert math.degrees(found.roll_rad) == pytest.approx(0.9212, rel=FOUR_FIGURES)
    assert found.droop_rad == pytest.approx(0.003810, rel=FOUR_FIGURES)
    assert found.yaw_rad == pytest.approx(0.008 / 0.525)
    assert wobble(at, loose, 0.525, 0.001).roll_rad == 0.001


@pytest.mark.parametrize(("thick", "inside", "factor"), [(25.0, 37.5, 1.200), (12.0, 12.0, 1.288)])
def test_a_bend_is_stressed_more_at_its_inside(thick: float, inside: float, factor: float) -> None:
    assert winkler(thick / 1000.0, inside / 1000.0) == pytest.approx(factor, rel=FOUR_FIGURES)


def test_bend_radii_and_the_gap_a_bend_needs() -> None:
    assert (least_bend_radius_m(0.012), least_bend_radius_m(0.02)) == pytest.approx((0.018, 0.04))
    gap = bend_clearance_m(0.030, 0.012)
    # The gap along the diagonal from the bend's middle to the corner: sqrt 2 gap = (r_i - r)(sqrt 2 - 1).
    assert math.sqrt(2.0) * gap == pytest.approx(0.018 * (math.sqrt(2.0) - 1.0))
    assert bend_clearance_m(0.010, 0.012) == 0.0


def test_demands_are_linear_in_the_load() -> None:
    up, side, twist = Linear(100.0, -20.0), Linear(5.0, 1.0), Linear(30.0, 9.0)
    weights = LegWeights(2.0, 3.0)
    for demands in (top_demands, side_demands):
        now = tuple(Linear(value.at(50.0), 0.0) for value in (up, side, twist))
        found = [value.at(50.0) for value in demands(up, side, twist, AT, weights)]
        assert found == pytest.approx([value.fixed for value in demands(*now, AT, weights)])
