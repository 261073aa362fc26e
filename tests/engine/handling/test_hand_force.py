"""Hand force against sums done by hand.

Weights and lengths are those of the rig files; friction is 0.15 greased and 0.30 dry; what a person should start
with hands at shoulder height is at most 110 N (24 lbf, psychophysical tables, read in a secondary copy).
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import msgspec
import pytest

from engine.handling.hand_force import NEVER_LOADED, HandForce, arm_force, boom_force, hand_forces
from engine.schema.model import ArmPose, Job, Pose
from engine.schema.quantities import Estimate
from tests.samples import read_once

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"


def with_light_arms(job: Job) -> Job:
    """Boom and arms of the round weights, and the boom's holes where the sums below have them."""

    def weighing(part: Any, kg: float) -> Any:
        return REPLACE(part, mass_kg=Estimate(best=kg, known="weighed"))

    arms = tuple(weighing(arm, kg) for arm, kg in zip(job.rig.arms, (15.0, 12.0), strict=True))
    boom = REPLACE(weighing(job.rig.boom, 67.0), first_hole_m=0.65)
    poses = tuple(REPLACE(pose, hole=6) for pose in job.poses)
    return REPLACE(job, rig=REPLACE(job.rig, boom=boom, arms=arms), poses=poses)


VINEYARD = with_light_arms(read_once(SAMPLES / "cold_spring_vineyard.rig.json"))
STONE_YARD = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")

G = 9.80665
GREASED, DRY = 0.15, 0.30

# Vineyard: 285 + 15 kg on a 12 kg hook; arms of 15 kg, 0.75 m and 12 kg, 0.65 m; boom of 67 kg, 2.4 m
# long, 150 mm wide, 1.0 m out; straps 0.675 m apart.  Hinge 1: pin 30 mm in a sleeve of 70 over 30.5 mm, 198 mm long;
# hinge 2: 60 over 30.5 mm, 178 mm long; a gap of 1 mm to the lugs.
ARMS_KG, HUNG_KG = 27.0, 312.0
ARM_1_KGM = 15.0 * 0.375 + 12.0 * 1.075
COLLAR_M = (0.070 + 0.0305) / 4.0


def on_floor(job: Job, along: float = 0.0, across: float = 0.0) -> Job:
    falls = {"fall_along": along, "fall_across": across}
    floor = {name: Estimate(best=value, known="measured") for name, value in falls.items()}
    return REPLACE(job, floors=(REPLACE(job.floors[0], **floor),))


def straight(job: Job, **changes: object) -> Pose:
    """The job's first pose with every arm in line with the boom."""
    return REPLACE(job.poses[0], arms=tuple(ArmPose() for _ in job.rig.arms), **changes)


def forces(force: HandForce) -> tuple[float, float, float, float]:
    return force.uphill_greased_N, force.uphill_dry_N, force.downhill_greased_N, force.downhill_dry_N


def by_hand(greased_N: float, dry_N: float, drives_N: float) -> object:
    """Friction and drift one way, friction less drift the other."""
    return pytest.approx((greased_N + drives_N, dry_N + drives_N, greased_N - drives_N, dry_N - drives_N), rel=1e-9)


# ---------------------------------------------------------------- arms


@pytest.mark.parametrize("fall", [0.0, 0.02, -0.02])
@pytest.mark.parametrize(("loaded", "hung_kg"), [(True, HUNG_KG), (False, 12.0)])
def test_straight_arms_take_hinge_friction_and_the_drift_to_the_low_side(
    fall: float, loaded: bool, hung_kg: float
) -> None:
    """Barrels: couple of ``2 M / h`` and the pull square to the pin, at its radius; collar: the pull along it."""
    job = on_floor(VINEYARD, across=fall)
    steep = math.hypot(1.0, fall)
    weight = (hung_kg + ARMS_KG) * G / steep
    moment = (hung_kg * 1.4 + ARM_1_KGM) * G / steep
    friction = (2.0 * moment / 0.199 + weight * abs(fall)) * 0.015 + weight * COLLAR_M
    drift = moment * abs(fall)
    force = arm_force(job, straight(job, loaded=loaded), 0)
    assert forces(force) == by_hand(GREASED * friction / 0.75, DRY * friction / 0.75, drift / 0.75)
    assert (force.part, force.loaded) == ("arm 1", loaded)


def test_the_outer_arm_carries_itself_and_what_hangs_and_is_pushed_at_its_own_end() -> None:
    job = on_floor(VINEYARD)
    moment, weight = (HUNG_KG * 0.65 + 12.0 * 0.325) * G, (HUNG_KG + 12.0) * G
    friction = 2.0 * moment / 0.179 * 0.015 + weight * (0.06 + 0.0305) / 4.0
    assert forces(arm_force(job, straight(job), 1)) == by_hand(GREASED * friction / 0.65, DRY * friction / 0.65, 0.0)


