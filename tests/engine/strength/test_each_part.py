"""Each part of the load path by hand, and the faults each must tell."""

from __future__ import annotations

import math

import pytest
from rigs import BOATYARD, REPLACE, STONE_YARD, VINEYARD, checks

from engine.base.geometry import GRAVITY_M_S2, Vec
from engine.rig.check import Check
from engine.rig.kinematics import Placed, figures, place
from engine.rig.load_path import load_path, rig_parts
from engine.schema.model import ArmPose, Estimate, Job, Pose
from engine.schema.sections import RectTube, RoundTube, properties
from engine.strength import boom, hinges, members, saddles, sleeves
from engine.strength.cuts import Cuts, SectionForces, cuts_of, pull_directions
from engine.strength.forks import rating_centre_m, strength_left
from engine.strength.linear_in_load import Linear
from engine.strength.members import CrossHole

G = GRAVITY_M_S2


def level(job: Job) -> Job:
    """The job on a floor without fall, its figures easy to follow by hand."""
    flat = Estimate(best=0.0, known="measured")
    return REPLACE(job, floors=tuple(REPLACE(floor, fall_along=flat, fall_across=flat) for floor in job.floors))


def placed_and_cut(job: Job, pose: Pose) -> tuple[Placed, Cuts]:
    placed = place(job, figures(job, pose))
    return placed, cuts_of(job, placed, load_path(rig_parts(placed)), pull_directions(placed, job.policy)[0])


def found(job: Job, pose: Pose) -> dict[tuple[str, str], Check]:
    return {(check.part, check.kind): check for check in checks(job, figures(job, pose))}


def with_rig(job: Job, **changes: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, **changes))


# ---------------------------------------------------------------- hook


def test_hook_pin_without_a_gap_bends_over_the_whole_width() -> None:
    """The pull at the middle of the pin: P w / 4 against the pin's elastic moment."""
    job = with_rig(STONE_YARD, hook=REPLACE(STONE_YARD.rig.hook, gap_m=None))
    check = found(job, job.poses[0])["hook pin", "bending over the gap"]
    moment = math.pi * 0.025**3 / 32.0 * 230e6 / 3.0
    assert check.allowed == pytest.approx(4.0 * moment / (0.1 - 0.006))
    with_gap = found(STONE_YARD, STONE_YARD.poses[0])["hook pin", "bending over the gap"]
    assert with_gap.allowed > check.allowed


def test_the_pull_on_the_hook_has_the_dynamic_factor_and_the_hook_has_not() -> None:
    job = REPLACE(level(STONE_YARD), policy=REPLACE(STONE_YARD.policy, dynamic_factor=1.25))
    check = found(job, job.poses[0])["hook pin", "double shear"]
    assert check.demand == pytest.approx((1.25 * (415 + 15) + 15) * G)


def test_a_mark_on_the_hook_counts() -> None:
    job = with_rig(level(STONE_YARD), hook=REPLACE(STONE_YARD.rig.hook, rated_kg=500.0))
    check = found(job, job.poses[0])["hook", "mark"]
    assert check.use == pytest.approx(430.0 / 500.0)
    assert check.allowed_load_kg == pytest.approx(485.0)


# ---------------------------------------------------------------- hinges


def test_hinge_couple_by_hand() -> None:
    """Straight arms: moment of all outboard over the spacing, on each barrel."""
    job = level(VINEYARD)
    _, cuts = placed_and_cut(job, job.poses[2])
    moment = (300 + 12) * 1.4 + 15 * 0.375 + 12 * (0.75 + 0.325)
    assert cuts.arms[0][1].forces.bend_up.at(285.0) == pytest.approx(moment * G)
    check = found(job, job.poses[2])["arm 1 hinge", "pin shear"]
    assert check.demand == pytest.approx(moment * G / 0.3)


