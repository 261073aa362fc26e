"""The JSON contract, and its numbers worked out again from its own bodies by plain Python."""

from __future__ import annotations

import json
import math
from typing import Any

import msgspec
import pytest
from any_pose import jobs
from hypothesis import given, settings

from engine.base.caution import CAUTION, NOT_APPROVED, SIGNAL_WORD
from engine.cli import verdict_report
from engine.schema.model import Approval, Job
from engine.worst_case.verdict import evaluate
from tests.thoroughness import times

REPLACE = msgspec.structs.replace
GRAVITY = 9.80665

KEYS = {
    *("state", "governing", "allowed_load_kg", "bodies", "hook_m", "combined", "gravity", "tip_lines"),
    *("rear_weight_left_kg", "light_front_wheel_kg", "tipping_load_kg", "checks"),
}
"""Keys every answer has, whatever its state."""

Triple = tuple[float, float, float]


def told(job: Job) -> dict[str, Any]:
    return json.loads(verdict_report.as_json(job, job.poses[0], evaluate(job, job.poses[0])))


def cross(a: Triple, b: Triple) -> Triple:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def dot(a: Triple, b: Triple) -> float:
    return sum(x * y for x, y in zip(a, b, strict=True))


def minus(a: Triple, b: Triple) -> Triple:
    return tuple(x - y for x, y in zip(a, b, strict=True))


class Again:
    """The contract's figures from its bodies, gravity and tip lines alone."""

    def __init__(self, answer: dict[str, Any]) -> None:
        self.answer = answer
        self.gravity: Triple = tuple(answer["gravity"])

    def moment(self, line: dict[str, Any], groups: set[str]) -> float:
        a = tuple(line["a_m"])
        along = minus(tuple(line["b_m"]), a)
        unit = tuple(part / math.sqrt(dot(along, along)) for part in along)
        return sum(
            dot(
                unit,
                cross(
                    minus((b["x_m"], b["y_m"], b["z_m"]), a), tuple(GRAVITY * b["mass_kg"] * g for g in self.gravity)
                ),
            )
            for b in self.answer["bodies"]
            if b["group"] in groups and b["name"] not in line["left_out"]
        )

    def restoring(self, line: dict[str, Any]) -> float:
        return self.moment(line, {"truck"})

    def load(self, line: dict[str, Any]) -> float:
        return -self.moment(line, {"rig", "rigging", "load"})

    def tipping_load_kg(self) -> float:
        least_kg = math.inf
        for line in self.answer["tip_lines"]:
            left = self.moment(line, {"truck", "rig", "rigging"})
            a = tuple(line["a_m"])
            along = minus(tuple(line["b_m"]), a)
            unit = tuple(part / math.sqrt(dot(along, along)) for part in along)
            per_kg = -dot(unit, cross(minus(tuple(self.answer["hook_m"]), a), tuple(GRAVITY * g for g in self.gravity)))
            least_kg = min(least_kg, left / per_kg if per_kg > 0.0 else math.inf if left >= 0.0 else -math.inf)
        return max(least_kg, 0.0)

    def rear_kg(self) -> float:
        lines = {line["name"]: line for line in self.answer["tip_lines"]}
        wheelbase = -lines["rear"]["a_m"][0]
        return self.moment(lines["front"], {"truck", "rig", "rigging", "load"}) / (GRAVITY * wheelbase)


@settings(max_examples=times(4, 15))
@given(jobs(most_fall=0.1))
def test_every_figure_of_the_contract_comes_back_from_its_bodies(job: Job) -> None:
    answer = told(job)
    if answer["combined"] is None:
        return
    again = Again(answer)
    for line in answer["tip_lines"]:
        restoring, load = again.restoring(line), again.load(line)
        assert line["restoring_Nm"] == pytest.approx(restoring, rel=1e-9, abs=1e-6)
        assert line["load_Nm"] == pytest.approx(load, rel=1e-9, abs=1e-4)
        if restoring > 0.0:
            assert line["use"] == pytest.approx(max(load / restoring, 0.0), rel=1e-8, abs=1e-9)
    assert answer["rear_weight_left_kg"] == pytest.approx(again.rear_kg(), rel=1e-9, abs=1e-6)
    tipping = again.tipping_load_kg()
    assert (answer["tipping_load_kg"] is None) == math.isinf(tipping)
    if math.isfinite(tipping):
        assert answer["tipping_load_kg"] == pytest.approx(tipping, rel=1e-8, abs=1e-6)
    masses = [body["mass_kg"] for body in answer["bodies"]]
    assert answer["combined"]["mass_kg"] == pytest.approx(sum(masses))
    for axis in ("x_m", "y_m", "z_m"):
        centre = sum(body["mass_kg"] * body[axis] for body in answer["bodies"]) / sum(masses)
        assert answer["combined"][axis] == pytest.approx(centre, abs=1e-9)
    assert dot(again.gravity, again.gravity) == pytest.approx(1.0)


@settings(max_examples=times(4, 10))
@given(jobs(most_fall=0.0))
def test_on_a_level_floor_the_light_front_wheel_comes_back_from_moments_about_the_centreline(job: Job) -> None:
    answer = told(job)
    if answer["combined"] is None:
        return
    front = next(line for line in answer["tip_lines"] if line["name"] == "front")
    half = front["a_m"][1]
    whole = sum(body["mass_kg"] for body in answer["bodies"])
    aside = sum(body["mass_kg"] * body["y_m"] for body in answer["bodies"]) / (2.0 * half)
    on_front = whole - Again(answer).rear_kg()
    assert answer["light_front_wheel_kg"] == pytest.approx(on_front / 2.0 - abs(aside), rel=1e-9, abs=1e-6)


