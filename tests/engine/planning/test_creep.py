"""Creeping with a load hung: what is taken where nothing is entered, and what a stop, a swing and a step do."""

from __future__ import annotations

import math
import re
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.base.formatting import fill
from engine.base.geometry import Vec
from engine.limits import play, room_rows
from engine.limits.all_limits import find_checks
from engine.planning.creep import creep_of, creeping, fastest_m_s, least_radius_m, over_step
from engine.planning.move import Plan, plan
from engine.planning.sweep import at_corners
from engine.rig.kinematics import figures, place
from engine.schema import uncertainty_bands
from engine.schema.model import Job, Move, MoveLeg, Truck, find_pose
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import low_high
from engine.worst_case import structure
from engine.worst_case.uncertain_inputs import entries_of
from engine.worst_case.verdict import evaluate
from engine.worst_case.worst_case import worst_values
from tests.samples import read_once

REPLACE = msgspec.structs.replace
CAROUSEL = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "larkfield_carousel_works.rig.json")
RAISED, LOWERED = CAROUSEL.moves


def said(planned: Plan) -> str:
    return " ".join(fill(one.words, one.numbers, "metric") for one in planned.objections)


def test_walking_pace_and_the_brakes_are_taken_where_nothing_is_entered() -> None:
    """1.4 m/s at 0.2 g stops in 1.4 squared over 2 x 1.96 m/s2; nobody stops in less than 0.10 m."""
    blank = creep_of(RAISED, CAROUSEL.truck)
    assert (blank.speed_m_s, blank.said, blank.step_m) == (1.4, False, 0.020)
    assert blank.stop_m == pytest.approx(1.96 / (2 * 0.2 * 9.80665), abs=1e-9) == pytest.approx(0.4997, abs=1e-4)
    slow = creep_of(REPLACE(RAISED, speed_m_s=0.3), CAROUSEL.truck)
    assert slow.stop_m == 0.10 and slow.said


def test_a_stop_counts_in_every_limit_and_a_gentler_one_counts_less() -> None:
    """0.2 g of the truck; the load swings through and pulls as far again at most (pendulum of 1.0 m: 0.36 g)."""
    hard = creeping(CAROUSEL, creep_of(RAISED, CAROUSEL.truck)).policy
    assert hard.braking == pytest.approx(0.2, abs=1e-9)
    assert 0.0 < hard.swing_rad < 0.2
    gentle = creeping(CAROUSEL, creep_of(LOWERED, CAROUSEL.truck)).policy
    assert gentle.braking == pytest.approx(1.4**2 / 2.0 / 9.80665, abs=1e-9)
    entered = REPLACE(CAROUSEL, policy=REPLACE(CAROUSEL.policy, braking=0.3, swing_rad=0.4))
    assert creeping(entered, creep_of(LOWERED, CAROUSEL.truck)).policy == entered.policy, "more is entered already"


def test_a_step_under_one_wheel_rolls_the_truck_by_its_height_over_the_track() -> None:
    """20 mm over a front track of 0.90 m is 2.2 %, either way, on top of what the fall may be off."""
    assert CAROUSEL.truck.front_track_m.best == 0.90
    for was, now in zip(CAROUSEL.floors, over_step(CAROUSEL, creep_of(RAISED, CAROUSEL.truck)).floors, strict=True):
        (low, high), (least, most) = low_high(was.fall_across, "fall"), low_high(now.fall_across, "fall")
        assert now.fall_across.best == was.fall_across.best
        assert low - least == pytest.approx(0.0222, abs=1e-4) and most - high == pytest.approx(0.0222, abs=1e-4)


