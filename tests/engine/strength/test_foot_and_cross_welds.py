"""The jib mast's foot and the cross-member's ends: worked examples through the checks' own functions, and hand sums.

The worked examples are for unknown steel at 195 MPa yield and 290 MPa strength, E60 electrodes, a design factor of 3,
and welds nobody has vouched for (0.70).
"""

from __future__ import annotations

import math

import pytest
from rigs import BOATYARD, REPLACE

from engine.base.geometry import Vec
from engine.schema.connections import BasePlate, Weld
from engine.schema.model import JibMast, Job, Policy, Sleeves
from engine.schema.sections import RectTube, RoundTube
from engine.strength import laid_welds, mast_foot
from engine.strength.cross_weld import cross_end
from engine.strength.cuts import SectionForces
from engine.strength.foot_weld import foot_of
from engine.strength.linear_in_load import Linear
from engine.worst_case.verdict import Verdict, evaluate

FOUR_FIGURES = 5e-4
POLICY = Policy(unknown_yield_Pa=195e6)
NONE = Linear(0.0, 0.0)
NOSE_DOWN = SectionForces(NONE, NONE, NONE, NONE, Linear(-4417.0, 0.0), NONE)


def tube(width_mm: float, depth_mm: float, wall_mm: float) -> RectTube:
    return RectTube(width_m=width_mm / 1e3, depth_m=depth_mm / 1e3, wall_m=wall_mm / 1e3)


def mast_of(section: RectTube | RoundTube, **weld: object) -> JibMast:
    laid = {"leg_m": 0.005, "electrode": "E60", "faces": "all_round"} | weld
    return REPLACE(BOATYARD.rig.jib_mast, section=section, steel="unknown", foot_weld=Weld(**laid))


def sleeves_of(cross: RectTube, sleeve: RectTube | None = None) -> Sleeves:
    return REPLACE(BOATYARD.rig.sleeves, cross_section=cross, section=sleeve or tube(160, 80, 8), steel="unknown")


def foot_weld_use(mast: JibMast, sleeves: Sleeves) -> float:
    foot = foot_of(mast, sleeves, POLICY)
    return float(laid_welds.check("jib mast", "foot weld", Vec(0.0, 0.0, 0.0), foot.laid, NOSE_DOWN, 0.0).use)


def test_flush_faces_have_no_room_for_a_fillet_and_the_sides_are_cut_to_the_flat() -> None:
    """120 on 120 x 6: two lines of 96 mm, S = 2 x 96^2/6; 1,438 N/mm of the 5 x 33.83 allowed."""
    foot = foot_of(mast_of(tube(120, 120, 5)), sleeves_of(tube(120, 80, 6)), POLICY)
    assert foot.laid.faces == "at left and right"
    assert foot.laid.group.allowed_N_m / 1e3 == pytest.approx(5.0 * 33.83, rel=FOUR_FIGURES)
    assert foot_weld_use(mast_of(tube(120, 120, 5)), sleeves_of(tube(120, 80, 6))) == pytest.approx(8.500, rel=1e-3)


def test_filled_grooves_in_front_and_behind_bring_the_box_back() -> None:
    """Radius 12, 7.5 mm of throat counted as the 5 mm wall: 230.1 of 169.2 N/mm."""
    mast = mast_of(tube(120, 120, 5), kind="flare_bevel", process="gas_metal_arc")
    assert foot_of(mast, sleeves_of(tube(120, 80, 6)), POLICY).laid.faces == "all round"
    assert foot_weld_use(mast, sleeves_of(tube(120, 80, 6))) == pytest.approx(1.360, rel=1e-3)


def test_matched_tubes_are_limited_by_the_cross_members_shape() -> None:
    """Across: distortion 3,209, less than side walls and uneven load; along: side walls 4,388 N·m."""
    limits = foot_of(mast_of(tube(120, 120, 5)), sleeves_of(tube(120, 80, 6)), POLICY).limits
    assert limits.across_Nm == pytest.approx(3209.0, rel=FOUR_FIGURES)
    assert limits.along_Nm <= 4388.0 * (1.0 + FOUR_FIGURES)


def test_a_narrow_mast_folds_a_wide_wall() -> None:
    """100 on 200 x 100 x 5: 806.7 N·m across, 784.6 along."""
    limits = foot_of(mast_of(tube(100, 100, 5)), sleeves_of(tube(200, 100, 5)), POLICY).limits
    assert limits.across_Nm == pytest.approx(806.7, rel=FOUR_FIGURES)
    assert limits.along_Nm == pytest.approx(784.6, rel=FOUR_FIGURES)


