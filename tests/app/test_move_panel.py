"""A move in the window: its verdict, its ribbon, looking along it, and making one."""

from __future__ import annotations

import math
from collections.abc import Callable

import gated
import numpy as np
import pyqtgraph as pg
import pytest
from hand import show_tab, type_into
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.documents.document import Document
from app.look.theme import LIGHT
from app.panels.plot import Point
from app.panels.ribbon import Ribbon
from app.shell.panel_registry import MOVE, POSE
from app.shell.window import Window
from app.workers import worker_tasks
from engine.planning.move import Plan
from engine.planning.move import plan as plan_of
from engine.schema.model import Job, LogEntry, Move
from engine.shop import edits
from engine.worst_case.verdict import evaluate
from tests.samples import sample

WAIT_MS = 120_000


def ribbon_of(window: Window) -> Ribbon:
    """The ribbon of a move that is worked out."""
    made = window.panels[MOVE].ribbon
    assert made is not None
    return made


@pytest.fixture(scope="module")
def stand_to_press() -> tuple[Job, Plan]:
    """A move from the stand on the left to the press on the right, and its plan, which takes seconds."""
    job = sample("cold_spring_vineyard")
    ends = (job.poses[0].name, job.poses[3].name)
    job = edits.REPLACE(job, moves=(Move(name="stand to press", poses=ends, controls=("helper",)),))
    return job, plan_of(job, job.moves[0])