def test_the_carousel_horse_is_unsafe_to_travel_raised_from_the_move_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """All poses hold standing.  Stopping in 0.5 m no faster than 0.82 m/s raised (0.827 by hand), 1.07 low.

    By hand its tyres are rigid and its jib mast true and in its place; as it is it is slower.
    """
    assert all(evaluate(CAROUSEL, pose).state == "WITHIN" for pose in CAROUSEL.poses)
    raised = plan(CAROUSEL, RAISED)
    assert raised.state == "OVER" and raised.steps[0].over
    words = said(raised)
    assert "Unsafe to travel raised: the load's underside would be 1.63 m up" in words
    assert "Nobody has said how fast it creeps straight: walking pace is taken" in words
    (fastest_km_h,) = re.findall(r"no faster than (\d\.\d) km/h", words)
    assert 2.4 <= float(fastest_km_h) < 2.9
    level = creep_of(REPLACE(RAISED, stop_m=0.5, step_m=0.0), CAROUSEL.truck)
    on_its_tyres = [fastest_m_s(CAROUSEL, level, CAROUSEL.poses[at]) for at in (0, 2)]
    rigid = Estimate(best=1e12, known="typical", low=1e12, high=1e12)
    monkeypatch.setitem(uncertainty_bands._TYRES_N_M, "solid", rigid)  # pyright: ignore[reportPrivateUsage]
    monkeypatch.setattr(play, "MAST_LEAN_RAD", 0.0)
    monkeypatch.setattr(play, "MAST_OFF_M", 0.0)
    structure.forget_recordings()
    anew = REPLACE(CAROUSEL, truck=REPLACE(CAROUSEL.truck))
    by_hand = [fastest_m_s(anew, level, CAROUSEL.poses[at]) for at in (0, 2)]
    assert by_hand == pytest.approx([0.827, 1.071], abs=0.05)
    assert all(0.85 * rigid < soft < rigid for soft, rigid in zip(on_its_tyres, by_hand, strict=True))


def test_lowered_it_may_be_crept_at_walking_pace_if_it_stops_gently() -> None:
    assert (LOWERED.speed_m_s, LOWERED.stop_m) == (1.4, 1.0)
    lowered = plan(CAROUSEL, LOWERED)
    assert lowered.state == "WITHIN"
    assert "Creeping straight at 5 km/h, stopping within 1.00 m" in said(lowered)
    hard = plan(CAROUSEL, REPLACE(LOWERED, stop_m=0.5))
    assert hard.state == "OVER" and "no faster than" in said(hard)
    assert plan(CAROUSEL, REPLACE(LOWERED, stop_m=None)).state == "OVER", "the brakes stop it in 0.5 m"


def test_a_raised_load_may_be_inched_into_its_place() -> None:
    inch = REPLACE(RAISED, speed_m_s=0.3, stop_m=0.3, distance_m=1.5)
    planned = plan(CAROUSEL, inch)
    assert planned.state == "WITHIN" and "inch it no more than" in said(planned)
    for further in (REPLACE(inch, distance_m=2.5), REPLACE(inch, distance_m=None), REPLACE(inch, speed_m_s=0.5)):
        assert plan(CAROUSEL, further).state == "OVER"


def test_an_empty_hook_creeps_as_it_stands() -> None:
    poses = tuple(REPLACE(pose, loaded=False) for pose in CAROUSEL.poses)
    empty: Job = REPLACE(CAROUSEL, poses=poses)
    planned = plan(empty, Move(name="empty", poses=RAISED.poses))
    assert "Unsafe to travel raised" not in said(planned) and "fast it creeps" not in said(planned)


# ---------------------------------------------------------------- leg by leg


def there_and_back(*legs: MoveLeg) -> tuple[Job, Move]:
    """The lowered load crept to the other floor and back again, leg by leg as said."""
    return creeping_low(CAROUSEL), Move(
        name="back", poses=(*ROUND.poses, ROUND.poses[0]), speed_m_s=1.4, stop_m=1.0, legs=legs
    )


def test_each_leg_creeps_as_it_says_and_as_the_move_says_where_it_does_not() -> None:
    """Larkfield stops in 1.0 m from walking pace and not in 0.5 m: the one leg that does so is the one that is over."""
    alike = plan(*there_and_back())
    assert [step.over for step in alike.steps] == [False, False]
    mixed = plan(*there_and_back(MoveLeg(), MoveLeg(stop_m=0.5)))
    assert [step.over for step in mixed.steps] == [False, True] and mixed.state == "OVER"
    assert "stopping within 1.00 m" in said(mixed) and "stopping within 0.50 m" in said(mixed)
    assert mixed.steps[0].bound_use == pytest.approx(alike.steps[0].bound_use, rel=1e-9)
    slower = plan(*there_and_back(MoveLeg(), MoveLeg(stop_m=0.5, speed_m_s=0.5)))
    assert slower.state == "WITHIN"


def test_a_leg_may_turn_where_the_others_go_straight_and_the_other_way_round() -> None:
    move = Move(name="a", poses=("a", "b", "a"), turn_radius_m=2.5, legs=(MoveLeg(turns=False), MoveLeg()))
    assert [creep_of(move.on_leg(at), CAROUSEL.truck).radius_m for at in (0, 1)] == [None, 2.5]
    straight = Move(name="a", poses=("a", "b", "a"), legs=(MoveLeg(), MoveLeg(turn_radius_m=3.0)))
    assert [creep_of(straight.on_leg(at), CAROUSEL.truck).radius_m for at in (0, 1)] == [None, 3.0]


