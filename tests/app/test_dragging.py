"""Dragging with real mouse events: the document ends where the engine says, in one undo step."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hand import Hand
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.shell.window import Window
from engine.rig.kinematics import boom_out_m, hole_out_m
from engine.shop import edits, pose_edits

CTRL = Qt.KeyboardModifier.ControlModifier


def px(window: Window, metres: float) -> float:
    """Screen pixels of a length."""
    return metres * 1000.0 * window.views.side_view.px_per_mm


def test_dragging_the_carriage_up_raises_the_forks_by_as_much(window: Window) -> None:
    before = window.document.pose
    Hand(window.views.side_view).drag("lift", 0.0, -px(window, 0.5))
    assert window.document.pose.lift_m == pytest.approx(before.lift_m + 0.5, abs=0.02)
    assert window.document.undo_stack.count() == 1


def test_dragging_the_carriage_into_the_floor_stops_at_the_lowest_height(window: Window) -> None:
    Hand(window.views.side_view).drag("lift", 0.0, px(window, 3.0))
    assert window.document.pose.lift_m == window.document.job.truck.upright.lift_min_m


def test_dragging_the_upright_back_tilts_it_to_its_stop(window: Window) -> None:
    Hand(window.views.side_view).drag("tilt", -px(window, 2.0), 0.0)
    assert window.document.pose.tilt_rad == window.document.job.truck.upright.tilt_back_max_rad


def test_dragging_the_boom_snaps_to_the_hole_the_engine_picks(window: Window) -> None:
    job, before = window.document.job, window.document.pose
    Hand(window.views.side_view).drag("boom", px(window, 0.31), 0.0)
    wanted = pose_edits.boom_to(job, before, boom_out_m(job.rig, before) + 0.31)
    assert window.document.pose.hole == wanted.hole != before.hole
    assert boom_out_m(job.rig, window.document.pose) == pytest.approx(hole_out_m(job.rig, wanted.hole))


def test_dragging_the_boom_with_control_leaves_it_unpinned(window: Window) -> None:
    Hand(window.views.side_view).drag("boom", px(window, 0.07), 0.0, keys=CTRL)
    assert window.document.pose.hole is None
    assert window.document.pose.free_out_m == pytest.approx(0.97, abs=0.02)
    assert any(tag.text == "NOT PINNED" for tag in [window.views.side_drawing.tag("pin")])


@pytest.mark.parametrize("view", ["side_view", "plan_view"])
@pytest.mark.parametrize("index", [0, 1])
def test_dragging_an_arm_turns_that_arm_alone_in_one_step(window: Window, view: str, index: int) -> None:
    before = window.document.pose
    pull = (-60.0, 0.0) if view == "side_view" else (-40.0, -50.0)
    Hand(getattr(window.views, view)).drag(f"arm {index}", *pull)
    after = window.document.pose
    assert after.arms[index].turn_rad != before.arms[index].turn_rad
    assert after.arms[1 - index] == before.arms[1 - index]
    assert (after.lift_m, after.hole, after.tilt_rad) == (before.lift_m, before.hole, before.tilt_rad)
    assert window.document.undo_stack.count() == 1


def test_an_arm_dragged_in_the_plan_points_at_the_pointer(window: Window) -> None:
    hand = Hand(window.views.plan_view)
    joint = window.document.verdict.placed.frames["arm 1"].origin
    target = QPointF((joint.x + 0.2) * 1000.0, -(joint.y + 0.45) * 1000.0)
    start = hand.handle_spot("arm 0")
    hand.press(start)
    hand.move(QPointF(window.views.plan_view.mapFromScene(target)))
    hand.release()
    axis = window.document.verdict.placed.frames["arm 1"].axes.x
    assert axis.y / axis.x == pytest.approx(0.45 / 0.2, rel=0.05)


def test_dragging_the_hook_up_raises_the_rig_after_it(window: Window) -> None:
    before = window.document.verdict.placed.hook_m
    Hand(window.views.side_view).drag("hook", 0.0, -px(window, 0.4))
    after = window.document.verdict.placed.hook_m
    assert after.z == pytest.approx(before.z + 0.4, abs=0.02)
    assert after.x == pytest.approx(before.x, abs=0.02)
    assert window.document.pose.lift_m > 1.0


def test_dragging_the_hook_in_the_plan_turns_the_arms_after_it(window: Window) -> None:
    before = window.document.verdict.placed.hook_m
    Hand(window.views.plan_view).drag("hook", -px(window, 0.2), -px(window, 0.3))
    after = window.document.verdict.placed.hook_m
    assert (after.x, after.y) == (pytest.approx(before.x - 0.2, abs=0.03), pytest.approx(before.y + 0.3, abs=0.03))
    assert window.document.pose.hole == 7


def test_escape_during_a_drag_restores_everything(window: Window) -> None:
    before = window.document.pose
    hand = Hand(window.views.side_view)
    start = hand.handle_spot("lift")
    hand.press(start)
    hand.move(start - QPointF(0.0, 80.0))
    assert window.document.pose != before
    QTest.keyClick(window.views.side_view, Qt.Key.Key_Escape)
    assert window.document.pose == before
    hand.release()
    assert window.document.pose == before
    assert window.document.undo_stack.count() == 0


def test_undo_and_redo_walk_back_and_forth_over_a_drag(window: Window) -> None:
    before = window.document.job
    Hand(window.views.side_view).drag("lift", 0.0, -50.0)
    after = window.document.job
    window.document.undo_stack.undo()
    assert window.document.job == before
    window.document.undo_stack.redo()
    assert window.document.job == after


def test_a_press_without_a_pull_is_no_undo_step_and_focuses_nothing_away(window: Window) -> None:
    hand = Hand(window.views.side_view)
    hand.press(hand.handle_spot("lift"))
    hand.release()
    assert window.document.undo_stack.count() == 0


def test_many_moves_between_two_paints_are_answered_once(window: Window) -> None:
    hand, seen = Hand(window.views.side_view), []
    window.document.changed.connect(lambda document: seen.append(document.pose.lift_m))
    start = hand.handle_spot("lift")
    hand.press(start)
    for step in range(1, 51):
        hand.send(*_move_event(start - QPointF(0.0, float(step))))
    QApplication.processEvents()
    assert len(seen) == 1
    hand.release()


def _move_event(at: QPointF) -> tuple[object, ...]:
    return QEvent.Type.MouseMove, at, Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton


def test_both_views_keep_one_scale_and_one_x(window: Window) -> None:
    window.views.side_view.zoom(1.4, QPointF(100.0, 100.0))
    assert window.views.plan_view.px_per_mm == pytest.approx(window.views.side_view.px_per_mm)
    side_x = window.views.side_view.mapToScene(window.views.side_view.viewport().rect().center()).x()
    plan_x = window.views.plan_view.mapToScene(window.views.plan_view.viewport().rect().center()).x()
    assert plan_x == pytest.approx(side_x, abs=2.0 / window.views.side_view.px_per_mm)


def test_a_boom_with_no_arms_is_dragged_by_its_hook(make_window: Callable[..., Window]) -> None:
    window = make_window("tarn_hollow_stone_yard")
    Hand(window.views.side_view).drag("hook", px(window, 0.30), 0.0)
    assert window.document.pose.hole == 6


# ---------------------------------------------------------------- the rig changes while the button is held


def _held_drag(window: Window, name: str) -> Hand:
    hand = Hand(window.views.side_view)
    start = hand.handle_spot(name)
    hand.press(start)
    hand.move(start + QPointF(20.0, -60.0))
    assert window.document.pose != window.document.finished.pose
    return hand


def test_another_pose_chosen_in_the_middle_ends_the_drag_and_is_shown_as_it_is(window: Window) -> None:
    document = window.document
    before = document.job
    hand = _held_drag(window, "lift")
    document.show_pose(1)
    hand.move(QPointF(300.0, 100.0))
    assert document.job == before and document.pose == before.poses[1]
    hand.release()
    assert document.job == before and document.index == 1
    assert document.undo_stack.count() == 0


def test_undo_in_the_middle_is_not_undone_by_the_rest_of_the_drag(window: Window) -> None:
    document = window.document
    before = document.job
    document.set_pose(edits.REPLACE(document.pose, lift_m=document.pose.lift_m + 0.1), "Raise")
    hand = _held_drag(window, "hook")
    document.undo_stack.undo()
    hand.move(QPointF(300.0, 100.0))
    hand.release()
    assert document.job == before
    assert document.undo_stack.canRedo()


def test_an_arm_taken_off_in_the_middle_of_a_drag_leaves_a_whole_rig(window: Window) -> None:
    document = window.document
    hand = _held_drag(window, "arm 1")
    document.set_job(edits.remove_arm(document.committed_job, 1), "Remove the last arm")
    after = document.job
    hand.move(QPointF(300.0, 100.0))
    hand.release()
    assert document.job == after
