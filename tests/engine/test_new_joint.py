"""A kind of joint the engine has never heard of: each place that asks a joint either serves it rightly or raises.

The third kind lets an arm slide along itself (`sliding`).
Every function of the engine that asks a joint is visited: `KNOWING` gives the slide's own right answer, `FAILING`
raises with the slide's name.  The last tests hold that no function is left out, and that nothing compares the rig
file's words.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import sliding
from sliding import ARM, BOATYARD, IN_M, JOB, OUT_M, POSE, REPLACE, asking, called, with_slide

from engine.base.errors import RigFileError
from engine.base.formatting import fill
from engine.planning import hook_solver
from engine.planning.move import plan
from engine.planning.move_steps import MoveStep, pose_between, steps_of
from engine.rig.feasibility import boom_limits_m
from engine.rig.hinge_pieces import TubeEnd, link_ends
from engine.rig.kinematics import Placed, arm_link, figures, place
from engine.rig.load_path import load_path, loaded_path, rig_parts
from engine.schema.connections import StayLink
from engine.schema.defaults import joint_of_kind
from engine.schema.model import Move, Pose
from engine.shop import edits, hook_following, pose_edits
from engine.strength.cuts import Cut, cuts_of, pull_directions
from engine.worst_case.verdict import evaluate


@pytest.fixture(autouse=True)
def third_kind(monkeypatch: pytest.MonkeyPatch) -> None:
    """A rig file could hold the word now, were it allowed there."""
    sliding.allow(monkeypatch)


def placed_at(pose: Pose) -> Placed:
    return place(JOB, figures(JOB, pose))


def step() -> MoveStep:
    """From one place of the slide to the other."""
    (only,) = steps_of(JOB, Move(name="m", poses=(JOB.poses[0].name, JOB.poses[1].name)))
    return only


# ---------------------------------------------------------------- places that serve it

KNOWING: dict[str, Callable[[], None]] = {}


def serves(*names: str) -> Callable[[Callable[[], None]], Callable[[], None]]:
    """Marks a test as a visit to those functions."""

    def marked(test: Callable[[], None]) -> Callable[[], None]:
        KNOWING.update(dict.fromkeys(names, test))
        return test

    return marked


@serves("engine.rig.kinematics._frames", "engine.schema.model.Arm.joint")
def test_the_hook_goes_along_the_arm_as_far_as_it_slides() -> None:
    near, far = (placed_at(pose) for pose in JOB.poses)
    gone = far.tip_m - near.tip_m
    along = near.frames[arm_link(0)].axes.x  # the slide leaves the direction of the link before it
    assert tuple(gone) == pytest.approx(tuple(along.times(0.3)), abs=1e-12)


@serves("engine.rig.arm_arcs.arm_arc")
def test_its_end_runs_on_a_straight_line_between_its_stops() -> None:
    path = called("engine.rig.arm_arcs.arm_arc")(JOB, placed_at(POSE), 1)
    ends = path.array()[[0, -1]]
    assert math.dist(*ends) == pytest.approx(OUT_M - IN_M)


@serves("engine.rig.feasibility._arms")
def test_past_its_stop_it_is_refused_in_its_own_words() -> None:
    (problem,) = called("engine.rig.feasibility._arms")(JOB, with_slide(0.6).poses[0])
    words = fill(problem.words, problem.numbers, "metric")
    assert words == "arm 2 cannot slide to 0.60 m: it goes from 0.05 m to 0.45 m."


@serves("engine.planning.move_steps._turns", "engine.planning.move._travel_m")
def test_a_move_has_a_step_for_it_and_arrives() -> None:
    slid = step()
    assert fill(slid.words, slid.numbers, "metric") == "Slide arm 2 from 0.10 m to 0.40 m"
    assert slid.after == REPLACE(JOB.poses[1], name=POSE.name)
    assert pose_between(JOB, slid, 0.5).arms[1].turn_rad == pytest.approx(0.25)
    assert called("engine.planning.move._travel_m")(JOB, slid) == pytest.approx(0.3)


@serves("engine.schema.model.Arm.reach_m")
def test_its_reach_counts_the_slide() -> None:
    assert ARM.reach_m == pytest.approx(OUT_M + ARM.length_m)


@serves("engine.rig.free_turn.joint_as_free", "engine.shop.pose_edits.straight_ahead")
def test_edits_hold_it_between_its_stops() -> None:
    for edit in (pose_edits.turn_arm_to, pose_edits.arm_stopped_at):
        assert edit(JOB, POSE, 1, 7.0).arms[1].turn_rad == OUT_M
        assert edit(JOB, POSE, 1, 0.2).arms[1].turn_rad == 0.2
    assert pose_edits.straight_ahead(JOB)[1].turn_rad == IN_M


@serves(
    "engine.shop.hook_following._Aim.arms",
    "engine.shop.hook_following._Arm.motion",
    "engine.shop.hook_following._Arm.stops",
)
def test_it_follows_the_hook_in_the_plane_it_slides_in() -> None:
    """The boom is at its outer limit: only the slide can carry the hook further forward."""
    pose = REPLACE(POSE, hole=None, free_out_m=boom_limits_m(JOB)[1])
    hook = placed_at(pose).hook_m
    followed = hook_following.hook_to(JOB, pose, float(hook.x) + 0.1, z_m=float(hook.z), free=True)
    assert float(placed_at(followed).hook_m.x) == pytest.approx(float(hook.x) + 0.1, abs=1e-3)
    assert followed.arms[1].turn_rad > POSE.arms[1].turn_rad + 0.05
    assert called("engine.shop.hook_following._Arm")(1, ARM.joint).stops == (IN_M, OUT_M)


@serves("engine.planning.hook_solver.pin_and_motion")
def test_the_solver_slides_it() -> None:
    chain = hook_solver.chain_of(JOB, POSE)
    there = REPLACE(POSE, arms=(POSE.arms[0], REPLACE(POSE.arms[1], turn_rad=0.4)))
    turn, numbers = POSE.arms[0].turn_rad, figures(JOB, POSE)
    at, held = np.array([[POSE.lift_m, turn, POSE.arms[1].turn_rad]]), np.array([[POSE.lift_m, turn, IN_M]])
    rows = hook_solver.Rows(np.array([numbers.boom_out_m]), at, held, held + np.array([0.0, 0.0, OUT_M - IN_M]))
    solved, miss_m = hook_solver.solve(chain, hook_solver.pin_target(chain, placed_at(there).hook_m), rows)
    assert miss_m[0] <= hook_solver.STOP_M
    assert solved.at[0, 2] == pytest.approx(0.4, abs=1e-6)


@serves("engine.explain.phrases.pose_words", "engine.explain.approval_request._straight")
def test_words_give_its_coordinate_in_its_own_unit() -> None:
    assert "arm 2 0.10 m" in called("engine.explain.phrases.pose_words")(JOB, POSE, "metric")
    assert called("engine.explain.approval_request._straight")(JOB, POSE, 5).arms[1].turn_rad == IN_M


# ---------------------------------------------------------------- places that do not know it


def a_cut() -> Cut:
    """What the second arm's joint carries."""
    placed = placed_at(POSE)
    direction, *_ = pull_directions(placed, JOB.policy)
    return dict(cuts_of(JOB, placed, load_path(rig_parts(placed)), direction).arms)[1]


