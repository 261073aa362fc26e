"""Where the hook hangs on a link that ends in a hinge: its place, what it leaves of the tube, and what is not said."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest

from engine.rig.feasibility import impossibilities
from engine.rig.kinematics import figures, place
from engine.schema.connections import DropInPin, Hoop, Weld, WeldedHoop
from engine.schema.model import ArmPose, Job, Pose
from engine.strength import all_parts
from engine.worst_case.verdict import evaluate
from tests.samples import by_hand, read_once

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
ORGANS = by_hand("halden_pipe_organs")
BOATYARD = read_once(SAMPLES / "skerry_point_boatyard.rig.json")
OFF = ORGANS.poses[1]
"""Arm 2 left off."""

BARE = REPLACE(OFF, arms=(ArmPose(fitted=False), ArmPose(fitted=False)))


def behind(behind_m: float | None, job: Job = ORGANS, **hook: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, hook=REPLACE(job.rig.hook, behind_hinge_m=behind_m, **hook)))


def back_m(job: Job, pose: Pose, link: str) -> float:
    """From the link's origin to the hook, along the link."""
    placed = place(job, figures(job, pose))
    frame = placed.frames[link]
    return float((placed.tip_m - frame.origin).dot(frame.axes.x))


def test_the_hook_hangs_behind_the_hinge_of_the_arm_that_is_off() -> None:
    """Arm 1 is 600 long and its hole 130 behind the pin of hinge 2; the boom's as far behind its end."""
    assert ORGANS.rig.hook.behind_hinge_m == 0.13
    assert back_m(ORGANS, OFF, "arm 1") == pytest.approx(0.47)
    out_m = figures(ORGANS, BARE).boom_out_m
    assert back_m(ORGANS, BARE, "boom") == pytest.approx(out_m - 0.13)
    # With both arms on, it hangs at the end of arm 2.
    assert back_m(ORGANS, ORGANS.poses[0], "arm 2") == pytest.approx(0.6)


def test_not_entered_nothing_says_that_it_holds() -> None:
    for pose, words in ((OFF, "arm 1 while arm 2"), (BARE, "the boom while arm 1")):
        verdict = evaluate(behind(None), pose)
        (problem,) = verdict.not_entered
        assert problem.where == "rig.hook.behind_hinge_m" and words in problem.numbers["part"]
        assert verdict.state in ("NOT PROVEN", "OVER")
    assert evaluate(behind(None), OFF).state == "NOT PROVEN"
    assert evaluate(ORGANS, OFF).state == "WITHIN"
    assert evaluate(behind(None), ORGANS.poses[0]).not_entered == ()
    # A rig without arms has its hook at the boom's end, and nothing is asked.
    sawmill = read_once(SAMPLES / "alder_fork_sawmill.rig.json")
    assert evaluate(sawmill, sawmill.poses[0]).not_entered == ()


def test_a_hole_that_stands_empty_weakens_the_links_that_carry_arms() -> None:
    """Straight ahead, on level ground, plain statics: moments by hand about the holes of boom and arm 1."""
    level = REPLACE(ORGANS.floors[0].fall_along, best=0.0, low=None, high=None)
    floor = REPLACE(ORGANS.floors[0], fall_along=level, fall_across=level)
    job = REPLACE(ORGANS, floors=(floor,), policy=REPLACE(ORGANS.policy, swing_rad=0.0, braking=0.0))
    assert job.policy.dynamic_factor == 1.0
    pose = job.poses[0]
    numbers = figures(job, pose)
    checks = {(check.part, check.kind): check for check in all_parts.checks(job, place(job, numbers))}
    hung = float(numbers.load_kg + numbers.rigging_kg + numbers.hook_kg)
    arm_1, arm_2 = (float(kg) for kg in numbers.arms_kg)
    # 130 of arm 1 outboard of its hole, all of arm 2 from there on.
    outer = hung * 0.73 + arm_2 * (0.13 + 0.3) + arm_1 * 0.13 / 0.6 * 0.065
    on_arm = checks["arm 1", "net section at the hook pin"]
    assert float(on_arm.numbers["up"]) == pytest.approx(outer * 9.80665, rel=1e-3)
    boom_kg, long_m = float(numbers.boom_kg), job.rig.boom.length_m
    inner = hung * 1.33 + arm_2 * (0.13 + 0.6 + 0.3) + arm_1 * (0.13 + 0.3) + boom_kg * 0.13 / long_m * 0.065
    on_boom = checks["boom", "net section at the hook pin"]
    assert float(on_boom.numbers["up"]) == pytest.approx(inner * 9.80665, rel=1e-3)
    bare = all_parts.checks(behind(None, job), place(job, numbers))
    assert [check.part for check in bare if check.kind == "net section at the hook pin"] == ["arm 2"]


def test_it_tears_out_towards_the_cut_end_of_its_tube() -> None:
    """Arm 1's tube ends 65 short of the pin of hinge 2: a hole 100 behind is 35 from that end, nearer than 45 down."""
    found = {}
    for behind_m in (0.1, 0.13, 0.3):
        job = behind(behind_m)
        checks = all_parts.checks(job, place(job, figures(job, OFF)))
        (check,) = (check for check in checks if check.kind == "tear-out of the walls")
        found[behind_m] = check
    assert float(found[0.1].numbers["edge"]) == pytest.approx(0.035)
    assert float(found[0.1].allowed) < float(found[0.13].allowed) == pytest.approx(float(found[0.3].allowed))


def refused(job: Job) -> list[str]:
    return [problem.where for problem in impossibilities(job, OFF)]


def test_a_place_past_either_end_of_its_tube_is_refused() -> None:
    """The boom ends 77 short of its pin (plate of 30, 47 off it); 1.5 holes of 20.5 are 30.75 more."""
    assert refused(behind(0.109)) == [] and refused(behind(0.107)) == ["rig.hook.behind_hinge_m"]
    # Arm 1 is 600 long.
    assert refused(behind(0.56)) == [] and refused(behind(0.58)) == ["rig.hook.behind_hinge_m"]


def test_a_hoop_needs_room_for_its_feet_and_cannot_sit_on_an_end_with_a_plate() -> None:
    hoop = Hoop(bar_m=0.02, bend_radius_m=0.04, leg_m=0.05, weld=Weld(leg_m=0.006, electrode="E70"))
    under = WeldedHoop(hoop=hoop, edge_m=0.1, plane="along")
    # 77 to the cut end and 50 to the hoop's outside.
    assert refused(behind(0.128, end=under)) == [] and refused(behind(0.126, end=under)) == ["rig.hook.behind_hinge_m"]
    assert "rig.hook.behind_hinge_m" in refused(behind(0.2, end=REPLACE(under, place="end")))
    pin = DropInPin(diameter_m=0.02, head_m=0.05, hole_m=0.0205, drop_m=0.05, edge_m=0.05)
    assert refused(behind(0.109, end=pin)) == [] and refused(behind(0.107, end=pin)) == ["rig.hook.behind_hinge_m"]


def test_the_allowed_load_with_the_arm_off_is_that_of_the_nearer_hook() -> None:
    """The same pose with the hook reckoned at the hinge allowed less; nothing else changed."""
    near, far = evaluate(ORGANS, OFF), evaluate(behind(None), OFF)
    assert near.allowed_load_kg is not None and far.allowed_load_kg is not None
    assert near.allowed_load_kg > far.allowed_load_kg
    assert math.isfinite(near.allowed_load_kg)
