"""Cutting drawings and lists: from the command line, from the menu, and where a folder refuses."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import msgspec
import pytest
from boxes import open_boxes, press, the_box
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFileDialog

from app.shell.window import Window
from engine.exports.dxf import plate_drawings
from engine.exports.lists import chart_list, shop_lists
from tests.samples import ROOT

REPLACE = msgspec.structs.replace


def entry(window: Window, words: str) -> QAction:
    actions = [action for action in window.findChildren(QAction) if words in action.text().replace("&", "")]
    assert len(actions) == 1
    return actions[0]


def choosing(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(folder))


def test_the_menu_writes_a_drawing_for_every_part_of_plate(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    choosing(monkeypatch, tmp_path / "to cut")
    entry(window, "Cutting drawings of plate").trigger()
    wanted = plate_drawings(window.document.job)
    assert {path.name: path.read_bytes() for path in (tmp_path / "to cut").iterdir()} == wanted
    assert f"{len(wanted)} cutting drawings written into" in window.notice.text()


def test_the_menu_writes_the_lists_with_the_chart_of_the_pose(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    choosing(monkeypatch, tmp_path / "lists")
    entry(window, "Lists of parts, cuts, holes, welds").trigger()
    document = window.document
    wanted = {**shop_lists(document.job), "chart.csv": chart_list(document.job, document.pose)}
    assert {path.name: path.read_bytes() for path in (tmp_path / "lists").iterdir()} == wanted


def test_nothing_is_asked_again_where_nobody_chose_a_folder(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: "")
    before = window.notice.text()
    entry(window, "Cutting drawings of plate").trigger()
    assert window.notice.text() == before


def test_a_folder_that_cannot_be_is_said_in_plain_words_with_a_way_on(window: Window, tmp_path: Path) -> None:
    """A file stands where the folder is to be."""
    in_the_way = tmp_path / "taken"
    in_the_way.write_text("a file", encoding="utf-8")
    assert not window.commands.shop_files.write("dxf", in_the_way)
    box = the_box(window)
    assert "NOT written" in box.text()
    press(box, "Keep working")
    assert not open_boxes(window) and in_the_way.read_text(encoding="utf-8") == "a file"


def test_parts_that_do_not_fit_are_not_drawn_and_it_is_said_why(window: Window, tmp_path: Path) -> None:
    job = window.document.job
    boom = REPLACE(job.rig.boom, hole_edge_m=0.012)
    window.document.set_job(REPLACE(job, rig=REPLACE(job.rig, boom=boom)), "a hole near the edge")
    assert not window.commands.shop_files.write("dxf", tmp_path / "none")
    assert "edge" in window.notice.text() and not (tmp_path / "none").exists()


@pytest.mark.slow
def test_the_command_line_writes_both_without_a_screen(tmp_path: Path) -> None:
    job_file = ROOT / "sample_rigs" / "skerry_point_boatyard.rig.json"
    command = [sys.executable, "-m", "app", str(job_file), "--dxf", str(tmp_path / "d"), "--csv", str(tmp_path / "c")]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    assert {path.suffix for path in (tmp_path / "d").iterdir()} == {".dxf"}
    names = {"parts.csv", "cuts.csv", "bars.csv", "holes.csv", "welds.csv", "chart.csv"}
    assert {path.name for path in (tmp_path / "c").iterdir()} == names
    refused = subprocess.run(
        [*command, "--picture", "x.png"], cwd=ROOT, capture_output=True, text=True, timeout=60, check=False
    )
    assert refused.returncode == 2 and "do not go with" in refused.stderr
