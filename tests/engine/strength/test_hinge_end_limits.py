"""The pieces at a hinge's ends through the product: checks, what is not entered, what is refused, and the bad rigs."""

from __future__ import annotations

import math

import pytest
from rigs import BOATYARD, REPLACE, VINEYARD, checks, loads_met, unweighed

from engine.rig import hinge_pieces
from engine.rig.check import Check
from engine.rig.fits import misfits
from engine.rig.kinematics import figures
from engine.schema.connections import EndPlate, FaceLugs, ThroughSleeve, Weld
from engine.schema.model import ArmPose, Hinge, Job, Policy, Pose
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube, RoundTube
from engine.strength.cautions import cautions
from engine.worst_case.verdict import evaluate

G = 9.80665
FY, FU = 195e6, 290e6
"""Unknown tube."""

FB = 175e6 / 3.0
"""Unknown bar and plate over 16 mm at factor 3."""

SHEAR = FY / 3.0 / math.sqrt(3.0)
"""Of the tube's wall, at factor 3."""

LEG_6 = 0.006 * 0.60 * FU / 3.6 * 0.70
"""Fusion face of a 6 mm leg on unknown steel, of a quality nobody stated: the throat of E70 allows more."""

WELD = Weld(leg_m=0.006, electrode="E70")
CALM = Policy(dynamic_factor=1.0)
TUBE = RectTube(width_m=0.1, depth_m=0.1, wall_m=0.0063)
SLEEVE = ThroughSleeve(length_m=0.173, outer_m=0.05, bore_m=0.0255, weld=WELD)
PLATE = EndPlate(thickness_m=0.025, height_m=0.31, width_m=0.13, weld_tube=WELD)
LUGS = FaceLugs(thickness_m=0.025, width_m=0.06, on_face_m=0.2, reach_m=0.05, packing_m=0.0375, weld=WELD)


def the_job(inner: object = LUGS, outer: object = SLEEVE, load_kg: float = 200.0, **changes: object) -> Job:
    """The boatyard with one arm of 1 m on a level floor, hinge 200 mm from lug to lug."""
    flat = Estimate(best=0.0, known="measured")
    arm = BOATYARD.rig.arms[0]
    hinge = REPLACE(
        arm.hinge,
        **{
            "spacing_m": 0.2,
            "barrel_outer_m": 0.05,
            "barrel_length_m": 0.05,
            "steel": "unknown",
            "inner_end": inner,
            "outer_end": outer,
            **changes,
        },
    )
    mass = Estimate(best=14.0, known="weighed")
    arm = REPLACE(arm, section=TUBE, length_m=1.0, hinge=hinge, mass_kg=mass, steel="unknown")
    rig = REPLACE(BOATYARD.rig, arms=(arm,), boom=REPLACE(BOATYARD.rig.boom, section=TUBE, steel="unknown"))
    floors = tuple(REPLACE(floor, fall_along=flat, fall_across=flat) for floor in BOATYARD.floors)
    load = REPLACE(BOATYARD.load, mass_kg=Estimate(best=load_kg, known="weighed"))
    pose = REPLACE(BOATYARD.poses[0], arms=(ArmPose(),), hole=BOATYARD.poses[0].hole)
    return REPLACE(BOATYARD, rig=rig, floors=floors, load=load, poses=(pose,), policy=CALM, moves=(), trial_lifts=())


def told(job: Job, pose: Pose | None = None) -> dict[str, Check]:
    pose = pose or job.poses[0]
    return {check.kind: check for check in checks(job, figures(job, pose)) if check.part == "arm 1 hinge"}


def hinge_Nm(job: Job) -> tuple[float, float]:
    """Moment about the hinge and force down: the arm's weight at its middle, hook and load at its end."""
    hung = 12.0 + job.load.rigging_kg.best + job.load.mass_kg.best
    return (hung * 1.0 + 14.0 * 0.5) * G, (hung + 14.0) * G


# ---------------------------------------------------------------- by hand


def test_a_sleeves_end_force_bends_it_over_what_its_bearing_leaves_of_the_overhang() -> None:
    job = the_job()
    moment, _ = hinge_Nm(job)
    check = told(job)["outer end, sleeve bending"]
    bearing = 1.25 * FB * 0.0255
    modulus = math.pi * (0.05**4 - 0.0255**4) / (32.0 * 0.05)
    at_limit = bearing * (0.0365 - math.sqrt(0.0365**2 - 2.0 * modulus * FB / bearing))
    assert check.allowed == pytest.approx(at_limit)
    least = min(at_limit, told(job)["outer end, sleeve shear"].allowed, bearing * 0.173 / 2.0)
    assert check.demand == pytest.approx(moment / (0.173 - least / bearing))


