"""Where welds can be laid, what a line is allowed, and the pull on a group, against hand sums (E60, Fu 290, Nd 3)."""

from __future__ import annotations

import math

import pytest

from engine.schema.sections import RectTube
from engine.strength import welds as outlines
from engine.strength.cuts import SectionForces
from engine.strength.linear_in_load import Linear
from engine.strength.unverified_values import QUALITY_SHARE
from engine.strength.weld_lines import (
    Deposit,
    Joined,
    WeldGroup,
    fillet_N_m,
    flare_bevel_throat_m,
    fusion_N_m,
    groove_N_m,
    group,
    laid,
    laid_round,
    plate,
    plate_beside_N_m,
    pulls,
    pulls_beside,
    pulls_on_weakest,
    throat_N_m,
    tube_across,
    tube_along,
)

E60, E70 = 413.6854376e6, 482.6330105e6
FU = 290e6
OWN_EYE = 0.70
FOUR_FIGURES = 5e-4
NONE = Linear(0.0, 0.0)


def fillet(leg_mm: float, kind: str = "fillet", process: str = "unknown", throat_mm: float = 0.0) -> Deposit:
    return Deposit(leg_mm / 1000.0, E60, OWN_EYE, kind, throat_mm / 1000.0, process)  # type: ignore[arg-type]


def joined(thinner_mm: float = 50.0) -> Joined:
    return Joined(thinner_mm / 1000.0, FU, 3.0)


def six(
    axial: float = 0.0, x: float = 0.0, y: float = 0.0, twist: float = 0.0, up: float = 0.0, side: float = 0.0
) -> SectionForces:
    return SectionForces(*(Linear(value, 0.0) for value in (axial, x, y, twist, up, side)))


def worst_N_mm(welds: WeldGroup, pulled: SectionForces) -> float:
    return max(math.hypot(*(part.fixed for part in point)) for point in pulls(welds, pulled)) / 1000.0


# ---------------------------------------------------------------- what a line is allowed


def test_a_millimetre_of_leg_with_factor_3() -> None:
    """0.60 x 413.7 / 3.6 / sqrt 2, the same for E70, and 0.60 x 290 / 3.6 on the fusion face (N/mm)."""
    assert throat_N_m(1.0 / math.sqrt(2.0), E60, 1.0, 3.0) / 1e6 == pytest.approx(48.75, rel=FOUR_FIGURES)
    assert throat_N_m(1.0 / math.sqrt(2.0), E70, 1.0, 3.0) / 1e6 == pytest.approx(56.88, rel=FOUR_FIGURES)
    assert fusion_N_m(1.0, FU, 1.0, 3.0) / 1e6 == pytest.approx(48.33, rel=FOUR_FIGURES)
    assert fillet_N_m(fillet(1.0), joined()) / 1000.0 == pytest.approx(33.83, rel=FOUR_FIGURES)


def test_two_is_the_least_a_breaking_strength_is_divided_by() -> None:
    assert fusion_N_m(1.0, FU, 1.0, 1.5) == pytest.approx(0.60 * FU / 2.0)


def test_who_looked_at_a_weld_sets_its_share_and_a_weld_nobody_saw_has_none() -> None:
    assert QUALITY_SHARE["qualified_ndt"] > QUALITY_SHARE["qualified_visual"] > QUALITY_SHARE["own_eye"]
    assert QUALITY_SHARE["unknown"] == QUALITY_SHARE["own_eye"]
    assert "not_seen" not in QUALITY_SHARE


def test_a_leg_over_the_thinner_part_counts_as_that_part() -> None:
    assert fillet_N_m(fillet(8.0), joined(5.0)) == fillet_N_m(fillet(5.0), joined(5.0))


def test_the_fusion_face_of_a_groove_is_as_wide_as_its_throat() -> None:
    """Throat 7.5 of a 12 mm corner counts as the 5 mm wall: 5 x 0.60 x 290 / 3.6 x 0.7."""
    deposit = fillet(5.0, "flare_bevel", "gas_metal_arc")
    assert flare_bevel_throat_m(deposit, 0.012) == pytest.approx(0.0075)
    assert groove_N_m(0.0075, deposit, joined(5.0)) / 1000.0 == pytest.approx(5.0 * 0.60 * 290.0 / 3.6 * 0.7)


@pytest.mark.parametrize(
    ("process", "corner_mm", "throat_mm"),
    [
        ("gas_metal_arc", 12.0, 7.5),
        ("stick", 12.0, 3.75),
        ("unknown", 12.0, 3.75),
        ("gas_metal_arc", 9.0, 6.0 / math.sqrt(2.0)),
    ],
)
def test_throats_of_flare_bevels(process: str, corner_mm: float, throat_mm: float) -> None:
    """5/8 R and 5/16 R from 10 mm on; under that the 6 mm fillet laid over the groove."""
    found = flare_bevel_throat_m(fillet(6.0, "flare_bevel", process), corner_mm / 1000.0)
    assert found * 1000.0 == pytest.approx(throat_mm)


