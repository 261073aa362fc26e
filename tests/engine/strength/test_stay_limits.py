"""What holds a level arm up, through the product: its force in hinge, arm, lugs and walls, and the bad rigs."""

from __future__ import annotations

import math

import numpy as np
import pytest
from rigs import BOATYARD, REPLACE, checks, loads_met

from engine.rig.check import Check
from engine.rig.feasibility import impossibilities
from engine.rig.kinematics import figures, place
from engine.rig.stay_places import stay_ends, stay_length_m
from engine.schema.connections import Pin, RatedMoment, StayLink, StayLug, StayPoint, StayStop, Weld
from engine.schema.migration import migrated
from engine.schema.model import ArmPose, Job, Policy, Pose
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube, RoundTube, properties
from engine.shop.cut_list import pieces
from engine.shop.weld_list import weld_list
from engine.strength.cautions import cautions
from engine.worst_case.verdict import evaluate

G = 9.80665
TUBE = RectTube(width_m=0.1, depth_m=0.1, wall_m=0.0063)
LUG = StayLug(
    thickness_m=0.02,
    on_face_m=0.2,
    edge_m=0.04,
    pin=Pin(diameter_m=0.025, hole_m=0.0255, retention="split_pin"),
    weld=Weld(leg_m=0.006, electrode="E70"),
)
TIE = StayLink(
    at_inner=StayPoint(x_m=-0.40, z_m=0.15),
    at_arm=StayPoint(x_m=0.50, z_m=0.10),
    make="tie",
    length_min_m=0.5,
    length_max_m=1.2,
    wll_kg=3000.0,
    end_lug=LUG,
)


def the_job(stay: object, load_kg: float = 100.0) -> Job:
    """The boatyard with one level arm of 1 m on a level floor; its barrels stand on pieces that were not entered."""
    flat = Estimate(best=0.0, known="measured")
    arm = BOATYARD.rig.arms[0]
    hinge = REPLACE(arm.hinge, spacing_m=0.2, barrel_outer_m=0.05, inner_end=None, outer_end=None)
    mass = Estimate(best=14.0, known="weighed")
    arm = REPLACE(arm, section=TUBE, length_m=1.0, axis="level", stay=stay, hinge=hinge, mass_kg=mass, steel="S235")
    rig = REPLACE(BOATYARD.rig, arms=(arm,), boom=REPLACE(BOATYARD.rig.boom, section=TUBE))
    floors = tuple(REPLACE(floor, fall_along=flat, fall_across=flat) for floor in BOATYARD.floors)
    load = REPLACE(BOATYARD.load, mass_kg=Estimate(best=load_kg, known="weighed"))
    pose = REPLACE(BOATYARD.poses[0], arms=(ArmPose(),))
    changed = {"rig": rig, "floors": floors, "load": load, "poses": (pose,), "moves": (), "trial_lifts": ()}
    return REPLACE(BOATYARD, policy=Policy(dynamic_factor=1.0), **changed)


def told(job: Job, raised_rad: float = 0.0, part: str = "arm 1 hinge") -> dict[str, Check]:
    pose = REPLACE(job.poses[0], arms=(ArmPose(turn_rad=raised_rad),))
    return {check.kind: check for check in checks(job, figures(job, pose)) if check.part == part}


def hung_N(job: Job) -> float:
    return (12.0 + job.load.rigging_kg.best + job.load.mass_kg.best) * G


def lever_m(stay: StayLink) -> float:
    """By hand, the arm level: twice the triangle of hinge and both points, over the distance of the points."""
    a, b = stay.at_inner, stay.at_arm
    return (b.x_m * a.z_m - b.z_m * a.x_m) / math.dist((a.x_m, a.z_m), (b.x_m, b.z_m))


def test_a_tie_carries_the_moment_over_its_lever_and_the_hinge_its_pull() -> None:
    job = the_job(TIE)
    moment, down = hung_N(job) + 7.0 * G, hung_N(job) + 14.0 * G
    pull = moment / lever_m(TIE)
    hinge = told(job)
    assert hinge["stay by its mark"].demand == pytest.approx(pull)
    assert hinge["stay by its mark"].allowed == pytest.approx(3000.0 * G)
    along, up = 0.90 / math.hypot(0.90, 0.05), 0.05 / math.hypot(0.90, 0.05)
    assert hinge["pin shear"].demand == pytest.approx(math.hypot(pull * along, pull * up - down) / 2.0)
    bare = told(the_job(RatedMoment(moment_Nm=5000.0)))["pin shear"].demand
    assert bare == pytest.approx(down / 2.0)


