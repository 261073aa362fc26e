"""What holds for single parts of the load path, and the faults each must tell; sums are in ``test_parts_by_hand``."""

from __future__ import annotations

import math

import pytest
from rigs import BOATYARD, REPLACE, STONE_YARD, VINEYARD, checks

from engine.base.geometry import GRAVITY_M_S2, Vec
from engine.rig.check import Check
from engine.rig.kinematics import Placed, figures, place
from engine.rig.load_path import load_path, rig_parts
from engine.schema.connections import HeelChain, RatedMoment
from engine.schema.model import ArmPose, Job, Pose
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube, RoundTube
from engine.strength import hinges, members, saddles, sleeves
from engine.strength.cautions import cautions
from engine.strength.cuts import Cuts, cuts_of, pull_directions
from engine.strength.forks import rated_stress_Pa, rating_centre_m, strength_left
from engine.strength.members import CrossHole

G = GRAVITY_M_S2


def level(job: Job) -> Job:
    """The job on a floor without fall, its figures easy to follow by hand."""
    flat = Estimate(best=0.0, known="measured")
    return REPLACE(job, floors=tuple(REPLACE(floor, fall_along=flat, fall_across=flat) for floor in job.floors))


def placed_and_cut(job: Job, pose: Pose) -> tuple[Placed, Cuts]:
    placed = place(job, figures(job, pose))
    return placed, cuts_of(job, placed, load_path(rig_parts(placed)), pull_directions(placed, job.policy)[0])


def checks_by_name(job: Job, pose: Pose) -> dict[tuple[str, str], Check]:
    return {(check.part, check.kind): check for check in checks(job, figures(job, pose))}


def with_rig(job: Job, **changes: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, **changes))


# ---------------------------------------------------------------- hinges


@pytest.mark.parametrize("axis", ["standing", "level"])
def test_both_barrels_carry_the_moment_as_a_couple(axis: str) -> None:
    """Forces on the barrels times the spacing give the moment back; their sum the force across the pin."""
    job = level(VINEYARD)
    slope = REPLACE(job.floors[0], fall_across=Estimate(best=0.05, known="measured"))
    job = REPLACE(with_rig(job, arms=(REPLACE(job.rig.arms[0], axis=axis), job.rig.arms[1])), floors=(slope,))
    _, cuts = placed_and_cut(job, REPLACE(job.poses[1], arms=(ArmPose(turn_rad=0.4), ArmPose(turn_rad=0.9))))
    (_, cut), arm = cuts.arms[0], job.rig.arms[0]
    forces = {name: part.at(285.0) for name, part in zip(cut.forces._fields, cut.forces, strict=True)}
    pair = hinges.barrel_pulls(hinges.pull_at(arm, cut), arm.hinge.spacing_m)
    first, second = ((pull[0].at(285.0), pull[1].at(285.0)) for pull in (pair.upper, pair.lower))
    half = arm.hinge.spacing_m / 2.0
    if axis == "standing":
        upper, lower, reach = Vec(*first, 0.0), Vec(*second, 0.0), Vec(0.0, 0.0, half)
        across, moments = (forces["axial"], forces["shear_side"], 0.0), (forces["twist"], forces["bend_up"], 0.0)
    else:
        upper, lower = (Vec(x, 0.0, z) for x, z in (first, second))
        reach = Vec(0.0, half, 0.0)
        across, moments = (forces["axial"], 0.0, forces["shear_up"]), (forces["twist"], 0.0, forces["bend_side"])
    assert upper + lower == pytest.approx(across, abs=1e-6)
    assert reach.cross(upper) - reach.cross(lower) == pytest.approx(moments, abs=1e-6)
    assert abs(forces["twist"]) > 100.0


def test_a_level_arm_without_a_stay_fails_and_says_so() -> None:
    arms = (REPLACE(BOATYARD.rig.arms[0], axis="level"), BOATYARD.rig.arms[1])
    job = with_rig(BOATYARD, arms=arms)
    pose = REPLACE(job.poses[0], arms=(ArmPose(turn_rad=0.2), ArmPose()))
    check = checks_by_name(job, pose)["arm 1 hinge", "nothing holds the arm up"]
    assert check.use == math.inf and check.allowed_load_kg == -math.inf
    held = with_rig(job, arms=(REPLACE(arms[0], stay=RatedMoment(moment_Nm=4000.0)), arms[1]))
    stay = checks_by_name(held, pose)["arm 1 hinge", "stay"]
    assert 0.0 < stay.use < 1.0