def test_the_plate_beside_a_weld() -> None:
    assert plate_beside_N_m(0.0063, 65e6, 37.53e6) == pytest.approx((409_500.0, 236_439.0))


# ---------------------------------------------------------------- where lines can be laid


def test_a_mast_on_a_plate_with_room_is_welded_all_round() -> None:
    """120 x 120, top moment 4,371 N·m and 3,040 N: 4,371/0.01920 + 3,040/480 = 234.0 N/mm; 5 mm legs allow 169.2."""
    found = laid(0.12, 0.12, plate(0.14, 0.14), fillet(5.0), joined(5.0))
    box = outlines.box(0.12, 0.12)
    assert found.left_out == ()
    assert found.length_m == pytest.approx(box.length_m)
    q = worst_N_mm(found, six(axial=3040.0, up=4371.0))
    assert q == pytest.approx(234.0, rel=FOUR_FIGURES)
    assert q / (found.allowed_N_m / 1000.0) == pytest.approx(1.383, rel=FOUR_FIGURES)


def test_a_mast_as_wide_as_its_cross_member_has_its_sides_alone_and_those_cut_to_the_flat() -> None:
    """Two lines of 120 - 4 x 6 = 96: S = 96^2/3, q = 4,417/0.003072 = 1,438 N/mm, use 8.500 with 5 mm legs."""
    found = laid(0.12, 0.12, tube_across(0.12, 0.006), fillet(5.0), joined(5.0))
    assert [(line.face, line.length_m) for line in found.lines] == [
        ("left", pytest.approx(0.096)),
        ("right", pytest.approx(0.096)),
    ]
    assert [(face.face, face.reason, face.ledge_m) for face in found.left_out] == [
        ("front", "no_ledge", pytest.approx(-0.012)),
        ("back", "no_ledge", pytest.approx(-0.012)),
    ]
    q = worst_N_mm(found, six(up=4417.0))
    assert q == pytest.approx(1438.0, rel=FOUR_FIGURES)
    assert q / (found.allowed_N_m / 1000.0) == pytest.approx(8.500, rel=FOUR_FIGURES)


def test_filling_the_grooves_in_front_and_behind_brings_the_box_back() -> None:
    """4,417/0.01920 = 230.1 N/mm on every line; the grooves count as the 5 mm wall, the sides as 5 mm fillets."""
    deposit = fillet(5.0, "flare_bevel", "gas_metal_arc")
    found = laid(0.12, 0.12, tube_across(0.12, 0.006), deposit, joined(5.0))
    assert {line.face: line.kind for line in found.lines} == {
        "front": "flare_bevel",
        "back": "flare_bevel",
        "left": "fillet",
        "right": "fillet",
    }
    assert worst_N_mm(found, six(up=4417.0)) == pytest.approx(230.1, rel=FOUR_FIGURES)


def test_a_groove_cannot_be_filled_beside_a_plate_or_beyond_the_tube() -> None:
    deposit = fillet(5.0, "flare_bevel", "gas_metal_arc")
    flush = laid(0.1, 0.1, plate(0.3, 0.1), deposit, joined(5.0))
    assert {face.face: face.reason for face in flush.left_out} == {"left": "no_ledge", "right": "no_ledge"}
    wider = laid(0.12, 0.12, tube_along(0.1, 0.005), deposit, joined(5.0))
    assert {face.face: face.reason for face in wider.left_out} == {"left": "beyond", "right": "beyond"}


def test_a_mast_wider_than_its_bed_is_welded_over_the_beds_flat_in_front_and_behind() -> None:
    """Bed 100 x 3: flat 88, S = 0.088 x 0.120; a flat bar of 100 keeps its 100: q = 4,371/0.012 + 3,040/200 = 379.4."""
    tube = laid(0.12, 0.12, tube_along(0.1, 0.003), fillet(3.0), joined(3.0))
    assert [line.length_m for line in tube.lines] == [pytest.approx(0.088)] * 2
    bar = laid(0.12, 0.12, plate(1.0, 0.1), fillet(3.0), joined(3.0))
    assert worst_N_mm(bar, six(axial=3040.0, up=4371.0)) == pytest.approx(379.4, rel=FOUR_FIGURES)
    assert worst_N_mm(tube, six(axial=3040.0, up=4371.0)) == pytest.approx(4371.0 / 10.56 + 3040.0 / 176.0, rel=1e-9)