def test_a_lever_of_60_mm_puts_a_great_force_in_the_hinge_and_one_of_150_does_not() -> None:
    """Moment 1,051 N·m: 17,520 N at 60 mm, 7,007 at 150; a stay close to its hinge earns a caution."""
    near = REPLACE(TIE, at_inner=StayPoint(x_m=-0.5, z_m=0.06), at_arm=StayPoint(x_m=0.5, z_m=0.06))
    far = REPLACE(TIE, at_inner=StayPoint(x_m=-0.5, z_m=0.15), at_arm=StayPoint(x_m=0.5, z_m=0.15))
    load_kg = 1051.0 / G - 12.0 - BOATYARD.load.rigging_kg.best - 7.0
    for stay, pull, flagged in ((near, 17_520.0, True), (far, 7007.0, False)):
        job = the_job(stay, load_kg)
        assert told(job)["stay by its mark"].demand == pytest.approx(pull, rel=5e-4)
        assert told(job)["pin shear"].demand <= pull / 2.0 + (hung_N(job) + 14.0 * G) / 2.0
        where = {row.where for row in cautions(job, job.poses[0])}
        assert ("rig.arms[0].stay" in where) is flagged


def test_the_worked_examples_stay() -> None:
    """A (-0.40, 0.30), B (0.50, 0.05), raised 0.6: 3,370 N for 1,051 N·m, on 0.3119 m."""
    stay = REPLACE(TIE, at_inner=StayPoint(x_m=-0.40, z_m=0.30), at_arm=StayPoint(x_m=0.50, z_m=0.05))
    job = the_job(stay)
    raised = told(job, 0.6)
    moment = told(the_job(RatedMoment(moment_Nm=9000.0)), 0.6)["stay"].demand
    assert raised["stay by its mark"].demand == pytest.approx(moment / 0.3119, rel=5e-4)


def test_a_tie_under_an_arm_that_would_push_it_holds_nothing() -> None:
    below = REPLACE(TIE, at_inner=StayPoint(x_m=-0.40, z_m=-0.15), at_arm=StayPoint(x_m=0.50, z_m=-0.10))
    check = told(the_job(below))["stay would be pushed"]
    assert check.use == math.inf and check.allowed_load_kg < 0.0
    strut = REPLACE(below, make="strut", wll_kg=None, section=RoundTube(diameter_m=0.06, wall_m=0.005), steel="S235")
    pushed = told(the_job(strut))["stay pushed"]
    section = properties(RoundTube(diameter_m=0.06, wall_m=0.93 * 0.005))  # bought by its grade
    radius = math.sqrt(section.second_moment_up_m4 / section.area_m2)
    euler = math.pi**2 * 29_000 * 6_894_757.293168361 / (1.2 / radius) ** 2
    assert pushed.allowed == pytest.approx(0.658 ** (235e6 / euler) * 235e6 * section.area_m2 / 3.0, rel=1e-3)
    assert "stay would be pushed" not in told(the_job(strut))


def test_a_strut_from_below_presses_the_arm_outward_and_a_tie_from_above_inward() -> None:
    job = the_job(TIE)
    arm = told(job, part="arm 1")
    pull = told(job)["stay by its mark"].demand
    along, up = 0.90 / math.hypot(0.90, 0.05), 0.05 / math.hypot(0.90, 0.05)
    moment, down = hung_N(job) + 7.0 * G, hung_N(job) + 14.0 * G
    # At the stay: what hangs outboard, and the pull along the arm 0.10 above its middle.
    assert arm["bending at its stay"].demand == pytest.approx(abs(moment - down * 0.5 - pull * along * 0.10))
    assert arm["shear at its stay"].demand == pytest.approx(abs(pull * up - down))
    assert arm["bending at its hinge"].demand == pytest.approx(moment)


