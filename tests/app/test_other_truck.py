"""The rig on another truck: chosen by keys and mouse, compared in the background, put there as one undo step."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from app.documents.files import sample_rig
from app.shell.other_truck import NOT_YET, OtherTruckDialog
from app.shell.window import Window
from engine.explain.two_charts_words import COLUMNS, chart_cells
from engine.rig.feasibility import usable_holes
from engine.worst_case.verdict import evaluate

WAIT_MS = 120_000


@pytest.fixture
def dialog(window: Window) -> Iterator[OtherTruckDialog]:
    """Opened from the menu."""
    action = next(
        action
        for head in window.menuBar().actions()
        for action in head.menu().actions()  # type: ignore[union-attr]
        if action.text() == "Put the rig on another &truck..."
    )
    action.trigger()
    yield window.commands.other_truck
    if isValid(window.commands.other_truck):
        window.commands.other_truck.close()


def rig_path(name: str) -> str:
    """Path of a sample's file."""
    return str(Path(__file__).parents[2] / "sample_rigs" / f"{name}.rig.json")


def test_before_a_truck_is_chosen_nothing_is_compared_or_can_be_put(dialog: OtherTruckDialog) -> None:
    assert dialog.name.text() == NOT_YET and not dialog.put_button.isEnabled()
    assert not dialog.table.isVisible() and not dialog.fits.isVisible()


def test_a_class_is_chosen_by_keys_and_has_no_verdict_for_want_of_a_plate(
    dialog: OtherTruckDialog, qtbot: QtBot
) -> None:
    dialog.choice.setFocus()
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        QTest.keyClick(dialog.choice, Qt.Key.Key_Down)
        dialog.choice.activated.emit(dialog.choice.currentIndex())
    assert dialog.truck is not None and dialog.truck.typical
    assert "ask: truck's plate. No plate is entered" in dialog.fits.text()
    assert {row.new.state for row in dialog.rows} == {"REFUSED"}
    assert dialog.said.text().count(" On the other REFUSED: ") == len(dialog.rows)


def test_a_files_truck_is_compared_and_a_click_puts_the_rig_on_it_as_one_undo_step(
    window: Window, dialog: OtherTruckDialog, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (rig_path("tarn_hollow_stone_yard"), ""))
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        QTest.mouseClick(dialog.file_button, Qt.MouseButton.LeftButton)
    document, other = window.document, sample_rig("tarn_hollow_stone_yard").truck
    assert dialog.name.text() == f"{other.name} instead of {document.job.truck.name}."
    assert dialog.table.columnCount() == 3 * len(document.job.poses) and dialog.table.isVisible()
    heads = [str(dialog.table.model().headerData(at, Qt.Orientation.Horizontal)) for at in range(3)]
    assert [head.split("\n")[1] for head in heads] == ["this truck", "other truck", "difference"]
    across = dialog.table.verticalHeader().width() + sum(dialog.table.columnWidth(at) for at in range(3))
    assert across <= dialog.table.width()  # the first pose is seen whole, without scrolling
    before = document.job
    QTest.mouseClick(dialog.put_button, Qt.MouseButton.LeftButton)
    assert document.job.truck.name == other.name and document.job.rig == before.rig
    assert document.job.approval is None
    assert document.verdict.state == evaluate(document.job, document.pose).state
    document.undo_stack.undo()
    assert document.job == before


def test_the_load_charts_of_both_trucks_stand_hole_by_hole_and_another_pose_asks_anew(
    dialog: OtherTruckDialog, qtbot: QtBot
) -> None:
    charts, job = dialog.charts, sample_rig("skerry_point_boatyard")
    assert not charts.isVisible()
    with qtbot.waitSignal(charts.background.answered, timeout=WAIT_MS):
        dialog.compare(sample_rig("tarn_hollow_stone_yard").truck)
    assert charts.charts is not None and charts.charts.pose == job.poses[0].name and charts.table.isVisible()
    assert charts.table.rowCount() == len(usable_holes(job)) and charts.table.columnCount() == len(COLUMNS)
    row = charts.charts.rows[0]
    model = charts.table.model()
    shown = tuple(str(model.index(0, at).data()) for at in range(len(COLUMNS)))
    assert shown == chart_cells(row, "metric")
    with qtbot.waitSignal(charts.background.answered, timeout=WAIT_MS):
        QTest.keyClick(charts.pose, Qt.Key.Key_Down)
        charts.pose.activated.emit(charts.pose.currentIndex())
    assert charts.charts.pose == job.poses[1].name


def test_poses_keep_their_fork_heights_where_that_is_chosen(
    window: Window, dialog: OtherTruckDialog, qtbot: QtBot
) -> None:
    before, other = window.document.job, sample_rig("tarn_hollow_stone_yard").truck
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        dialog.compare(other)
    assert {row.keeps for row in dialog.rows} == {"hook_height"}
    with qtbot.waitSignal(dialog.background.answered, timeout=WAIT_MS):
        QTest.keyClick(dialog.keeps, Qt.Key.Key_Down)
        dialog.keeps.activated.emit(dialog.keeps.currentIndex())
    assert {row.keeps for row in dialog.rows} == {"fork_height"}
    assert all(row.new.lift_m == row.old.lift_m for row in dialog.rows)
    dialog.put()
    assert [pose.lift_m for pose in window.document.job.poses] == [pose.lift_m for pose in before.poses]


def test_a_file_that_is_no_rig_is_said_in_words(dialog: OtherTruckDialog, tmp_path: Path, monkeypatch) -> None:
    there = tmp_path / "notes.rig.json"
    there.write_text("{}", encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(there), ""))
    QTest.mouseClick(dialog.file_button, Qt.MouseButton.LeftButton)
    assert dialog.name.text().startswith("notes.rig.json: ") and dialog.truck is None