def test_a_round_mast_holds_pi_quarters_of_a_square_one() -> None:
    round_mast = REPLACE(mast_of(tube(100, 100, 5)), section=RoundTube(diameter_m=0.1, wall_m=0.005))
    square = foot_of(mast_of(tube(100, 100, 5)), sleeves_of(tube(200, 100, 5)), POLICY).limits
    assert foot_of(round_mast, sleeves_of(tube(200, 100, 5)), POLICY).limits.across_Nm == pytest.approx(
        math.pi / 4.0 * square.across_Nm
    )


def test_a_base_plate_is_bent_between_the_masts_walls_and_the_side_walls() -> None:
    """Mast 100 on 200 x 100 x 5, plate 160 wide: at 34.79 mm the moment of 4,417 N·m makes 65 MPa.

    Plate of unknown steel over 16 mm is allowed 175 MPa / 3.
    """
    base = BasePlate(thickness_m=0.03479, length_m=0.15, width_m=0.16)
    plate = foot_of(REPLACE(mast_of(tube(100, 100, 5)), base=base), sleeves_of(tube(200, 100, 5)), POLICY).plate
    assert plate is not None and not plate.both_walls
    assert (plate.reach_m, plate.carrying_m) == (pytest.approx(0.0475), pytest.approx(0.16))
    terms = mast_foot.base_plate_terms(
        NOSE_DOWN.bend_up, NONE, 0.1, plate.reach_m, plate.carrying_m, both_walls=plate.both_walls
    )
    stress = sum(weight * abs(value.fixed) for weight, value in terms) * 6.0 / plate.thickness_m**2
    assert stress == pytest.approx(65e6, rel=1e-3)
    assert plate.stress_Pa == pytest.approx(175e6 / 3.0)


def test_sideways_a_plate_is_a_strip_between_the_side_walls_or_a_cantilever() -> None:
    """Mast 100, span 195: (2 x 195 - 100)/8 over 100 x (2 x 40 + 5); short plate: 30 over 100 x (100 + 60)."""
    sleeves = sleeves_of(tube(200, 100, 5))
    reaching = BasePlate(thickness_m=0.02, length_m=0.2, width_m=0.18)
    short = BasePlate(thickness_m=0.02, length_m=0.17, width_m=0.16)
    for base, per_N in ((reaching, 0.29 / 8.0 / (0.1 * 0.085)), (short, 0.03 / (0.1 * 0.16))):
        plate = foot_of(REPLACE(mast_of(tube(100, 100, 5)), base=base), sleeves, POLICY).plate
        assert plate is not None and plate.strip_per_N == pytest.approx(per_N)


def test_a_base_plate_gives_the_weld_room_all_round_and_has_its_own_below() -> None:
    """Mast 120 on a plate of 150: ledges of 15; the plate of 150 on the flat of a 200 x 8: ledges of 9."""
    below = Weld(leg_m=0.008, electrode="E60")
    base = BasePlate(thickness_m=0.02, length_m=0.15, width_m=0.2, weld_below=below)
    foot = foot_of(REPLACE(mast_of(tube(120, 120, 8)), base=base), sleeves_of(tube(200, 80, 8)), POLICY)
    assert foot.laid.group.length_m == pytest.approx(4.0 * 0.12)
    assert foot.plate is not None and foot.plate.laid is not None
    assert foot.plate.laid.group.length_m == pytest.approx(2.0 * (0.15 + 0.2))


# ---------------------------------------------------------------- the cross-member's ends


def test_a_cross_member_as_deep_as_its_sleeve_has_two_upright_lines() -> None:
    """150 x 80 on a sleeve 80 x 8: two lines of 48; 9,761 N make 101.7, 4,594 N·m 647.8, half of 100 mm 635.5 N/mm."""
    end = cross_end(sleeves_of(tube(150, 80, 8), tube(160, 80, 8)), Weld(leg_m=0.006, electrode="E60"), POLICY)
    assert end.laid.faces == "at front and back"
    group = end.laid.group
    assert group.length_m == pytest.approx(0.096)
    point = group.points[0]
    assert abs(point.along_y[1]) * 9761.0 / 1e3 == pytest.approx(101.7, rel=FOUR_FIGURES)
    turned = max(math.hypot(each.along_x[2], each.along_y[2]) for each in group.points)
    assert turned * 4594.0 / 1e3 == pytest.approx(647.8, rel=FOUR_FIGURES)
    assert abs(point.normal[2]) * 9761.0 * 0.05 / 1e3 == pytest.approx(635.5, rel=FOUR_FIGURES)