def ends() -> tuple[TubeEnd, TubeEnd]:
    return link_ends(BOATYARD.rig, 1, 0)


STAY = joint_of_kind(StayLink, None)

FAILING: dict[str, Callable[[Callable[..., Any]], object]] = {
    "engine.schema.model.hinge_of": lambda f: f(ARM),
    "engine.rig.hinge_pieces.tube_end": lambda f: f(ARM.section, ARM.steel, ARM.joint),
    "engine.rig.hinge_pieces.link_ends": lambda f: f(JOB.rig, 1, 0),
    "engine.rig.pin_places._stands": lambda f: f(ARM),
    "engine.rig.pin_places.pin_places": lambda f: list(f(JOB.rig)),
    "engine.rig.completeness._of_stay": lambda f: list(f(ARM, "stay", ends())),
    "engine.rig.feasibility._stay": lambda f: list(f(ARM, STAY, 0.1, "pose")),
    "engine.rig.free_turn._links": lambda f: f(JOB.rig, 1),
    "engine.rig.free_turn._seen_along_pin": lambda f: f(((0.0, 1.0),) * 3, ARM.joint),
    "engine.strength.hinges.hold_at": lambda f: f(ARM, a_cut(), 0.1),
    "engine.strength.hinges.pull_at": lambda f: f(ARM, a_cut()),
    "engine.strength.hinges._hinge_checks": lambda f: f(ARM, a_cut(), a_cut().axes, ends(), 0.1, JOB.policy, 100.0),
    "engine.strength.hinges._across_links": lambda f: f(ARM, a_cut().axes, a_cut().axes),
    "engine.handling.arm_drift.standing_arms": lambda f: f(JOB, figures(JOB, POSE)),
    "engine.handling.arm_drift.hinge_pull": lambda f: f(ARM, placed_at(POSE), loaded_path(placed_at(POSE)), 1),
    "engine.handling.arm_drift.friction_Nm": lambda f: f(ARM, None, 0.15),
    "engine.handling.arm_drift.collar_radius_m": lambda f: f(ARM),
    "engine.worst_case.uncertain_inputs._angle": lambda f: f(ARM, 1),
    "engine.planning.move._push_N": lambda f: f(JOB, step()),
    "engine.planning.inverse_kinematics._turning": lambda f: f(JOB, figures(JOB, POSE)),
    "engine.planning.inverse_kinematics._is_searched": lambda f: f(JOB, POSE),
    "engine.planning.stance_search.turn_ranges_rad": lambda f: f(JOB, 1),
    "engine.planning.stance_search._family_axes": lambda f: f(JOB, POSE),
    "engine.planning.remedy_changes._fold": lambda f: list(f(JOB, POSE)),
    "engine.planning.part_ladders._hinge_round_tube": lambda f: f(JOB, 1, ARM.section, ARM.section, outer=True),
    "engine.explain.placard.square_arm_sets": lambda f: f(REPLACE(JOB, rig=REPLACE(JOB.rig, arms=JOB.rig.arms[::-1]))),
    "engine.shop.pose_edits.arm_toward": lambda f: f(JOB, POSE, 1, 2.0, z_m=1.0),
    "engine.shop.joint_pieces.hinge_pieces": lambda f: list(f(JOB.rig, 1)),
    "engine.shop.piece_holes._hinge_holes": lambda f: list(f(ARM)),
    "engine.shop.weld_list._hinge_welds": lambda f: list(f(ARM)),
    "engine.shop.pin_list.pin_list": lambda f: f(JOB.rig),
}