def test_legs_are_entered_for_all_or_for_none() -> None:
    with pytest.raises(ValueError, match="over 2 stretches needs to say of each how it creeps, or of none; 1 are"):
        Move(name="a", poses=("a", "b", "a"), legs=(MoveLeg(),))
    with pytest.raises(ValueError, match="goes straight has no radius"):
        MoveLeg(turns=False, turn_radius_m=2.0)


# ---------------------------------------------------------------- turning

KNOWN = REPLACE(CAROUSEL, truck=REPLACE(CAROUSEL.truck, turning_radius_m=Estimate(best=2.3, known="papers")))
ROUND = Move(name="round", poses=("low here", "low there"), turn_radius_m=1.2)


def creeping_low(job: Job) -> Job:
    """The job with the lowered pose on both floors, so that a move between them is one creep."""
    low = job.poses[2]
    places = zip(ROUND.poses, (floor.name for floor in job.floors), strict=False)
    return REPLACE(job, poses=(*job.poses, *(REPLACE(low, name=name, floor=floor) for name, floor in places)))


def test_a_blank_creep_is_straight_and_a_turn_has_its_own_speed_and_radius() -> None:
    """R 2.0 m at 0.5 m/s, or what the truck needs; tighter at 0.3 m/s and only if entered."""
    truck = KNOWN.truck
    assert creep_of(Move(name="a", poses=("a", "b")), truck).radius_m is None
    usual = creep_of(REPLACE(ROUND, turn_radius_m=None, turns=True), truck)
    assert (usual.radius_m, usual.speed_m_s, usual.stop_m) == (2.0, 0.5, 0.10)
    tight = creep_of(ROUND, truck)
    assert (tight.radius_m, tight.speed_m_s, tight.too_fast_for_its_turn) == (1.2, 0.3, False)
    assert creep_of(REPLACE(ROUND, speed_m_s=0.31), truck).too_fast_for_its_turn
    assert not creep_of(REPLACE(ROUND, speed_m_s=0.5, turn_radius_m=2.0), truck).too_fast_for_its_turn


def test_the_least_radius_is_that_of_the_outermost_corner_brought_in_to_the_front_axle() -> None:
    """Outer 2.695 m, L 1.6, 0.45 behind the axle, 1.10 wide: R 1.2 m (by hand); a truck that turns wide takes more."""
    sizes = {
        "wheelbase_m": Estimate(best=1.6, known="measured"),
        "rear_overhang_m": Estimate(best=0.45, known="measured"),
        "width_m": Estimate(best=1.10, known="measured"),
    }

    def turning(outer_m: float) -> Truck:
        outer = Estimate(best=outer_m, known="measured", low=outer_m, high=outer_m)
        return REPLACE(CAROUSEL.truck, turning_radius_m=outer, **sizes)

    assert least_radius_m(turning(2.695)) == pytest.approx(1.2, abs=1e-3)
    assert least_radius_m(REPLACE(CAROUSEL.truck, turning_radius_m=None)) is None
    wide = creep_of(REPLACE(ROUND, turn_radius_m=None, turns=True), turning(4.0))
    assert wide.radius_m == pytest.approx((4.0**2 - 2.05**2) ** 0.5 - 0.55) and wide.speed_m_s == 0.5


@pytest.mark.parametrize("turns_rad", [0.0, 0.9])
def test_a_stop_round_a_turn_is_never_easier_than_the_same_stop_straight_on(turns_rad: float) -> None:
    """Every limit, of truck and rig; the turn is either way round."""
    job = REPLACE(CAROUSEL, policy=REPLACE(CAROUSEL.policy, braking=0.0))
    pose = job.poses[2]
    pose = REPLACE(pose, arms=tuple(REPLACE(arm, turn_rad=turns_rad) for arm in pose.arms))
    straight = creep_of(REPLACE(LOWERED, speed_m_s=0.8), job.truck)
    ways = (straight, straight._replace(radius_m=2.0))
    ahead, turned = (
        {check.name: check for check in find_checks(creeping(job, creep), figures(job, pose))} for creep in ways
    )
    assert all(turned[name].use >= check.use - 1e-9 for name, check in ahead.items())
    assert all(turned[name].allowed_load_kg <= check.allowed_load_kg + 1e-6 for name, check in ahead.items())
    together = "boom: combined stress at the front saddle"
    assert turned[together].use > ahead[together].use
    left = "truck balance: tipping, left side"
    assert turned[left].demand - turned[left].allowed > ahead[left].demand - ahead[left].allowed