def test_the_lean_of_the_policy_tips_the_pin_forward() -> None:
    """Leaning 0.02 rad forward, an arm square to the boom wants to swing ahead: weight times sine, at its distance."""
    job = on_floor(REPLACE(VINEYARD, policy=REPLACE(VINEYARD.policy, lean_rad=0.02)))
    pose = REPLACE(straight(job), arms=(ArmPose(turn_rad=math.pi / 2.0), ArmPose()))
    force = arm_force(job, pose, 0)
    drift = (HUNG_KG * 1.4 + ARM_1_KGM) * G * math.sin(0.02)
    assert (force.uphill_dry_N - force.downhill_dry_N) / 2.0 == pytest.approx(drift / 0.75, rel=1e-9)


# ---------------------------------------------------------------- boom
#
# With an empty hook: 15 kg at the stone yard, 12 kg in the vineyard.

BARE_KG = 12.0


def test_sliding_a_level_straight_boom_is_friction_on_the_see_saw_of_its_overhang() -> None:
    """Overhanging beam: front support P(L+a)/L, rear P a/L for a load P at overhang a over a span L."""
    job = on_floor(STONE_YARD)
    hung, boom = 15.0 * G, 70.0 * G
    rear = (hung * (0.8 - 0.05) + boom * (0.8 - 1.2)) / 0.525
    front = hung + boom + rear
    contact = abs(rear) + abs(front)
    assert forces(boom_force(job, job.poses[0])) == by_hand(GREASED * contact, DRY * contact, 0.0)


def test_pulled_in_and_empty_the_tail_bears_up_on_the_rear_strap_and_the_front_one_holds_down() -> None:
    """Boom 0.2 m out: its 70 kg stand 1.0 m behind the front strap, the 15 kg hook 0.15 m ahead of it."""
    job = on_floor(STONE_YARD)
    pose = REPLACE(job.poses[0], hole=None, free_out_m=0.2, loaded=False)
    rear = (70.0 * 1.0 - 15.0 * 0.15) * G / 0.525
    front = rear - (70.0 + 15.0) * G
    assert front > 0.0
    assert forces(boom_force(job, pose)) == by_hand(GREASED * (rear + front), DRY * (rear + front), 0.0)


@pytest.mark.parametrize("tilt", [-0.05, 0.05])
def test_a_tilted_boom_slides_by_its_weight_along_and_rubs_with_its_weight_across(tilt: float) -> None:
    """Nose down or nose up: uphill and downhill only change ends."""
    job = on_floor(STONE_YARD)
    weight = (15.0 + 70.0) * G
    rear = (15.0 * 0.75 - 70.0 * 0.4) * G * math.cos(tilt) / 0.525
    contact = abs(rear) + abs(rear + weight * math.cos(tilt))
    force = boom_force(job, REPLACE(job.poses[0], tilt_rad=tilt))
    assert forces(force) == by_hand(GREASED * contact, DRY * contact, weight * math.sin(0.05))
    assert force.part == "boom"


def test_the_lean_of_the_policy_slides_the_boom_as_tilt_does() -> None:
    job = on_floor(REPLACE(STONE_YARD, policy=REPLACE(STONE_YARD.policy, lean_rad=0.05)))
    tilted = boom_force(on_floor(STONE_YARD), REPLACE(STONE_YARD.poses[0], tilt_rad=-0.05))
    assert forces(boom_force(job, job.poses[0])) == pytest.approx(forces(tilted), rel=1e-12)


@pytest.mark.parametrize("fall", [0.03, -0.03])
def test_across_a_sloping_floor_the_boom_rubs_at_the_straps_sides_too(fall: float) -> None:
    """The same see-saw sideways: rear strap M/span, front strap the rest and the whole pull."""
    job = on_floor(VINEYARD, across=fall)
    steep = math.hypot(1.0, fall)
    weight = (BARE_KG + ARMS_KG + 67.0) * G / steep
    moment = (BARE_KG * 2.4 + 15.0 * 1.375 + 12.0 * 2.075 - 67.0 * 0.2) * G / steep
    contact = (2.0 * moment / 0.675 + weight) * (1.0 + abs(fall))
    assert forces(boom_force(job, straight(job))) == by_hand(GREASED * contact, DRY * contact, 0.0)