# ---------------------------------------------------------------- boom and saddles


def test_a_hole_weakens_a_round_arm_too() -> None:
    tube = RoundTube(diameter_m=0.08, wall_m=0.006)
    gross, net = (
        members.member_of(tube, "unknown", STONE_YARD.policy, unbraced_m=1.0, column_m=1.0, hole=hole)
        for hole in (None, CrossHole(0.02))
    )
    for field in ("bend_up_Nm", "bend_side_Nm", "shear_up_N", "twist_Nm", "push_N"):
        assert 0.0 < getattr(net, field) < getattr(gross, field), field


def test_saddle_reactions_balance_the_boom() -> None:
    job = level(VINEYARD)
    for pose in job.poses:
        _, cuts = placed_and_cut(job, pose)
        held, forces, load = saddles.reactions(job, cuts), cuts.boom_whole.forces, 285.0 if pose.loaded else 0.0
        spacing = job.rig.saddles.front_x_m - job.rig.saddles.rear_x_m
        assert (held.front_up.at(load) + held.rear_up.at(load)) == pytest.approx(-forces.shear_up.at(load))
        assert held.rear_up.at(load) * spacing == pytest.approx(-forces.bend_up.at(load))
        assert held.front_side.at(load) + held.rear_side.at(load) == pytest.approx(
            -forces.shear_side.at(load), abs=1e-6
        )


def test_braking_and_tilt_pull_at_the_boom_pin() -> None:
    job = level(STONE_YARD)
    still = checks_by_name(job, job.poses[0])["boom pin", "double shear and bearing"]
    tilted = checks_by_name(job, REPLACE(job.poses[0], tilt_rad=-0.05))["boom pin", "double shear and bearing"]
    braked = REPLACE(job, policy=REPLACE(job.policy, braking=0.2))
    stopping = checks_by_name(braked, braked.poses[0])["boom pin", "double shear and bearing"]
    assert still.demand == pytest.approx(0.0, abs=1e-6)
    assert tilted.demand == pytest.approx((430 + 15 + 70) * G * math.sin(0.05) / 2.0)
    assert stopping.demand == pytest.approx((430 + 15 + 70) * G * 0.2 / 2.0)


# ---------------------------------------------------------------- jib mast and foot


def test_second_order_makes_the_mast_lean_harder() -> None:
    assert members.moment_growth(0.0, 1e6) == 1.0
    assert members.moment_growth(1e5, 1e6) == pytest.approx(1.0 / (1.0 - 0.16))
    assert members.moment_growth(1e6, 1e6) > 1e6


def test_half_a_weld_is_worse_than_all_round() -> None:
    uses = {}
    for faces in ("all_round", "front_and_back", "both_sides"):
        weld = REPLACE(STONE_YARD.rig.jib_mast.foot_weld, faces=faces)
        job = with_rig(STONE_YARD, jib_mast=REPLACE(STONE_YARD.rig.jib_mast, foot_weld=weld))
        uses[faces] = checks_by_name(job, job.poses[0])["jib mast", "foot weld"].use
    assert uses["all_round"] < uses["front_and_back"] < uses["both_sides"]


# ---------------------------------------------------------------- sleeves and forks


def test_heel_uplift_by_hand() -> None:
    """Straight out: half of (M - W x_tip) / x_tip on each heel."""
    job = level(VINEYARD)
    pose, numbers = job.poses[2], figures(job, job.poses[2])
    boom_x, foot = 0.35 + 1.0, 0.35
    weights = (
        (300.0 + 12.0, boom_x + 1.4),
        (15.0, boom_x + 0.375),
        (12.0, boom_x + 0.75 + 0.325),
        (67.0, boom_x - 1.2),
        (numbers.saddles_kg, foot + (0.0 - 0.675) / 2.0),
        (numbers.jib_mast_kg, foot),
        (50.0, 0.475),
    )
    weight, moment = sum(kg for kg, _ in weights), sum(kg * x for kg, x in weights)
    by_hand = (moment - weight * 0.95) / 0.95 / 2.0
    check = checks_by_name(job, pose)["sleeves", "heel uplift"]
    assert check.numbers["kg"] == pytest.approx(by_hand)
    # Both heels together: about half a tonne for 300 kg hung 2.75 m out, as the hand figures say with saddles of 39 kg.
    by_saddles = (numbers.saddles_kg - 39.0) * (0.95 - 0.0125) / 0.95
    assert 2.0 * by_hand + by_saddles == pytest.approx(500.0, rel=0.06)


