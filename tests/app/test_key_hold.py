"""Bodies of the drawing by keyboard alone: Tab walks them, arrows move them, Enter shows their entries."""

from __future__ import annotations

import math

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.canvas.view import DrawingView
from app.shell.window import Window
from engine.shop import edits

SHIFT, ALT = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier
NONE = Qt.KeyboardModifier.NoModifier


def walk_to(view: DrawingView, name: str) -> None:
    """Tab until a body of this name is held."""
    view.setFocus()
    for _ in range(30):
        QTest.keyClick(view, Qt.Key.Key_Tab)
        if view.live_words.lower().startswith(name):
            return
    raise AssertionError(f"Tab never comes to {name}")


def test_tab_walks_outwards_and_then_leaves_the_drawing(window: Window) -> None:
    view, told = window.views.side_view, []
    view.setFocus()
    for _ in range(30):
        QTest.keyClick(view, Qt.Key.Key_Tab)
        if not view.live_words:
            break
        told.append(view.live_words.partition(".")[0].lower())
    assert told[0] == "truck" and told.index("forks") < told.index("boom") < told.index("load") < told.index("hook")
    assert len(told) == len(set(told))
    QApplication.processEvents()
    assert not view.hasFocus()


@pytest.mark.parametrize(
    ("body", "key", "modifier", "field", "step"),
    [
        ("forks", Qt.Key.Key_Up, NONE, "lift_m", 0.01),
        ("forks", Qt.Key.Key_Up, SHIFT, "lift_m", 0.1),
        ("upright", Qt.Key.Key_Left, NONE, "tilt_rad", math.radians(0.5)),
        ("boom", Qt.Key.Key_Left, NONE, "hole", 1),
    ],
)
def test_an_arrow_moves_what_is_held_as_one_undo_step(
    window: Window, body: str, key: Qt.Key, modifier: Qt.KeyboardModifier, field: str, step: float
) -> None:
    document, before = window.document, window.document.pose
    walk_to(window.views.side_view, body)
    QTest.keyClick(window.views.side_view, key, modifier)
    assert getattr(document.pose, field) == pytest.approx(getattr(before, field) + step)
    assert document.undo_stack.count() == 1
    assert document.verdict.state in window.views.side_view.accessibleDescription()
    document.undo_stack.undo()
    assert document.pose == before


def test_a_step_lands_on_a_whole_multiple_and_alt_unpins_the_boom(window: Window) -> None:
    document, view = window.document, window.views.side_view
    document.set_pose(edits.REPLACE(document.pose, lift_m=0.703), "Raise")
    walk_to(view, "forks")
    QTest.keyClick(view, Qt.Key.Key_Up)
    assert document.pose.lift_m == pytest.approx(0.71)
    walk_to(view, "boom")
    QTest.keyClick(view, Qt.Key.Key_Right, ALT)
    assert document.pose.hole is None and document.pose.free_out_m is not None


def test_an_arm_turns_in_the_plan_and_the_load_rises_in_the_side_view(window: Window) -> None:
    document, plan = window.document, window.views.plan_view
    name = document.job.rig.arms[0].name
    walk_to(plan, name)
    before = document.pose.arms[0].turn_rad
    QTest.keyClick(plan, Qt.Key.Key_Up, SHIFT)
    assert document.pose.arms[0].turn_rad == pytest.approx(before + math.radians(1.0))
    height = float(document.verdict.placed.hook_m.z)
    walk_to(window.views.side_view, "load")
    QTest.keyClick(window.views.side_view, Qt.Key.Key_Up)
    assert float(document.verdict.placed.hook_m.z) == pytest.approx(height + 0.01, abs=1e-4)


def test_enter_shows_the_entries_and_escape_gives_the_arrows_back_to_the_sheet(window: Window) -> None:
    document, view = window.document, window.views.side_view
    walk_to(view, "boom")
    QTest.keyClick(view, Qt.Key.Key_Return)
    assert window.panels.shown.stage == "Build"
    walk_to(view, "boom")
    QTest.keyClick(view, Qt.Key.Key_Escape)
    centre, pose = view.scene_centre(), document.pose
    QTest.keyClick(view, Qt.Key.Key_Right)
    assert document.pose == pose and view.scene_centre() != centre
