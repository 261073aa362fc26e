"""The saddle bed and its cap, against the worked example (mast 120 x 120 x 5, 8,416 N behind, Fy 195, factor 3)."""

from __future__ import annotations

import math

import pytest

from engine.schema.sections import RectTube, properties
from engine.strength import bed, pieces
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear
from engine.strength.wall_edge import allowed_N, yielding_N

FOUR_FIGURES = 5e-4
FB, FV = 65e6, 37.53e6
REAR, TWIST, NONE = Linear(-8416.0, 0.0), Linear(239.2, 0.0), Linear(0.0, 0.0)


def test_levers_run_from_the_masts_faces_and_are_nothing_over_the_mast() -> None:
    assert bed.rear_lever_m(-0.525, 0.12) == pytest.approx(0.465)
    assert bed.front_lever_m(0.2, 0.12) == pytest.approx(0.14)
    assert bed.front_lever_m(0.03, 0.12) == 0.0


@pytest.mark.parametrize(
    ("tube", "bent", "twisted", "sheared", "combined"),
    [
        (RectTube(width_m=0.1, depth_m=0.04, wall_m=0.003), 361.2, 11.16, 45.25, 374.2),
        (RectTube(width_m=0.1, depth_m=0.08, wall_m=0.008), 71.53, 2.299, 9.393, 74.35),
    ],
)
def test_a_bed_at_the_masts_face(tube: RectTube, bent: float, twisted: float, sheared: float, combined: float) -> None:
    six, other = bed.sixes(REAR, NONE, TWIST, 0.465, 0.09)
    assert six == other
    assert abs(six.bend_up.fixed) == pytest.approx(3914.0, rel=FOUR_FIGURES)
    section = properties(tube)
    stress = abs(six.bend_up.fixed) / section.elastic_up_m3
    twist, shear = (
        six.twist.fixed / section.torsion_m3,
        8416.0 / (2.0 * tube.wall_m * (tube.depth_m - 3.0 * tube.wall_m)),
    )
    assert (stress / 1e6, twist / 1e6, shear / 1e6) == pytest.approx((bent, twisted, sheared), rel=FOUR_FIGURES)
    assert math.sqrt(stress**2 + 3.0 * (twist + shear) ** 2) / 1e6 == pytest.approx(combined, rel=FOUR_FIGURES)


def test_a_side_reaction_twists_the_bed_either_way_on_top_of_the_boom() -> None:
    found = bed.sixes(REAR, Linear(500.0, 2.0), TWIST, 0.465, 0.09)
    assert {six.twist.fixed for six in found} == {239.2 + 45.0, 239.2 - 45.0}
    assert {six.bend_side.fixed for six in found} == {500.0 * 0.465}


def test_a_flat_bar_as_bed() -> None:
    """Bar 100 x 25, M 500 N·m: 48 MPa; T 100 N·m: 100 (3 + 0.45)/(0.1 x 0.025^2) = 5.52 MPa; V 5 kN: 3 MPa."""
    up, side = Linear(5000.0, 0.0), Linear(0.0, 0.0)
    six = SectionForces(NONE, up, side, Linear(100.0, 0.0), Linear(500.0, 0.0), NONE)
    worst = max(math.hypot(stress.fixed, shear.fixed) for stress, shear in bed.flat_bar_groups(0.1, 0.025, six))
    assert worst == pytest.approx(math.sqrt(48e6**2 + 3.0 * (5.52e6 + 3e6) ** 2), rel=1e-3)


def test_the_wall_at_the_masts_edge() -> None:
    """4,371/0.115 and 3,040/2 on two walls, 239.2 N·m between walls 97 mm apart."""
    terms = bed.edge_terms(
        Linear(-4371.0, 0.0), Linear(-3040.0, 0.0), TWIST, Linear(-100.0, 0.0), (0.12, 0.005), (0.097, 0.09)
    )
    found = sum(weight * abs(value.fixed) for weight, value in terms)
    assert found == pytest.approx((4371.0 / 0.115 + 1520.0) / 2.0 + (239.2 + 100.0 * 0.09) / 0.194)
    assert 2.0 * yielding_N(0.003, 195e6) / 3.0 == pytest.approx(8775.0)
    assert 2.0 * allowed_N(0.008, 0.08, 195e6, 3.0) == pytest.approx(62_400.0)


@pytest.mark.parametrize(("bed_flat_mm", "strip_mm", "thick_mm"), [(100.0, 10.0, 14.70), (88.0, 16.0, 18.59)])
def test_a_cap_bends_beyond_the_beds_flat(bed_flat_mm: float, strip_mm: float, thick_mm: float) -> None:
    """234.0 N/mm of weld on a mast of 120; the bed of 100 counts whole only with its flare-bevel weld."""
    strip = bed.cap_strip_m(0.12, bed_flat_mm / 1000.0)
    assert strip == pytest.approx(strip_mm / 1000.0)
    thick = bed.least_plate_m(234.0e3 * strip, FB)
    assert thick * 1000.0 == pytest.approx(thick_mm, rel=FOUR_FIGURES)
    assert bed.cap_allowed_N_m(thick, strip, FB) == pytest.approx(234.0e3)


def test_a_cap_no_wider_than_the_bed_is_not_bent() -> None:
    assert bed.cap_strip_m(0.1, 0.12) == 0.0
    assert bed.cap_allowed_N_m(0.01, 0.0, FB) == math.inf


def test_straps_on_the_cap_alone() -> None:
    """5,000 N 40 mm past the mast's face on a cap 150 wide."""
    assert bed.least_plate_m(5000.0 * 0.04 / 0.15, FB) * 1000.0 == pytest.approx(11.09, rel=FOUR_FIGURES)
    assert bed.plate_Nm_m(0.01109, FB) * 0.15 == pytest.approx(200.0, rel=1e-3)


def test_where_a_strap_leg_stands_on_its_bed() -> None:
    assert bed.over_side_wall(0.0485, 0.1, 0.003)
    assert bed.over_side_wall(-0.0525, 0.1, 0.003)
    assert not bed.over_side_wall(0.040, 0.1, 0.003)
    assert bed.stands_on(0.05, 0.1)
    assert not bed.stands_on(0.061, 0.1)


def test_measured_sizes_against_the_pieces() -> None:
    assert pieces.seat_m(0.08, 0.015) == pytest.approx(0.095)
    assert [pieces.agreement(0.095 + off, 0.095) for off in (0.001, -0.001, 0.003, 0.0031)] == [
        "agrees",
        "agrees",
        "caution",
        "not_entered",
    ]
    assert pieces.sleeve_spacing_m(0.173, 0.025, 0.001) == pytest.approx(0.2)
    assert pieces.face_lug_spacing_m(0.1, 0.025, 0.0375) == pytest.approx(0.2)
    assert pieces.end_plate_height_m(0.2, 0.06) == pytest.approx(0.26)