def test_filled_grooves_above_and_below_close_the_box() -> None:
    """All round 150 x 80: 4,594 N·m make 192.6 N/mm, half of the blade's width 34.53."""
    weld = Weld(leg_m=0.008, electrode="E60", kind="flare_bevel", process="gas_metal_arc")
    group = cross_end(sleeves_of(tube(150, 80, 8), tube(160, 80, 8)), weld, POLICY).laid.group
    assert group.length_m == pytest.approx(2.0 * 0.23)
    turned = max(math.hypot(each.along_x[2], each.along_y[2]) for each in group.points)
    assert turned * 4594.0 / 1e3 == pytest.approx(192.6, rel=FOUR_FIGURES)
    assert abs(group.points[0].normal[2]) * 9761.0 * 0.05 / 1e3 == pytest.approx(34.53, rel=FOUR_FIGURES)


# ---------------------------------------------------------------- whole rigs


def judged(job: Job) -> Verdict:
    return evaluate(job, job.poses[0])


def use_of(verdict: Verdict, name: str) -> float:
    (check,) = [check for check in verdict.checks if check.name == name]
    return float(check.use)


def with_parts(job: Job, **parts: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, **parts))


def test_the_boatyards_base_holds_and_a_wide_thin_cross_member_folds_under_its_mast() -> None:
    """The mast stands in the middle of a wall 200 wide and 5 thick: the wall folds, the tubes do not."""
    assert judged(BOATYARD).state == "WITHIN"
    stepped = with_parts(BOATYARD, sleeves=REPLACE(BOATYARD.rig.sleeves, cross_section=tube(200, 80, 6)))
    verdict = judged(stepped)
    assert use_of(verdict, "cross-member: top wall under the jib mast") > 1.0 and verdict.state == "OVER"
    base = BasePlate(thickness_m=0.035, length_m=0.16, width_m=0.22, weld_below=BOATYARD.rig.jib_mast.foot_weld)
    mended = with_parts(
        stepped,
        sleeves=REPLACE(stepped.rig.sleeves, cross_section=tube(200, 80, 8)),
        jib_mast=REPLACE(stepped.rig.jib_mast, base=base, length_m=BOATYARD.rig.jib_mast.length_m - 0.035),
    )
    assert use_of(judged(mended), "cross-member: top wall under the jib mast") <= 1.0
    assert use_of(judged(mended), "base plate: bending") <= 1.0


def test_a_cross_member_whose_weld_is_not_entered_leaves_the_pose_not_proven() -> None:
    bare = with_parts(BOATYARD, sleeves=REPLACE(BOATYARD.rig.sleeves, cross_weld=None))
    verdict = judged(bare)
    assert verdict.state == "NOT PROVEN" and [each.where for each in verdict.not_entered] == ["rig.sleeves.cross_weld"]


def test_fillets_alone_at_a_flush_cross_member_are_over() -> None:
    weld = REPLACE(BOATYARD.rig.sleeves.cross_weld, kind="fillet")
    verdict = judged(with_parts(BOATYARD, sleeves=REPLACE(BOATYARD.rig.sleeves, cross_weld=weld)))
    assert use_of(verdict, "cross-member: weld to the sleeves") > 1.0
    assert use_of(judged(BOATYARD), "cross-member: weld to the sleeves") <= 1.0


def test_a_weld_with_no_room_on_any_face_is_over_at_every_load() -> None:
    """Fillets above and below alone, where the cross-member is as deep as its sleeve."""
    weld = REPLACE(BOATYARD.rig.sleeves.cross_weld, kind="fillet", faces="both_sides")
    verdict = judged(with_parts(BOATYARD, sleeves=REPLACE(BOATYARD.rig.sleeves, cross_weld=weld)))
    check = next(check for check in verdict.checks if check.name == "cross-member: weld to the sleeves")
    assert verdict.state == "OVER" and verdict.allowed_load_kg == 0.0
    assert check.use > 1.0 and check.allowed_load_kg < 0.0 and "has room for its weld" in check.words


def test_a_weld_that_nobody_can_see_counts_as_not_entered() -> None:
    weld = REPLACE(BOATYARD.rig.jib_mast.foot_weld, quality="not_seen")
    verdict = judged(with_parts(BOATYARD, jib_mast=REPLACE(BOATYARD.rig.jib_mast, foot_weld=weld)))
    assert "rig.jib_mast.foot_weld" in [each.where for each in verdict.not_entered]


def test_a_wall_outside_the_tested_range_asks_for_a_base_plate() -> None:
    sleeves = REPLACE(BOATYARD.rig.sleeves, cross_section=tube(200, 80, 5))
    verdict = judged(with_parts(BOATYARD, sleeves=sleeves))
    assert "rig.jib_mast.base" in [each.where for each in verdict.not_entered]
