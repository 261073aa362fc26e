"""Aiming the hook: every way offered really brings it there, and none that could is missed."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.base.geometry import Vec
from engine.planning.inverse_kinematics import NEAR_M, likeliest, poses_to, solutions_to
from engine.planning.stance_search import REACHED_M
from engine.planning.sweep import Stopped, best_over, judge
from engine.rig.feasibility import impossibilities, usable_holes
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import figures, place
from engine.schema.connections import RatedMoment
from engine.schema.model import ArmPose, Job
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
OLD_VINEYARD = Path(__file__).resolve().parents[2] / "rigs" / "cold_spring_vineyard.rig.json"

VINEYARD = read_once(OLD_VINEYARD)
STONE_YARD = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")


def hook_of(job: Job, pose):
    return place(job, figures(job, pose)).hook_m


def leaning(job: Job, tilt_rad: float, stack_m: float = 0.0) -> Job:
    arms = tuple(msgspec.structs.replace(arm, stack_m=stack_m) for arm in job.rig.arms)
    mast = msgspec.structs.replace(job.rig.jib_mast, lean_rad=0.02)
    poses = tuple(msgspec.structs.replace(pose, tilt_rad=tilt_rad) for pose in job.poses)
    return msgspec.structs.replace(job, rig=msgspec.structs.replace(job.rig, arms=arms, jib_mast=mast), poses=poses)


@settings(max_examples=25)
@given(
    lift_m=st.floats(0.1, 3.2),
    hole=st.integers(1, 11),
    shares=st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)),
    tilt=st.floats(-0.08, 0.13),
    stack=st.floats(-0.2, 0.2),
)
def test_a_point_the_hook_has_been_at_is_found_again(lift_m, hole, shares, tilt, stack):
    job = leaning(VINEYARD, tilt, stack)
    if hole not in usable_holes(job):
        return
    stops = [joint_as_free(job.rig, index).stops for index in range(2)]
    one, two = (least + share * (most - least) for share, (least, most) in zip(shares, stops, strict=True))
    there = msgspec.structs.replace(
        job.poses[0], lift_m=lift_m, hole=hole, arms=(ArmPose(turn_rad=one), ArmPose(turn_rad=two))
    )
    target = hook_of(job, there)
    reached = poses_to(job, job.poses[0], target)
    assert any(
        pose.hole == hole
        and all(abs(a.turn_rad - b.turn_rad) < 1e-5 for a, b in zip(pose.arms, there.arms, strict=True))
        for pose in reached
    )
    for pose in reached:
        assert math.dist(hook_of(job, pose), target) <= NEAR_M + 1e-9


def test_two_arms_reach_a_point_with_the_elbow_to_either_side():
    solutions = solutions_to(VINEYARD, VINEYARD.poses[0], Vec(2.6, 0.4, 2.5))
    bends = {(solution.pose.hole, solution.pose.arms[1].turn_rad > 0.0) for solution in solutions}
    assert any((hole, True) in bends and (hole, False) in bends for hole in usable_holes(VINEYARD))
    assert max(solution.miss_m for solution in solutions) < 1e-9
    assert not any(impossibilities(VINEYARD, solution.pose) for solution in solutions)


def test_the_way_with_the_smallest_use_stands_first_and_each_is_what_the_engine_says():
    solutions = solutions_to(VINEYARD, VINEYARD.poses[0], Vec(2.6, 0.4, 2.5))
    order = [(not solution.has_room, solution.use) for solution in solutions]
    assert order == sorted(order)
    for solution in solutions:
        assert solution.use == pytest.approx(judge(VINEYARD, solution.pose).use, rel=1e-12)


def test_one_arm_swings_a_circle_and_only_points_near_one_are_reached():
    arms = tuple(ArmPose(turn_rad=0.0, fitted=index == 0) for index in range(2))
    pose = msgspec.structs.replace(VINEYARD.poses[0], arms=arms)
    there = msgspec.structs.replace(pose, arms=(ArmPose(turn_rad=0.7), arms[1]))
    solutions = solutions_to(VINEYARD, pose, hook_of(VINEYARD, there))
    assert solutions
    assert any(abs(solution.pose.arms[0].turn_rad - 0.7) < 1e-9 for solution in solutions)


def test_without_arms_the_hook_is_at_a_hole_or_nowhere():
    pose = STONE_YARD.poses[0]
    at_hole = hook_of(STONE_YARD, msgspec.structs.replace(pose, hole=6, lift_m=0.9))
    (solution,) = solutions_to(STONE_YARD, pose, at_hole)
    assert (solution.pose.hole, round(solution.pose.lift_m, 9)) == (6, 0.9)
    assert solutions_to(STONE_YARD, pose, at_hole + Vec(STONE_YARD.rig.boom.hole_pitch_m / 2.0, 0.0, 0.0)) == ()
    assert solutions_to(STONE_YARD, pose, at_hole + Vec(0.0, 0.5, 0.0)) == ()


def test_a_point_out_of_reach_has_no_way():
    assert solutions_to(VINEYARD, VINEYARD.poses[0], Vec(9.0, 0.0, 2.5)) == ()
    assert solutions_to(VINEYARD, VINEYARD.poses[0], Vec(2.6, 0.4, 9.0)) == ()


def with_level(job: Job, index: int) -> Job:
    """The rig with one arm on a level hinge, a radian up and down, its stay good for 50 kN·m."""
    arms = list(job.rig.arms)
    stay = RatedMoment(moment_Nm=50e3)
    arms[index] = msgspec.structs.replace(arms[index], axis="level", turn_min_rad=-1.0, turn_max_rad=1.0, stay=stay)
    return msgspec.structs.replace(job, rig=msgspec.structs.replace(job.rig, arms=tuple(arms)))


@pytest.mark.parametrize(
    "hole, lift_m, turns_rad, hook_m",
    [
        (9, 0.50, (-0.2, 0.6), (2.5618, 0.3670, 1.6444)),
        (8, 1.00, (0.3, 0.0), (2.7885, 0.0, 2.8137)),
        (6, 1.00, (0.3, 0.4), (3.0395, 0.2531, 2.7986)),
    ],
)
@pytest.mark.parametrize("path, nearer_m", [(OLD_VINEYARD, 0.0), (SAMPLES / OLD_VINEYARD.name, 0.05)])
def test_with_the_inner_arm_level_a_pose_is_found_again(
    path: Path,
    nearer_m: float,
    hole: int,
    lift_m: float,
    turns_rad: tuple[float, float],
    hook_m: tuple[float, float, float],
):
    """Places worked out apart from the engine, for the old rig: its first hole is 0.65 m from the boom's front end.

    The sample rig's is at 0.70 m since (both 0.15 m apart): with the same hole its hook is 0.05 m nearer.
    """
    job = with_level(read_once(path), 0)
    assert job.rig.boom.first_hole_m == pytest.approx(0.65 + nearer_m)
    arms = tuple(ArmPose(turn_rad=turn_rad) for turn_rad in turns_rad)
    there = msgspec.structs.replace(job.poses[0], hole=hole, lift_m=lift_m, arms=arms)
    target = Vec(hook_m[0] - nearer_m, *hook_m[1:])
    assert tuple(hook_of(job, there)) == pytest.approx(tuple(target), abs=5.1e-5)
    solutions = solutions_to(job, job.poses[0], target)
    assert any(
        solution.pose.hole == hole
        and solution.pose.lift_m == pytest.approx(lift_m, abs=1e-3)
        and [arm.turn_rad for arm in solution.pose.arms] == pytest.approx(turns_rad, abs=1e-3)
        for solution in solutions
    )
    for solution in solutions:
        assert solution.miss_m <= REACHED_M
        assert not impossibilities(job, solution.pose)


def test_a_level_arm_is_raised_to_either_side_of_straight():
    job = with_level(VINEYARD, 1)
    pose = msgspec.structs.replace(job.poses[0], arms=(ArmPose(turn_rad=0.3), ArmPose(turn_rad=0.5)))
    target = hook_of(job, msgspec.structs.replace(pose, lift_m=1.6, hole=4))
    solutions = solutions_to(job, pose, target)
    in_hole = [solution.pose for solution in solutions if solution.pose.hole == 4]
    # Up or down as far, the arm reaches as far out; the forks make up for twice its rise.
    rise_m = job.rig.arms[1].length_m * math.sin(0.5)
    found = {(round(each.arms[1].turn_rad, 4), round(each.lift_m, 4)) for each in in_hole}
    assert found == {(0.5, 1.6), (-0.5, round(1.6 + 2.0 * rise_m, 4))}


def test_poses_without_room_stand_last_and_are_not_told_by_their_use():
    job = with_level(VINEYARD, 0)
    solutions = solutions_to(job, job.poses[0], Vec(2.5618, 0.3670, 1.6444))
    rooms = [solution.has_room for solution in solutions]
    assert set(rooms) == {True, False} and rooms == sorted(rooms, reverse=True)
    for solution in solutions:
        assert solution.has_room == (not evaluate(job, solution.pose).room.short_at_worst)
        assert solution.has_room or solution.state != "WITHIN"


def test_the_likeliest_way_has_the_smallest_use_at_best_values():
    target = Vec(2.6, 0.4, 2.5)
    chosen = likeliest(VINEYARD, VINEYARD.poses[0], target)
    uses = [
        float(best_over(VINEYARD, solution.pose, figures(VINEYARD, solution.pose)).use)
        for solution in solutions_to(VINEYARD, VINEYARD.poses[0], target)
    ]
    assert float(best_over(VINEYARD, chosen, figures(VINEYARD, chosen)).use) == pytest.approx(min(uses))
    assert likeliest(VINEYARD, VINEYARD.poses[0], Vec(9.0, 0.0, 2.5)) is None


def test_a_way_tells_the_engines_state_and_the_judging_can_be_stopped():
    pose = STONE_YARD.poses[0]
    target = hook_of(STONE_YARD, pose)
    for solution in solutions_to(STONE_YARD, pose, target):
        assert solution.state == judge(STONE_YARD, solution.pose).state
    with pytest.raises(Stopped):
        solutions_to(STONE_YARD, pose, target, stop=lambda: True)