@pytest.fixture
def moving(
    make_window: Callable[..., Window],
    stand_to_press: tuple[Job, Plan],
    gates: gated.Gates,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> Window:
    """A window with that move worked out."""
    job, plan = stand_to_press
    gates.keep(plan)
    monkeypatch.setattr(worker_tasks, "plan", gated.kept_plan)
    window = make_window(document=Document(job))
    with qtbot.waitSignal(window.panels[MOVE].background.answered, timeout=WAIT_MS):
        show_tab(window, "Move A to B")
    return window


def test_the_move_is_held_against_every_limit_and_its_worst_step_named(
    moving: Window, stand_to_press: tuple[Job, Plan]
) -> None:
    (_, wanted) = stand_to_press
    assert moving.panels[MOVE].plan.state == wanted.state == "OVER"
    assert f"worst in step {wanted.worst_step + 1}" in moving.panels[MOVE].text


def test_looking_along_the_move_shows_poses_and_changes_nothing(moving: Window) -> None:
    document, before = moving.document, moving.document.job
    shown = document.pose
    moving.panels[MOVE].scrub_to(0.5)
    QApplication.processEvents()
    assert document.pose != shown
    assert document.pose.arms[0].turn_rad != shown.arms[0].turn_rad
    assert not document.unsaved and document.undo_stack.count() == 0
    assert moving.panels[MOVE].plan is not None and moving.panels[MOVE].plan.steps
    moving.panels[MOVE].leave()
    assert document.job == before


def press(ribbon: Ribbon, place: float) -> QPoint:
    """Press the button on a place along the ribbon and let it go; returns where."""
    spot = ribbon.spot_of(Point(place, 0.5, "")).toPoint()
    QTest.mouseClick(ribbon.view.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    return spot


def test_drawing_verdict_and_helper_view_follow_the_ribbon_under_the_hand(moving: Window) -> None:
    """The pose half way along is that of the rig file's ends: 80 degrees to either side, hence 0 in the middle."""
    ribbon, document = ribbon_of(moving), moving.document
    helper = moving.commands.explanations.open_helper()
    assert moving.block.word.state == helper.word.state == "WITHIN"
    view = ribbon.view.viewport()
    spot = press(ribbon, 0.25)
    assert math.degrees(document.pose.arms[0].turn_rad) == pytest.approx(40.0, abs=0.5)
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=spot)
    to = ribbon.spot_of(Point(0.5, 0.5, "")).toPoint()
    event = QMouseEvent(
        QEvent.Type.MouseMove,
        QPointF(to),
        QPointF(view.mapToGlobal(to)),
        Qt.MouseButton.NoButton,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    QApplication.sendEvent(view, event)
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=to)
    assert math.degrees(document.pose.arms[0].turn_rad) == pytest.approx(0.0, abs=0.5)
    judged = evaluate(document.job, document.pose)
    assert judged.state == moving.block.word.state == helper.word.state == "OVER"
    assert "50 % through" in ribbon.reading.text()
    for bar in moving.block.bars.bars:
        worst = max(use for check, use in judged.worst_uses if check.side == bar.side.lower())
        assert bar.use == pytest.approx(worst, abs=0.01)
    assert document.undo_stack.count() == 0 and not document.unsaved
    helper.close()


def test_the_ribbon_is_gone_along_by_keys_and_left_by_esc(moving: Window) -> None:
    panel, ribbon, document = moving.panels[MOVE], ribbon_of(moving), moving.document
    shown = document.pose
    for key, place in ((Qt.Key.Key_Right, 0.05), (Qt.Key.Key_End, 1.0), (Qt.Key.Key_Left, 0.95), (Qt.Key.Key_Home, 0)):
        QTest.keyClick(ribbon.view, key)
        assert panel.place == ribbon.place == pytest.approx(place)
    QTest.keyClick(ribbon.view, Qt.Key.Key_Down)
    assert ribbon.reading.text().startswith("1. ") and "RIG" in ribbon.reading.text() and panel.place == 0.0
    QTest.keyClick(ribbon.view, Qt.Key.Key_Return)
    assert panel.place == pytest.approx(panel.plan.steps[0].peak_share)
    QTest.keyClick(ribbon.view, Qt.Key.Key_Escape)
    assert panel.place is None and document.pose == shown


def test_the_move_is_played_and_stopped(moving: Window, qtbot: QtBot) -> None:
    panel = moving.panels[MOVE]
    panel.toggle_play()
    qtbot.waitUntil(lambda: (panel.place or 0.0) > 0.02, timeout=20000)
    panel.toggle_play()
    assert not panel._timer.isActive()


def test_a_pose_taken_up_otherwise_takes_the_line_off_the_ribbon(moving: Window) -> None:
    panel = moving.panels[MOVE]
    press(ribbon_of(moving), 0.5)
    assert panel.place is not None
    moving.document.step_holes(1)
    assert panel.place is None


def test_the_bands_reach_from_as_entered_to_the_worst_case_of_the_verdict(moving: Window) -> None:
    """Read off what is drawn at the start, the middle and the end, against `evaluate` of the pose there."""
    ribbon, document = ribbon_of(moving), moving.document
    curves = [item for item in ribbon.view.getPlotItem().items if isinstance(item, pg.FillBetweenItem)]
    curves = [band for band in curves if band.curves[0].xData[0] == 0.0 and band.curves[0].xData[-1] == 1.0]
    assert len(curves) == 2, "one band for the rig, one for the truck, besides what is over of them"
    for place, deg in ((0.0, 80.0), (0.5, 0.0), (1.0, -80.0)):
        arms = tuple(
            edits.REPLACE(arm, turn_rad=math.radians(deg) if at == 0 else arm.turn_rad)
            for at, arm in enumerate(document.job.poses[0].arms)
        )
        judged = evaluate(document.job, edits.REPLACE(document.job.poses[0], arms=arms))
        for band, side in zip(curves, ("rig", "truck"), strict=True):
            check, use = max(
                ((check, use) for check, use in judged.worst_uses if check.side == side), key=lambda pair: pair[1]
            )
            drawn = [float(np.interp(place, *curve.getData())) for curve in band.curves]
            assert drawn[0] == pytest.approx(use, abs=0.01), (side, place)
            assert drawn[1] == pytest.approx(float(check.use), abs=0.01), (side, place)


def test_what_is_over_the_line_is_marked_from_crossing_to_crossing(moving: Window) -> None:
    """The fork-face rule and the others fail for about the inner 75 degrees to either side of 80."""
    ribbon = ribbon_of(moving)
    red = QColor(LIGHT.states["OVER"].ground).getRgb()[:3]
    bands = [item for item in ribbon.view.getPlotItem().items if isinstance(item, pg.FillBetweenItem)]
    over = [band for band in bands if band.brush().color().getRgb()[:3] == red]
    green = QColor(LIGHT.states["WITHIN"].ground).getRgb()[:3]
    assert over and not any(band.brush().color().getRgb()[:3] == green for band in bands)
    for band in over:
        x, use = band.curves[0].getData()
        assert min(use) >= 1.0 - 1e-9
        for end in (x[0], x[-1]):
            arms = (edits.REPLACE(moving.document.job.poses[0].arms[0], turn_rad=math.radians(80.0 - 160.0 * end)),)
            pose = edits.REPLACE(moving.document.job.poses[0], arms=(*arms, *moving.document.job.poses[0].arms[1:]))
            judged = evaluate(moving.document.job, pose)
            uses = [max(use for check, use in judged.worst_uses if check.side == side) for side in ("rig", "truck")]
            assert min(abs(use - 1.0) for use in uses) < 0.012, (end, uses)


def test_the_ribbon_cuts_no_label_and_its_steps_are_read_by_keys(moving: Window) -> None:
    ribbon, plan = ribbon_of(moving), moving.panels[MOVE].plan
    assert plan is not None and plan.worst_step is not None
    view = ribbon.view
    texts = [item for item in view.getPlotItem().items if isinstance(item, pg.TextItem)]
    view.grab()  # a text takes its place when it is painted
    box = view.getViewBox().sceneBoundingRect().adjusted(-1.0, -1.0, 1.0, 1.0)
    spots = [item.textItem.sceneBoundingRect() for item in texts]
    assert spots and all(box.contains(spot) for spot in spots), (box, spots)
    words = {item.textItem.toPlainText().strip() for item in texts}
    assert {"RIG", "TRUCK"} <= words and any(word.startswith("worst 1") for word in words)
    assert any(step.part in words for step in plan.steps[0].stretches), "the governing part over its stretch"
    ((_, name),) = view.getAxis("bottom")._tickLevels[0]
    assert name.startswith("1 Turn") and "helper" in name
    assert f"step {plan.worst_step + 1}" in ribbon.reading.text()


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
    moving.panels[MOVE].scrub_to(0.5)
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


def test_one_stretch_is_said_to_go_otherwise_than_the_others(make_window: Callable[..., Window]) -> None:
    """Larkfield's second move has two stretches; typed on the first, the other one keeps what the move says."""
    window = make_window("larkfield_carousel_works")
    show_tab(window, "Move A to B")
    panel, document = window.panels[MOVE], window.document
    panel.choice.setCurrentIndex(1)
    panel.choice.entered.emit(1)
    assert panel.leg.isVisible() and panel.leg.count() == 3 and panel.creep["stop_m"].text().endswith("000")
    QTest.keyClick(panel.leg, Qt.Key.Key_Down)
    assert panel.creep["stop_m"].text() == "" and panel.creep["stop_m"].placeholderText() == "as every stretch"
    type_into(panel.creep["stop_m"], "800")
    move = document.committed_job.moves[1]
    assert [leg.stop_m for leg in move.legs] == [0.8, None] and move.stop_m == 1.0
    assert document.undo_stack.count() == 1
    type_into(panel.creep["stop_m"], "")
    assert document.committed_job.moves[1].legs == ()
    panel.controls.setCurrentIndex(1)
    panel.controls.activated.emit(1)
    assert document.committed_job.moves[1].controls == ("helper", "driver")
    type_into(panel.creep["stop_m"], "800")
    panel.remove_pose()
    move = document.committed_job.moves[1]
    assert (len(move.poses), move.controls, [leg.stop_m for leg in move.legs]) == (2, ("helper",), [0.8])


def test_the_plan_keeps_its_place_until_there_is_a_move_to_show(window: Window) -> None:
    """The boatyard's file has no move."""
    show_tab(window, "Move A to B")
    QApplication.processEvents()
    assert window.document.job.moves == () and window.views.strip.shows_plan
    assert window.views.plan_view.isVisible() and not window.panels[MOVE].leg.isVisible()
    assert not window.views.strip.swap_button.isVisible()


def test_without_a_move_one_sentence_says_how_to_make_one_and_no_field_takes_typing(window: Window) -> None:
    show_tab(window, "Move A to B")
    panel, document = window.panels[MOVE], window.document
    document.set_job(edits.REPLACE(document.committed_job, moves=()), "No moves")
    assert panel.text.startswith("There is no move yet. Save two poses or more under Stance, then press New")
    assert not panel.choice.isVisible() and not any(field.isVisible() for field in panel.creep.values())
    assert not panel.way.isVisible() and not panel.controls.isVisible()
    panel.new_move("out and back")
    assert panel.choice.isVisible() and all(field.isVisible() for field in panel.creep.values())
