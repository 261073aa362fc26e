"""Limits of the saddle straps in a whole rig, against worked numbers: the vineyard's boom, and what bad straps do.

Check values: boom 150 x 150 x 6.4 of unknown steel, straps 80 x 25 tight about it, T 4,397 N·m, 5,879 N held down at
the rear, 9,860 N borne at the front, design factor 3 (worked out beside the program).
"""

from __future__ import annotations

import msgspec
import pytest
from rigs import BOATYARD, JOBS, REPLACE, STONE_YARD, VINEYARD, checks, unweighed

from engine.rig import joint_fits
from engine.rig.check import Check
from engine.rig.completeness import not_entered
from engine.rig.feasibility import impossibilities
from engine.rig.kinematics import figures
from engine.rig.strap_pieces import flat_bar_m
from engine.schema.connections import (
    BedMount,
    BentStrap,
    Cap,
    FabricatedStrap,
    OnCap,
    Pin,
    PlateBed,
    StrapLapped,
    StrapOnTop,
    TubeBed,
    Weld,
)
from engine.schema.model import Job, Pose
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube
from engine.strength.boom import allowed_pin_end_N
from engine.strength.linear_in_load import Linear
from engine.strength.saddles import _demands
from engine.strength.strap_contact import LegWeights
from engine.strength.strap_limits import StrapLimits, strap_limits
from engine.worst_case.verdict import evaluate

FOUR_FIGURES = 5e-4


def with_saddles(job: Job, **changes: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, saddles=REPLACE(job.rig.saddles, **changes)))


def vineyard(**changes: object) -> Job:
    """The vineyard's rig with saddles and jib mast as heavy and as high as the page's sums have them."""
    saddles = {
        "strap_length_m": 0.08,
        "strap_thickness_m": 0.025,
        "strap_make": FabricatedStrap(corner_weld=Weld(leg_m=0.01, electrode="E70"), corner_faces="both"),
        "strap_foot": None,
        "side_gap_m": 0.0,
        "top_gap_m": 0.0,
        "shims": "none",
        "seat_m": 0.08,
        "mass_kg": Estimate(best=39.0, known="weighed"),
        **changes,
    }
    mast = REPLACE(VINEYARD.rig.jib_mast, length_m=1.339, mass_kg=Estimate(best=29.0, known="weighed"))
    return with_saddles(REPLACE(VINEYARD, rig=REPLACE(VINEYARD.rig, jib_mast=mast)), **saddles)


def told(job: Job, pose: Pose | None = None) -> dict[tuple[str, str], Check]:
    pose = job.poses[0] if pose is None else pose
    return {(check.part, check.kind): check for check in checks(job, figures(job, pose))}


# ---------------------------------------------------------------- the page's values


def test_the_vineyards_boom_walls() -> None:
    """40,280 and 38,290 N on one wall; 19,970 allowed, 36,610 with 40 mm of shim; at the tail 9,984 and 26,620."""
    for shims, middle_N, end_N in (("none", 19_970.0, 9_984.0), ("steel", 36_610.0, 26_620.0)):
        job = vineyard(shims=shims)
        found = told(job)
        front, rear = (found["boom", f"wall crushing at the {end} saddle"] for end in ("front", "rear"))
        assert front.demand == pytest.approx(40_280.0, rel=2e-3)
        assert rear.demand == pytest.approx(38_290.0, rel=2e-3)
        assert (front.allowed, rear.allowed) == (
            pytest.approx(middle_N, rel=FOUR_FIGURES),
            pytest.approx(middle_N, rel=FOUR_FIGURES),
        )
        out = REPLACE(job.poses[0], hole=None, free_out_m=job.rig.boom.length_m - 0.675 - 0.04 - 0.07)
        near = told(job, out)["boom", "wall crushing at the rear saddle"]
        assert near.allowed == pytest.approx(end_N, rel=FOUR_FIGURES)