def test_nothing_entered_holds_nothing() -> None:
    job = with_rig(VINEYARD, sleeves=REPLACE(VINEYARD.rig.sleeves, heel_hold=None))
    check = checks_by_name(job, job.poses[2])["sleeves", "heel uplift, nothing holds it"]
    assert (check.use, check.allowed) == (math.inf, 0.0)
    assert check.allowed_load_kg < 285.0
    assert check.allowed_load_kg > 0.0
    light = checks(job, REPLACE(figures(job, job.poses[2]), load_kg=check.allowed_load_kg * 0.99))
    again = next(other for other in light if other.kind == check.kind)
    assert again.use == 0.0


def test_a_chain_holds_with_its_rating() -> None:
    job = with_rig(VINEYARD, sleeves=REPLACE(VINEYARD.rig.sleeves, heel_hold=HeelChain(wll_kg=1000.0, angle_rad=0.0)))
    check = checks_by_name(job, job.poses[2])["sleeves", "heel uplift"]
    assert check.allowed == pytest.approx(500.0 * G)
    assert check.numbers["held"] == "half of the one chain over both heels"


def test_the_sleeves_together_carry_what_the_cut_at_the_fork_face_does() -> None:
    job = level(VINEYARD)
    _, cuts = placed_and_cut(job, job.poses[0])
    base, forces = sleeves.base_bounds(job, cuts), cuts.forks.forces
    for left, right in (base.free, base.stiff):
        assert left.weight.at(285.0) + right.weight.at(285.0) == pytest.approx(-forces.shear_up.at(285.0))
        assert left.fork_moment.at(285.0) + right.fork_moment.at(285.0) == pytest.approx(forces.bend_up.at(285.0))
        roll = (left.weight.at(285.0) - right.weight.at(285.0)) * job.truck.forks.spread_m / 2.0
        assert roll == pytest.approx(-forces.twist.at(285.0))
        for seat in (left, right):
            tip, heel = seat.tip.at(285.0), seat.heel.at(285.0)
            assert tip + heel == pytest.approx(seat.weight.at(285.0))
            assert tip * 0.95 == pytest.approx(seat.fork_moment.at(285.0))


def test_the_left_fork_takes_more_of_a_load_on_the_left() -> None:
    job = level(VINEYARD)
    _, cuts = placed_and_cut(job, job.poses[0])
    left, right = sleeves.base_bounds(job, cuts).free
    assert left.weight.at(285.0) > right.weight.at(285.0)


@pytest.mark.parametrize(("up_mm", "play"), [(40.0, False), (40.0005, False), (42.0, True)])
def test_a_sleeve_has_play_where_its_inside_is_deeper_than_the_fork_that_wear_has_left(
    up_mm: float, play: bool
) -> None:
    tube = RectTube(width_m=0.12, depth_m=up_mm / 1000.0 + 0.012, wall_m=0.006)
    job = with_rig(VINEYARD, sleeves=REPLACE(VINEYARD.rig.sleeves, section=tube))
    assert sleeves.has_play(job.rig.sleeves, job.truck.forks) is play
    assert sleeves.has_play(job.rig.sleeves, REPLACE(job.truck.forks, worn_m=0.001))


def stamped(worn_m: float = 0.0, **changes: object) -> Job:
    forks = REPLACE(VINEYARD.truck.forks, rating_each_kg=1500.0, rating_centre_m=0.5, worn_m=worn_m, **changes)
    return REPLACE(VINEYARD, truck=REPLACE(VINEYARD.truck, forks=forks))


def test_a_tenth_worn_is_scrap() -> None:
    """10 % of wear costs about 20 % of strength, and the fork."""
    thickness = VINEYARD.truck.forks.thickness_m
    check = checks_by_name(stamped(0.1 * thickness), VINEYARD.poses[4])["forks", "wear at the heel"]
    assert check.use == math.inf
    assert strength_left(stamped(0.1 * thickness).truck.forks) == pytest.approx(0.81)
    nearly = checks_by_name(stamped(0.099 * thickness), VINEYARD.poses[4])["forks", "wear at the heel"]
    assert nearly.use == pytest.approx(0.99)