def test_both_barrels_carry_the_moment_as_a_couple() -> None:
    """Forces on the barrels times the spacing give the moment back; their sum the force across."""
    job = level(VINEYARD)
    _, cuts = placed_and_cut(job, job.poses[1])
    for index, cut in cuts.arms:
        arm = job.rig.arms[index]
        pair = hinges.barrel_pulls(arm, cut)
        upper, lower = (Vec(pull[0].at(285.0), pull[1].at(285.0), 0.0) for pull in (pair.upper, pair.lower))
        arm_up = Vec(0.0, 0.0, arm.hinge.spacing_m / 2.0)
        moment = arm_up.cross(upper) - arm_up.cross(lower)
        assert moment.x == pytest.approx(cut.forces.twist.at(285.0), abs=1e-6)
        assert moment.y == pytest.approx(cut.forces.bend_up.at(285.0))
        assert (upper + lower).x == pytest.approx(cut.forces.axial.at(285.0), abs=1e-6)


def test_two_shear_planes_carry_twice_one() -> None:
    arm = VINEYARD.rig.arms[0]
    double = REPLACE(arm.hinge, shear_planes=2)
    one, two = (hinges.allowed_pulls(hinge, VINEYARD.policy) for hinge in (arm.hinge, double))
    assert two.shear_N == pytest.approx(2.0 * one.shear_N)
    assert two.lug_bearing_N > 2.0 * one.lug_bearing_N
    assert two.lug_plate_N > one.lug_plate_N


def test_turned_arms_bend_the_lugs_sideways() -> None:
    """Square to the boom the couple pulls across the lugs, which is worse for them."""
    job = level(VINEYARD)
    straight = found(job, job.poses[2])["arm 1 hinge", "lug weld"]
    turned = found(job, REPLACE(job.poses[2], arms=(ArmPose(turn_rad=math.pi / 2.0), ArmPose())))[
        "arm 1 hinge", "lug weld"
    ]
    assert turned.use > straight.use


def test_a_level_arm_without_a_stay_fails_and_says_so() -> None:
    arms = (REPLACE(BOATYARD.rig.arms[0], axis="level"), BOATYARD.rig.arms[1])
    job = with_rig(BOATYARD, arms=arms)
    pose = REPLACE(job.poses[0], arms=(ArmPose(turn_rad=0.2), ArmPose()))
    check = found(job, pose)["arm 1 hinge", "nothing holds the arm up"]
    assert check.use == math.inf and check.allowed_load_kg == -math.inf
    held = with_rig(job, arms=(REPLACE(arms[0], stay_Nm=4000.0), arms[1]))
    stay = found(held, pose)["arm 1 hinge", "stay"]
    assert 0.0 < stay.use < 1.0


# ---------------------------------------------------------------- boom and saddles


def test_boom_bending_by_hand() -> None:
    job = level(STONE_YARD)
    out = 0.8
    moment = (430 + 15) * (out - 0.05) + 70 * out / 2.4 * out / 2.0
    check = found(job, job.poses[0])["boom", "bending at the front saddle"]
    assert check.demand == pytest.approx(moment * G)


def test_a_pin_hole_at_the_front_saddle_costs_section() -> None:
    rig = STONE_YARD.rig
    net = boom.boom_member(rig.boom, STONE_YARD.policy)
    gross = members.member_of(rig.boom.section, rig.boom.steel, STONE_YARD.policy, unbraced_m=2.4, column_m=2.4)
    assert net.section.elastic_up_m3 < gross.section.elastic_up_m3
    assert net.section.elastic_side_m3 < gross.section.elastic_side_m3
    assert net.allowed_shear_up_N < gross.allowed_shear_up_N
    low = boom.boom_member(REPLACE(rig.boom, hole_edge_m=0.03), STONE_YARD.policy)
    assert low.section.elastic_up_m3 < net.section.elastic_up_m3


