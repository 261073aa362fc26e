"""A move in the window: its verdict, its ribbon, looking along it, and making one."""

from __future__ import annotations

from collections.abc import Callable

import pyqtgraph as pg
import pytest
from hand import show_tab, type_into
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.shell.panel_registry import MOVE, POSE
from app.shell.window import Window
from engine.planning.move import plan as plan_of
from engine.schema.model import LogEntry, Move
from engine.shop import edits

WAIT_MS = 120_000


@pytest.fixture
def moving(make_window: Callable[..., Window], qtbot: QtBot) -> Window:
    """A window with a move from the stand on the left to the press on the right worked out."""
    window = make_window("cold_spring_vineyard")
    show_tab(window, "Move A to B")
    document = window.document
    ends = (document.job.poses[0].name, document.job.poses[3].name)
    with qtbot.waitSignal(window.panels[MOVE].background.answered, timeout=WAIT_MS):
        document.set_job(
            edits.REPLACE(document.job, moves=(Move(name="stand to press", poses=ends, controls=("helper",)),)), "Move"
        )
    document.undo_stack.clear()
    document.undo_stack.setClean()
    return window


def test_the_move_is_held_against_every_limit_and_its_worst_step_named(moving: Window) -> None:
    document = moving.document
    wanted = plan_of(document.job, document.job.moves[0])
    assert moving.panels[MOVE].plan.state == wanted.state == "OVER"
    assert f"worst in step {wanted.worst_step + 1}" in moving.panels[MOVE].text


def test_looking_along_the_move_shows_poses_and_changes_nothing(moving: Window) -> None:
    document, before = moving.document, moving.document.job
    shown = document.pose
    moving.panels[MOVE].slider.setValue(500)
    QApplication.processEvents()
    assert document.pose != shown
    assert document.pose.arms[0].turn_rad != shown.arms[0].turn_rad
    assert not document.unsaved and document.undo_stack.count() == 0
    assert moving.panels[MOVE].plan is not None and moving.panels[MOVE].plan.steps
    moving.panels[MOVE].leave()
    assert document.job == before


def test_the_ribbon_is_scrubbed_and_played(moving: Window, qtbot: QtBot) -> None:
    panel = moving.panels[MOVE]
    panel.scrub_to(0.0)
    panel.toggle_play()
    qtbot.waitUntil(lambda: panel.slider.value() > 20, timeout=20000)
    panel.toggle_play()
    stood = panel.slider.value()
    panel._ribbon.scrubbed.emit(0.5)
    assert panel.slider.value() != stood
    panel.leave()


def test_the_ribbon_cuts_no_label_and_its_steps_are_read_by_keys(moving: Window) -> None:
    panel = moving.panels[MOVE]
    ribbon, plan = panel._ribbon, panel._plan
    assert ribbon is not None and plan is not None and plan.worst_step is not None
    view = ribbon.view
    texts = [item for item in view.getPlotItem().items if isinstance(item, pg.TextItem)]
    view.grab()  # a text takes its place when it is painted
    box = view.getViewBox().sceneBoundingRect()
    spots = [item.textItem.sceneBoundingRect() for item in texts]
    assert spots and all(box.contains(spot) for spot in spots), (box, spots)
    assert f"step {plan.worst_step + 1}" in ribbon.reading.text()
    QTest.keyClick(view, Qt.Key.Key_Right)
    assert ribbon.reading.text().startswith("1. ")


def test_a_move_is_made_from_the_poses_and_undone(make_window: Callable[..., Window]) -> None:
    window = make_window("skerry_point_boatyard")
    show_tab(window, "Move A to B")
    assert "no move yet" in window.panels[MOVE].text
    window.panels[MOVE].new_move("along the slip")
    (move,) = window.document.job.moves
    assert move.poses == tuple(pose.name for pose in window.document.job.poses if pose.loaded)
    window.panels[MOVE].set_controls("helper")
    assert set(window.document.job.moves[0].controls) == {"helper"}
    window.panels[MOVE].remove_pose()
    assert len(window.document.job.moves[0].poses) == len(move.poses) - 1
    window.document.undo_stack.setIndex(0)
    assert window.document.job.moves == ()


@pytest.mark.parametrize("what", ["units", "log", "another pose"])
def test_what_is_done_while_looking_along_a_move_does_not_take_the_looked_at_pose_into_the_rig(
    moving: Window, what: str
) -> None:
    document, poses = moving.document, moving.document.job.poses
    moving.panels[MOVE].slider.setValue(500)
    assert document.pose != poses[0]
    seen = document.pose
    if what == "units":
        moving.document.set_units("us" if document.units == "metric" else "metric")
    elif what == "log":
        moving.commands.papers._edit(
            lambda: edits.with_log_entry(document.committed_job, LogEntry(date="2026-01-01", kind="pick")), "Log"
        )
    else:
        moving.panels[POSE].named_poses.add_named("on the way")
        assert edits.REPLACE(document.pose, name=seen.name) == seen
    assert document.committed_job.poses[: len(poses)] == poses
    assert document.undo_stack.count() == (0 if what == "units" else 1), "units are no edit"
    assert document.pose == seen or what != "units"


def test_how_the_truck_creeps_is_entered_emptied_and_undone(moving: Window) -> None:
    panel, document = moving.panels[MOVE], moving.document
    type_into(panel.creep["speed_m_s"], "3.6 km/h")
    type_into(panel.creep["stop_m"], "800 mm")
    (move,) = document.job.moves
    assert (move.speed_m_s, move.stop_m, move.step_m) == (pytest.approx(1.0), pytest.approx(0.8), None)
    type_into(panel.creep["stop_m"], "")
    assert document.job.moves[0].stop_m is None and panel.creep["stop_m"].placeholderText() == "not entered"
    document.undo_stack.undo()
    assert document.job.moves[0].stop_m == pytest.approx(0.8)
    type_into(panel.creep["speed_m_s"], "50 km/h")
    assert "50 km/h cannot be" in moving.notice.text() and document.job.moves[0].speed_m_s == pytest.approx(1.0)


def test_a_move_turns_once_a_radius_or_the_way_says_so(moving: Window) -> None:
    """In the person's own units; straight takes the radius out, emptying the radius does not make it straight."""
    panel, document = moving.panels[MOVE], moving.document

    def move() -> tuple[bool, float | None]:
        (one,) = document.job.moves
        return one.turns, one.turn_radius_m

    assert panel.way.currentText() == "straight" and panel.creep["turn_radius_m"].placeholderText() == "not entered"
    type_into(panel.creep["distance_m"], "1.5 m")
    assert document.job.moves[0].distance_m == pytest.approx(1.5)
    type_into(panel.creep["turn_radius_m"], "6 ft 6.74 in")
    assert move() == (True, pytest.approx(2.0, abs=1e-3)) and panel.way.currentText() == "turning"
    type_into(panel.creep["turn_radius_m"], "")
    assert move() == (True, None) and panel.way.currentText() == "turning"
    panel.creep["turn_radius_m"].setFocus()
    panel.set_way("straight")
    assert move() == (False, None)
    panel.set_way("turning")
    assert move() == (True, None)
    document.undo_stack.undo()
    assert move() == (False, None) and panel.way.currentText() == "straight"