def test_every_answer_has_every_key_and_a_verdict_fills_them(sample: Job) -> None:
    answer = told(sample)
    assert set(answer) >= KEYS
    assert all(answer[key] is not None for key in KEYS)
    assert answer["state"] in {"WITHIN", "NOT PROVEN", "OVER"}
    assert {body["group"] for body in answer["bodies"]} == {"truck", "rig", "rigging", "load"}
    assert {line["name"] for line in answer["tip_lines"]} == {"front", "left side", "right side", "rear"}
    for body in answer["bodies"]:
        assert set(body) == {"name", "group", "mass_kg", "x_m", "y_m", "z_m"}
    for line in answer["tip_lines"]:
        assert {"name", "a_m", "b_m", "restoring_Nm", "load_Nm", "use", "left_out"} <= set(line)
    for check in answer["checks"]:
        assert {"part", "place", "demand", "allowed", "unit", "use", "words", "source"} <= set(check)
        assert check["words"] and check["source"] and "{" not in check["words"]


def refusals(job: Job) -> dict[str, Job]:
    floor = job.floors[0]
    return {
        "no plate": REPLACE(job, truck=REPLACE(job.truck, plate=None)),
        "fall along not known": REPLACE(job, floors=(REPLACE(floor, fall_along=None), *job.floors[1:])),
        "fall across not known": REPLACE(job, floors=(REPLACE(floor, fall_across=None), *job.floors[1:])),
        "forks too high": REPLACE(job, poses=(REPLACE(job.poses[0], lift_m=20.0),), moves=()),
        "boom out of its saddles": REPLACE(job, poses=(REPLACE(job.poses[0], hole=None, free_out_m=5.0),), moves=()),
    }


@pytest.mark.parametrize(
    "why", ["no plate", "fall along not known", "fall across not known", "forks too high", "boom out of its saddles"]
)
def test_a_refusal_has_every_key_and_null_for_every_verdict(boatyard: Job, why: str) -> None:
    answer = told(refusals(boatyard)[why])
    assert set(answer) >= KEYS
    assert answer["state"] == "REFUSED"
    assert answer["allowed_load_kg"] is None
    assert answer["governing"] is None
    assert answer["checks"] == []
    assert answer["problems"]
    for problem in answer["problems"]:
        assert problem["where"] and problem["words"].endswith(".") and "{" not in problem["words"]
    if why.startswith("fall"):
        for key in ("gravity", "combined", "rear_weight_left_kg", "light_front_wheel_kg", "tipping_load_kg"):
            assert answer[key] is None, key
        assert answer["tip_lines"] == []


def test_no_number_that_is_not_finite_ever_leaves(sample: Job) -> None:
    def refuse(text: str) -> None:
        raise AssertionError(text)

    text = verdict_report.as_json(sample, sample.poses[0], evaluate(sample, sample.poses[0]))
    json.loads(text, parse_constant=refuse)
    assert text.isascii()


def test_the_caution_and_the_missing_approval_stand_on_every_text(sample: Job) -> None:
    sample = REPLACE(sample, approval=None)
    for job in (sample, *refusals(sample).values()):
        verdict = evaluate(job, job.poses[0])
        for system in ("metric", "us"):
            text = verdict_report.as_text(job, job.poses[0], verdict, system)
            assert text.startswith(f"{SIGNAL_WORD}: {CAUTION}")
            assert NOT_APPROVED in text
        assert json.loads(verdict_report.as_json(job, job.poses[0], verdict))["caution"] == CAUTION


def test_an_entered_approval_is_named_instead(boatyard: Job) -> None:
    approval = Approval(reference="AB-12", date="2026-01-05", allowed_kg=300.0, lift_max_m=2.0)
    job = REPLACE(boatyard, approval=approval)
    assert NOT_APPROVED not in verdict_report.as_text(job, job.poses[0], evaluate(job, job.poses[0]), "metric")


def test_an_allowed_load_in_the_text_is_rounded_down(boatyard: Job) -> None:
    verdict = evaluate(boatyard, boatyard.poses[0])
    text = verdict_report.as_text(boatyard, boatyard.poses[0], verdict, "metric")
    assert (
        f"{math.floor(verdict.allowed_load_kg)}\u202fkg" in text or f"{math.floor(verdict.allowed_load_kg)} kg" in text
    )


def test_left_out_names_bodies_that_are_there(sample: Job) -> None:
    answer = told(sample)
    names = {body["name"] for body in answer["bodies"]}
    for line in answer["tip_lines"]:
        assert set(line["left_out"]) <= names


def test_what_hangs_is_said_as_load_rigging_and_hook_load(boatyard: Job) -> None:
    """185 kg of load and 12 kg of rigging, as the file has them."""
    for pose in boatyard.poses:
        text = verdict_report.as_text(boatyard, pose, evaluate(boatyard, pose), "metric")
        assert ("load 185 kg + rigging 12 kg = hook load 197 kg" in text) == pose.loaded
        assert ("On the hook: hook empty" in text) == (not pose.loaded)


def test_settled_keys_are_what_the_text_shows(boatyard: Job) -> None:
    """As drawn and settled differ by the rig's bending; the text has the settled ones under their own words."""
    pose = boatyard.poses[0]
    verdict = evaluate(boatyard, pose)
    data, text = told(boatyard), verdict_report.as_text(boatyard, pose, verdict, "metric")
    assert data["tipping_load_settled_kg"] < data["tipping_load_kg"]
    shown = f"{math.floor(data['tipping_load_settled_kg'])} kg"
    assert f"tipping load {shown}".replace(" ", "") in text.replace("\u202f", "").replace(" ", "")
    assert data["hook_settled_m"][2] < data["hook_m"][2]
    assert data["taken_as_typical"] == []
