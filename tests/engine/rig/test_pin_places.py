"""A pin on the load path that nothing keeps in its hole is never proven; the same rig with it kept in is WITHIN."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
import pytest

from engine.rig.pin_places import RETENTION_WORDS, pin_places, pins_in_use
from engine.schema.connections import Pin, Retention, StayLink, StayLug, StayPoint
from engine.schema.model import Job, Pose
from engine.strength.cautions import cautions
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
REPLACE = msgspec.structs.replace
BOATYARD = read_once(SAMPLES / "skerry_point_boatyard.rig.json")
STONE_YARD = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")

PATHS = (
    "rig.boom.pin",
    "rig.arms[0].hinge.pin",
    "rig.arms[1].hinge.pin",
    "rig.hook.end.pin",
    "rig.sleeves.heel_hold.pin",
)
"""Every pin of the boatyard's rig, as its file has them."""


def kept(job: Job, path: str, retention: Retention | None) -> Job:
    """The job with another retention at one pin, through its plain values as a file would have it."""
    values: Any = msgspec.to_builtins(job)
    at = values
    for step in path.split("."):
        name, _, index = step.partition("[")
        at = at[name] if not index else at[name][int(index.removesuffix("]"))]
    at["retention"] = retention
    return msgspec.convert(values, Job)


def cautioned(job: Job, where: str) -> bool:
    return any(problem.where == where for problem in cautions(job, job.poses[0]))


@pytest.mark.parametrize("path", PATHS)
def test_a_pin_that_nothing_keeps_in_is_not_proven_and_with_something_it_is_within(path: str) -> None:
    for nothing in (None, "none"):
        verdict = evaluate(job := kept(BOATYARD, path, nothing), job.poses[0])
        assert verdict.state == "NOT PROVEN"
        assert [problem.where for problem in verdict.not_entered] == [f"{path}.retention"]
    repaired = kept(BOATYARD, path, "split_pin")
    assert evaluate(repaired, repaired.poses[0]).state == "WITHIN"


def test_a_head_alone_keeps_a_standing_pin_in_with_a_caution_but_no_pin_that_lies() -> None:
    for path, stands in zip(PATHS, (False, True, True, False, False), strict=True):
        job = kept(BOATYARD, path, "head_only")
        assert evaluate(job, job.poses[0]).state == ("WITHIN" if stands else "NOT PROVEN"), path
        assert cautioned(job, f"{path}.retention") == stands
    hung = kept(STONE_YARD, "rig.hook.end", "head_only")
    assert evaluate(hung, hung.poses[0]).state == "WITHIN" and cautioned(hung, "rig.hook.end.retention")


def test_an_r_clip_alone_is_cautioned_at_the_heels_only() -> None:
    for path in PATHS:
        assert cautioned(kept(BOATYARD, path, "r_clip"), f"{path}.retention") == ("heel" in path)
        assert not cautioned(kept(BOATYARD, path, "lynch"), f"{path}.retention")


def in_use(job: Job, pose: Pose) -> set[str]:
    return {place.path for place in pins_in_use(job.rig, pose)}


def test_only_pins_that_the_pose_relies_on_are_asked_for() -> None:
    pose = BOATYARD.poses[0]
    assert in_use(BOATYARD, pose) == set(PATHS)
    off = REPLACE(pose, arms=(pose.arms[0], REPLACE(pose.arms[1], fitted=False)))
    assert in_use(BOATYARD, off) == set(PATHS) - {"rig.arms[1].hinge.pin"}
    assert in_use(BOATYARD, REPLACE(pose, hole=None, free_out_m=0.8)) == set(PATHS) - {"rig.boom.pin"}
    assert in_use(STONE_YARD, STONE_YARD.poses[0]) == {"rig.boom.pin", "rig.hook.end", "rig.sleeves.heel_hold.pin"}


def test_a_level_hinge_has_a_pin_that_lies_and_its_stay_two_more() -> None:
    lug = StayLug(thickness_m=0.015, on_face_m=0.12, edge_m=0.035, pin=Pin(diameter_m=0.02, hole_m=0.0205))
    at = StayPoint(x_m=-0.4, z_m=0.15)
    stay = StayLink(at_inner=at, at_arm=at, make="strut", length_min_m=0.6, length_max_m=1.0, end_lug=lug)
    arm = REPLACE(BOATYARD.rig.arms[0], axis="level", stay=stay)
    rig = REPLACE(BOATYARD.rig, arms=(arm, BOATYARD.rig.arms[1]))
    stands = {place.path: (place.stands, place.count) for place in pin_places(rig)}
    assert stands["rig.arms[0].hinge.pin"] == (False, 1)
    assert stands["rig.arms[1].hinge.pin"] == (True, 1)
    assert stands["rig.arms[0].stay.end_lug.pin"] == (False, 2)


def test_every_way_to_keep_a_pin_in_has_words_for_the_papers() -> None:
    assert set(RETENTION_WORDS) == {None, *msgspec.inspect.type_info(Retention).values}