def test_the_vineyards_rear_strap() -> None:
    """Tension 19.14 MPa of 38,290 N; top 99.43, leg 104.2, at the foot 221.9 and what holds it down besides."""
    found = told(vineyard())
    assert found["rear strap", "tension in a leg"].demand == pytest.approx(38_290.0, rel=2e-3)
    assert found["rear strap", "leg at the corner"].demand >= 104.2e6 * 0.998
    limits = {limit.kind: limit for limit in strap_limits(vineyard().rig, VINEYARD.policy).limits}
    pull, push = 38_287.0, 35_346.0  # 4,397 over the flat of 124.4 mm, and half of 5,879 with it on top
    assert limits["bending of the top"].top.pull * pull == pytest.approx(99.43e6, rel=FOUR_FIGURES)
    assert limits["leg at the corner"].top.pull * pull == pytest.approx(104.2e6, rel=FOUR_FIGURES)
    assert limits["leg at the foot"].sides.push * push == pytest.approx(221.9e6, rel=FOUR_FIGURES)


def on_top(wall_mm: float, width_mm: float, **changes: object) -> StrapLimits:
    """Straps on top of a wide bed."""
    bed = RectTube(width_m=width_mm / 1e3, depth_m=0.08, wall_m=wall_mm / 1e3)
    job = vineyard(strap_foot=StrapOnTop(), bed=TubeBed(section=bed), **changes)
    return strap_limits(job.rig, job.policy)


def test_a_foot_on_both_faces() -> None:
    """416.5 N/mm under the top corner, 924.6 under the side; legs of 10 mm count as the bed's wall, 0.93 of 10."""
    (foot,) = (limit for limit in on_top(10, 300, foot_faces="both").limits if limit.kind == "foot weld")
    throat_m = 0.0093 / 2.0**0.5
    assert foot.top.pull * 38_287.0 * throat_m == pytest.approx(416.5e3, rel=FOUR_FIGURES)
    assert foot.sides.push * 35_346.0 * throat_m == pytest.approx(924.6e3, rel=FOUR_FIGURES)
    assert foot.allowed > 0.0


def test_a_foot_without_a_ledge_carries_nothing() -> None:
    """Outside of the leg at 100 mm, bed flat up to half of it less 20: 240 wide leaves none, 261 leaves 10.5."""
    for width_mm, room in ((240, False), (258, False), (261, True)):
        (foot,) = (limit for limit in on_top(10, width_mm, foot_faces="both").limits if limit.kind == "foot weld")
        assert (foot.allowed > 0.0) is room, width_mm


def test_an_outside_line_is_bent_open() -> None:
    """A side push of 1,722 N on boom 100, strap 80 x 20, corner 12: 64.38 N·m, 268.3 MPa on one 6 mm line."""
    boom = REPLACE(VINEYARD.rig.boom, section=RectTube(width_m=0.1, depth_m=0.1, wall_m=0.006))
    job = vineyard(
        strap_thickness_m=0.02,
        strap_foot=StrapOnTop(),
        strap_weld=Weld(leg_m=0.006, electrode="E70"),
        bed=TubeBed(section=RectTube(width_m=0.3, depth_m=0.08, wall_m=0.01)),
    )
    job = REPLACE(job, rig=REPLACE(job.rig, boom=boom))
    weights = {}
    for faces in ("both", "outside"):
        rig = with_saddles(job, foot_faces=faces).rig
        weights[faces] = {limit.kind: limit for limit in strap_limits(rig, job.policy).limits}
    assert weights["both"]["foot weld"].sides.push * 1722.0 * 0.006 / 2.0**0.5 == pytest.approx(40.24e3, rel=1e-3)
    assert weights["outside"]["foot weld"].sides.push * 1722.0 == pytest.approx(268.3e6, rel=1e-3)


def test_a_bend_is_stressed_more_than_a_straight_leg() -> None:
    """Winkler: 25 mm bent on 37.5 inside, 1.200 times the bending; 11.14 of tension is not bending."""
    straight, bent = (
        {limit.kind: limit for limit in strap_limits(vineyard(strap_make=make).rig, VINEYARD.policy).limits}
        for make in (None, BentStrap(inside_radius_m=0.0375))
    )
    tension = 1.0 / (0.08 * 0.025)
    kind = "leg at the corner"
    assert (bent[kind].top.pull - tension) / (straight[kind].top.pull - tension) == pytest.approx(1.200, rel=1e-3)
    assert bent["leg at the foot"].top == straight["leg at the foot"].top


