"""Gussets at the jib mast's foot: what their lines carry by hand, each reason for not counting, and whole rigs.

By hand: unknown steel is 195 MPa in tube and 185 in plate, 290 of strength, E60, a design factor of 3, welds nobody has
vouched for (0.70): 33.83 N/mm for each millimetre of leg.
"""

from __future__ import annotations

import math

import pytest
from rigs import BOATYARD, REPLACE

from engine.limits.plausibility import answer_to, questions
from engine.rig.fits import misfits
from engine.rig.rig_masses import steel_masses
from engine.schema.connections import BasePlate, Gusset, OnCross, Weld
from engine.schema.defaults import empty_value
from engine.schema.model import JibMast, Job, Policy
from engine.schema.sections import RectTube, RoundTube
from engine.strength.cautions import cautions
from engine.strength.foot_weld import foot_of
from engine.strength.gussets import Row, rows_of
from engine.strength.mast_foot import MISSING
from engine.worst_case.verdict import Verdict, evaluate

POLICY = Policy(unknown_yield_Pa=195e6)
PER_LEG = 33.83e6
"""Allowed force on a metre of fillet and metre of leg (Pa)."""

WELD = Weld(leg_m=0.003, electrode="E60")
FRONT = Gusset(face="front", out_m=0.036, up_m=0.1, thickness_m=0.01, weld=WELD)
PLATE = BasePlate(thickness_m=0.02, length_m=0.2, width_m=0.2, weld_below=WELD)
CROSS = RectTube(width_m=0.2, depth_m=0.08, wall_m=0.008)
SLEEVES = REPLACE(BOATYARD.rig.sleeves, cross_section=CROSS, steel="unknown")
"""Its side walls' middles are 96 mm from the mast's axis."""


def tube(size_mm: float, wall_mm: float) -> RectTube:
    return RectTube(width_m=size_mm / 1e3, depth_m=size_mm / 1e3, wall_m=wall_mm / 1e3)


MAST = REPLACE(
    BOATYARD.rig.jib_mast,
    section=tube(120, 6),
    steel="unknown",
    foot_weld=Weld(leg_m=0.005, electrode="E60"),
    base=PLATE,
    gussets=(FRONT,),
)


def row_of(gusset: Gusset, spread_m: float = 0.6, **mast: object) -> Row:
    (row,) = rows_of(REPLACE(MAST, gussets=(gusset,), **mast), SLEEVES, spread_m, POLICY)
    return row


def allowed(gusset: Gusset, mast: JibMast = MAST, cross_mm: float = 200.0) -> float:
    sleeves = REPLACE(SLEEVES, cross_section=REPLACE(CROSS, width_m=cross_mm / 1e3))
    (row,) = rows_of(REPLACE(mast, gussets=(gusset,)), sleeves, 0.6, POLICY)
    assert row.missing is None
    return row.lines[0].allowed_N_m


# ---------------------------------------------------------------- the group by hand


def test_the_foot_weld_with_gussets_in_front_and_behind_by_hand() -> None:
    """Four lines of 120 in a box, and eight of 36 at 12 x 30 mm: their middles are 78 mm from the axis."""
    pair = REPLACE(FRONT, count=2)
    foot = foot_of(REPLACE(MAST, gussets=(pair, REPLACE(pair, face="back"))), SLEEVES, POLICY)
    box = 2.0 * 0.12 * 0.06**2 + 2.0 * 0.12**3 / 12.0
    nose_down = box + 8.0 * (0.036**3 / 12.0 + 0.036 * 0.078**2)
    sideways = box + 4.0 * 0.036 * (0.025**2 + 0.035**2)
    weights = foot.laid.group.points
    assert foot.laid.group.length_m == pytest.approx(4.0 * 0.12 + 8.0 * 0.036)
    assert max(abs(point.normal[1]) for point in weights) == pytest.approx(0.096 / nose_down)
    assert max(abs(point.normal[2]) for point in weights) == pytest.approx(0.06 / sideways)
    # Round the mast alone, in the same group: the wall beside it is checked on these.
    assert max(abs(point.normal[1]) for point in foot.on_mast.group.points) == pytest.approx(0.06 / nose_down)
    assert foot.on_mast.group.length_m == pytest.approx(4.0 * 0.12)
    assert foot.laid.faces == "all round and at the gussets"


def test_each_line_is_held_to_its_own_allowed_force() -> None:
    foot = foot_of(MAST, SLEEVES, POLICY)
    legs_mm = {round(1e3 * point.allowed_N_m / PER_LEG, 2) for point in foot.laid.group.points}
    assert legs_mm == {3.0, 5.0}


def test_without_gussets_that_count_the_foot_weld_is_as_before() -> None:
    bare = foot_of(REPLACE(MAST, gussets=()), SLEEVES, POLICY)
    assert foot_of(REPLACE(MAST, gussets=(REPLACE(FRONT, weld=None),)), SLEEVES, POLICY) == bare


