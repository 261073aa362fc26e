"""Rear wheels and tip-up: read by pointer and keys, copied with the caution, at one with the block, never empty."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import pyqtgraph as pg
import pytest
from hand import block_words, show_tab
from PySide6.QtCore import QPoint, QSettings, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QScrollArea
from pytestqt.qtbot import QtBot

from app.documents.document import Document
from app.panels.plot import Plot, Point
from app.panels.tipping import TippingPanel
from app.shell.panel_registry import TIPPING
from app.shell.window import Window
from engine.base.caution import CAUTION
from engine.explain.tip_words import ONLY_WHY
from engine.shop.edits import REPLACE
from tests.samples import sample


def tipping_panel(window: Window) -> TippingPanel:
    show_tab(window, "Rear wheels and tip-up")
    QApplication.processEvents()
    return window.panels[TIPPING]


def names_on(plot: Plot) -> dict[str, pg.TextItem]:
    """What is written into a plot."""
    items = plot.view.getPlotItem().items
    return {item.toPlainText(): item for item in items if isinstance(item, pg.TextItem)}


def point_of(plot: Plot, words: str) -> Point:
    return next(point for point in plot.points if point.words.startswith(words))


@pytest.mark.parametrize("name", ["lift", "tip"])
def test_points_are_read_by_pointer_and_by_keys_and_copied_with_the_caution(window: Window, name: str) -> None:
    plot = getattr(tipping_panel(window), name)
    area = window.panels.currentWidget()
    assert isinstance(area, QScrollArea)
    area.ensureWidgetVisible(plot)
    before = window.document.finished
    QTest.keyClick(plot.view, Qt.Key.Key_Right)
    assert plot.reading.text() == plot.points[0].words
    far = plot.points[len(plot.points) // 2]
    spot = plot.spot_of(far).toPoint()
    QTest.mouseMove(plot.view.viewport(), spot)
    assert plot.reading.text() == far.words
    QTest.mouseClick(plot.view.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(spot))
    assert window.document.finished == before, "a load past the allowed one is only read"
    QTest.keyClick(plot.view, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    copied = QGuiApplication.clipboard().mimeData()
    assert copied.hasImage() and CAUTION in copied.text()
    assert all(point.words in copied.text() for point in plot.points)


def test_the_figures_of_now_and_of_the_most_are_those_of_the_block(window: Window) -> None:
    panel = tipping_panel(window)
    rear = block_words(window, "Rear wheels")
    worst, entered = rear.partition(" left")[0], rear.rpartition("as entered ")[2]
    keep = rear.partition("must keep ")[2].splitlines()[0]
    hook_load = block_words(window, "now").rpartition("= hook load ")[2]
    assert point_of(panel.lift, "Now").words == (
        f"Now, hook load {hook_load} kg: {entered} on the rear wheels as entered, {worst} in the worst case; "
        f"{keep} must stay."
    )
    most = block_words(window, "most").rpartition("= hook load ")[2]
    assert point_of(panel.lift, "Planned limit").words.startswith(f"Planned limit, NOT APPROVED, hook load {most} kg: ")
    past = [point for point in panel.lift.points if point.words.endswith("More than may hang.")]
    assert past and min(point.x for point in past) > point_of(panel.lift, "Planned limit").x


def test_the_tip_up_curve_says_that_it_is_not_the_limit(window: Window) -> None:
    panel = tipping_panel(window)
    assert panel.tip_text.startswith(ONLY_WHY)
    assert ONLY_WHY == "The limit is the first lift of a rear wheel; this is only why it goes so fast."
    assert panel.tip.points[0].words.startswith("Lean 0.0°, rear wheels 0 mm up: ")
    assert panel.tip.points[-1].words.endswith("nothing brings it back.")


@pytest.mark.parametrize("text_size", [100, 200])
def test_marks_are_named_and_no_name_lies_on_another(
    make_window: Callable[..., Window], settings: QSettings, text_size: int
) -> None:
    """Now and the most are 5 kg apart here."""
    settings.setValue("text_size", text_size)
    plot = tipping_panel(make_window()).lift
    plot.grab()
    names = names_on(plot)
    assert set(names) == {"now", "most", "must keep", "tips", "as entered", "worst case"}
    rects = [item.sceneBoundingRect() for item in names.values()]
    assert not any(one.adjusted(3, 3, -3, -3).intersects(other) for one, other in itertools.combinations(rects, 2))
    view = plot.view.getViewBox().sceneBoundingRect().adjusted(-4, -4, 4, 4)
    assert [name for name, rect in zip(names, rects, strict=True) if not view.contains(rect)] == []


def test_without_a_verdict_what_is_missing_is_said_once_and_no_plot_is_empty(window: Window) -> None:
    panel = tipping_panel(window)
    assert panel.lift.isVisible() and panel.tip.isVisible()
    window.document.set_value("truck.plate", None, "Lose the plate")
    QApplication.processEvents()
    assert panel.lift_text.startswith("No curve: there is no verdict on this pose. There is no plate.")
    assert panel.tip_text == "" and not panel.lift.isVisible() and not panel.tip.isVisible()
    window.document.undo_stack.undo()
    QApplication.processEvents()
    assert panel.lift.isVisible() and panel.tip.isVisible() and "tips at a hook load" in panel.lift_text


def test_a_load_that_tips_the_truck_is_told_and_leaves_no_tip_up_curve(window: Window) -> None:
    panel = tipping_panel(window)
    window.document.set_value("load.mass_kg.best", 1500.0, "Hang far too much")
    QApplication.processEvents()
    assert "What hangs now tips it, as entered." in panel.lift_text
    assert panel.tip_text.startswith("No curve: the rear wheels are off the floor already")
    assert not panel.tip.isVisible() and "now" not in names_on(panel.lift)


def test_a_side_line_that_comes_first_is_named_with_both_curves(make_window: Callable[..., Window]) -> None:
    panel = tipping_panel(make_window("pippin_and_rook_cider"))
    assert "as entered over the left side line" in panel.lift_text
    assert "More load tips this truck over the left side line first" in panel.tip_text
    assert {"must keep", "tips"} <= set(names_on(panel.lift)), "the line is named where no mark is on it"


def test_parts_that_are_not_entered_are_told_beside_the_most(make_window: Callable[..., Window]) -> None:
    job = sample("skerry_point_boatyard")
    open_job = REPLACE(job, rig=REPLACE(job.rig, saddles=REPLACE(job.rig.saddles, strap_make=None)))
    panel = tipping_panel(make_window(document=Document(open_job)))
    assert "NOT PROVEN: these loads count only the parts entered." in panel.lift_text


def test_us_units_reach_axes_and_words(window: Window, qtbot: QtBot) -> None:
    panel = tipping_panel(window)
    window.document.set_units("us")
    qtbot.waitUntil(lambda: " lb in the worst case" in panel.lift_text, timeout=2000)
    assert "ft-lbf" in panel.tip_text and "lbf-ft bring it back" in panel.tip.points[3].words
    for plot, side, label in (
        (panel.lift, "left", ", lb"),
        (panel.tip, "left", ", lbf-ft"),
        (panel.tip, "top", ", in"),
    ):
        assert plot.view.getAxis(side).labelText.endswith(label)


def test_the_closed_section_says_at_what_load_the_truck_tips(window: Window) -> None:
    show_tab(window, "Weigh-up")
    QApplication.processEvents()
    lines = [head.line for index, head in window.panels.heads if window.panels.tabText(index) == TIPPING.name]
    assert lines == ["tips at 881 kg of load in the worst case"]
