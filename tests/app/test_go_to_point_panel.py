"""Aim panel: a typed point, every way there as the engine has them, one of them chosen as one undo step."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hand import show_tab, type_into
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.documents.files import sample_rig
from app.panels.go_to_point import GoToPointPanel
from app.panels.solution_words import solution_words
from app.shell.panel_registry import GO_TO_POINT
from app.shell.window import Window
from engine.base.formatting import show
from engine.planning.inverse_kinematics import solutions_to
from engine.rig.kinematics import drawn
from engine.schema.connections import RatedMoment
from engine.schema.model import ArmPose
from engine.shop.edits import REPLACE

WAIT_MS = 120_000
STANDS_ALONE = "tarn_hollow_stone_yard"


def listed(panel: GoToPointPanel) -> list[str]:
    return [panel.list.item(row).text() for row in range(panel.list.count())]


def find(panel: GoToPointPanel, qtbot: QtBot) -> None:
    with qtbot.waitSignal(panel.background.answered, timeout=WAIT_MS):
        panel.find_button.click()


def test_the_fields_follow_the_hook_until_a_point_is_typed(make_window: Callable[..., Window]) -> None:
    window = make_window(STANDS_ALONE)
    show_tab(window, "Hook to a point")
    panel, document = window.panels[GO_TO_POINT], window.document
    hook = document.verdict.placed.hook_m
    assert panel.fields["z"].text() == f"{1000.0 * hook.z:,.0f}".replace(",", "\u202f")
    type_into(panel.fields["z"], "2.5 m")
    assert tuple(panel.target_m) == pytest.approx((hook.x, hook.y, 2.5))
    panel.here_button.click()
    assert panel.fields["z"].text() == f"{1000.0 * hook.z:,.0f}".replace(",", "\u202f")
    type_into(panel.fields["x"], "nowhere")
    assert "a length such as" in window.notice.text()


def test_both_elbows_are_listed_best_first_and_a_chosen_one_is_set_as_one_undo_step(
    window: Window, qtbot: QtBot
) -> None:
    show_tab(window, "Hook to a point")
    panel, document = window.panels[GO_TO_POINT], window.document
    job, pose = document.job, document.pose
    find(panel, qtbot)
    expected = solutions_to(job, pose, document.verdict.placed.hook_m)
    assert [way.pose for way in panel.solutions] == [way.pose for way in expected]
    assert listed(panel) == [
        f"{number}. {solution_words(job, way, 'metric')}" for number, way in enumerate(expected, start=1)
    ]
    for text, way in zip(listed(panel), expected, strict=True):
        assert way.state_words in text and f"hole {way.pose.hole}" in text and way.governing in text
        assert f"forks {show(way.pose.lift_m, 'length', 'metric')}" in text
    sides = {way.pose.arms[1].turn_rad > 0.0 for way in expected if way.pose.hole == pose.hole}
    assert sides == {True, False}
    rect = panel.list.visualItemRect(panel.list.item(1))
    QTest.mouseClick(panel.list.viewport(), Qt.MouseButton.LeftButton, pos=rect.center())
    assert document.pose == expected[1].pose
    assert document.undo_stack.count() == 1
    assert listed(panel), "the other ways can still be tried"
    document.undo_stack.undo()
    assert document.pose == pose


def test_a_point_out_of_reach_has_no_way_and_says_so(make_window: Callable[..., Window], qtbot: QtBot) -> None:
    window = make_window(STANDS_ALONE)
    show_tab(window, "Hook to a point")
    panel, document = window.panels[GO_TO_POINT], window.document
    type_into(panel.fields["x"], "9 m")
    find(panel, qtbot)
    assert panel.said.text().startswith("NO POSE") and listed(panel) == []
    assert document.undo_stack.count() == 0
    type_into(panel.fields["x"], "1.6 m")
    assert "find the poses again" in panel.said.text()


def test_a_level_arm_is_told_up_or_down_and_what_has_no_room_without_a_use() -> None:
    """The vineyard's rig, arm 1 on a level hinge; the point is that of hole 9 with arm 1 0.2 rad (11.5°) down."""
    job = sample_rig("cold_spring_vineyard")
    level = REPLACE(
        job.rig.arms[0], axis="level", turn_min_rad=-1.0, turn_max_rad=1.0, stay=RatedMoment(moment_Nm=50e3)
    )
    job = REPLACE(job, rig=REPLACE(job.rig, arms=(level, job.rig.arms[1])))
    arms = (ArmPose(turn_rad=-0.2), ArmPose(turn_rad=0.6))
    pose = REPLACE(job.poses[0], hole=9, lift_m=0.5, arms=arms)
    solutions = solutions_to(job, pose, drawn(job, pose).hook_m)
    words = {way.pose.hole: solution_words(job, way, "metric") for way in solutions}
    assert "hole 9, arm 1 11.5° down, arm 2 34.4° left, forks 500 mm up" in words[9]
    with_room = [way.has_room for way in solutions]
    assert with_room == sorted(with_room, reverse=True) and True in with_room and False in with_room
    for way in solutions:
        assert ("% used" in words[way.pose.hole]) == way.has_room
    turned_up = REPLACE(solutions[0], pose=REPLACE(pose, arms=(ArmPose(turn_rad=0.2), arms[1])))
    assert "arm 1 11.5° up, arm 2 34.4° left" in solution_words(job, turned_up, "metric")