@pytest.mark.parametrize(("width_m", "depth_m"), [(0.15, 0.15), (0.10, 0.15)])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_arms_square_to_the_boom_jam_it_by_their_twist_over_its_width(
    width_m: float, depth_m: float, side: float
) -> None:
    """Each strap presses with its weight or with its share of the twist's couple over the boom's width, the greater."""
    section = REPLACE(VINEYARD.rig.boom.section, width_m=width_m, depth_m=depth_m)
    job = on_floor(VINEYARD)
    job = REPLACE(job, rig=REPLACE(job.rig, boom=REPLACE(job.rig.boom, section=section)))
    pose = REPLACE(straight(job), arms=(ArmPose(turn_rad=side * math.pi / 2.0), ArmPose()))
    weight = (BARE_KG + ARMS_KG + 67.0) * G
    rear = ((BARE_KG + ARMS_KG) * 1.0 - 67.0 * 0.2) * G / 0.675
    couple = 2.0 * (BARE_KG * 1.4 + ARM_1_KGM) * G / width_m
    contacts = [max(weight + rear, share * couple) + max(rear, (1.0 - share) * couple) for share in (1.0, 0.5, 0.0)]
    # All of it in the rear strap, which carries least else, rubs most; never the sum of weight and couple.
    assert max(contacts) == pytest.approx(weight + rear + couple) and min(contacts) < max(contacts)
    force = boom_force(job, pose)
    assert (force.uphill_greased_N, force.uphill_dry_N) == pytest.approx((GREASED * max(contacts), DRY * max(contacts)))
    assert force.downhill_dry_N == pytest.approx(DRY * min(contacts))
    assert force.downhill_greased_N == pytest.approx(GREASED * min(contacts))


def test_folded_behind_the_mast_the_side_forces_of_a_slope_turn_round() -> None:
    """Arms folded back over a boom 0.35 m out: all hangs 1.05 m behind the front strap, the boom's middle 0.85 m."""
    job = on_floor(VINEYARD, across=0.03)
    pose = REPLACE(straight(job), hole=None, free_out_m=0.35, arms=(ArmPose(turn_rad=math.pi), ArmPose()), loaded=False)
    steep = math.hypot(1.0, 0.03)
    weight = (12.0 + ARMS_KG + 67.0) * G / steep
    behind = 12.0 * (1.4 - 0.35) + 15.0 * (0.375 - 0.35) + 12.0 * (1.075 - 0.35) + 67.0 * 0.85
    rear = behind * G / steep / 0.675
    front = rear - weight
    assert front > 0.0
    contact = (rear + front) * 1.03
    assert forces(boom_force(job, pose)) == by_hand(GREASED * contact, DRY * contact, 0.0)


# ---------------------------------------------------------------- what is told


def test_every_standing_arm_is_told_loaded_and_empty_and_the_boom_empty() -> None:
    arms = (VINEYARD.rig.arms[0], REPLACE(VINEYARD.rig.arms[1], axis="level"))
    job = REPLACE(VINEYARD, rig=REPLACE(VINEYARD.rig, arms=arms))
    told = [(force.part, force.loaded) for force in hand_forces(job, job.poses[0])]
    assert told == [("arm 1", True), ("arm 1", False), ("boom", False)]
    bare = REPLACE(straight(VINEYARD), arms=(ArmPose(), ArmPose(fitted=False)))
    assert [force.part for force in hand_forces(VINEYARD, bare)] == ["arm 1", "arm 1", "boom"]


def test_a_loaded_boom_has_no_number_only_never() -> None:
    pose = VINEYARD.poses[0]
    assert pose.loaded and boom_force(VINEYARD, pose) == boom_force(VINEYARD, REPLACE(pose, loaded=False))
    assert "never" in NEVER_LOADED


def force_of(uphill_dry_N: float) -> HandForce:
    others = {"uphill_greased_N": 60.0, "downhill_greased_N": 60.0, "downhill_dry_N": 60.0}
    return HandForce(part="arm 1", loaded=True, uphill_dry_N=uphill_dry_N, **others)


@pytest.mark.parametrize(("newtons", "too_much"), [(109.9, False), (110.0, False), (110.1, True), (math.nan, True)])
def test_more_than_110_newtons_uphill_and_dry_is_too_much(newtons: float, too_much: bool) -> None:
    assert force_of(newtons).too_much is too_much


def test_an_arm_that_starts_easily_greased_is_flagged_for_the_dry_push_uphill() -> None:
    """Vineyard's arm 1 with 40 kg to lift: 38 N greased and 76 N dry on the level; a side slope of 3 % adds 44 N."""
    job = REPLACE(VINEYARD, load=REPLACE(VINEYARD.load, mass_kg=Estimate(best=40.0, known="weighed")))
    level, sloping = (arm_force(on_floor(job, across=fall), straight(job), 0) for fall in (0.0, 0.03))
    assert forces(level) == pytest.approx((37.8, 75.7, 37.8, 75.7), abs=0.1)
    assert forces(sloping) == pytest.approx((82.0, 119.8, -6.2, 31.6), abs=0.3)
    assert sloping.too_much and not level.too_much


def test_a_loaded_arm_is_flagged_and_an_empty_one_is_not() -> None:
    told = {(force.part, force.loaded): force for force in hand_forces(VINEYARD, VINEYARD.poses[0])}
    assert told["arm 1", True].too_much
    assert not told["arm 1", False].too_much