def test_a_sleeves_weld_carries_the_moment_on_its_arcs_and_the_force_along_them() -> None:
    job = the_job()
    moment, force = hinge_Nm(job)
    arc = math.pi * 0.05
    check = told(job)["outer end, sleeve weld"]
    assert check.demand == pytest.approx(math.hypot(moment / (arc * 0.1), force / (2.0 * arc)))
    assert check.allowed == pytest.approx(LEG_6)
    wall = told(job)["outer end, tube wall beside the sleeve"]
    assert (wall.demand, wall.allowed) == (pytest.approx(check.demand / 0.0063), pytest.approx(SHEAR))


def test_a_weld_thicker_than_the_tubes_wall_counts_as_the_wall() -> None:
    thick = REPLACE(SLEEVE, weld=REPLACE(WELD, leg_m=0.012))
    assert told(the_job(outer=thick))["outer end, sleeve weld"].allowed == pytest.approx(LEG_6 * 6.3 / 6.0)


def test_a_half_coped_sleeve_is_held_by_half_arcs_alone_where_it_reaches_no_side_wall() -> None:
    job = the_job(outer=REPLACE(SLEEVE, coped="half"))
    moment, force = hinge_Nm(job)
    arc = math.pi * 0.05 / 2.0
    q = math.hypot(moment / (arc * 0.1), force / (2.0 * arc))
    assert told(job)["outer end, sleeve weld"].demand == pytest.approx(q)


def test_pin_and_lugs_of_a_sleeve_are_pulled_at_the_gaps_beyond_its_ends() -> None:
    """173 mm of sleeve and a gap of 1 mm: 174 mm, not the 200 mm from lug to lug."""
    moment, _ = hinge_Nm(the_job())
    assert told(the_job())["pin shear"].demand == pytest.approx(moment / 0.174)
    bare = told(the_job(inner=None, outer=None))["pin shear"]
    assert bare.demand == pytest.approx(moment / 0.2)


def test_an_end_plate_bends_over_its_overhang_and_by_the_thrust() -> None:
    """Barrels 200 apart on a tube 100 deep, each between two lugs: 50 mm over, on 130 mm of width."""
    job = the_job(inner=PLATE, outer=PLATE, shear_planes=2)
    moment, force = hinge_Nm(job)
    checks_of = told(job)
    section = 0.13 * 0.025**2 / 6.0
    barrel = (moment / 0.2 * 0.05 + force * (0.025 + 0.0125)) / section
    lug = (moment / 0.2 * 0.05 + force * (0.04 + 0.0125)) / section
    assert checks_of["outer end, plate at the tube's face"].demand == pytest.approx(barrel)
    assert checks_of["inner end, plate at the tube's face"].demand == pytest.approx(lug)
    assert checks_of["outer end, plate at the tube's face"].allowed == pytest.approx(FB)


def test_barrels_held_on_one_side_pull_a_plate_at_the_gaps_beyond_them() -> None:
    """200 + 50 + 1 = 251 mm apart: less force than at 200, on a longer overhang of 75.5 mm."""
    job = the_job(inner=PLATE, outer=PLATE)
    moment, force = hinge_Nm(job)
    bent = moment / 0.251 * 0.0755 + force * 0.0375
    check = told(job)["outer end, plate at the tube's face"]
    assert check.demand == pytest.approx(bent / (0.13 * 0.025**2 / 6.0))
    assert told(job)["pin shear"].demand == pytest.approx(moment / 0.2)


def test_an_end_plates_weld_counts_where_the_plate_has_a_ledge() -> None:
    """All round: S = b d + d^2/3; a plate as wide as the tube has ledges at top and bottom alone: S = b d."""
    for width, section, length in ((0.13, 0.01 + 0.01 / 3.0, 0.4), (0.1, 0.01, 0.2)):
        job = the_job(outer=REPLACE(PLATE, width_m=width), inner=PLATE, shear_planes=2)
        moment, force = hinge_Nm(job)
        bent = moment + force * 0.0375
        check = told(job)["outer end, plate weld"]
        assert check.demand == pytest.approx(math.hypot(bent / section, force / length))
        assert check.allowed == pytest.approx(LEG_6)


