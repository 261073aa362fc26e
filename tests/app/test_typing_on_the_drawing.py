"""Typing straight into a figure on the drawing, and the list of keys."""

from __future__ import annotations

import pytest
from hand import Hand
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.canvas.marks import Tag
from app.shell.window import Window


def double_click(window: Window, tag: Tag) -> None:
    """Double-click the middle of a tag, with the events a mouse sends."""
    view, hand = window.views.side_view, Hand(window.views.side_view)
    spot = tag.screen_rect(view.px_per_mm).center() / view.px_per_mm
    at = QPointF(view.mapFromScene(spot))
    left = Qt.MouseButton.LeftButton
    hand.press(at)
    hand.release(at)
    hand.send(QEvent.Type.MouseButtonDblClick, at, left, left)
    QApplication.processEvents()


def type_and_enter(window: Window, text: str) -> None:
    field = window.commands.figure_field.field
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def test_a_dimension_is_double_clicked_and_typed_in_any_unit(window: Window) -> None:
    double_click(window, window.views.side_drawing.dimension_tag("height"))
    type_and_enter(window, "8 ft 6-1/2 in")
    assert window.document.verdict.placed.hook_m.z == pytest.approx(102.5 * 0.0254, abs=1e-3)
    assert window.commands.figure_field.field is None
    assert window.document.undo_stack.count() == 1


def test_the_hole_is_typed_on_its_tag(window: Window) -> None:
    double_click(window, window.views.side_drawing.tag("pin"))
    type_and_enter(window, "9")
    assert window.document.pose.hole == 9


def test_the_load_s_weight_is_typed_on_its_tag(window: Window) -> None:
    tag = window.views.side_drawing._labels._centre_tags["load"]
    assert "+12 rigging" in tag.text
    shown = window.panels.shown
    double_click(window, tag)
    type_and_enter(window, "150")
    assert window.document.job.load.mass_kg.best == 150.0 and window.document.undo_stack.count() == 1
    assert tag.text.startswith("load 150 kg") and window.panels.shown is shown


def test_the_slope_is_typed_on_its_tag_known_or_not(window: Window) -> None:
    document, tag = window.document, window.views.side_drawing.tag("floor")
    at = next(at for at, floor in enumerate(document.job.floors) if floor.name == document.pose.floor)
    double_click(window, tag)
    type_and_enter(window, "2")
    assert document.job.floors[at].fall_along.best == pytest.approx(0.02)
    document.set_value(f"floors[{at}].fall_along", None, "not known")
    double_click(window, tag)
    type_and_enter(window, "1.5")
    assert document.job.floors[at].fall_along.best == pytest.approx(0.015)


def test_a_wrong_figure_is_explained_and_stays_until_it_is_left(window: Window) -> None:
    before = window.document.job
    double_click(window, window.views.side_drawing.dimension_tag("height"))
    type_and_enter(window, "12 kg")
    assert "not a length" in window.notice.text()
    assert window.commands.figure_field.field is not None
    window.commands.figure_field.close()
    assert window.document.job == before


def test_what_was_meant_is_offered_under_the_figure(window: Window) -> None:
    double_click(window, window.views.side_drawing.dimension_tag("height"))
    type_and_enter(window, "8 ft 3.5 in")
    double_click(window, window.views.side_drawing.dimension_tag("height"))
    type_and_enter(window, "8 ft 14 in")
    note = window.commands.figure_field.field.note
    assert note.isVisible() and note.height() > 20
    (button,) = note.buttons
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert window.document.verdict.placed.hook_m.z == pytest.approx(110.0 * 0.0254, abs=1e-3)
    assert window.commands.figure_field.field is None


def test_a_double_click_elsewhere_opens_nothing(window: Window) -> None:
    hand = Hand(window.views.side_view)
    hand.send(QEvent.Type.MouseButtonDblClick, QPointF(5.0, 5.0), Qt.MouseButton.LeftButton, Qt.MouseButton.LeftButton)
    hand.release(QPointF(5.0, 5.0))
    assert window.commands.figure_field.field is None


def test_every_key_of_the_menus_is_listed_in_one_place(window: Window) -> None:
    window.commands.show_keys()
    for action in window.findChildren(type(window.commands.unit_actions["us"])):
        if not action.shortcut().isEmpty() and action.text():
            assert action.text().replace("&", "") in window.commands.keys.text
    assert "double click a figure" in window.commands.keys.text
    window.commands.keys.reject()