# ---------------------------------------------------------------- what a line is allowed


def test_a_low_gusset_is_held_by_its_own_weld_and_a_steep_one_by_the_weld_up_the_mast() -> None:
    """36 out of 100 up: 0.36 (1 + 1.08^2)^0.5 = 0.530 of the pull goes up; 60 of 100: 1.2355 of it."""
    assert allowed(FRONT) == pytest.approx(0.003 * PER_LEG, rel=5e-4)
    thick = REPLACE(MAST, section=tube(120, 10), base=REPLACE(PLATE, length_m=0.25))
    assert allowed(REPLACE(FRONT, out_m=0.06), thick, 248.0) == pytest.approx(0.003 * PER_LEG / 1.2355, rel=5e-4)


def test_a_thin_gusset_is_sheared_between_its_two_lines() -> None:
    """4 mm at 185/3/3^0.5 = 35.60 MPa, for both lines; their 4 mm legs would hold 135.3 N/mm."""
    thin = REPLACE(FRONT, thickness_m=0.004, weld=REPLACE(WELD, leg_m=0.004))
    assert allowed(thin) == pytest.approx(0.002 * 185e6 / 3.0 / math.sqrt(3.0))


def test_a_thin_mast_folds_under_its_gussets() -> None:
    """Yield lines of AISC 360-10 table K3.2 for 10 x 100 on a wall of 120 x 3: half of it over 36 mm squared.

    Two stand 60 mm apart: the patch round both is 70 wide, and each has half of that.
    """

    def fold_Nm(across: float) -> float:
        beta, eta = across / 0.12, 0.1 / 0.12
        lines = 1.0 / (2.0 * eta) + 2.0 / math.sqrt(1.0 - beta) + eta / (1.0 - beta)
        return 195e6 * 0.003**2 * 0.1 * lines / 3.0

    mast = REPLACE(MAST, section=tube(120, 3))
    assert allowed(FRONT, mast) == pytest.approx(0.5 * fold_Nm(0.01) / 0.036**2)
    assert fold_Nm(0.07) / 2.0 < fold_Nm(0.01)
    assert allowed(REPLACE(FRONT, count=2), mast) == pytest.approx(0.5 * fold_Nm(0.07) / 2.0 / 0.036**2)


# ---------------------------------------------------------------- what counts nothing


def test_the_worked_example_counts_over_a_side_wall() -> None:
    """100 out and 150 up, 10 thick (joints.md, 4.5): 8.321 t of 17.93; the side wall 160 mm from the axis."""
    wide = REPLACE(SLEEVES, cross_section=REPLACE(CROSS, width_m=0.328))
    long = REPLACE(FRONT, out_m=0.1, up_m=0.15)
    mast = REPLACE(MAST, gussets=(long,), base=REPLACE(PLATE, length_m=0.328))
    (row,) = rows_of(mast, wide, 0.6, POLICY)
    assert row.missing is None and row.stands.effective_m == pytest.approx(0.09)
    assert row.stands.outstand_m / 0.01 == pytest.approx(8.321, rel=5e-4)


def test_each_reason_for_not_counting() -> None:
    assert row_of(FRONT).missing is None
    assert row_of(REPLACE(FRONT, origin="typical")).missing == "start"
    assert row_of(REPLACE(FRONT, weld=REPLACE(WELD, origin="typical"))).missing == "start"
    assert row_of(REPLACE(FRONT, weld=None)).missing == "weld"
    assert row_of(REPLACE(FRONT, weld=REPLACE(WELD, quality="not_seen"))).missing == "weld"
    assert row_of(FRONT, section=RoundTube(diameter_m=0.12, wall_m=0.006)).missing == "round"
    assert row_of(FRONT, base=OnCross()).missing == "beneath"
    assert row_of(FRONT, base=REPLACE(PLATE, length_m=0.19)).missing == "beneath"  # its edge 95, the toe 96
    assert row_of(REPLACE(FRONT, out_m=0.023)).missing == "beneath"  # 83 mm: 13 from the side wall, 12 allowed
    assert row_of(REPLACE(FRONT, out_m=0.024)).missing is None
    assert row_of(FRONT, base=REPLACE(PLATE, width_m=0.015)).missing == "room"
    assert row_of(REPLACE(FRONT, thickness_m=0.0015)).missing == "slender"  # 33.87/1.5 = 22.6
    assert set(MISSING) == {"start", "weld", "round", "beneath", "room", "slender"}