def test_lugs_welds_and_walls_take_the_pull_at_their_height_over_the_wall() -> None:
    """On the boom 0.15 - 0.05 high: the pull along bends lug, weld and wall."""
    job = the_job(TIE)
    pull = told(job)["stay by its mark"].demand
    along, up = pull * 0.90 / math.hypot(0.90, 0.05), pull * 0.05 / math.hypot(0.90, 0.05)
    hinge, name = told(job), "the link before the arm"
    assert hinge[f"stay's lug on {name}"].demand == pytest.approx(
        up / (0.02 * 0.2) + 6.0 * along * 0.10 / (0.02 * 0.2**2)
    )
    normal = up / 0.4 + 3.0 * along * 0.10 / 0.2**2
    assert hinge[f"stay's lug weld on {name}"].demand == pytest.approx(math.hypot(normal, along / 0.4))
    assert hinge["stay pin"].demand == pytest.approx(pull)
    assert hinge["stay lug"].demand == pytest.approx(pull)
    fold = hinge[f"wall under the stay on {name}"].demand
    wide = REPLACE(TIE, end_lug=REPLACE(LUG, on_face_m=0.3))
    assert told(the_job(wide))[f"wall under the stay on {name}"].demand < fold
    # Between the stay's lug and the hinge the boom is bent by the hinge's upright force over 0.40 m.
    down = hung_N(job) + 14.0 * G
    link = hinge["link before the arm at its stay"]
    assert link.numbers["bend"] == pytest.approx(abs(up - down) * 0.40)


def test_a_stop_holds_an_arm_that_drops_and_pushes_the_hinge_down() -> None:
    job = the_job(StayStop(at=StayPoint(x_m=0.3, z_m=-0.05)))
    moment, down = hung_N(job) + 7.0 * G, hung_N(job) + 14.0 * G
    hinge = told(job)
    assert hinge["pin shear"].demand == pytest.approx(abs(moment / 0.3 - down) / 2.0)
    assert hinge["arm on its stop"].use == 0.0
    up = the_job(StayStop(at=StayPoint(x_m=0.3, z_m=-0.05)))
    assert told(up, math.pi - 0.1)["arm on its stop"].use == math.inf  # hung over backward it leaves its stop


@pytest.mark.parametrize("stay", [TIE, StayStop(at=StayPoint(x_m=0.3, z_m=-0.05))])
def test_the_allowed_load_is_where_each_limit_is_met_and_arrays_agree(stay: object) -> None:
    job = the_job(stay)
    pose = REPLACE(job.poses[0], arms=(ArmPose(turn_rad=0.3),))
    numbers = figures(job, pose)
    loads = np.array([0.0, 80.0, 400.0])
    many = {(c.part, c.kind): c for c in checks(job, REPLACE(numbers, load_kg=loads))}
    for index, load_kg in enumerate(loads):
        for check in checks(job, REPLACE(numbers, load_kg=float(load_kg))):
            use = np.broadcast_to(many[check.part, check.kind].use, loads.shape)[index]
            assert use == pytest.approx(float(check.use), rel=1e-12), check.kind
    asked = 0
    for check, there in zip(checks(job, numbers), loads_met(job, numbers, 1e6, 80), strict=True):
        if check.part == "arm 1 hinge" and 0.0 < check.allowed_load_kg < 1e5:
            assert check.allowed_load_kg == pytest.approx(there, rel=1e-9), check.kind
            asked += 1
    assert asked


# ---------------------------------------------------------------- not entered, impossible, older files


def not_entered(stay: object) -> list[str]:
    job = the_job(stay)
    places = [problem.where for problem in evaluate(job, job.poses[0]).not_entered]
    return [place for place in places if ".stay" in place]


def test_what_is_not_known_of_a_stay_is_asked_for() -> None:
    assert not_entered(TIE) == []
    assert not_entered(RatedMoment(moment_Nm=4000.0)) == ["rig.arms[0].stay"]
    assert not_entered(REPLACE(TIE, wll_kg=None)) == ["rig.arms[0].stay.wll_kg"]
    assert not_entered(REPLACE(TIE, end_lug=None)) == ["rig.arms[0].stay.end_lug"]
    assert not_entered(REPLACE(TIE, end_lug=REPLACE(LUG, weld=None))) == ["rig.arms[0].stay.end_lug.weld"]
    assert not_entered(None) == []
    assert told(the_job(None))["nothing holds the arm up"].use == math.inf