@pytest.mark.parametrize(("plate_mm", "q_N_mm"), [(100.0, 251.8), (112.0, 188.8)])
def test_an_end_plate_flush_with_its_tube_is_welded_above_and_below_alone(plate_mm: float, q_N_mm: float) -> None:
    """Tube 100 with 6 mm legs, 2,518 N·m: 2,518/0.01 flush, 2,518/0.01333 once the plate stands a leg proud."""
    found = laid(0.1, 0.1, plate(0.3, plate_mm / 1000.0), fillet(6.0), joined(6.3))
    assert worst_N_mm(found, six(up=2518.0)) == pytest.approx(q_N_mm, rel=FOUR_FIGURES)
    assert found.allowed_N_m / 1000.0 == pytest.approx(203.0, rel=FOUR_FIGURES)


def test_the_ledge_of_a_lug_on_a_tube_decides_its_greatest_width() -> None:
    """100 x 6.3: flat 74.8, less two legs of 6: 62.8 mm."""
    narrow = laid(0.0628, 0.12, tube_along(0.1, 0.0063), fillet(6.0), joined(6.3))
    wide = laid(0.0630, 0.12, tube_along(0.1, 0.0063), fillet(6.0), joined(6.3))
    assert narrow.left_out == ()
    assert {face.face for face in wide.left_out} == {"left", "right"}


def test_a_cross_member_as_deep_as_its_sleeve_keeps_two_lines_of_48() -> None:
    """Sleeve 80 x 8: V 9,761/96 = 101.7, T 4,594 N·m 647.8, M 9,761 x 0.05 over 2 x 48^2/6: 635.5 N/mm."""
    found = laid(0.08, 0.15, tube_along(0.08, 0.008), fillet(6.0), joined(8.0))
    assert [line.face for line in found.lines] == ["front", "back"]
    assert worst_N_mm(found, six(y=9761.0)) == pytest.approx(101.7, rel=FOUR_FIGURES)
    assert worst_N_mm(found, six(twist=4594.0)) == pytest.approx(647.8, rel=FOUR_FIGURES)
    assert worst_N_mm(found, six(side=9761.0 * 0.05)) == pytest.approx(635.5, rel=FOUR_FIGURES)


def test_a_cross_member_with_ledges_all_round_carries_its_twist_with_a_third() -> None:
    """J = 0.23^3/6, r 85 mm: 192.6; S = 150 x 80 + 80^2/3: 34.53 N/mm."""
    found = laid(0.08, 0.15, plate(1.0, 1.0), fillet(6.0), joined(8.0))
    assert worst_N_mm(found, six(twist=4594.0)) == pytest.approx(192.6, rel=FOUR_FIGURES)
    assert worst_N_mm(found, six(side=9761.0 * 0.05)) == pytest.approx(34.53, rel=FOUR_FIGURES)


def test_a_partial_penetration_weld_needs_flat_under_it_but_no_ledge() -> None:
    deposit = fillet(6.0, "pjp", throat_mm=4.0)
    flush = laid(0.1, 0.1, plate(0.1, 0.1), deposit, joined(6.3))
    assert [line.allowed_N_m for line in flush.lines] == [groove_N_m(0.004, deposit, joined(6.3))] * 4
    over_corner = laid(0.1, 0.1, tube_across(0.1, 0.005), deposit, joined(6.3))
    assert {face.reason for face in over_corner.left_out} == {"no_ledge"}


def test_a_face_that_was_not_welded_is_left_out_and_said() -> None:
    found = laid(0.1, 0.1, plate(0.2, 0.2), fillet(6.0), joined(), ("left", "right"))
    assert {face.face: face.reason for face in found.left_out} == {"front": "not_welded", "back": "not_welded"}


def test_a_part_near_one_edge_of_a_plate_loses_the_face_there() -> None:
    near = plate(0.2, 0.2)._replace(front_m=0.052)
    found = laid(0.1, 0.1, near, fillet(6.0), joined())
    assert {face.face: face.reason for face in found.left_out} == {"front": "no_ledge"}


def test_a_round_bar_on_a_wide_flat_is_welded_all_round_and_on_a_narrow_one_in_front_and_behind() -> None:
    """Ring of 50: L = 157.1, S = pi r^2; straight pieces inside the circle are at most 1 % worse."""
    whole = laid_round(0.05, plate(0.2, 0.2), fillet(4.0), joined())
    exact = 1000.0 / (math.pi * 0.025**2) / 1000.0
    assert exact <= worst_N_mm(whole, six(up=1000.0)) <= 1.01 * exact
    assert whole.length_m == pytest.approx(math.pi * 0.05, rel=0.01)
    narrow = laid_round(0.05, tube_along(0.06, 0.005), fillet(4.0), joined())
    assert {face.face for face in narrow.left_out} == {"left", "right"}
    assert {line.face for line in narrow.lines} == {"front", "back"}


