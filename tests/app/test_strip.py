"""The strip under the side view: the plan, or a part of the section that is open in its place."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import gated
import pyqtgraph as pg
import pytest
from hand import show_tab
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from app.documents.document import Document
from app.look.theme import LIGHT
from app.panels.ribbon import Ribbon
from app.shell.panel_registry import CHART, MOVE
from app.shell.window import Window
from app.workers import worker_tasks
from engine.planning.move import plan as plan_of
from engine.schema.model import Move
from engine.shop.edits import REPLACE
from tests.samples import sample

WAIT_MS = 60_000


@pytest.fixture
def moving(
    make_window: Callable[..., Window], gates: gated.Gates, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> Window:
    """A window with a short raise worked out and its section open."""
    job = sample("tarn_hollow_stone_yard")
    (pose, *_) = job.poses
    poses = (pose, REPLACE(pose, name="up", lift_m=pose.lift_m + 0.02))
    job = REPLACE(job, poses=poses, moves=(Move(name="up", poses=(pose.name, "up")),))
    gates.keep(plan_of(job, job.moves[0]))
    monkeypatch.setattr(worker_tasks, "plan", gated.kept_plan)
    window = make_window(document=Document(job))
    with qtbot.waitSignal(window.panels[MOVE].background.answered, timeout=WAIT_MS):
        show_tab(window, "Move A to B")
    QApplication.processEvents()
    return window


def ribbon_of(window: Window) -> Ribbon:
    made = window.panels[MOVE].ribbon
    assert made is not None
    return made


def test_the_ribbon_takes_the_plans_place_over_the_whole_width_and_gives_it_back(moving: Window) -> None:
    views, ribbon = moving.views, ribbon_of(moving)
    assert ribbon.isVisible() and views.plan_view.isHidden()
    assert ribbon.width() > 0.95 * views.width() and ribbon.mapTo(views, ribbon.rect().topLeft()).y() > 0
    QTest.mouseClick(views.strip.swap_button, Qt.MouseButton.LeftButton)
    assert views.plan_view.isVisible() and moving.panels.isAncestorOf(ribbon) and ribbon.isVisible()
    QTest.keyClick(views.strip.swap_button, Qt.Key.Key_Space)
    assert views.plan_view.isHidden() and views.isAncestorOf(ribbon)
    show_tab(moving, "Stance")
    assert views.plan_view.isVisible() and not views.isAncestorOf(ribbon) and views.strip.swap_button.isHidden()


def test_where_the_strip_is_folded_the_ribbon_stands_in_its_panel(moving: Window) -> None:
    views, ribbon = moving.views, ribbon_of(moving)
    assert views.strip.bar.text() == "Move"
    QTest.mouseClick(views.strip.bar, Qt.MouseButton.LeftButton)
    QApplication.processEvents()
    assert moving.panels.isAncestorOf(ribbon) and ribbon.isVisible() and ribbon.view.height() >= 100
    QTest.mouseClick(views.strip.bar, Qt.MouseButton.LeftButton)
    assert views.isAncestorOf(ribbon) and ribbon.isVisible()


def test_f6_goes_from_the_side_view_to_the_ribbon(moving: Window) -> None:
    moving.views.side_view.setFocus()
    QTest.keyClick(moving, Qt.Key.Key_F6)
    assert ribbon_of(moving).isAncestorOf(moving.focusWidget())
    QTest.keyClick(moving.focusWidget(), Qt.Key.Key_End)
    assert moving.panels[MOVE].place == 1.0


# ---------------------------------------------------------------- the load chart


@pytest.fixture
def charted(
    make_window: Callable[..., Window], gates: gated.Gates, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> Window:
    """A window with the least load chart there can be."""
    monkeypatch.setattr(worker_tasks, "chart", gated.chart)
    for _ in range(3):
        gates.open()
    window = make_window("tarn_hollow_stone_yard")
    with qtbot.waitSignal(window.panels[CHART].background.answered, timeout=WAIT_MS):
        show_tab(window, "Load chart")
    QApplication.processEvents()
    return window


def test_the_curves_take_the_plans_place_and_the_side_views_as_well(charted: Window) -> None:
    """By Ctrl+Enter and by the corner button; the table stays in the panel."""
    views, panel = charted.views, charted.panels[CHART]
    plot, table = panel.view.plot, panel.view.table
    assert views.isAncestorOf(plot) and views.plan_view.isHidden() and views.side_view.isVisible()
    assert plot.width() > 0.95 * views.width() and charted.panels.isAncestorOf(table) and table.isVisible()
    height = plot.height()
    QTest.keyClick(plot.view, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    QApplication.processEvents()
    assert views.side_view.isHidden() and plot.height() > 2 * height and plot.view.hasFocus()
    QTest.keyClick(plot.view, Qt.Key.Key_Right)
    assert plot.reading.text() == plot.points[0].words
    QTest.mouseClick(views.strip.grow_button, Qt.MouseButton.LeftButton)
    QApplication.processEvents()
    assert views.side_view.isVisible() and abs(plot.height() - height) < 20
    show_tab(charted, "Every limit")
    assert views.plan_view.isVisible() and not views.isAncestorOf(plot) and views.strip.grow_button.isHidden()


def test_a_grown_chart_is_left_with_its_section_and_keeps_a_folded_strip_folded(charted: Window) -> None:
    views, plot = charted.views, charted.panels[CHART].view.plot
    QTest.mouseClick(views.strip.bar, Qt.MouseButton.LeftButton)
    assert charted.panels.isAncestorOf(plot) and plot.isVisible()
    for place in (views, charted.panels):
        QTest.keyClick(charted, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        assert place.isAncestorOf(plot) and plot.isVisible()
    QTest.keyClick(charted, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    show_tab(charted, "Every limit")
    assert views.side_view.isVisible() and views.strip.folded and views.plan_view.isHidden()


def test_old_curves_are_grey_and_say_so(charted: Window, gates: gated.Gates, qtbot: QtBot) -> None:
    plot = charted.panels[CHART].view.plot
    assert not plot.is_old and plot.points
    gates.close()
    charted.document.set_value("load.mass_kg.best", 90.0, "A lighter load")
    qtbot.waitUntil(lambda: plot.is_old, timeout=WAIT_MS)
    (said,) = [label for label in plot.view.findChildren(QLabel) if label.isVisible()]
    assert said.text() == "before the last change"
    faint = QColor(LIGHT.faint_ink)
    lines = [item for item in plot.view.getPlotItem().items if isinstance(item, pg.PlotDataItem)]
    assert lines and all(item.opts["pen"].color() == faint for item in lines)
    gates.open()
    qtbot.waitUntil(lambda: not plot.is_old, timeout=WAIT_MS)
    assert said.isHidden()


def test_the_side_view_is_never_squeezed_by_the_chart(charted: Window) -> None:
    """Where both would not fit, the curves stay in their panel; Ctrl+Enter still gives them the whole drawing."""
    views, plot = charted.views, charted.panels[CHART].view.plot
    charted.appearance.set_text_size(200)
    for _ in range(3):
        QApplication.processEvents()
    charted.resize(1280, 800)
    QApplication.processEvents()
    assert views.strip.folded and views.strip.bar.text() == "Plan"
    QTest.mouseClick(views.strip.bar, Qt.MouseButton.LeftButton)
    QTest.qWait(20)
    seen_px = views.side_view.height() + views.plan_view.height()
    assert charted.height() == 800 and views.side_view.height() >= 170 and seen_px >= 0.4 * 800
    assert views.plan_view.isVisible() and charted.panels.isAncestorOf(plot) and views.strip.swap_button.isHidden()
    QTest.keyClick(charted, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert views.isAncestorOf(plot) and views.side_view.isHidden()
    QTest.mouseClick(views.strip.swap_button, Qt.MouseButton.LeftButton)
    assert views.plan_view.isVisible() and views.side_view.isVisible() and charted.panels.isAncestorOf(plot)
    charted.appearance.set_text_size(100)
    QApplication.processEvents()
    QTest.mouseClick(views.strip.swap_button, Qt.MouseButton.LeftButton)
    assert views.isAncestorOf(plot) and views.side_view.isVisible()


@pytest.mark.parametrize("tall", [800, 860])
def test_larger_text_leaves_the_window_of_a_chart_as_large_as_it_is(charted: Window, tall: int) -> None:
    """The chart goes back to its panel first."""
    charted.resize(1280, tall)
    QTest.qWait(20)
    assert charted.views.isAncestorOf(charted.panels[CHART].view.plot)
    for percent in (125, 150, 175, 200):
        charted.appearance.set_text_size(percent)
        QTest.qWait(20)
        assert charted.size() == QSize(1280, tall), percent
    charted.appearance.set_text_size(100)
    QTest.qWait(20)
    charted.appearance.set_text_size(200)
    QTest.qWait(20)
    assert charted.size() == QSize(1280, tall)
    assert charted.panels.isAncestorOf(charted.panels[CHART].view.plot)


@pytest.mark.parametrize(("wide", "tall", "text_size"), [(1280, 800, 100), (900, 800, 100), (1280, 1060, 200)])
def test_words_on_the_low_curves_stand_apart_and_whole(charted: Window, wide: int, tall: int, text_size: int) -> None:
    """Three curves on each other end at one place: their names stand one over the other, led where they stand off."""
    charted.resize(wide, tall)
    charted.appearance.set_text_size(text_size)
    charted.views.strip.fold_by_hand(folded=False)
    QTest.qWait(20)
    plot = charted.panels[CHART].view.plot
    assert charted.views.isAncestorOf(plot)
    named = [item for item in plot.view.getPlotItem().items if isinstance(item, pg.TextItem)]
    words = [item.toPlainText() for item in named]
    assert {"A", "B", "C"} <= set(words) or {"first", "second", "third"} <= set(words), words
    rects = [item.mapRectToScene(item.boundingRect()).adjusted(1.0, 1.0, -1.0, -1.0) for item in named]
    assert not any(one.intersects(other) for one, other in itertools.combinations(rects, 2)), words
    box = plot.view.getViewBox().sceneBoundingRect()
    assert all(box.contains(rect) for rect in rects)
    for side in ("left", "bottom"):
        label = plot.view.getAxis(side).label
        margin_px = label.document().documentMargin()
        said = label.sceneBoundingRect().adjusted(margin_px, margin_px, -margin_px, -margin_px)
        assert plot.view.sceneRect().contains(said), (side, label.toPlainText())
        assert side != "left" or label.toPlainText().split() == ["allowed", "load,", "kg"]
    assert plot.view.geometry().bottom() < plot.reading.geometry().top()
    assert plot.reading.geometry().bottom() <= plot.height() and plot.reading.toolTip() == plot.reading.text()


def test_until_there_is_a_chart_no_empty_box_stands_for_it(
    make_window: Callable[..., Window], gates: gated.Gates, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plan keeps its place, a line in the panel says that work goes on, and there is nothing to make larger."""
    monkeypatch.setattr(worker_tasks, "chart", gated.chart)
    window = make_window("tarn_hollow_stone_yard")
    show_tab(window, "Load chart")
    views, panel = window.views, window.panels[CHART]
    view = panel.view
    qtbot.waitUntil(panel.waiting.isVisible, timeout=WAIT_MS)
    assert panel.waiting.line.text().startswith("Load chart: ")
    QTest.keyClick(window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert views.plan_view.isVisible() and views.side_view.isVisible() and not views.strip.grown
    assert views.strip.swap_button.isHidden() and views.strip.bar.text() == "Plan"
    boxes = (view.plot.view, view.table, view.arm_set, view.height_choice)
    assert not any(box.isVisible() for box in boxes)
    panel.show_own_window()
    assert panel.own_window is not None and "being worked out" in panel.own_window.state.text()
    assert not panel.own_window.table.isVisible()
    gates.open()
    qtbot.waitUntil(lambda: bool(view.plot.points), timeout=WAIT_MS)
    assert all(box.isVisible() for box in boxes) and views.isAncestorOf(view.plot) and views.plan_view.isHidden()
    assert panel.own_window.table.isVisible() and not panel.own_window.state.isVisible()
    panel.own_window.close()
    window.document.set_value("truck.plate", None, "plate not known")
    for _ in range(2):
        gates.open()
    qtbot.waitUntil(lambda: "Without a plate" in view.state.text(), timeout=WAIT_MS)
    assert not any(box.isVisible() for box in boxes) and views.plan_view.isVisible()


def test_the_note_takes_a_line_of_its_own_or_stands_on_the_bar_while_it_says_something(
    make_window: Callable[..., Window],
) -> None:
    window = make_window("skerry_point_boatyard")
    bar, notice = window.views.strip.bar, window.notice
    assert (
        notice.isVisible()
        and notice.mapTo(window, notice.rect().topLeft()).y() > bar.mapTo(window, bar.rect().topLeft()).y()
    )
    window.appearance.set_text_size(200)
    QTest.qWait(20)
    height, width = window.views.side_view.height(), bar.width()
    assert notice.isHidden()
    notice.tell("Not saved")
    QTest.qWait(20)
    assert notice.isVisible() and notice.geometry().center().y() == bar.geometry().center().y() and bar.width() < width
    assert window.views.side_view.height() == height
    notice.tell("")
    QTest.qWait(20)
    assert notice.isHidden() and bar.width() == width
    window.appearance.set_text_size(100)
    QTest.qWait(20)
    assert notice.isVisible()