def test_net_section_against_a_hole_cut_out_by_hand() -> None:
    """Two 20 mm holes in 6 mm walls, 10 mm off the middle: parallel axes about the shifted centre."""
    tube = STONE_YARD.rig.boom.section
    gross, lost, off = properties(tube), 2 * 0.006 * 0.02, 0.01
    net = members.net_of_cross_hole(gross, tube, 0.006, CrossHole(0.02, off))
    area = gross.area_m2 - lost
    shift = lost * off / area
    second = gross.second_moment_up_m4 - (2 * 0.006 * 0.02**3 / 12 + lost * off**2) - area * shift**2
    assert net.area_m2 == pytest.approx(area)
    assert net.elastic_up_m3 == pytest.approx(second / (0.05 + shift))


def test_a_hole_weakens_a_round_arm_too() -> None:
    tube = RoundTube(diameter_m=0.08, wall_m=0.006)
    gross, net = (
        members.member_of(tube, "unknown", STONE_YARD.policy, unbraced_m=1.0, column_m=1.0, hole=hole)
        for hole in (None, CrossHole(0.02))
    )
    for field in ("bend_up_Nm", "bend_side_Nm", "shear_up_N", "twist_Nm", "push_N"):
        assert 0.0 < getattr(net, field) < getattr(gross, field), field


def test_buckling_is_held_to_the_design_factor() -> None:
    """A slender mast's push uses up as much as its buckling load over the factor says."""
    tube = RectTube(width_m=0.05, depth_m=0.05, wall_m=0.004)
    found = members.member_of(tube, "unknown", STONE_YARD.policy, unbraced_m=3.0, column_m=6.0)
    none, push = Linear(0.0, 0.0), 5000.0
    use = members.combined_use(found, SectionForces(Linear(-push, 0.0), none, none, none, none, none))(0.0)
    nominal = members.nominal_push_N(properties(tube), 230e6, 6.0)
    assert use == pytest.approx(push / (nominal / 3.0))


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


def test_the_rear_strap_holds_the_boom_down() -> None:
    job = level(STONE_YARD)
    loaded = found(job, job.poses[0])
    assert loaded["rear strap", "tension in a leg"].demand > 0.0
    assert loaded["front strap", "tension in a leg"].demand == 0.0


def test_braking_and_tilt_pull_at_the_boom_pin() -> None:
    job = level(STONE_YARD)
    still = found(job, job.poses[0])["boom pin", "double shear and bearing"]
    tilted = found(job, REPLACE(job.poses[0], tilt_rad=-0.05))["boom pin", "double shear and bearing"]
    braked = REPLACE(job, policy=REPLACE(job.policy, braking=0.2))
    stopping = found(braked, braked.poses[0])["boom pin", "double shear and bearing"]
    assert still.demand == pytest.approx(0.0, abs=1e-6)
    assert tilted.demand == pytest.approx((430 + 15 + 70) * G * math.sin(0.05))
    assert stopping.demand == pytest.approx((430 + 15 + 70) * G * 0.2)


# ---------------------------------------------------------------- jib mast and foot


def test_second_order_makes_the_mast_lean_harder() -> None:
    assert members.moment_growth(0.0, 1e6) == 1.0
    assert members.moment_growth(1e5, 1e6) == pytest.approx(1.0 / (1.0 - 0.16))
    assert members.moment_growth(1e6, 1e6) > 1e6


def test_half_a_weld_is_worse_than_all_round() -> None:
    uses = {}
    for outline in ("all_round", "front_and_back", "both_sides"):
        weld = REPLACE(STONE_YARD.rig.jib_mast.foot_weld, outline=outline)
        job = with_rig(STONE_YARD, jib_mast=REPLACE(STONE_YARD.rig.jib_mast, foot_weld=weld))
        uses[outline] = found(job, job.poses[0])["jib mast", "foot weld"].use
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
    check = found(job, pose)["sleeves", "heel uplift"]
    assert check.numbers["kg"] == pytest.approx(by_hand)
    # Both heels together: about half a tonne for 300 kg hung 2.75 m out, as the hand figures say.
    assert 2.0 * by_hand == pytest.approx(500.0, rel=0.06)