@pytest.mark.parametrize("name", FAILING)
def test_a_place_that_does_not_know_it_raises(name: str) -> None:
    with pytest.raises((AssertionError, AttributeError), match="Slide"):
        FAILING[name](called(name))


def test_no_verdict_and_no_judged_move_comes_of_it() -> None:
    """Nothing between the formulas and the person swallows what they raise."""
    with pytest.raises((AssertionError, AttributeError), match="Slide"):
        evaluate(JOB, POSE)
    with pytest.raises((AssertionError, AttributeError), match="Slide"):
        plan(JOB, Move(name="m", poses=tuple(pose.name for pose in JOB.poses)))


def test_a_rig_file_does_not_hold_a_word_that_the_format_does_not_have() -> None:
    with pytest.raises(RigFileError, match="'sliding'"):
        edits.add_arm(JOB)


# ---------------------------------------------------------------- none left out

BY_THE_FILES_GATE = {"engine.shop.edits.add_arm"}
"""Passes `checked`, which refuses the word."""


def test_every_function_that_asks_a_joint_is_visited_here() -> None:
    assert asking("engine")["joint"] == (KNOWING.keys() | FAILING.keys() | BY_THE_FILES_GATE) - {
        "engine.schema.model.Arm.joint"
    }


def test_the_words_of_the_rig_file_are_read_in_one_place() -> None:
    assert asking("engine")["axis"] == {"engine.schema.model.Arm.joint"}