def test_a_lapped_legs_force_stands_off_its_weld() -> None:
    """Edges of 60 mm on a bed 110 deep and 10 thick, 80 below: S 4.24e-3 x 0.8; N (foot + t/2) across, N/0.2 along."""
    job = vineyard(
        strap_foot=StrapLapped(lap_m=0.08), bed=TubeBed(section=RectTube(width_m=0.15, depth_m=0.11, wall_m=0.01))
    )
    (foot,) = (limit for limit in strap_limits(job.rig, job.policy).limits if limit.kind == "foot weld")
    modulus = 0.06**2 * (0.06 + 0.16) / (3.0 * 0.14)
    near, far, span = 0.0253, 0.1497, 0.175
    moment = near * far**2 / span**2 / 2.0 + 0.0125
    by_hand = ((1.0 / 0.2) ** 2 + (moment / modulus) ** 2) ** 0.5 / (0.0093 / 2.0**0.5)
    assert foot.top.pull == pytest.approx(by_hand, rel=1e-9)
    assert foot.allowed == pytest.approx(0.60 * 482.633e6 / 3.6, rel=1e-6)  # E70, whose quality is stated


def test_a_tight_top_leaves_the_sides_out_and_gaps_nobody_entered_leave_nothing_out() -> None:
    for side, top, counted in (
        (0.004, 0.0005, (True, False)),
        (0.001, 0.0005, (True, True)),  # 1 mm less 1 mm that the weld draws in: the sides touch first
        (None, 0.0005, (True, True)),
        (0.004, None, (True, True)),
    ):
        found = strap_limits(vineyard(side_gap_m=side, top_gap_m=top).rig, VINEYARD.policy)
        assert (found.top_counts, found.sides_count) == counted


def test_a_strap_that_is_not_pulled_is_pushed_aside_all_the_same() -> None:
    """A boom that rests with 5,000 N and is pushed with 100 N: nothing but the push strains the strap."""
    found = strap_limits(vineyard(side_gap_m=0.004, top_gap_m=0.0005).rig, VINEYARD.policy)
    weights = LegWeights(0.0, 0.0), LegWeights(2.0, 3.0)
    rests, push, none = Linear(5000.0, 0.0), Linear(100.0, 0.0), Linear(0.0, 0.0)
    assert not found.sides_count
    assert max(one.fixed for one in _demands(found, rests, push, none, *weights)) == pytest.approx(300.0)


def test_a_thin_boom_pin_is_cut_before_anything_bears() -> None:
    """S355, 8 mm: 50.27 mm2 at 355 / 3 / sqrt 3 MPa are 3,434 N; walls and straps bear far more."""
    pin = Pin(diameter_m=0.008, hole_m=0.0085, steel="S355")
    boom = REPLACE(VINEYARD.rig.boom, pin=pin, section=RectTube(width_m=0.15, depth_m=0.15, wall_m=0.0125))
    policy = REPLACE(VINEYARD.policy, design_factor=3.0)
    assert allowed_pin_end_N(boom, vineyard().rig.saddles, policy) == pytest.approx(3434.0, rel=1e-3)


def test_flat_bar_for_a_bent_strap() -> None:
    """Boom 100, strap 20 thick bent on 30, gaps 1, lap 60: 425.9 mm."""
    boom = REPLACE(VINEYARD.rig.boom, section=RectTube(width_m=0.1, depth_m=0.1, wall_m=0.006))
    saddles = vineyard(
        strap_thickness_m=0.02,
        strap_make=BentStrap(inside_radius_m=0.03),
        strap_foot=StrapLapped(lap_m=0.06),
        side_gap_m=0.001,
        top_gap_m=0.001,
    ).rig.saddles
    assert flat_bar_m(saddles, boom) == pytest.approx(0.4259, rel=FOUR_FIGURES)