def test_a_face_lug_stands_off_the_tube_and_its_weld_carries_that_too() -> None:
    """Two lines of 200 mm: 14 kN along, its couple about the 37.5 + 12.5 mm it stands off, and the weight at 150 mm."""
    job = the_job()
    moment, force = hinge_Nm(job)
    pull = moment / 0.174
    along, up = pull / 0.4, force / 0.4 + 3.0 * (pull * 0.05 + force * 0.15) / 0.2**2
    check = told(job)["inner end, lug weld to the tube"]
    assert check.demand == pytest.approx(math.hypot(along, up))
    assert check.allowed == pytest.approx(LEG_6)


def test_legs_on_packing_thinner_than_they_are_count_as_the_packing() -> None:
    """6 mm legs on the edge of packing 4 mm thick: two thirds of what they are worth on thicker packing."""
    job = the_job(inner=REPLACE(LUGS, packing_m=0.004))
    assert told(job)["inner end, lug weld to the tube"].allowed == pytest.approx(4.0 / 6.0 * LEG_6)


def test_the_wall_under_the_lugs_folds_by_yield_lines() -> None:
    """Lugs 60 wide on packing narrower by their 6 mm legs: patch 48 by 200 on a wall of 100 x 6.3."""
    job = the_job()
    moment, force = hinge_Nm(job)
    beta, eta, over = 0.48, 2.0, 3.0
    unit = FY * 0.0063**2 / over
    along = unit * 0.2 * (1.0 / (2.0 * eta) + 2.0 / math.sqrt(1.0 - beta) + eta / (1.0 - beta))
    pull = min(
        unit * (2.0 * eta / (1.0 - beta) + 4.0 / math.sqrt(1.0 - beta)),
        0.60 * FY * 0.0063 * (2 * 0.048 + 2 * 0.2) / over,
    )
    bent = moment / 0.174 * 0.05 + force * 0.15
    use = bent / along + force / pull
    assert told(job)["inner end, tube wall under the lugs"].demand == pytest.approx(use)
    assert told(job)["inner end, tube wall under the lugs, pressed"].demand > use


def test_lugs_on_the_arm_take_the_pull_in_the_arms_own_axes() -> None:
    """Sleeve on the boom, lugs on the arm: turned by 90 degrees, the boom's sleeve is pulled across, the lugs along."""
    job = the_job(inner=SLEEVE, outer=LUGS)
    turned = REPLACE(job.poses[0], arms=(ArmPose(turn_rad=math.pi / 2.0),))
    straight, aside = told(job), told(job, turned)
    for kind in ("lug at its root", "outer end, lug weld to the tube"):
        assert aside[kind].demand == pytest.approx(straight[kind].demand, rel=1e-9), kind
    on_boom = told(the_job())["lug at its root"].demand, told(the_job(), turned)["lug at its root"].demand
    assert on_boom[1] > 1.2 * on_boom[0]


def test_lugs_between_the_barrels_are_pulled_nearer_together() -> None:
    """Lugs 149 apart on the tube between barrels 226 apart: 226 - 50 - 1 mm between the gaps."""
    lugs = REPLACE(LUGS, packing_m=0.012)
    job = the_job(inner=lugs, outer=PLATE, spacing_m=0.226)
    ends = hinge_pieces.link_ends(job.rig, 0, None)
    assert hinge_pieces.disagreements(job.rig.arms[0].hinge, ends) == ()
    moment, _ = hinge_Nm(job)
    assert told(job)["pin shear"].demand == pytest.approx(moment / 0.175)


@pytest.mark.parametrize(
    ("inner", "outer", "planes"), [(LUGS, SLEEVE, 1), (PLATE, SLEEVE, 1), (PLATE, PLATE, 2), (SLEEVE, LUGS, 1)]
)
def test_the_allowed_load_is_where_each_limit_is_met(inner: object, outer: object, planes: int) -> None:
    job = the_job(inner=inner, outer=outer, shear_planes=planes)
    turned = REPLACE(job.poses[0], arms=(ArmPose(turn_rad=0.7),))
    numbers = figures(job, turned)
    asked = 0
    for check, there in zip(checks(job, numbers), loads_met(job, numbers, 1e6, 80), strict=True):
        if check.part == "arm 1 hinge" and check.kind.startswith(("inner end", "outer end")):
            assert check.allowed_load_kg == pytest.approx(there, rel=1e-9), check.kind
            asked += 1
    assert asked


