"""A connection drawn in with start values is nobody's reading: assumed where that is allowed, else not proven."""

from __future__ import annotations

import typing
from pathlib import Path

import msgspec
import pytest

from engine.rig.start_values import drawn_in
from engine.schema.connections import EndPlate, FaceLugs, ThroughPin, ThroughSleeve, WeldedHoop
from engine.schema.defaults import empty_value, joint_of_kind
from engine.schema.model import Job, Rig
from engine.schema.quantities import Estimate
from engine.shop import edits
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")


def of_rig(**parts: object) -> Job:
    return REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, **parts))


def with_hook_end(end: object) -> Job:
    return of_rig(hook=REPLACE(BOATYARD.rig.hook, end=end))


def test_a_sample_has_no_start_values() -> None:
    assert drawn_in(BOATYARD) == ()


@pytest.mark.parametrize("kind", [ThroughPin, WeldedHoop])
def test_a_hook_end_just_drawn_in_is_not_proven_until_it_is_measured(kind: type) -> None:
    drawn = joint_of_kind(kind, None)
    if kind is ThroughPin:
        drawn = REPLACE(drawn, pin=BOATYARD.rig.hook.end.pin, edge_m=0.05, gap_m=0.01)
    else:
        drawn = REPLACE(drawn, plane="along")
    start = evaluate(with_hook_end(drawn), BOATYARD.poses[0])
    assert start.state != "WITHIN" and "rig.hook.end" in [each.where for each in start.not_entered]
    measured = evaluate(with_hook_end(REPLACE(drawn, origin="entered")), BOATYARD.poses[0])
    assert "rig.hook.end" not in [each.where for each in measured.not_entered]
    if kind is ThroughPin:
        assert (start.state, measured.state) == ("NOT PROVEN", "WITHIN")


def test_a_hinge_at_its_start_values_counts_only_where_its_arm_is_fitted() -> None:
    arm = BOATYARD.rig.arms[1]
    hinge = REPLACE(arm.hinge, outer_end=REPLACE(arm.hinge.outer_end, origin="typical"))
    job = of_rig(arms=(BOATYARD.rig.arms[0], REPLACE(arm, hinge=hinge)))
    where = "rig.arms[1].hinge.outer_end"
    pose = BOATYARD.poses[0]
    assert [each.where for each in evaluate(job, pose).not_entered] == [where]
    off = REPLACE(pose, arms=(pose.arms[0], REPLACE(pose.arms[1], fitted=False)))
    assert where not in [each.where for each in evaluate(job, off).not_entered]


def test_the_cross_members_weld_may_be_assumed_as_thick_as_the_thinner_wall_and_is_flagged() -> None:
    sleeves = REPLACE(
        BOATYARD.rig.sleeves, cross_section=REPLACE(BOATYARD.rig.sleeves.cross_section, wall_m=0.0075), cross_weld=None
    )
    path = "rig.sleeves.cross_weld"
    weld = edits.drawn_in(of_rig(sleeves=sleeves), path, empty_value(path, None))
    assert weld.leg_m == 0.0075 and weld.origin == "typical"
    kept = REPLACE(BOATYARD.rig.sleeves.cross_weld, origin="typical")
    verdict = evaluate(of_rig(sleeves=REPLACE(BOATYARD.rig.sleeves, cross_weld=kept)), BOATYARD.poses[0])
    assert verdict.state == "WITHIN" and path in [each.where for each in verdict.cautions]


def test_the_weld_of_a_new_arm_is_nobodys_reading() -> None:
    job = edits.add_arm(BOATYARD)
    assert "rig.arms[2].hinge.weld" in [start.where for start in drawn_in(job)]


def test_rigging_drawn_in_is_asked_for_a_loaded_hook_only() -> None:
    job = REPLACE(BOATYARD, load=REPLACE(BOATYARD.load, rigging=empty_value("load.rigging", None)))
    loaded, empty = BOATYARD.poses[0], BOATYARD.poses[-1]
    assert loaded.loaded and not empty.loaded
    assert "load.rigging" in [each.where for each in evaluate(job, loaded).not_entered]
    assert "load.rigging" not in [each.where for each in evaluate(job, empty).not_entered]


@pytest.mark.parametrize("kind", [ThroughSleeve, EndPlate, FaceLugs])
def test_another_kind_chosen_keeps_what_has_the_same_name_but_is_not_measured(kind: type) -> None:
    before = BOATYARD.rig.arms[0].hinge.inner_end
    assert joint_of_kind(kind, before).origin == "typical"


def optional_parts(kind: type, seen: set[type]) -> set[str]:
    """Names of all entries, at any depth, that are a part or None, and no joint of several kinds."""
    names: set[str] = set()
    if kind in seen:
        return names
    seen.add(kind)
    for name, hint in typing.get_type_hints(kind).items():
        options = typing.get_args(hint) if typing.get_args(hint) else (hint,)
        parts = [each for each in options if isinstance(each, type) and issubclass(each, msgspec.Struct)]
        tagged = any(each.__struct_config__.tag_field == "kind" for each in parts)
        if type(None) in options and parts and not tagged and Estimate not in parts:
            names.add(name)
        for each in (*parts, *(inner for option in options for inner in typing.get_args(option))):
            if isinstance(each, type) and issubclass(each, msgspec.Struct):
                names |= optional_parts(each, seen)
    return names


def test_every_part_that_may_be_missing_can_be_drawn_in() -> None:
    names = optional_parts(Rig, set()) - {"version1"}
    assert {"cross_weld", "weld_below", "end_lug"} <= names
    for name in sorted(names):
        assert empty_value(f"rig.{name}", None) is not None, name