def test_a_stay_whose_length_cannot_make_the_pose_refuses_it() -> None:
    job = the_job(REPLACE(TIE, length_max_m=0.92))
    up = REPLACE(job.poses[0], arms=(ArmPose(turn_rad=0.5),))
    assert impossibilities(job, up) == []
    down: Pose = REPLACE(job.poses[0], arms=(ArmPose(turn_rad=-0.5),))
    (problem,) = impossibilities(job, down)
    assert problem.where == "pose.arms[0].turn_rad" and problem.numbers["most"] == 0.92


def test_a_stay_through_the_hinge_is_over_and_still_a_number() -> None:
    through = REPLACE(TIE, at_inner=StayPoint(x_m=-0.5, z_m=0.0), at_arm=StayPoint(x_m=0.5, z_m=0.0))
    check = told(the_job(through))["stay by its mark"]
    assert math.isfinite(check.demand) and check.use > 100.0


def test_an_older_files_rated_moment_is_kept() -> None:
    rig = {"arms": [{"stay_Nm": 2500.0}, {"stay_Nm": None}, {}]}
    job, _ = migrated({"format_version": 1, "rig": rig})
    assert [arm["stay"] for arm in job["rig"]["arms"]] == [{"kind": "rated_moment", "moment_Nm": 2500.0}, None, None]


# ---------------------------------------------------------------- drawn and listed


def test_a_stay_runs_between_its_two_points_and_a_stop_stands_where_the_arm_bears() -> None:
    job = the_job(TIE)
    pose = REPLACE(job.poses[0], arms=(ArmPose(turn_rad=0.3),))
    placed = place(job, figures(job, pose))
    ends, hinge_m = stay_ends(job.rig, placed, 0), placed.frames["arm 1"].origin
    assert ends is not None
    assert tuple(ends.inner_m - hinge_m) == pytest.approx((-0.40, 0.0, 0.15))
    assert (ends.arm_m - ends.inner_m).length() == pytest.approx(stay_length_m(TIE, 0.3))
    stop = the_job(StayStop(at=StayPoint(x_m=0.3, z_m=-0.05)))
    at = stay_ends(stop.rig, placed, 0)
    assert at is not None and at.inner_m == at.arm_m
    assert stay_ends(the_job(None).rig, placed, 0) is None


def test_a_made_stay_is_cut_and_a_marked_one_is_not() -> None:
    made = the_job(REPLACE(TIE, make="strut", section=RoundTube(diameter_m=0.06, wall_m=0.005)))
    listed = {piece.part: (piece.count, piece.length_m) for piece in pieces(made)}
    assert listed["arm 1 stay"] == (1, 1.2)
    # Pins 150 and 100 mm off the middle of tubes 100 deep, and 40 mm of lug beyond.
    assert listed["arm 1 stay, inner lug"] == (1, pytest.approx(0.15 - 0.05 + 0.04))
    assert listed["arm 1 stay, outer lug"] == (1, pytest.approx(0.10 - 0.05 + 0.04))
    assert listed["arm 1 stay pin"][0] == 2
    assert "arm 1 stay" not in {piece.part for piece in pieces(the_job(TIE))}
    assert {"arm 1 stay lugs"} <= {line.name for line in weld_list(made)}


def test_the_inner_lug_of_a_stacked_arm_is_measured_from_the_link_before_it() -> None:
    """Stacked 120 mm over the boom, the hinge axis is that far off the boom's middle, and so is the lug's pin."""
    job = the_job(TIE)
    arm = REPLACE(job.rig.arms[0], stack_m=0.12)
    listed = {piece.part: piece for piece in pieces(REPLACE(job, rig=REPLACE(job.rig, arms=(arm,))))}
    assert listed["arm 1 stay, inner lug"].length_m == pytest.approx(0.15 + 0.12 - 0.05 + 0.04)
    assert listed["arm 1 stay, outer lug"].length_m == pytest.approx(0.10 - 0.05 + 0.04)
    assert "from the tube's face" in listed["arm 1 stay, inner lug"].note