# ---------------------------------------------------------------- the bad rigs and their repaired twins


def test_barrels_half_a_metre_apart_on_a_12_mm_plate_are_over_and_a_shorter_sleeve_holds() -> None:
    """The plate bends at several times its yield; without the plate nobody looked."""
    bad = the_job(
        inner=REPLACE(PLATE, thickness_m=0.012, height_m=0.65),
        outer=REPLACE(PLATE, thickness_m=0.012, height_m=0.65),
        spacing_m=0.5,
        shear_planes=2,
    )
    check = told(bad)["outer end, plate at the tube's face"]
    assert check.use > 3.0 and check.demand > FY
    assert max(check.use for check in told(the_job()).values()) <= 1.0


def test_a_hinge_whose_ends_are_not_entered_is_not_proven() -> None:
    bare = REPLACE(BOATYARD.rig.arms[1].hinge, inner_end=None, outer_end=None)
    arms = (BOATYARD.rig.arms[0], REPLACE(BOATYARD.rig.arms[1], hinge=bare))
    job = REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, arms=arms))
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "NOT PROVEN"
    assert [problem.where for problem in verdict.not_entered] == [
        "rig.arms[1].hinge.inner_end",
        "rig.arms[1].hinge.outer_end",
    ]
    off = REPLACE(job.poses[0], arms=(ArmPose(turn_rad=0.35), ArmPose(fitted=False)))
    assert [problem.where for problem in evaluate(job, off).not_entered] == ["rig.hook.behind_hinge_m"]
    assert evaluate(BOATYARD, BOATYARD.poses[0]).state == "WITHIN"


# ---------------------------------------------------------------- not entered, refused, cautioned


def questions(**changes: object) -> list[str]:
    job = the_job(**changes)
    ends = hinge_pieces.link_ends(job.rig, 0, None)
    return [row.where for row in hinge_pieces.open_questions(job.rig.arms[0].hinge, ends, ("boom", "arm 1"))]


def test_a_piece_without_its_weld_counts_as_not_entered_and_its_weld_allows_nothing() -> None:
    bare = {"outer": REPLACE(SLEEVE, weld=None), "inner": REPLACE(LUGS, weld=None)}
    assert questions(**bare) == ["inner_end.weld", "outer_end.weld"]
    assert told(the_job(**bare))["outer end, sleeve weld"].use == math.inf
    assert told(the_job(**bare))["inner end, lug weld to the tube"].use == math.inf
    plates = {"inner": PLATE, "outer": REPLACE(PLATE, weld_tube=None), "shear_planes": 2}
    assert questions(**plates) == ["outer_end.weld_tube"]
    assert told(the_job(**plates))["outer end, plate weld"].use == math.inf


def test_two_pieces_of_one_kind_make_no_hinge() -> None:
    assert "outer_end" in questions(inner=SLEEVE)
    assert "outer_end" in questions(outer=LUGS)


def test_a_sleeve_is_held_on_one_side_of_each_end_only() -> None:
    assert questions(shear_planes=2) == ["shear_planes"]


def test_sizes_a_little_apart_are_a_caution_and_further_apart_nobody_knows() -> None:
    """Sleeve of 173, lugs of 25, gaps of 1: 200 mm from lug to lug; so too 100 + 25 + 2 x 37.5 over the tube."""
    assert questions() == []
    assert questions(spacing_m=0.2025) == [] and questions(spacing_m=0.2035) == ["spacing_m", "spacing_m"]
    assert questions(barrel_outer_m=0.055) == ["barrel_outer_m"]
    assert questions(lug_thickness_m=0.0285) == ["lug_thickness_m"]
    job = the_job(spacing_m=0.2025)
    words = [row.words for row in cautions(job, job.poses[0]) if row.where == "rig.arms[0].hinge.spacing_m"]
    assert len(words) == 2
    job = the_job(spacing_m=0.201)
    assert not [row for row in cautions(job, job.poses[0]) if row.where == "rig.arms[0].hinge.spacing_m"]


def test_an_end_plate_too_low_for_its_barrels_or_lugs_is_measured_again() -> None:
    plates = {"inner": PLATE, "shear_planes": 2}
    assert questions(outer=REPLACE(PLATE, height_m=0.25), **plates) == []
    assert questions(outer=REPLACE(PLATE, height_m=0.248), **plates) == ["outer_end.height_m"]
    # Lugs beyond barrels: 200 + 50 + 2 x 1 + 2 x 25; about a sleeve 200 + 25.
    assert questions(inner=REPLACE(PLATE, height_m=0.302), outer=PLATE) == []
    assert questions(inner=REPLACE(PLATE, height_m=0.300), outer=PLATE) == ["inner_end.height_m"]
    assert questions(inner=REPLACE(PLATE, height_m=0.225)) == []
    assert questions(inner=REPLACE(PLATE, height_m=0.223)) == ["inner_end.height_m"]