# ---------------------------------------------------------------- bad rigs and their repaired twins


def test_tube_walls_under_bare_saddles_are_over_and_shims_mend_them() -> None:
    """The saddles' bare edges: 40,280 N on a wall that is allowed 19,970, twice that of it; shims spread it."""
    bad = with_saddles(VINEYARD, shims="none", side_gap_m=0.015)
    assert evaluate(unweighed(bad), bad.poses[0]).state == "OVER"
    found = told(bad)
    for end, use in (("front", 1.9), ("rear", 1.8)):
        assert float(found["boom", f"wall crushing at the {end} saddle"].use) > use
    shipped = JOBS["cold_spring_vineyard"]
    assert evaluate(shipped, shipped.poses[0]).state == "WITHIN"


def test_one_outside_line_at_a_straps_foot_is_over_and_a_lapped_foot_mends_it() -> None:
    """One line of 8 mm outside each leg is bent open: far over the 80 MPa or so that it is allowed."""
    pose = BOATYARD.poses[2]
    wide = RectTube(width_m=0.24, depth_m=0.10, wall_m=0.01)
    bad = with_saddles(
        BOATYARD,
        strap_foot=StrapOnTop(),
        foot_faces="outside",
        strap_weld=REPLACE(BOATYARD.rig.saddles.strap_weld, leg_m=0.008),
        bed=TubeBed(section=wide),
        shim_side_m=0.0,
    )
    assert impossibilities(bad, pose) == []
    check = told(bad, pose)["rear strap", "foot weld"]
    assert float(check.use) > 1.0 and check.allowed < 90e6 < check.demand
    assert evaluate(bad, pose).state == "OVER"
    assert evaluate(BOATYARD, pose).state == "WITHIN"


# ---------------------------------------------------------------- entered, not entered, impossible


def test_what_of_the_straps_is_not_entered() -> None:
    for changes, where in (
        ({"strap_make": None}, "rig.saddles.strap_make"),
        ({"strap_make": FabricatedStrap()}, "rig.saddles.strap_make.corner_weld"),
        ({"strap_foot": None}, "rig.saddles.strap_foot"),
        ({"shim_side_m": 0.0105}, "rig.saddles.shim_side_m"),
    ):
        job = with_saddles(STONE_YARD, **changes)
        assert [problem.where for problem in not_entered(job, job.poses[0])] == [where]
        assert evaluate(job, job.poses[0]).state == "NOT PROVEN"
    assert not_entered(with_saddles(STONE_YARD, side_gap_m=None, top_gap_m=None), STONE_YARD.poses[0]) == ()


def test_legs_beside_their_bed_or_in_it_are_refused() -> None:
    half_bed = STONE_YARD.rig.saddles.bed_section.width_m / 2.0
    thick, boom_m = STONE_YARD.rig.saddles.strap_thickness_m, STONE_YARD.rig.boom.section.width_m
    gap = half_bed - (boom_m + thick) / 2.0
    for foot, side_gap, refused in (
        (StrapOnTop(), gap - 0.0001, False),
        (StrapOnTop(), gap + 0.0001, True),
        (StrapLapped(lap_m=0.05), half_bed - boom_m / 2.0, False),
        (StrapLapped(lap_m=0.05), half_bed - boom_m / 2.0 - 0.002, True),
    ):
        job = with_saddles(STONE_YARD, strap_foot=foot, shims="none", side_gap_m=side_gap)
        found = [problem.where for problem in impossibilities(job, job.poses[0])]
        assert found == (["rig.saddles.strap_foot"] if refused else []), (foot, side_gap)


