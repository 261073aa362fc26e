"""Loads of many poses at once say so where part of the load path is left out, or an entry is in question."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import msgspec
import pytest

from engine.cli import load_chart_report, reach_report
from engine.cli.command_line import main
from engine.explain.load_chart_csv import COLUMNS, load_chart_csv
from engine.explain.placard import placard_of
from engine.planning.load_chart import Chart, load_chart
from engine.planning.reach import reach_map
from engine.schema import rig_file
from engine.schema.model import Job
from engine.schema.quantities import Estimate

CELL_M = 0.20

REPLACE = msgspec.structs.replace
SOUND = rig_file.read(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")


def without_an_end_of_arm_2(job: Job) -> Job:
    """The end of arm 2 that carries its barrels, taken out: nothing entered holds arm 2 on its hinge."""
    arms = job.rig.arms
    arm_2 = REPLACE(arms[1], hinge=REPLACE(arms[1].hinge, inner_end=None))
    return REPLACE(job, rig=REPLACE(job.rig, arms=(arms[0], arm_2)))


def with_a_mast_too_light(job: Job) -> Job:
    """The jib mast at 22 kg: 120 x 120 x 6.3 of 1.42 m is 32 kg of steel."""
    mast = REPLACE(job.rig.jib_mast, mass_kg=Estimate(best=22.0, known="weighed"))
    return REPLACE(job, rig=REPLACE(job.rig, jib_mast=mast))


@pytest.fixture(scope="module")
def sound() -> Chart:
    return load_chart(SOUND, SOUND.poses[0])


@pytest.fixture(scope="module")
def armless() -> tuple[Job, Chart]:
    job = without_an_end_of_arm_2(SOUND)
    return job, load_chart(job, job.poses[0])


def test_only_arm_poses_with_the_part_are_unproven(sound: Chart, armless: tuple[Job, Chart]) -> None:
    _, chart = armless
    for arm_set, before, after in zip(chart.arm_sets, sound.unsettled, chart.unsettled, strict=True):
        added = [problem.where for problem in after if problem not in before]
        assert added == (["rig.arms[1].hinge.inner_end"] if arm_set.arms[1].fitted else [])


def test_an_entry_in_question_leaves_every_load_unproven() -> None:
    job = with_a_mast_too_light(SOUND)
    chart = load_chart(job, job.poses[0])
    assert not chart.proven.any()
    loads = placard_of(job, chart)
    assert all(cell.allowed_kg is None for row in loads.cells for cell in row)
    assert any("22" in str(problem.numbers) for problem in loads.unsettled)


def test_the_placard_gives_no_load_that_is_not_proven(sound: Chart, armless: tuple[Job, Chart]) -> None:
    job, chart = armless
    before, after = placard_of(SOUND, sound), placard_of(job, chart)
    assert before.proven[0] and any(row[0].allowed_kg is not None for row in before.cells)
    for at, arm_set in enumerate(chart.arm_sets):
        if arm_set.arms[1].fitted:
            assert not after.proven[at]
            assert all(row[at].allowed_kg is None for row in after.cells)


def test_the_chart_says_so_as_text_json_and_csv(armless: tuple[Job, Chart]) -> None:
    job, chart = armless
    text = load_chart_report.as_text(job, chart, "metric")
    assert "NOT PROVEN: these loads count only the parts entered" in text
    assert "arms straight: NOT PROVEN" in text
    values = json.loads(load_chart_report.as_json(job, chart))
    assert values["proven"][0] is False
    assert "rig.arms[1].hinge.inner_end" in [problem["where"] for problem in values["unsettled"]]
    rows = list(csv.reader(io.StringIO(load_chart_csv(job, chart, "metric"))))
    table = rows[rows.index(list(COLUMNS)) + 1 :]
    assert {row[0]: row[-1] for row in table if row[-1]}["arms straight"] == "NO"


def test_no_cell_of_the_reach_map_is_allowed_unless_proven() -> None:
    sound = reach_map(SOUND, SOUND.poses[0], "plan", CELL_M)
    job = without_an_end_of_arm_2(SOUND)
    reach = reach_map(job, job.poses[0], "plan", CELL_M)
    assert sound.allowed.any() and not sound.unsettled
    assert reach.holds.any() and not reach.allowed.any()
    text = reach_report.as_text(job, reach, "metric")
    assert "NOT PROVEN" in text and "?" in text and "0 of " in text
    values = json.loads(reach_report.as_json(job, reach))
    assert values["proven"] is False and not any(map(any, values["allowed"]))


@pytest.mark.parametrize("command", ["chart", "reach"])
def test_the_exit_status_is_not_that_of_a_pose_that_holds(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "light.rig.json"
    rig_file.write(with_a_mast_too_light(SOUND), path)
    assert main([command, str(path), *(["--cell", "0.3"] if command == "reach" else [])]) == 1
    assert "NOT PROVEN" in capsys.readouterr().out