def test_a_round_tube_takes_an_end_plate_only() -> None:
    job = unweighed(the_job())
    arm = REPLACE(job.rig.arms[0], section=RoundTube(diameter_m=0.1, wall_m=0.006))
    round_arm = REPLACE(job, rig=REPLACE(job.rig, arms=(arm,)))
    assert [problem.where for problem in evaluate(round_arm, round_arm.poses[0]).not_entered] == [
        "rig.arms[0].hinge.outer_end"
    ]
    plated = REPLACE(arm, hinge=REPLACE(arm.hinge, inner_end=PLATE, outer_end=PLATE, shear_planes=2))
    job = REPLACE(job, rig=REPLACE(job.rig, arms=(plated,)))
    assert evaluate(job, job.poses[0]).not_entered == ()
    assert 0.0 < told(job)["outer end, plate weld"].use < math.inf


def refused(job: Job) -> list[str]:
    return [problem.where for problem in misfits(job.rig) if "hinge" in problem.where]


def test_pieces_that_cannot_be_are_refused() -> None:
    assert refused(the_job()) == []
    assert refused(the_job(outer=REPLACE(SLEEVE, bore_m=0.0245))) == ["rig.arms[0].hinge.outer_end.bore_m"]
    # 100 mm less two walls of 6.3.
    assert refused(the_job(outer=REPLACE(SLEEVE, outer_m=0.0875))) == ["rig.arms[0].hinge.outer_end.outer_m"]
    assert refused(the_job(outer=REPLACE(SLEEVE, outer_m=0.0873))) == []
    assert refused(the_job(inner=REPLACE(LUGS, width_m=0.0255))) == [
        "rig.arms[0].hinge.lug_edge_m",
        "rig.arms[0].hinge.inner_end.width_m",
    ]
    assert refused(the_job(inner=REPLACE(LUGS, reach_m=0.0245))) == ["rig.arms[0].hinge.inner_end.reach_m"]
    assert refused(the_job(outer=REPLACE(SLEEVE, bore_m=0.0275))) == ["rig.arms[0].hinge.pin.hole_m"]


def test_a_thin_sleeve_and_a_narrow_lug_are_cautioned() -> None:
    job = the_job(outer=REPLACE(SLEEVE, outer_m=0.033), barrel_outer_m=0.033)
    assert "rig.arms[0].hinge.outer_end.bore_m" in {row.where for row in cautions(job, job.poses[0])}
    assert "rig.arms[0].hinge.lug_edge_m" in {row.where for row in cautions(job, job.poses[0])}  # 30 under 37.5
    wide = the_job(inner=REPLACE(LUGS, width_m=0.08))
    assert "rig.arms[0].hinge.lug_edge_m" not in {row.where for row in cautions(wide, wide.poses[0])}


def test_a_hinge_of_two_pieces_on_the_tubes_has_no_other_weld() -> None:
    """Lugs on the faces and a sleeve: no weld of a lug at its root, none of a barrel."""
    assert not {"lug weld", "barrel weld"} & told(the_job()).keys()
    assert {"lug weld", "barrel weld"} <= told(the_job(inner=PLATE, outer=PLATE)).keys()
    assert "barrel weld" not in told(the_job(inner=PLATE))
    own = REPLACE(PLATE, weld_barrel=Weld(leg_m=0.003, electrode="E70"))
    kinds = told(the_job(inner=own, outer=PLATE)), told(the_job(inner=PLATE, outer=own))
    plain = told(the_job(inner=PLATE, outer=PLATE))
    assert kinds[0]["lug weld"].demand > plain["lug weld"].demand
    assert kinds[1]["barrel weld"].demand > plain["barrel weld"].demand
    assert kinds[1]["lug weld"].demand == plain["lug weld"].demand


def test_the_hinge_itself_says_nothing_of_pieces_it_does_not_have() -> None:
    hinge: Hinge = VINEYARD.rig.arms[0].hinge
    bare = REPLACE(hinge, inner_end=None, outer_end=None)
    assert hinge_pieces.as_built(bare) == bare