def test_a_stamp_is_believed_only_as_far_as_fork_steel_bears_it() -> None:
    """1,500 kg at 500 mm are 7,355 N·m; 80 x 25 has 8.333 cm3, 3,056 N·m at 1,100/3 MPa; 120 x 45 bears the stamp."""
    for sizes, allowed_Nm, told in (((0.08, 0.025), 3_055.6, True), ((0.12, 0.045), 7_355.0, False)):
        job = stamped(width_m=sizes[0], thickness_m=sizes[1])
        check = checks_by_name(job, job.poses[0])["forks", "moment at the heel"]
        assert float(check.allowed) == pytest.approx(allowed_Nm, rel=1e-4)
        assert ("believed only up to" in check.words) is told


def unstamped(worn_m: float | None, **changes: object) -> Job:
    """The vineyard's forks without a stamp, under a plate of 2,500 kg at 0.5 m and of 1,000 a metre higher."""
    plate = VINEYARD.truck.plate
    assert plate is not None
    row = REPLACE(plate.rows[0], rated_kg=2500.0, load_centre_m=0.5)
    sizes = {"rating_each_kg": None, "rating_centre_m": None, "worn_m": worn_m}
    forks = REPLACE(VINEYARD.truck.forks, **(sizes | changes))
    plate = REPLACE(plate, rows=(row, REPLACE(row, rated_kg=1000.0, lift_m=row.lift_m + 1.0)))
    return REPLACE(VINEYARD, truck=REPLACE(VINEYARD.truck, forks=forks, plate=plate))


def test_wear_that_nobody_measured_counts_as_a_tenth_and_is_flagged_but_is_no_scrap() -> None:
    """Half of 2,500 kg at 0.5 m: 6,129 N·m each; a tenth worn 0.81 of it, 4,965 N·m."""
    new, unknown = unstamped(0.0), unstamped(None)
    for job, allowed_Nm, flagged in ((new, 6129.0, 0), (unknown, 4965.0, 1)):
        checks = checks_by_name(job, job.poses[0])
        assert float(checks["forks", "moment at the heel"].allowed) == pytest.approx(allowed_Nm, rel=5e-4)
        assert (("forks", "wear at the heel") in checks) is not bool(flagged)
        about = [caution for caution in cautions(job, job.poses[0]) if caution.where == "truck.forks.worn_m"]
        assert len(about) == flagged


def test_the_stress_in_the_heel_stands_beside_its_moment() -> None:
    """6 M / (b t2): 100 x 35 has 20.42 cm3 and 300.2 MPa at 6,129 N·m; a tenth worn the heel has 0.81 of it."""
    for worn_m, left in ((0.0, 1.0), (None, 0.81)):
        job = unstamped(worn_m, width_m=0.1, thickness_m=0.035)
        check = checks_by_name(job, job.poses[0])["forks", "moment at the heel"]
        assert check.numbers["rated"] == pytest.approx(300.2e6, rel=5e-4)
        assert check.numbers["stress"] == pytest.approx(float(check.demand) / 20.4167e-6 / left, rel=1e-4)


@pytest.mark.parametrize(("width_m", "thick_m", "flagged"), [(0.1, 0.035, True), (0.122, 0.04, False)])
def test_a_fork_over_300_MPa_at_its_rating_asks_for_its_section(width_m: float, thick_m: float, flagged: bool) -> None:
    """300.2 MPa at 6,129 N·m in 100 x 35, 188.4 in 122 x 40, whether half the plate or a stamp of 1,250 kg at 0.5 m."""
    for stamp in ({}, {"rating_each_kg": 1250.0, "rating_centre_m": 0.5}):
        job = unstamped(0.0, width_m=width_m, thickness_m=thick_m, **stamp)
        about = [caution for caution in cautions(job, job.poses[0]) if caution.where == "truck.forks.thickness_m"]
        assert bool(about) is flagged
        rated_Pa = rated_stress_Pa(job.truck.forks, job.truck.plate)
        assert rated_Pa == pytest.approx(300.2e6 if flagged else 188.4e6, rel=5e-4)


@pytest.mark.parametrize(("each_kg", "centre_m"), [(400.0, 0.4), (1250.0, 0.5), (2600.0, 0.6), (6000.0, 0.6)])
def test_a_stamp_without_its_centre_takes_the_standard_one(each_kg: float, centre_m: float) -> None:
    forks = REPLACE(VINEYARD.truck.forks, rating_each_kg=each_kg, rating_centre_m=None)
    assert rating_centre_m(forks, each_kg) == centre_m