def test_welds_inside_a_strap_that_stand_in_the_booms_corner_are_refused() -> None:
    """Corner of a 6.4 wall 12.8 round, which leaves 7.50; gaps of 1 and 0.5 make 9.00 at a corner, 8.50 at a foot."""
    for leg_m, faces, where in (
        (0.0092, "both", "rig.saddles.strap_make.corner_weld.leg_m"),
        (0.0092, "outside", None),
        (0.0089, "both", None),
    ):
        make = FabricatedStrap(corner_weld=Weld(leg_m=leg_m, electrode="E70"), corner_faces=faces)
        rig = vineyard(strap_make=make, side_gap_m=0.001, top_gap_m=0.0005).rig
        assert [one.where for one in joint_fits.problems(rig) if "inside" in one.words] == ([where] if where else [])
    for leg_m, refused in ((0.0086, True), (0.0084, False)):
        foot = {"strap_foot": StrapOnTop(), "foot_faces": "both", "strap_weld": Weld(leg_m=leg_m, electrode="E70")}
        rig = vineyard(strap_make=None, side_gap_m=0.001, top_gap_m=0.0005, **foot).rig
        found = [one.where for one in joint_fits.problems(rig) if "inside" in one.words]
        assert found == (["rig.saddles.strap_weld.leg_m"] if refused else [])


def test_cautions_of_bends() -> None:
    from engine.strength.cautions import cautions

    def about(**changes: object) -> list[str]:
        job = with_saddles(STONE_YARD, **changes)
        where = "rig.saddles.strap_make.inside_radius_m"
        return [caution.words for caution in cautions(job, job.poses[0]) if caution.where == where]

    assert about(strap_make=BentStrap(inside_radius_m=0.018)) == []
    (tight,) = about(strap_make=BentStrap(inside_radius_m=0.0175))
    assert "may crack" in tight
    # Corner 12, bend 30: 18 (sqrt 2 - 1)/sqrt 2 = 5.27 mm of gap.
    bend = BentStrap(inside_radius_m=0.03)
    assert about(strap_make=bend, shims="none", side_gap_m=0.0053, top_gap_m=0.0053) == []
    (rides,) = about(strap_make=bend, shims="none", side_gap_m=0.0052, top_gap_m=0.0052)
    assert "ride on" in rides


def test_the_sides_count_once_they_may_touch_within_what_the_walls_bear() -> None:
    limits = strap_limits(vineyard().rig, VINEYARD.policy)
    assert msgspec.structs.asdict(limits)["sides_count"] and limits.top_counts


def test_straps_on_a_flat_bar_or_on_the_cap_stand_on_a_flat_that_reaches_its_edge() -> None:
    """Leg's outside at 100 mm, legs of weld 10: a plate 220 wide has room, one of 219 has not; no wall to fold."""
    for width_mm, room in ((220, True), (219, False)):
        cap = Cap(thickness_m=0.02, length_m=1.5, width_m=width_mm / 1e3)
        for bed in (PlateBed(width_m=width_mm / 1e3, thickness_m=0.02), OnCap(mount=BedMount(cap=cap))):
            rig = vineyard(strap_foot=StrapOnTop(), foot_faces="both", bed=bed).rig
            kinds = {limit.kind: limit for limit in strap_limits(rig, VINEYARD.policy).limits}
            assert (kinds["foot weld"].allowed > 0.0) is room, (width_mm, bed)
            assert "bed's wall under a leg" not in kinds


def test_a_leg_between_the_side_walls_folds_the_beds_top() -> None:
    """A leg of 25 x 80 on a wall 300 wide and 9.3 thick (0.93 of 10), 355 MPa over three, by yield lines."""
    found = on_top(10, 300, foot_faces="both")
    (folds,) = (limit for limit in found.limits if limit.kind == "bed's wall under a leg")
    beta, wall_m = 0.025 / 0.3, 0.0093
    push_N = 355e6 * wall_m**2 * (2.0 * 0.08 / 0.3 / (1.0 - beta) + 4.0 / (1.0 - beta) ** 0.5) / 3.0
    ratio = (1.0 + beta) / (1.0 - beta)
    across_Nm = 355e6 * wall_m**2 * (0.04 * ratio + (2.0 * 0.3 * 0.025 * ratio) ** 0.5) / 3.0
    near, far, span = 0.0253, 0.1497, 0.175
    foot_m = near * far**2 / span**2 / 2.0
    assert folds.top.pull == pytest.approx(1.0 / push_N + foot_m / across_Nm, rel=1e-3)
    assert found.feet is not None and found.feet.push_N > 0.0