# ---------------------------------------------------------------- the pull on a group


def test_a_box_agrees_with_the_outline_used_for_version_1() -> None:
    pulled = six(axial=900.0, x=300.0, y=-500.0, twist=80.0, up=700.0, side=-350.0)
    new = laid(0.1, 0.15, plate(1.0, 1.0), fillet(6.0), joined())
    old = outlines.pulls(outlines.around(RectTube(width_m=0.1, depth_m=0.15, wall_m=0.006), "all_round"), pulled)
    assert worst_N_mm(new, pulled) * 1000.0 == pytest.approx(
        max(math.hypot(*(part.fixed for part in point)) for point in old), rel=1e-12
    )


def test_lines_of_any_shape_balance_what_pulls_at_them() -> None:
    """Force and moments of the pulls, summed piece by piece over an L of two faces, are those of the six components."""
    pulled = (900.0, 300.0, -500.0, 80.0, 700.0, -350.0)
    found = laid(0.1, 0.15, plate(1.0, 1.0), fillet(6.0), joined(), ("front", "left"))
    at_end = dict(zip(_ends(found), pulls(found, six(*pulled)), strict=True))
    steps = 200
    total = [0.0] * 6
    for line in found.lines:
        piece = line.length_m / steps
        for step in range(steps):
            share = (step + 0.5) / steps
            x, y = (a + share * (b - a) for a, b in zip(line.start_m, line.end_m, strict=True))
            n, qx, qy = (
                a.fixed + share * (b.fixed - a.fixed)
                for a, b in zip(at_end[line.start_m], at_end[line.end_m], strict=True)
            )
            for index, part in enumerate((n, qx, qy, x * qy - y * qx, -n * x, n * y)):
                total[index] += part * piece
    assert total == pytest.approx(pulled, rel=1e-4)


def _ends(found: WeldGroup) -> list[tuple[float, float]]:
    ends: dict[tuple[float, float], None] = {}
    for line in found.lines:
        ends[line.start_m] = ends[line.end_m] = None
    return list(ends)


def test_every_line_is_held_to_its_own_throat() -> None:
    """A groove of twice the strength counts half of its pull; where lines meet the weaker one rules."""
    found = laid(0.12, 0.12, tube_across(0.12, 0.006), fillet(3.0, "flare_bevel", "gas_metal_arc"), joined(6.0))
    strong, weak = max(line.allowed_N_m for line in found.lines), found.allowed_N_m
    assert strong == pytest.approx(2.0 * weak)
    apart = group([line._replace(start_m=(line.start_m[0], 0.9 * line.start_m[1])) for line in found.lines])
    for scaled, plain, point in zip(
        pulls_on_weakest(apart, six(up=1.0)), pulls(apart, six(up=1.0)), apart.points, strict=True
    ):
        assert scaled[0].fixed == pytest.approx(plain[0].fixed * weak / point.allowed_N_m)
    sides = laid(0.12, 0.12, tube_along(0.12, 0.006), fillet(3.0, "flare_bevel", "gas_metal_arc"), joined(6.0))
    assert {point.allowed_N_m for point in (*found.points, *sides.points)} == {weak}, "grooves in front or at the sides"
    assert len({point.allowed_N_m for point in apart.points}) == 2


def test_lines_that_cannot_carry_a_moment_are_allowed_nothing() -> None:
    for faces in ((), ("front",)):
        found = laid(0.1, 0.1, plate(0.2, 0.2), fillet(6.0), joined(), faces)  # type: ignore[arg-type]
        assert found.allowed_N_m == 0.0
        assert math.isfinite(worst_N_mm(found, six(axial=100.0)))


def test_what_pulls_beside_a_line_and_what_shears_there() -> None:
    found = laid(0.1, 0.1, plate(0.2, 0.2), fillet(6.0), joined())
    straight, sheared = pulls_beside(found, six(axial=4000.0, x=800.0))
    assert [normal.fixed for (normal,) in straight] == pytest.approx([10_000.0] * 4)
    assert [math.hypot(x.fixed, y.fixed) for x, y in sheared] == pytest.approx([2_000.0] * 4)


def test_pulls_are_linear_in_the_load() -> None:
    found = laid(0.1, 0.15, plate(1.0, 1.0), fillet(6.0), joined(), ("front", "left"))
    cut = SectionForces(*(Linear(float(index), 10.0 - index) for index in range(6)))
    for point, with_load in zip(pulls(found, cut), pulls(found, six(*(part.at(7.0) for part in cut))), strict=True):
        assert [part.at(7.0) for part in point] == pytest.approx([part.fixed for part in with_load])
