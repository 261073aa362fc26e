"""Planning from the command line: text, JSON, CSV, exit status, progress on the error stream."""

from __future__ import annotations

import json
import math
from pathlib import Path

import msgspec
import pytest

from engine.cli.command_line import main
from engine.planning.sweep import judge
from engine.schema import rig_file
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
VINEYARD = str(SAMPLES / "cold_spring_vineyard.rig.json")
STONE_YARD = str(SAMPLES / "tarn_hollow_stone_yard.rig.json")


def no_plate(tmp_path: Path) -> str:
    job = read_once(STONE_YARD)
    path = tmp_path / "bare.rig.json"
    rig_file.write(msgspec.structs.replace(job, truck=msgspec.structs.replace(job.truck, plate=None)), path)
    return str(path)


def test_chart_text_has_caution_units_and_legend(capsys):
    assert main(["chart", STONE_YARD]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("WARNING: Planning help only.")
    assert "NOT APPROVED" in out
    assert "Governed by:" in out
    assert " kg " in out
    assert "chart: 100 %" in err


def test_chart_json_rounds_down_to_what_a_verdict_allows(capsys):
    assert main(["chart", STONE_YARD, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    job = read_once(STONE_YARD)
    hole, height = 3, 2
    pose = msgspec.structs.replace(job.poses[0], hole=answer["holes"][hole], lift_m=answer["lift_m"][0][hole][height])
    judged = judge(job, pose)
    assert answer["allowed_load_kg"][0][hole][height] == math.floor(judged.allowed_kg)
    assert answer["governing"][0][hole][height] == judged.governing


def test_chart_csv_comes_in_us_units_when_asked(capsys):
    assert main(["chart", STONE_YARD, "--csv", "--units", "us"]) == 0
    out = capsys.readouterr().out
    assert "Planning help only" in out
    assert " lb" in out


def test_reach_prints_a_map_in_marks_and_words(capsys):
    assert main(["reach", STONE_YARD, "--view", "plan", "--cell", "0.2"]) == 0
    out, err = capsys.readouterr()
    assert "# allowed in some pose of the rig" in out
    assert "places reached are allowed" in out
    assert "reach: 100 %" in err


def test_reach_json_is_a_grid(capsys):
    main(["reach", STONE_YARD, "--json", "--cell", "0.2"])
    answer = json.loads(capsys.readouterr().out)
    assert len(answer["use"]) == len(answer["z_m"])
    assert all(len(row) == len(answer["x_m"]) for row in answer["use"])
    assert answer["view"] == "side"


def test_move_of_the_file_is_over_between_its_ends(capsys):
    assert main(["move", VINEYARD]) == 1
    out = capsys.readouterr().out
    assert "OVER: Over a limit" in out
    assert "helper at the controls" in out
    assert "proven nowhere over" in out


def test_move_json_over_named_poses(capsys):
    assert (
        main(
            [
                "move",
                VINEYARD,
                "--json",
                "--controls",
                "driver",
                "--poses",
                "over the floor stand, left",
                "straight ahead",
            ]
        )
        == 1
    )
    answer = json.loads(capsys.readouterr().out)
    (step,) = answer["steps"]
    assert step["kind"] == "arm"
    assert step["bound_use"] >= step["peak_use"] > 1.0
    assert len(step["at"]) == len(step["use"]) == len(step["rear_weight_left_kg"])


@pytest.mark.parametrize("command", [["chart"], ["reach"], ["move", "--poses", "over the bed", "hook empty, low"]])
def test_without_a_plate_there_is_no_plan(tmp_path, capsys, command):
    assert main([command[0], no_plate(tmp_path), *command[1:]]) == 1
    assert "no plate" in capsys.readouterr().out


def test_mend_says_what_to_change_or_that_no_part_cures_it(capsys):
    boatyard, sawmill = (str(SAMPLES / f"{name}.rig.json") for name in ("skerry_point_boatyard", "alder_fork_sawmill"))
    assert main(["mend", sawmill]) == 1
    out = capsys.readouterr().out
    assert out.startswith("WARNING: Planning help only.") and "no part of the rig cures that" in out
    assert main(["mend", boatyard, "--pose", "one hole further out", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    cure = answer["cures"][0]
    assert cure["allowed_load_kg"] > cure["allowed_before_kg"] and cure["governing_use"] <= 1.0
    assert [step["path"].split(".")[1] for step in cure["steps"]] == ["boom"]


def test_mend_takes_a_load_and_a_hole_of_its_own(capsys):
    """The stone yard's boom of unknown steel holds 498 kg in hole 9 (asked of `check`), so 600 kg takes known steel."""
    assert main(["mend", STONE_YARD, "--load", "600", "--hole", "9", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["load_kg"], answer["hole"], answer["every_hole"], answer["move"]) == (600.0, 9, False, None)
    cure = answer["cures"][0]
    assert [step["path"] for step in cure["steps"]] == ["rig.boom.steel"] and cure["allowed_load_kg"] >= 600.0
    assert main(["mend", STONE_YARD, "--load", "1323 lb", "--hole", "9", "--units", "us"]) == 0  # 600.1 kg
    out = capsys.readouterr().out
    assert "in pin hole 9 with 1\u202f323 lb within the limits" in out and "Boom, steel: unknown to" in out
    assert main(["mend", STONE_YARD, "--hole", "99"]) == 2
    assert main(["mend", STONE_YARD, "--load", "heavy"]) == 2
    said = capsys.readouterr().err
    assert "expected a pin hole from 2 to 11, got 99" in said and "--load" in said


def test_farthest_says_how_far_out_a_load_may_hang_and_what_ends_it(capsys):
    assert main(["farthest", STONE_YARD, "--load", "460", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    (spot,) = answer["found"]
    assert spot["allowed_load_kg"] >= 460.0 and answer["beyond"]["reach_m"] > spot["reach_m"]
    assert answer["beyond"]["allowed_load_kg"] < 460.0
    assert main(["farthest", STONE_YARD, "--load", "800 kg"]) == 1
    out = capsys.readouterr().out
    assert "allowed nowhere at this hook height" in out and "Most is allowed with" in out
    assert main(["farthest", STONE_YARD, "--load", "5 t"]) == 1
    assert "REFUSED" in capsys.readouterr().out


def test_names_that_are_not_there_are_told(capsys):
    assert main(["mend", STONE_YARD, "--move", "nowhere"]) == 2
    assert main(["move", STONE_YARD]) == 2
    assert main(["move", VINEYARD, "--move", "nowhere"]) == 2
    assert main(["chart", STONE_YARD, "--pose", "nowhere"]) == 2
    assert main(["reach", STONE_YARD, "--cell", "0"]) == 2
    assert "nowhere" in capsys.readouterr().err


def test_other_says_what_fits_and_puts_every_pose_on_both_trucks(tmp_path, capsys):
    boatyard, made = str(SAMPLES / "skerry_point_boatyard.rig.json"), tmp_path / "made.rig.json"
    assert main(["other", boatyard, "--truck", STONE_YARD, "--out", str(made)]) == 1  # one pose is over on both
    out = capsys.readouterr().out
    assert "This truck's maker has not approved it" in out and "‘over the transom’: on this truck WITHIN, " in out
    assert [row for row in out.splitlines() if "DOES NOT FIT" in row and "boom home, hook empty" not in row] == []
    assert json.loads(made.read_text(encoding="utf-8"))["truck"]["name"] == "Typical 3.5 t diesel truck"
    assert main(["other", boatyard, "--truck", "2.5 t", "--json"]) == 1  # a class has no plate
    answer = json.loads(capsys.readouterr().out)
    assert {pose["other_truck"]["state"] for pose in answer["poses"]} == {"REFUSED"}
    assert [line["fits"] for line in answer["fits"] if line["what"] == "truck's plate"] == ["asks"]
    assert [pose["difference"]["allowed_kg"] for pose in answer["poses"]] == [None] * len(answer["poses"])
    assert main(["other", boatyard, "--truck", STONE_YARD, "--json"]) == 1
    first = json.loads(capsys.readouterr().out)["poses"][0]
    this, other = first["this_truck"], first["other_truck"]
    assert first["difference"]["rear_kg"] == pytest.approx(other["rear_kg"] - this["rear_kg"])
    assert first["difference"]["rear_kg"] > 0.0 and not first["forks_stop"]  # the heavier truck
    assert first["keeps"] == "hook_height" and first["difference"]["hook_height_m"] == pytest.approx(0.0, abs=1e-4)
    assert main(["other", boatyard, "--truck", "none such"]) == 2


def test_other_keeps_the_fork_heights_where_that_is_asked(tmp_path, capsys):
    boatyard, made = str(SAMPLES / "skerry_point_boatyard.rig.json"), tmp_path / "made.rig.json"
    main(["other", boatyard, "--truck", STONE_YARD, "--keep", "fork-height", "--out", str(made), "--json"])
    poses = json.loads(capsys.readouterr().out)["poses"]
    assert {pose["keeps"] for pose in poses} == {"fork_height"}
    assert [pose["difference"]["lift_m"] for pose in poses] == [0.0] * len(poses)
    before, after = (json.loads(Path(path).read_text(encoding="utf-8"))["poses"] for path in (boatyard, made))
    assert [pose["lift_m"] for pose in before] == [pose["lift_m"] for pose in after]


def test_other_gives_the_load_charts_of_both_trucks(capsys):
    boatyard = str(SAMPLES / "skerry_point_boatyard.rig.json")
    main(["other", boatyard, "--truck", STONE_YARD, "--chart", "over the transom", "--json"])
    charts = json.loads(capsys.readouterr().out)["charts"]
    assert charts["pose"] == "over the transom" and charts["this_truck_problems"] == []
    both = [row for row in charts["holes"] if row["this_truck"] and row["other_truck"]]
    assert both and all(row["this_truck"]["reach_m"] > 0.0 for row in both)
    main(["other", boatyard, "--truck", STONE_YARD, "--chart", "over the transom"])
    assert "pin hole | this truck: reach from front axle" in capsys.readouterr().out
    assert main(["other", boatyard, "--truck", STONE_YARD, "--chart", "nowhere"]) == 2
