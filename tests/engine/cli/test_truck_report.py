"""The truck as it is understood: provenance, bands, contradictions, trial lifts; command and exit status."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import msgspec
import pytest

from engine.base.formatting import System
from engine.cli import truck_report
from engine.cli.command_line import main
from engine.schema import rig_file
from engine.schema.model import Aboard, Job, TrialLift
from engine.schema.quantities import Estimate
from engine.shop import trial_lift

REPLACE = msgspec.structs.replace


def told(job: Job) -> dict[str, Any]:
    return json.loads(truck_report.as_json(job, truck_report.summary_of(job)))


def printed(job: Job, system: System = "metric") -> str:
    return truck_report.as_text(job, truck_report.summary_of(job), system)


def test_every_entry_says_how_it_is_known_and_how_far_off_it_may_be(sample: Job) -> None:
    for entry in told(sample)["entries"]:
        assert entry["low"] <= entry["best"] <= entry["high"]
        assert entry["known"] in truck_report.KNOWN_WORDS
    text = printed(sample)
    assert "typical of its class" in text and "Nothing in these entries contradicts the others." in text


def test_the_centre_is_where_the_axle_weights_put_it(boatyard: Job) -> None:
    answer = told(boatyard)
    assert answer["mass_kg"] == pytest.approx(3900.0)
    assert answer["cg_x_m"] == pytest.approx(-0.944)


def test_without_a_plate_it_says_how_to_get_one(boatyard: Job) -> None:
    job = REPLACE(boatyard, truck=REPLACE(boatyard.truck, plate=None))
    assert told(job)["plate"] is None
    assert "dealer" in printed(job, "us")


def test_what_is_aboard_is_said_to_be_left_out_or_counted(boatyard: Job) -> None:
    people = tuple(
        Aboard(name=name, mass_kg=Estimate(best=90.0, known="typical"), x_m=-0.7, z_m=1.2, counted=counted)
        for name, counted in (("driver", False), ("fuel bottle", True))
    )
    text = printed(REPLACE(boatyard, truck=REPLACE(boatyard.truck, aboard=people)))
    assert "driver is left out" in text and "fuel bottle is counted, and may be gone" in text


def test_trial_lifts_are_shown_with_what_they_say_and_what_is_on_offer(stone_yard: Job) -> None:
    blank = TrialLift(pose=stone_yard.poses[0], load_kg=300.0, rear_kg=1.0)
    read = trial_lift.compare(stone_yard, blank).predicted_kg - 120.0
    job = REPLACE(stone_yard, trial_lifts=(REPLACE(blank, rear_kg=read),))
    trial = told(job)["trial"]
    assert trial["centre_forward_m"] == pytest.approx(120.0 * 1.75 / 4900.0, rel=1e-3)
    assert trial["corrected"]["rear_axle_kg"] == pytest.approx(2820.0)
    assert "On offer, not applied" in printed(job)


def test_a_trial_lift_that_cannot_be_fitted_says_why(stone_yard: Job) -> None:
    floor = REPLACE(stone_yard.floors[0], fall_along=None)
    lift = TrialLift(pose=stone_yard.poses[0], load_kg=300.0, rear_kg=2000.0)
    job = REPLACE(stone_yard, floors=(floor,), trial_lifts=(lift,))
    assert "fall is known" in printed(job)


def test_the_command_prints_it_and_its_status_tells_of_contradictions(
    stone_yard: Job, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "yard.rig.json"
    rig_file.write(stone_yard, path)
    assert main(["truck", str(path)]) == 0
    assert "Mass" in capsys.readouterr().out
    truck = stone_yard.truck
    swapped = REPLACE(truck, front_axle_kg=truck.rear_axle_kg, rear_axle_kg=truck.front_axle_kg)
    rig_file.write(REPLACE(stone_yard, truck=swapped), path)
    assert main(["truck", str(path), "--json"]) == 1
    answer = json.loads(capsys.readouterr().out)
    assert any("wrong way round" in contradiction["words"] for contradiction in answer["contradictions"])
    assert main(["truck", str(tmp_path / "none.rig.json")]) == 2
