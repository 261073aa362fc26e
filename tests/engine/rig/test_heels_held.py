"""What holds the sleeves' heels: entered, not entered, or of a kind that no chain may be; old files brought over."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import msgspec
import pytest

from engine.schema.connections import HeelChain, HeelHold, HeelPin, NoHeelHold
from engine.schema.migration import migrated
from engine.schema.model import Job
from engine.shop.gear_list import gear_list
from engine.worst_case.verdict import Verdict, evaluate
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
REPLACE = msgspec.structs.replace
BOATYARD = read_once(SAMPLES / "skerry_point_boatyard.rig.json")
PIN = {"diameter_m": 0.016, "hole_m": 0.0165}


def held_by(hold: HeelHold | None) -> Job:
    return REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, sleeves=REPLACE(BOATYARD.rig.sleeves, heel_hold=hold)))


def judged(hold: HeelHold | None) -> Verdict:
    job = held_by(hold)
    return evaluate(job, job.poses[0])


def test_a_chain_too_flat_is_refused_and_one_at_thirty_degrees_is_within() -> None:
    flat = HeelChain(wll_kg=3000.0, count=2, angle_rad=math.radians(61.0))
    verdict = judged(flat)
    assert verdict.state == "REFUSED"
    assert [problem.where for problem in verdict.problems if problem.kind == "impossible"] == [
        "rig.sleeves.heel_hold.angle_rad"
    ]
    for degrees in (30.0, 60.0):
        assert judged(REPLACE(flat, angle_rad=math.radians(degrees))).state == "WITHIN"


def test_a_chain_without_mark_or_angle_is_not_proven() -> None:
    whole = HeelChain(wll_kg=3000.0, count=2, angle_rad=0.2)
    for entry in ("wll_kg", "angle_rad"):
        verdict = judged(REPLACE(whole, **{entry: None}))
        assert [problem.where for problem in verdict.not_entered] == [f"rig.sleeves.heel_hold.{entry}"]
        assert verdict.state == ("OVER" if entry == "wll_kg" else "NOT PROVEN")  # a chain of no mark holds nothing
    assert judged(whole).not_entered == ()


def test_heels_that_nothing_holds_are_over_where_they_lift_and_entered_as_that() -> None:
    entered, left_out = judged(NoHeelHold()), judged(None)
    assert (entered.state, entered.not_entered) == ("OVER", ())
    assert left_out.state == "OVER"
    assert [problem.where for problem in left_out.not_entered] == ["rig.sleeves.heel_hold"]


def test_a_heel_chain_stands_on_the_list_of_bought_gear() -> None:
    chain = HeelChain(wll_kg=1200.0, count=2, angle_rad=math.radians(30.0), to="fork_shank")
    row = gear_list(held_by(chain))[-1]
    assert (row.name, row.rated_kg) == ("heel chains, one each, to the fork shank", 1200.0)
    assert row.angle_rad == pytest.approx(math.radians(60.0))
    assert gear_list(BOATYARD)[-1].name.startswith("sling")


def brought_over(**heels: Any) -> tuple[object, tuple[str, ...]]:
    old = {"format_version": 1, "rig": {"sleeves": {"length_m": 1.0, **heels}}}
    job, notes = migrated(old)
    assert "heel_pin" not in job["rig"]["sleeves"] and "heel_chain_kg" not in job["rig"]["sleeves"]
    hold = job["rig"]["sleeves"]["heel_hold"]
    return None if hold is None else msgspec.convert(hold, HeelHold), notes


def test_old_files_keep_their_pin_or_chain_and_say_what_nobody_asked() -> None:
    pin, notes = brought_over(heel_pin=PIN, heel_chain_kg=None)
    assert isinstance(pin, HeelPin)
    assert (pin.below_m, pin.blade_contact, pin.pin.retention) == (None, "spread", None)
    chain, _ = brought_over(heel_pin=None, heel_chain_kg=800.0)
    assert chain == HeelChain(wll_kg=800.0, count=1, angle_rad=None)
    assert brought_over()[0] is None
    both, with_chain = brought_over(heel_pin=PIN, heel_chain_kg=800.0)
    assert both == pin and any("800 kg" in note for note in with_chain) and not any("800" in note for note in notes)