def test_nothing_entered_holds_nothing() -> None:
    job = with_rig(VINEYARD, sleeves=REPLACE(VINEYARD.rig.sleeves, heel_pin=None))
    check = found(job, job.poses[2])["sleeves", "heel uplift, nothing holds it"]
    assert check.use == math.inf
    assert check.allowed_load_kg < 285.0
    assert check.allowed_load_kg > 0.0
    light = checks(job, REPLACE(figures(job, job.poses[2]), load_kg=check.allowed_load_kg * 0.99))
    again = next(each for each in light if each.kind == check.kind)
    assert again.use == 0.0


def test_a_chain_holds_with_its_rating() -> None:
    job = with_rig(VINEYARD, sleeves=REPLACE(VINEYARD.rig.sleeves, heel_pin=None, heel_chain_kg=1000.0))
    check = found(job, job.poses[2])["sleeves", "heel uplift"]
    assert check.allowed == pytest.approx(500.0 * G)
    assert check.numbers["held"] == "chain"


def test_shares_of_the_sleeves_add_up() -> None:
    job = level(VINEYARD)
    _, cuts = placed_and_cut(job, job.poses[0])
    left, right = sleeves.sleeve_shares(job, cuts)
    forces = cuts.forks.forces
    assert left.weight.at(285.0) + right.weight.at(285.0) == pytest.approx(-forces.shear_up.at(285.0))
    assert left.moment.at(285.0) + right.moment.at(285.0) == pytest.approx(forces.bend_up.at(285.0))
    roll = (left.weight.at(285.0) - right.weight.at(285.0)) * job.truck.forks.spread_m / 2.0
    assert roll == pytest.approx(-forces.twist.at(285.0))
    for share in (left, right):
        tip, heel = share.tip_up.at(285.0), -share.heel_uplift.at(285.0)
        assert tip + heel == pytest.approx(share.weight.at(285.0))
        assert tip * 0.95 == pytest.approx(share.moment.at(285.0))


def test_the_left_fork_takes_more_of_a_load_on_the_left() -> None:
    job = level(VINEYARD)
    _, cuts = placed_and_cut(job, job.poses[0])
    left, right = sleeves.sleeve_shares(job, cuts)
    assert left.weight.at(285.0) > right.weight.at(285.0)


def stamped(worn_m: float = 0.0, **changes: object) -> Job:
    forks = REPLACE(VINEYARD.truck.forks, rating_each_kg=1500.0, rating_centre_m=0.5, worn_m=worn_m, **changes)
    return REPLACE(VINEYARD, truck=REPLACE(VINEYARD.truck, forks=forks))


def test_stamped_forks_are_checked_and_wear_costs_its_square() -> None:
    sound, worn = (
        found(stamped(worn_m), VINEYARD.poses[2])["forks", "moment at the heel"] for worn_m in (0.0, 0.0035 * 0.9)
    )
    thickness = VINEYARD.truck.forks.thickness_m
    assert sound.allowed == pytest.approx(1500.0 * 0.5 * G)
    assert worn.allowed == pytest.approx(sound.allowed * (1.0 - 0.0035 * 0.9 / thickness) ** 2)


def test_a_tenth_worn_is_scrap() -> None:
    """10 % of wear costs about 20 % of strength, and the fork."""
    thickness = VINEYARD.truck.forks.thickness_m
    check = found(stamped(0.1 * thickness), VINEYARD.poses[4])["forks", "wear at the heel"]
    assert check.use == math.inf
    assert strength_left(stamped(0.1 * thickness).truck.forks) == pytest.approx(0.81)
    nearly = found(stamped(0.099 * thickness), VINEYARD.poses[4])["forks", "wear at the heel"]
    assert nearly.use == pytest.approx(0.99)


@pytest.mark.parametrize(("each_kg", "centre_m"), [(400.0, 0.4), (1250.0, 0.5), (2600.0, 0.6), (6000.0, 0.6)])
def test_a_stamp_without_its_centre_takes_the_standard_one(each_kg: float, centre_m: float) -> None:
    forks = REPLACE(VINEYARD.truck.forks, rating_each_kg=each_kg)
    assert rating_centre_m(forks, each_kg) == centre_m