def test_a_turn_is_proven_with_everything_it_pulls_with() -> None:
    """Greatest use within its bound, and more than the same creep straight on."""
    job = creeping_low(KNOWN)
    (turned,) = plan(job, ROUND).steps
    (straight,) = plan(job, REPLACE(ROUND, turn_radius_m=None, speed_m_s=0.3, stop_m=0.10)).steps
    assert turned.step.kind == "creep" and straight.peak_use < turned.peak_use <= turned.bound_use <= 1.0
    worst = evaluate(creeping(job, creep_of(ROUND, job.truck)), find_pose(job, ROUND.poses[0])).worst_case
    assert worst is not None and turned.peak_use == pytest.approx(max(worst.use), abs=0.02)


def test_a_turn_asks_for_the_turning_radius_and_says_how_the_rear_swings() -> None:
    planned = plan(creeping_low(CAROUSEL), ROUND)
    words = said(planned)
    assert planned.state == "NOT PROVEN" and "The truck's turning radius is not entered" in words
    assert "creeps round a turn of 1.20 m, to either side" in words and "1.1 km/h" in words
    truck = CAROUSEL.truck
    back_m, half_m = truck.wheelbase_m.best + 0.45, truck.front_track_m.best / 2.0 + 0.12
    out_mm = 1000.0 * (((1.2 + half_m) ** 2 + back_m**2) ** 0.5 - 1.2 - half_m)
    assert f"the rear swings out {math.ceil(out_mm):d} mm beyond the path of the front wheel" in words
    assert "500 mm clear of where anybody stands" in words


def test_a_tight_turn_is_for_inching_alone() -> None:
    planned = plan(creeping_low(KNOWN), REPLACE(ROUND, speed_m_s=0.35, stop_m=0.5))
    assert planned.state == "OVER" and "Turning tighter than 2.00 m with a load hung, no faster than" in said(planned)


@pytest.mark.parametrize("rig", ["cold_spring_vineyard", "larkfield_carousel_works"])
def test_no_corner_of_what_may_be_off_is_worse_in_a_turn_than_the_worst_case(rig: str) -> None:
    """Four hundred corners of the box of all bands, picked at random."""
    job = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / f"{rig}.rig.json")
    job, pose = creeping(job, creep_of(ROUND, job.truck)), job.poses[0]
    pose = REPLACE(pose, arms=tuple(REPLACE(arm, turn_rad=0.6) for arm in pose.arms))
    numbers = figures(job, pose)
    entries = entries_of(job, pose, numbers)
    sides = np.random.default_rng(5).integers(-1, 2, (400, len(entries))).astype(float)
    worst = worst_values(job, pose, numbers).use.reshape(-1)
    checks = find_checks(job, at_corners(job, entries, sides, numbers))
    for check, use in zip(checks, worst, strict=True):
        assert np.max(check.use) <= use + 0.002, check.name


def test_a_hung_load_wanders_further_round_a_turn() -> None:
    """Stopping from 0.5 m/s in 0.10 m round 2.0 m: at the hook twice the turn's own pull and the stop's, by hand.

    As it stops they are against each other to the side and together forward, as it starts the reverse.
    """
    job = REPLACE(CAROUSEL, policy=REPLACE(CAROUSEL.policy, braking=0.0))
    creep = creep_of(Move(name="slow", poses=("a", "b"), speed_m_s=0.5), job.truck)
    pose = job.poses[2]
    placed = place(job, figures(job, pose))
    straight, turned = (
        room_rows.gaps_of(creeping(job, one), pose, placed, 1, Vec(0.0, 0.0, 0.0))
        for one in (creep, creep._replace(radius_m=2.0))
    )
    assert straight.load is not None and turned.load is not None
    slowing = 0.5**2 / (2.0 * 0.10)
    x_m = float(placed.hook_m.x)
    forward, outward, to_side = (0.5 / 2.0) ** 2 * x_m, 0.5**2 / 2.0, slowing / 2.0 * x_m
    pulls = (
        math.hypot(forward + slowing, outward - to_side),
        math.hypot(forward - slowing, outward + to_side),
        math.hypot(slowing, to_side),
    )
    share = math.tan(job.policy.swing_rad) + 2.0 * max(pulls) / 9.80665
    hangs_m = job.rig.hook.drop_m + job.load.sling_m + job.load.height_m
    assert float(np.max(turned.load.wander_m)) == pytest.approx(hangs_m * math.sin(math.atan(share)), rel=1e-6)
    assert float(np.max(straight.load.wander_m)) < float(np.max(turned.load.wander_m))