def test_a_gusset_at_the_side_counts_over_a_sleeve() -> None:
    """Sleeves 160 wide, 8 thick: forks 400 apart put their inner walls 124 mm off the middle."""
    left = REPLACE(FRONT, face="left", out_m=0.064)
    wide = REPLACE(PLATE, width_m=0.26)
    assert row_of(left, 0.4, base=wide).missing is None
    assert row_of(left, 0.5, base=wide).missing == "beneath"
    assert row_of(left, 0.4, base=PLATE).missing == "beneath"


def test_gussets_that_cannot_stand_are_refused() -> None:
    def refused(*gussets: Gusset) -> list[str]:
        return [each.where for each in misfits(REPLACE(BOATYARD.rig, jib_mast=REPLACE(MAST, gussets=gussets)))]

    path = "rig.jib_mast.gussets"
    assert refused(FRONT, REPLACE(FRONT, face="back")) == []
    assert refused(FRONT, FRONT) == [f"{path}[1].face"]
    assert refused(REPLACE(FRONT, count=4, thickness_m=0.031)) == [f"{path}[0].count"]
    assert refused(REPLACE(FRONT, up_m=2.0)) == [f"{path}[0].up_m"]


def test_a_row_drawn_in_takes_a_free_face_and_counts_nothing_until_it_is_measured() -> None:
    first = empty_value("rig.jib_mast.gussets", ())
    second = empty_value("rig.jib_mast.gussets", (REPLACE(first, face="back", origin="entered"),))
    assert (first.face, first.weld, first.origin) == ("front", None, "typical")
    assert (second.face, second.origin) == ("front", "typical")


# ---------------------------------------------------------------- whole rigs


def rig_with(gusset: Gusset | None) -> Job:
    """The boatyard on a wider cross-member and a base plate, the foot welded with 3 mm."""
    rig = BOATYARD.rig
    below = REPLACE(rig.jib_mast.foot_weld, leg_m=0.008)
    base = REPLACE(PLATE, thickness_m=0.035, weld_below=below, steel="S355")
    mast = REPLACE(
        rig.jib_mast,
        base=base,
        length_m=rig.jib_mast.length_m - 0.035,
        foot_weld=REPLACE(below, leg_m=0.003, leg_known="gauge", kind="fillet"),
        gussets=() if gusset is None else (gusset, REPLACE(gusset, face="back")),
    )
    sleeves = REPLACE(rig.sleeves, cross_section=CROSS)
    return REPLACE(BOATYARD, rig=REPLACE(rig, jib_mast=mast, sleeves=sleeves))


GOOD = REPLACE(
    FRONT, count=2, steel="S235", weld=Weld(leg_m=0.006, electrode="E70", quality="qualified_ndt", origin="entered")
)


def judged(job: Job) -> Verdict:
    """The verdict; what is asked about weights, which these changes leave as they were, is right."""
    return evaluate(REPLACE(job, answers=(*job.answers, *map(answer_to, questions(job)))), job.poses[0])


def use_of(verdict: Verdict, name: str) -> float:
    (check,) = [check for check in verdict.checks if check.name == name]
    return float(check.use)


def test_gussets_save_a_foot_weld_and_nothing_else() -> None:
    bare, mended = judged(rig_with(None)), judged(rig_with(GOOD))
    assert bare.state == "OVER" and use_of(bare, "jib mast: foot weld") > 1.0
    assert mended.state == "WITHIN" and use_of(mended, "jib mast: foot weld") <= 1.0
    assert use_of(mended, "jib mast: wall beside the foot weld") < use_of(bare, "jib mast: wall beside the foot weld")
    for name in ("jib mast: bending at the foot", "base plate: bending", "base plate: weld below"):
        assert use_of(mended, name) == use_of(bare, name)  # the mast is weighed: only its foot weld has changed


def test_gussets_that_count_nothing_leave_it_over_and_say_what_is_missing() -> None:
    job = rig_with(REPLACE(GOOD, weld=None))
    verdict = judged(job)
    assert verdict.state == "OVER"
    assert use_of(verdict, "jib mast: foot weld") == use_of(judged(rig_with(None)), "jib mast: foot weld")
    said = {each.where: each.numbers.get("missing") for each in cautions(job, job.poses[0])}
    for index in (0, 1):
        assert said[f"rig.jib_mast.gussets[{index}]"] == MISSING["weld"]
    of_good = [each for each in cautions(rig_with(GOOD), BOATYARD.poses[0]) if "gussets[" in each.where]
    assert not any("missing" in each.numbers for each in of_good)


def test_the_steel_of_gussets_joins_the_mast() -> None:
    """Four triangles of 36 x 100 x 10 in all."""
    with_kg, bare_kg = (steel_masses(BOATYARD.truck, rig_with(gusset).rig)["jib_mast_kg"] for gusset in (GOOD, None))
    assert with_kg - bare_kg == pytest.approx(4.0 * 7850.0 * 0.01 * 0.036 * 0.1 / 2.0)
