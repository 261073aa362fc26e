"""The saddle bed and its cap, against the worked example (mast 120 x 120 x 5, 8,416 N behind, Fy 195, factor 3)."""

from __future__ import annotations

import math

import pytest

from engine.rig import pieces
from engine.schema.sections import RectTube, RoundTube, properties
from engine.strength import bed
from engine.strength.bed import SaddleLoad
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
    six, other = bed.at_face((SaddleLoad(REAR, NONE, NONE, 0.465),), TWIST, 0.09)
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
    forces = bed.at_face((SaddleLoad(REAR, Linear(500.0, 2.0), NONE, 0.465),), TWIST, 0.09)
    assert [six.twist.fixed for six in forces] == [239.2 + 45.0, 239.2 - 45.0]
    assert [six.bend_side.fixed for six in forces] == [500.0 * 0.465] * 2


def test_the_pinned_saddle_takes_the_booms_pull_along_on_the_height_between_the_axes() -> None:
    """1,000 N away from the mast, 90 mm over the bed's axis: 90 N·m more where the saddle is pressed down."""
    (six, _) = bed.at_face((SaddleLoad(Linear(2000.0, 0.0), NONE, Linear(1000.0, 0.0), 0.3),), TWIST, 0.09)
    assert (six.axial.fixed, six.bend_up.fixed) == pytest.approx((1000.0, 600.0 + 90.0))


def test_two_saddles_beyond_one_face_bend_the_bed_together() -> None:
    """5,000 N up on the boom at 0.7 m and 3,000 N down at 0.2 m: 3,500 - 600 = 2,900 N·m, 2,000 N."""
    saddles = SaddleLoad(Linear(5000.0, 0.0), NONE, NONE, 0.7), SaddleLoad(Linear(-3000.0, 0.0), NONE, NONE, 0.2)
    six, _ = bed.at_face(saddles, TWIST, 0.09)
    assert (six.shear_up.fixed, six.bend_up.fixed) == pytest.approx((2000.0, 2900.0))


def test_a_flat_bar_as_bed() -> None:
    """Bar 100 x 25, M 500 N·m: 48 MPa; T 100 N·m: 100 (3 + 0.45)/(0.1 x 0.025^2) = 5.52 MPa; V 5 kN: 3 MPa."""
    up, side = Linear(5000.0, 0.0), Linear(0.0, 0.0)
    six = SectionForces(NONE, up, side, Linear(100.0, 0.0), Linear(500.0, 0.0), NONE)
    worst = max(math.hypot(stress.fixed, shear.fixed) for stress, shear in bed.flat_bar_groups(0.1, 0.025, six))
    assert worst == pytest.approx(math.sqrt(48e6**2 + 3.0 * (5.52e6 + 3e6) ** 2), rel=1e-3)


def test_the_wall_at_the_masts_edge() -> None:
    """4,371/0.115 and 3,040/2 on two walls, 239.2 N·m between walls 97 mm apart."""
    terms = bed.edge_terms(Linear(-4371.0, 0.0), Linear(-3040.0, 0.0), TWIST, Linear(-100.0, 0.0), 0.115, (0.097, 0.09))
    force_N = sum(weight * abs(value.fixed) for weight, value in terms)
    assert force_N == pytest.approx((4371.0 / 0.115 + 1520.0) / 2.0 + (239.2 + 100.0 * 0.09) / 0.194)
    assert 2.0 * yielding_N(0.003, 195e6) / 3.0 == pytest.approx(8775.0)
    assert 2.0 * allowed_N(0.008, 0.08, 195e6, 3.0) == pytest.approx(62_400.0)


def test_a_side_wall_near_the_beds_end_takes_half() -> None:
    """J10.2 halves within the depth, J10.3 within half the depth: 8 mm yields first, 31.2 kN and half of that."""
    taken = [allowed_N(0.008, 0.08, 195e6, 3.0, to_end_m=end_m) for end_m in (0.081, 0.08, 0.0)]
    assert taken == pytest.approx([31_200.0, 15_600.0, 15_600.0])


def test_a_round_mast_presses_on_the_chord_where_its_ring_crosses_the_beds_walls() -> None:
    """Ring 114 x 5, middle radius 54.5: at 46 mm off the chord is 2 sqrt(54.5^2 - 46^2) = 58.45 mm; at 60 none."""
    ring = RoundTube(diameter_m=0.114, wall_m=0.005)
    assert bed.edge_lever_m(ring, 0.005, 0.046) == pytest.approx(0.058455, rel=1e-4)
    assert bed.edge_lever_m(ring, 0.005, 0.060) == 0.0
    assert bed.edge_lever_m(RectTube(width_m=0.1, depth_m=0.12, wall_m=0.005), 0.005, 0.046) == pytest.approx(0.115)


def test_front_and_back_wall_of_a_mast_under_a_narrower_bed() -> None:
    """Two plates 80 x 5 (400 mm2), 115 mm apart.

    Push 4,000 N: 5 MPa.  4,600 N·m along: 40,000 N, 100 MPa.  200 N·m across: 3 x 200/(400e-6 x 0.08) = 18.75 MPa.
    Shear 1.5 times its mean: side 1,600 N, 3 MPa; twist 230 N·m, 2,000 N, 7.5 MPa; along 800 N, 1.5 MPa.
    """
    forces = (-4000.0, 800.0, 1600.0, 230.0, 4600.0, 200.0)
    groups = bed.two_plate_groups(SectionForces(*(Linear(value, 0.0) for value in forces)), 0.08, 0.005, 0.115)
    worst = max(math.sqrt(sum(value.fixed**2 for value in group)) for group in groups)
    assert worst == pytest.approx(math.sqrt(123.75e6**2 + 3.0 * (10.5e6**2 + 1.5e6**2)))


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
    for off_mm, stands in ((1.0, "agrees"), (3.0, "caution"), (3.1, "not_entered")):
        for off_m in (off_mm / 1000.0, -off_mm / 1000.0):
            assert pieces.agreement(0.095 + off_m, 0.095) == stands
    assert pieces.sleeve_spacing_m(0.173, 0.025, 0.001) == pytest.approx(0.2)
    assert pieces.face_lug_spacing_m(0.1, 0.025, 0.0375) == pytest.approx(0.2)
    assert pieces.end_plate_height_m(0.2, 0.06) == pytest.approx(0.26)
