"""Side view and plan strip are projected views of one drawing: one scale, one x, whichever of them is moved."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QFont, QWheelEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.canvas.view import DrawingView
from app.documents.document import Document
from app.documents.files import sample_rig
from app.look.theme import DARK, LIGHT
from app.shell.linked_views import LinkedViews
from tests.app.hand import Hand


@pytest.fixture
def document() -> Document:
    return Document(sample_rig("skerry_point_boatyard"))


@pytest.fixture
def views(document: Document, qtbot: QtBot) -> LinkedViews:
    """Both views alone, without a window, showing a pose and its verdict."""
    shown = LinkedViews(document, LIGHT, QFont())
    qtbot.addWidget(shown)
    shown.resize(900, 700)
    shown.show_placed()
    shown.show()
    qtbot.waitExposed(shown)
    shown.show_verdict()
    shown.fit()
    return shown


def wheel(view: DrawingView, at: QPointF, steps: int) -> None:
    """Turn the wheel over a place of a view."""
    event = QWheelEvent(
        at,
        QPointF(view.viewport().mapToGlobal(at.toPoint())),
        QPoint(),
        QPoint(0, 120 * steps),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(view.viewport(), event)


def assert_linked(views: LinkedViews) -> None:
    """Both views have one scale, and one x stands at one place of both, to the pixel."""
    side, plan = views.side_view, views.plan_view
    assert side.px_per_mm == pytest.approx(plan.px_per_mm)
    across = [view.mapFromScene(QPointF(1000.0, view.scene_centre().y())).x() for view in (side, plan)]
    assert abs(across[0] - across[1]) <= 1


@pytest.mark.parametrize("moved", ["side_view", "plan_view"])
def test_zooming_one_view_by_the_wheel_zooms_the_other(views: LinkedViews, moved: str) -> None:
    view: DrawingView = getattr(views, moved)
    before = view.px_per_mm
    wheel(view, QPointF(150.0, 60.0), 3)
    assert view.px_per_mm > 1.5 * before
    assert_linked(views)


@pytest.mark.parametrize("moved", ["side_view", "plan_view"])
def test_a_sheet_pulled_by_hand_takes_the_other_along_in_x_alone(views: LinkedViews, moved: str) -> None:
    view: DrawingView = getattr(views, moved)
    other = views.plan_view if moved == "side_view" else views.side_view
    x, y = other.scene_centre().x(), other.scene_centre().y()
    hand = Hand(view)
    hand.press(QPointF(5.0, 5.0), Qt.MouseButton.MiddleButton)
    hand.move(QPointF(85.0, 45.0))
    hand.release()
    whole_pixels = 4.0 / other.px_per_mm  # each view rounds its own place, before and after
    assert other.scene_centre().x() == pytest.approx(x - 80.0 / other.px_per_mm, abs=whole_pixels)
    assert other.scene_centre().y() == pytest.approx(y, abs=whole_pixels)
    assert_linked(views)


def test_fitted_both_views_show_truck_rig_and_load_whole(views: LinkedViews) -> None:
    wheel(views.side_view, QPointF(20.0, 20.0), 8)
    assert not views.side_view.seen().contains(views.side_drawing.bounds())
    views.fit()
    assert views.side_view.seen().contains(views.side_drawing.bounds())
    assert views.plan_view.seen().contains(views.plan_drawing.bounds())
    assert_linked(views)


@pytest.mark.parametrize("by_hand", [False, True])
def test_another_size_fits_the_drawing_anew_unless_the_sheet_was_moved_by_hand(
    views: LinkedViews, qtbot: QtBot, by_hand: bool
) -> None:
    if by_hand:
        wheel(views.plan_view, QPointF(50.0, 50.0), 1)
    before = views.side_view.px_per_mm
    views.resize(600, 460)
    for _ in range(3):
        QApplication.processEvents()
    assert (views.side_view.px_per_mm == pytest.approx(before)) == by_hand
    assert_linked(views)


def test_a_drag_is_announced_before_it_changes_anything_and_holds_until_it_ends(
    document: Document, views: LinkedViews
) -> None:
    at_first = document.pose
    announced: list[bool] = []
    views.gesture_begins.connect(lambda: announced.append(document.pose == at_first and not views.holding))
    hand = Hand(views.side_view)
    start = hand.handle_spot("boom")
    hand.press(start)
    assert announced == [True] and views.holding
    hand.move(start + QPointF(60.0, 0.0))
    hand.release()
    assert document.pose != at_first and not views.holding and announced == [True]


def test_handles_of_sizes_stand_in_for_those_of_the_pose(views: LinkedViews) -> None:
    def visible() -> set[bool]:
        return {name.startswith("size ") for name, handle in views.side_view.handles.items() if handle.isVisible()}

    assert visible() == {False}
    views.set_sizes(True)
    assert visible() == {True}
    views.take_look(DARK, QFont())
    views.show_verdict()
    assert visible() == {True}


def test_a_measure_is_drawn_in_the_view_it_is_seen_in_and_said(views: LinkedViews) -> None:
    assert views.show_measure("truck.front_track_m.best") == "Front tyre centre to tyre centre."
    assert views.show_measure("truck.wheelbase_m.best") == "Axle centre to axle centre."
    assert views.show_measure("truck.name") == ""


def test_units_are_those_of_the_document_once_they_are_taken(document: Document, views: LinkedViews) -> None:
    assert {ruler.units for ruler in views.rulers} == {"metric"}
    document.set_units("us")
    views.take_units()
    assert {ruler.units for ruler in views.rulers} == {"us"} and views.units == "us"
