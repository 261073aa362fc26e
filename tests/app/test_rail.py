"""The rail of a wide window: what gives first, the most used limits and the doubt, beside whatever panel is open."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.panels.rail import MOST, NO_LIMITS
from app.shell.panel_registry import GO_TO_POINT, LIMITS, LOAD, POSE, TABS, WHY
from app.shell.window import Window


@pytest.fixture
def wide(make_window: Callable[..., Window]) -> Window:
    window = make_window("skerry_point_boatyard")
    window.resize(1920, 1080)
    QTest.qWait(20)
    return window


def test_a_wide_window_lists_the_most_used_limits_beside_any_panel(wide: Window) -> None:
    rail = wide.rail
    assert rail is not None and rail.isVisible() and 400 <= rail.width() <= 480
    limits = wide.panels[LIMITS]
    limits.show_verdict(wide.document.job, wide.document.verdict)
    assert len(rail.limits.rows) == MOST and rail.limits.rows == limits.rows[:MOST]
    governing = wide.document.verdict.governing
    assert governing is not None and rail.first.text() == governing.name
    assert rail.doubt.tornado.isVisible() and rail.verticalScrollBar().maximum() == 0
    assert not rail.limits.sum.isVisible()
    rail.limits.setCurrentRow(1)
    assert rail.limits.sum.isVisible() and rail.limits.sum.text().startswith(rail.limits.checks[1].name)
    assert "Source:" in rail.limits.sum.text()
    assert wide.views.side_drawing.tag("governing").text == rail.limits.checks[1].part


def test_the_rail_follows_the_pose_and_says_when_there_is_no_verdict(wide: Window) -> None:
    rail = wide.rail
    assert rail is not None
    before = rail.limits.rows
    wide.document.show_pose(1)
    assert rail.limits.rows != before
    wide.document.set_units("us")
    floor = next(at for at, one in enumerate(wide.document.job.floors) if one.name == wide.document.pose.floor)
    wide.document.set_value(f"floors[{floor}].fall_along", None, "Nobody has measured it")
    assert rail.first.text() == NO_LIMITS and rail.limits.isHidden() and rail.doubt.isHidden()


def test_f6_walks_on_from_the_panels_to_the_rail(wide: Window) -> None:
    """Without a verdict to the sentence that says so; in a narrower window to the stages at once."""
    rail, head = wide.rail, wide.panels.open_head
    assert rail is not None
    wide.activateWindow()
    assert QTest.qWaitForWindowActive(wide)
    head.setFocus()
    QTest.keyClick(wide, Qt.Key.Key_F6)
    assert wide.focusWidget() is rail.limits
    QTest.keyClick(wide, Qt.Key.Key_F6)
    assert wide.focusWidget() in wide.stages.buttons
    QTest.keyClick(wide, Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    assert wide.focusWidget() is rail.limits
    floor = next(at for at, one in enumerate(wide.document.job.floors) if one.name == wide.document.pose.floor)
    wide.document.set_value(f"floors[{floor}].fall_along", None, "Nobody has measured it")
    head.setFocus()
    QTest.keyClick(wide, Qt.Key.Key_F6)
    assert wide.focusWidget() is rail.first
    wide.resize(1280, 800)
    QTest.qWait(20)
    head.setFocus()
    QTest.keyClick(wide, Qt.Key.Key_F6)
    assert wide.focusWidget() in wide.stages.buttons


def test_a_narrower_window_or_larger_text_has_no_rail_and_the_panel_keeps_its_width(wide: Window) -> None:
    rail, width = wide.rail, wide.panels.width()
    assert rail is not None
    for _ in range(2):
        wide.resize(1500, 900)
        QTest.qWait(20)
        assert rail.isHidden() and abs(wide.panels.width() - width) <= 60
        wide.resize(1920, 1080)
        QTest.qWait(20)
        assert rail.isVisible() and abs(wide.panels.width() - width) <= 60
    wide.appearance.set_text_size(200)
    QTest.qWait(20)
    assert rail.isHidden()
    wide.appearance.set_text_size(100)
    QTest.qWait(20)
    assert rail.isVisible()


def test_a_window_as_it_is_first_shown_has_no_rail(make_window: Callable[..., Window]) -> None:
    assert make_window("skerry_point_boatyard").rail is None


def test_a_wide_window_has_two_sections_open(wide: Window) -> None:
    """The one opened before stays open beside the new one; a narrower window shows the new one alone."""
    panels = wide.panels
    pose, load = panels[POSE], panels[LOAD]
    assert pose.isVisible() and load.isVisible()
    assert [head.text() for _, head in panels.heads if head.isChecked()] == [LOAD.name, POSE.name]
    assert load.mapTo(panels, load.rect().topLeft()).y() < pose.mapTo(panels, pose.rect().topLeft()).y()
    head = next(head for at, head in panels.heads if at == TABS.index(GO_TO_POINT))
    QTest.mouseClick(head, Qt.MouseButton.LeftButton)
    QTest.qWait(20)
    assert panels[GO_TO_POINT].isVisible() and pose.isVisible() and not load.isVisible()
    assert panels.shown is GO_TO_POINT
    panels.bring(POSE)
    assert panels.shown is POSE and panels[GO_TO_POINT].isVisible() and pose.isVisible()
    panels.bring(LIMITS)
    assert panels[LIMITS].isVisible() and panels[WHY].isVisible() and not pose.isVisible()
    wide.document.show_pose(1)
    assert wide.document.verdict.state_words.lower() in panels[WHY].title.lower()
    panels.bring(POSE)
    assert pose.isVisible() and not panels[WHY].isVisible()
    wide.resize(1280, 800)
    QTest.qWait(20)
    assert pose.isVisible() and not load.isVisible() and len([1 for _, head in panels.heads if head.isChecked()]) == 1
