"""A part of the load path that no check covers keeps a pose from being WITHIN, and is named."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest

from engine.cli import verdict_report
from engine.explain.why import why
from engine.rig.completeness import NOT_CHECKED
from engine.schema.connections import BoomStops, Gear
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
REPLACE = msgspec.structs.replace


@pytest.fixture
def stone_yard() -> Job:
    return read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")


HOOK = Gear(kind="hook", name="hook", wll_kg=1000.0)


def with_rig(job: Job, **parts: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, **parts))


def test_a_sound_rig_fully_entered_is_within(stone_yard: Job) -> None:
    verdict = evaluate(stone_yard, stone_yard.poses[0])
    assert (verdict.state, verdict.not_entered) == ("WITHIN", ())


def test_an_unrated_hook_is_not_proven_until_its_mark_is_entered(stone_yard: Job) -> None:
    bare = with_rig(stone_yard, hook=REPLACE(stone_yard.rig.hook, gear=()))
    verdict = evaluate(bare, bare.poses[0])
    assert verdict.state == "NOT PROVEN" and not verdict.proven
    assert [problem.where for problem in verdict.not_entered] == ["rig.hook.gear"]
    marked = with_rig(stone_yard, hook=REPLACE(stone_yard.rig.hook, gear=(HOOK,)))
    assert evaluate(marked, marked.poses[0]).state == "WITHIN"


def test_an_empty_hook_needs_no_mark(stone_yard: Job) -> None:
    bare = with_rig(stone_yard, hook=REPLACE(stone_yard.rig.hook, gear=()))
    empty = REPLACE(bare.poses[0], loaded=False)
    assert evaluate(bare, empty).not_entered == ()


def test_a_bed_and_a_heel_hold_that_are_not_entered_are_named(stone_yard: Job) -> None:
    saddles = REPLACE(stone_yard.rig.saddles, bed=None, mass_kg=None)
    sleeves = REPLACE(stone_yard.rig.sleeves, heel_hold=None)
    job = with_rig(stone_yard, saddles=saddles, sleeves=sleeves)
    named = [problem.where for problem in evaluate(job, job.poses[0]).not_entered]
    assert named == ["rig.saddles.bed", "rig.sleeves.heel_hold"]


def test_over_is_said_before_not_entered(stone_yard: Job) -> None:
    over = next(pose for pose in stone_yard.poses if evaluate(stone_yard, pose).state == "OVER")
    bare = with_rig(stone_yard, hook=REPLACE(stone_yard.rig.hook, gear=()))
    assert evaluate(bare, over).state == "OVER"


def unpinned(job: Job, loaded: bool) -> Pose:
    return REPLACE(job.poses[0], hole=None, free_out_m=0.8, loaded=loaded)


@pytest.mark.parametrize("slope", [0.0, 0.03, -0.03])
def test_nothing_may_hang_on_a_boom_without_its_pin_whatever_the_slope(stone_yard: Job, slope: float) -> None:
    floor = stone_yard.floors[0]
    floor = REPLACE(floor, fall_along=REPLACE(floor.fall_along, best=slope, low=None, high=None))
    job = REPLACE(stone_yard, floors=(floor, *stone_yard.floors[1:]))
    verdict = evaluate(job, unpinned(job, loaded=True))
    assert verdict.state == "OVER" and verdict.allowed_load_kg == 0.0
    check = next(check for check in verdict.checks if check.kind == "hung without its pin")
    assert float(check.demand) == job.load.mass_kg.best + job.load.rigging_kg.best


def test_a_pin_that_is_out_is_given_no_credit(stone_yard: Job) -> None:
    verdict = evaluate(stone_yard, unpinned(stone_yard, loaded=True))
    pin = next(check for check in verdict.checks if check.part == "boom pin")
    assert float(pin.demand) == 0.0


@pytest.mark.parametrize("stops", [None, "none", "front", "rear", "both"])
def test_an_empty_boom_without_its_pin_is_within_only_with_stops_at_both_ends(
    stone_yard: Job, stops: BoomStops | None
) -> None:
    job = with_rig(stone_yard, boom=REPLACE(stone_yard.rig.boom, stops=stops))
    verdict = evaluate(job, unpinned(job, loaded=False))
    named = [problem.where for problem in verdict.not_entered]
    assert (verdict.state, named) == (("WITHIN", []) if stops == "both" else ("NOT PROVEN", ["rig.boom.stops"]))
    if stops in ("front", "rear"):
        free = {
            "front": "rear end keeps it from running out forward",
            "rear": "front end keeps it from running out back",
        }
        assert free[stops] in str(verdict.not_entered[0].numbers["measure"])
    assert evaluate(job, job.poses[0]).state == "WITHIN", "pinned, nobody asks for stops"


def test_stops_do_not_hold_a_load_on_a_boom_without_its_pin(stone_yard: Job) -> None:
    job = with_rig(stone_yard, boom=REPLACE(stone_yard.rig.boom, stops="both"))
    verdict = evaluate(job, unpinned(job, loaded=True))
    assert verdict.state == "OVER" and verdict.allowed_load_kg == 0.0


def test_text_and_json_name_what_is_not_entered_and_list_what_is_not_checked(stone_yard: Job) -> None:
    bare = with_rig(stone_yard, hook=REPLACE(stone_yard.rig.hook, gear=()))
    pose = bare.poses[0]
    verdict = evaluate(bare, pose)
    answer = json.loads(verdict_report.as_json(bare, pose, verdict))
    assert answer["proven"] is False and answer["not_entered"] == ["rig.hook.gear"]
    assert answer["not_checked"] == list(NOT_CHECKED)
    text = verdict_report.as_text(bare, pose, verdict, "metric")
    assert "The bought gear on the hook is not entered, so nothing says that it holds" in text
    assert "of the parts entered" in text
    assert all(part in text for part in NOT_CHECKED)


def test_why_names_the_part_and_what_to_read(stone_yard: Job) -> None:
    bare = with_rig(stone_yard, hook=REPLACE(stone_yard.rig.hook, gear=()))
    reason = why(bare, bare.poses[0], evaluate(bare, bare.poses[0]))
    assert (
        "{part} is not entered" in reason.cause.words and reason.cause.numbers["part"] == "The bought gear on the hook"
    )
    assert reason.remedy is not None and "working load limit" in str(reason.remedy.numbers["measure0"])
