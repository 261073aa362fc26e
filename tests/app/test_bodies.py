"""Any body can be taken hold of, clicked and seen to be held; the view follows; wheel, trackpad and fingers."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hand import Hand, show_tab, type_into
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QInputDevice, QPointingDevice, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.canvas.bodies import bodies
from app.canvas.view import DrawingView
from app.documents.files import SAMPLES
from app.shell.panel_registry import POSE, TABS, tab_of
from app.shell.window import Window
from engine.rig.kinematics import arm_link, boom_out_m
from engine.schema import rig_file

STEPS = 6


def spot(window: Window, view: DrawingView, name: str) -> QPointF:
    """A viewport point on a body and on nothing over it, away from every handle."""
    drawing = window.views.side_drawing if view is window.views.side_view else window.views.plan_drawing
    kind = "side" if view is window.views.side_view else "plan"
    wanted = next(body for body in bodies(window.document.job, kind) if body.name == name)
    for part in wanted.parts:
        path = drawing.path_in_scene(part) if drawing.find_part(part) is not None else None
        if path is None or path.isEmpty():
            continue
        box = path.boundingRect()
        for down in (0.5, 0.3, 0.7, 0.15, 0.85):
            for across in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9):
                at = QPointF(box.left() + across * box.width(), box.top() + down * box.height())
                seen = QPointF(view.mapFromScene(at))
                if (
                    view.viewport().rect().contains(seen.toPoint())
                    and view.handle_at(seen) is None
                    and view.body_at(at) == wanted
                ):
                    return seen
    raise AssertionError(f"{name} is nowhere to be taken hold of")


def pull(view: DrawingView, at: QPointF, dx: float, dy: float, *, release: bool = True) -> Hand:
    hand = Hand(view)
    hand.press(at)
    for step in range(1, STEPS + 1):
        hand.move(at + QPointF(dx, dy) * (step / STEPS))
    if release:
        hand.release(at + QPointF(dx, dy))
    return hand


def test_a_press_in_the_middle_of_the_load_moves_the_hook_and_not_the_sheet(window: Window) -> None:
    """Acceptance row 4: 60 px left and 40 up, one undo step, live reach with its change."""
    view, document = window.views.side_view, window.document
    at, before, scale = spot(window, view, "load"), document.verdict.placed.hook_m, view.px_per_mm
    sheet, encoded = view.scene_centre(), rig_file.encode(document.job)
    hand = pull(view, at, -60.0, -40.0, release=False)
    assert view.live_words.startswith("reach ") and "(−" in view.live_words
    hand.release(at + QPointF(-60.0, -40.0))
    after = document.verdict.placed.hook_m
    assert float(after.x) < float(before.x) - 0.05 and float(after.z) > float(before.z) + 0.02
    assert view.scene_centre() == sheet and view.px_per_mm == scale
    assert document.undo_stack.count() == 1 and view.live_words == ""
    document.undo_stack.undo()
    assert rig_file.encode(document.job) == encoded


@pytest.mark.parametrize("name", ["boom", "jib mast", "sleeves", "upright", "load"])
def test_each_body_of_the_side_view_moves_what_it_says(window: Window, name: str) -> None:
    view, document = window.views.side_view, window.document
    before = document.pose
    dx, dy = {"boom": (40.0, 0.0), "upright": (-12.0, 0.0)}.get(name, (0.0, -30.0))
    pull(view, spot(window, view, name), dx, dy)
    after = document.pose
    changed = {
        "boom": after.hole != before.hole and after.lift_m == before.lift_m,
        "jib mast": after.lift_m > before.lift_m and after.hole == before.hole,
        "sleeves": after.lift_m > before.lift_m,
        "upright": after.tilt_rad != before.tilt_rad and after.lift_m == before.lift_m,
        "load": after != before,
    }
    assert changed[name] and document.undo_stack.count() == 1


def test_an_arm_pulled_at_its_middle_follows_the_pointer_round_its_hinge(window: Window) -> None:
    """In the plan: it turns by the angle that the pointer goes round the hinge, without a jump at the start."""
    view, document = window.views.plan_view, window.document
    at, before = spot(window, view, "arm 1"), document.pose.arms[0].turn_rad
    hinge = document.verdict.placed.frames[arm_link(0)].origin
    pivot = QPointF(float(hinge.x) * 1000.0, -float(hinge.y) * 1000.0)
    hand = Hand(view)
    hand.press(at)
    to = at + QPointF(0.0, -20.0)
    for step in range(1, STEPS + 1):
        hand.move(at + QPointF(0.0, -20.0) * (step / STEPS))
    hand.release(to)
    start, end = (view.mapToScene(point.toPoint()) - pivot for point in (at, to))
    by = math.atan2(-end.y(), end.x()) - math.atan2(-start.y(), start.x())
    assert document.pose.arms[0].turn_rad == pytest.approx(before + by, abs=0.01)


def test_a_small_pull_is_a_click_and_shows_the_fields_of_the_body(window: Window) -> None:
    view, document = window.views.side_view, window.document
    for name in ("boom", "jib mast", "load", "upright", "truck", "saddles"):
        body = next(body for body in bodies(document.job, "side") if body.name == name)
        before = rig_file.encode(document.job), view.scene_centre()
        pull(view, spot(window, view, name), 2.0, 1.0)
        assert (rig_file.encode(document.job), view.scene_centre()) == before
        assert window.panels.shown is tab_of(body.entry), name
        assert window.focusWidget() is view
    assert document.undo_stack.count() == 0


@pytest.mark.parametrize("sample", SAMPLES)
def test_every_body_of_every_sample_has_its_fields_in_a_section(
    make_window: Callable[..., Window], sample: str
) -> None:
    window = make_window(sample)
    for kind in ("side", "plan"):
        for body in bodies(window.document.job, kind):
            assert tab_of(body.entry) in TABS
            assert window.panels.show_entry(body.entry) is not None, body.entry
            assert body.hint.endswith("Click: its entries.")
        drawing = window.views.side_drawing if kind == "side" else window.views.plan_drawing
        for body in bodies(window.document.job, kind):
            seen = [name for name in body.parts if drawing.find_part(name) is not None]
            assert seen or body.entry.startswith("surroundings"), (kind, body)


def test_hovering_marks_the_body_that_would_move_and_leaving_takes_the_mark_away(window: Window) -> None:
    view, drawing = window.views.side_view, window.views.side_drawing
    own = drawing.part("boom").pen()
    QTest.mouseMove(view.viewport(), spot(window, view, "boom").toPoint())
    QApplication.processEvents()
    assert drawing.part("boom").pen().widthF() > own.widthF()
    assert view.viewport().cursor().shape() == Qt.CursorShape.SizeHorCursor
    assert "slides it from hole to hole" in view.viewport().toolTip()
    QApplication.sendEvent(view, QEvent(QEvent.Type.Leave))
    assert drawing.part("boom").pen() == own


def test_escape_in_mid_pull_puts_everything_back(window: Window) -> None:
    view, document = window.views.side_view, window.document
    before = rig_file.encode(document.job), document.pose
    pull(view, spot(window, view, "boom"), 80.0, 0.0, release=False)
    assert document.pose != before[1]
    QTest.keyClick(view, Qt.Key.Key_Escape)
    assert (rig_file.encode(document.job), document.pose) == before
    assert not view.holding and view.live_words == ""


def test_the_stop_that_a_pull_reaches_is_named(window: Window) -> None:
    view = window.views.side_view
    hand = pull(view, spot(window, view, "jib mast"), 0.0, 300.0, release=False)
    assert "lowest" in view.live_words
    hand.release()


def test_the_view_follows_what_leaves_it(window: Window) -> None:
    """Boom, hook and load stay 5 % inside, in a pull and after a typed value; the truck body is not zoomed about."""
    view, document = window.views.side_view, window.document
    pull(view, spot(window, view, "jib mast"), 0.0, -view.height() * 0.9)
    assert document.pose.lift_m > 2.0
    assert inside(window)
    show_tab(window, "Stance")
    type_into(window.panels[POSE].fields["lift"], "3.3 m")
    assert inside(window) and not view.by_hand


def inside(window: Window) -> bool:
    seen, edge = window.views.side_view.seen(), 1.0
    return seen.adjusted(-edge, -edge, edge, edge).contains(window.views.side_drawing.moving_bounds())


def test_a_sheet_zoomed_by_hand_stays_and_says_where_the_rig_has_gone(window: Window) -> None:
    view = window.views.side_view
    view.zoom(3.0, QPointF(40.0, 200.0))
    centre = view.scene_centre()
    window.document.step_holes(-1)
    assert view.scene_centre() == centre
    assert window.views._away.isVisible() and "F fits it" in window.views._away.text()
    QTest.keyClick(view, Qt.Key.Key_F)
    window.document.step_holes(1)
    assert not window.views._away.isVisible()


# ---------------------------------------------------------------- looking


def wheel(view: DrawingView, angle: QPoint, pixels: QPoint, keys: Qt.KeyboardModifier, device: QPointingDevice) -> None:
    at = QPointF(view.viewport().rect().center())
    event = QWheelEvent(
        at,
        QPointF(view.viewport().mapToGlobal(at.toPoint())),
        pixels,
        angle,
        Qt.MouseButton.NoButton,
        keys,
        Qt.ScrollPhase.NoScrollPhase,
        False,
        device=device,
    )
    QApplication.sendEvent(view.viewport(), event)


def test_a_wheel_zooms_two_fingers_pan_and_with_ctrl_they_zoom(window: Window) -> None:
    view, nothing = window.views.side_view, Qt.KeyboardModifier.NoModifier
    mouse = QPointingDevice.primaryPointingDevice()
    pad = QPointingDevice(
        "pad",
        7,
        QInputDevice.DeviceType.TouchPad,
        QPointingDevice.PointerType.Finger,
        QInputDevice.Capability.PixelScroll,
        2,
        2,
    )
    before = view.px_per_mm
    wheel(view, QPoint(0, 120), QPoint(), nothing, mouse)
    assert view.px_per_mm == pytest.approx(1.2 * before)
    scale, centre = view.px_per_mm, view.scene_centre()
    wheel(view, QPoint(0, -40), QPoint(15, -40), nothing, pad)
    assert view.px_per_mm == pytest.approx(scale)
    moved = (view.scene_centre() - centre) * scale
    assert moved.x() == pytest.approx(-15.0, abs=1.5) and moved.y() == pytest.approx(40.0, abs=1.5)
    wheel(view, QPoint(0, 120), QPoint(0, 40), Qt.KeyboardModifier.ControlModifier, pad)
    assert view.px_per_mm == pytest.approx(1.2 * scale)
    centre = view.scene_centre()
    wheel(view, QPoint(0, 120), QPoint(), Qt.KeyboardModifier.ShiftModifier, mouse)
    assert view.px_per_mm == pytest.approx(1.2 * scale) and view.scene_centre().x() != centre.x()


def test_two_fingers_on_a_screen_zoom_about_themselves_and_begin_no_pull(window: Window) -> None:
    view, document = window.views.side_view, window.document
    before, scale = rig_file.encode(document.job), view.px_per_mm
    device = QTest.createTouchDevice()
    middle = view.viewport().rect().center()
    QTest.touchEvent(view.viewport(), device).press(0, middle - QPoint(20, 0)).press(1, middle + QPoint(20, 0)).commit()
    for step in range(1, 9):
        apart = QPoint(20 + 10 * step, 0)
        QTest.touchEvent(view.viewport(), device).move(0, middle - apart).move(1, middle + apart).commit()
        QApplication.processEvents()
    apart = QPoint(100, 0)
    QTest.touchEvent(view.viewport(), device).release(0, middle - apart).release(1, middle + apart).commit()
    assert view.px_per_mm > 1.5 * scale
    assert rig_file.encode(document.job) == before and not view.holding


def test_space_and_a_pull_moves_the_sheet_over_a_body(window: Window) -> None:
    view, document = window.views.side_view, window.document
    at, before = spot(window, view, "boom"), document.pose
    view.setFocus()
    QTest.keyPress(view, Qt.Key.Key_Space)
    centre = view.scene_centre()
    pull(view, at, 40.0, 0.0)
    QTest.keyRelease(view, Qt.Key.Key_Space)
    assert document.pose == before and view.scene_centre().x() < centre.x()
    assert boom_out_m(document.job.rig, document.pose) == boom_out_m(document.job.rig, before)
