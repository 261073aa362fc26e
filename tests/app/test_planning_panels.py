"""Load chart and reach maps in the window: worked out beside it, shown when they come."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from pathlib import Path

import gated
import pytest
from boxes import open_boxes, press, the_box
from hand import Hand, show_tab
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.canvas.reach_layer import washes, words_at
from app.look.theme import LIGHT
from app.panels import waiting
from app.shell.panel_registry import CHART, RACK, TABS
from app.shell.reach_maps import OLD
from app.shell.window import Window
from app.workers import worker_tasks
from app.workers.background import MARK_MS
from engine.planning.reach import reach_map
from engine.schema.model import Job
from engine.worst_case.verdict import evaluate

CELL_M = 0.20

WAIT_MS = 120_000


@pytest.fixture
def charted(make_window: Callable[..., Window], qtbot: QtBot) -> Window:
    """A window on the plainest rig with its chart worked out."""
    window = make_window("tarn_hollow_stone_yard")
    with qtbot.waitSignal(window.panels[CHART].background.answered, timeout=WAIT_MS):
        show_tab(window, "Load chart")
    return window


def test_the_chart_shows_what_the_engine_allows_rounded_down_and_a_cell_sets_its_pose(charted: Window) -> None:
    panel, chart = charted.panels[CHART], charted.panels[CHART].chart
    table = panel.view.table
    row, column = next(
        (row, column)
        for column, span in enumerate(table.spans)
        for row in range(1, len(chart.holes))
        if chart.allowed_kg[0, row, span[0]] > 0.0
    )
    for height in table.spans[column]:
        text = table.item(row, column).text().replace("\u202f", "")
        assert text.startswith(f"{math.floor(chart.allowed_kg[0, row, height])} kg")
    spot = table.visualItemRect(table.item(row, column)).center()
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    pose = charted.document.pose
    assert pose.hole == chart.holes[row]
    verdict = evaluate(charted.document.job, pose)
    hook_m = pytest.approx(verdict.placed.hook_m.z)
    height = next(at for at in table.spans[column] if chart.hook_heights_m[at] == hook_m)
    assert verdict.allowed_load_kg == pytest.approx(float(chart.allowed_kg[0, row, height]), rel=1e-3)
    assert charted.document.undo_stack.count() == 1


def test_the_chart_is_exported_with_units_and_caution(charted: Window, tmp_path: Path) -> None:
    path = tmp_path / "chart.csv"
    charted.panels[CHART].export(path)
    text = path.read_text(encoding="utf-8")
    assert text.lstrip('"').startswith("WARNING")
    assert "NOT APPROVED" in text
    assert "kg" in text
    charted.panels[CHART].export(tmp_path / "later" / "x.csv")
    assert "NOT written" in charted.notice.text() and "This place is not there" in the_box(charted).informativeText()
    (tmp_path / "later").mkdir()
    press(the_box(charted), "Try again")
    assert (tmp_path / "later" / "x.csv").read_text(encoding="utf-8") == text and not open_boxes(charted)


def test_a_missing_plate_gives_no_chart_but_the_reason(charted: Window, qtbot: QtBot) -> None:
    with qtbot.waitSignal(charted.panels[CHART].background.answered, timeout=WAIT_MS):
        charted.document.set_value("truck.plate", None, "plate not known")
    assert charted.panels[CHART].view.table.rowCount() == 0
    assert "Without a plate" in charted.panels[CHART].view.state.text()


def test_reach_maps_come_in_ever_smaller_cells_can_be_stopped_and_turn_grey_when_they_are_old(
    make_window: Callable[..., Window], gates: gated.Gates, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(worker_tasks, "reach", gated.reach)
    monkeypatch.setattr(waiting, "BAR_MS", MARK_MS)
    window = make_window("tarn_hollow_stone_yard")
    views, maps = window.views, window.commands.reach_maps
    views.side_view.setFocus()
    QTest.keyClick(views.side_view, Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)
    gates.open()
    qtbot.waitUntil(lambda: "side view, cells of 100 mm" in maps.waiting.line.text(), timeout=WAIT_MS)
    assert [reach.view for reach in maps.maps] == ["side", "plan"] and maps.maps[0].cell_m == 0.2
    assert maps.waiting.bar.isVisible() and maps.waiting.line.toolTip() == maps.waiting.line.text()
    hook = window.document.verdict.placed.hook_m
    words = maps.words_at(views.side_view, hook.x, hook.z)
    assert words.startswith("Hook here")
    assert maps.words_at(views.side_view, 99.0, 0.0) == ""
    QTest.keyClick(views.plan_view, Qt.Key.Key_Tab)
    QTest.keyClick(views.plan_view, Qt.Key.Key_Escape)
    assert maps.background.asks, "the first Esc lets go of what the keyboard holds"
    QTest.keyClick(views.plan_view, Qt.Key.Key_Escape)
    assert maps.waiting.line.text() == waiting.STOPPED and not maps.background.asks
    assert maps.words_at(views.side_view, hook.x, hook.z) == words, "what has come stays"
    gates.close()
    before = window.document.pose
    hand = Hand(views.side_view)
    hand.drag("lift", 0.0, -20.0)
    assert window.document.pose != before and maps.background.asks
    assert maps.words_at(views.side_view, hook.x, hook.z) == words, "for a moment nothing flashes"
    qtbot.waitUntil(lambda: maps.words_at(views.side_view, hook.x, hook.z) == f"{OLD} {words}", timeout=WAIT_MS)
    qtbot.waitUntil(maps.waiting.stop_button.isVisible, timeout=WAIT_MS)
    views.side_view.setFocus()
    QTest.mouseClick(maps.waiting.stop_button, Qt.MouseButton.LeftButton)
    assert maps.waiting.line.text() == f"{waiting.STOPPED} {waiting.OLD}" and views.side_view.hasFocus()
    assert maps.words_at(views.side_view, hook.x, hook.z) == f"{OLD} {words}"
    shown = drawing_in(window, window.commands.pictures.picture.image(2))
    window.commands.pictures.copy()
    copied = drawing_in(window, QGuiApplication.clipboard().image())
    QTest.mouseClick(maps.waiting.again_button, Qt.MouseButton.LeftButton)
    assert maps.background.asks
    QTest.keyClick(views.side_view, Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)
    assert maps.maps == (None, None) and maps.waiting.isHidden() and not maps.background.asks
    without = drawing_in(window, window.commands.pictures.picture.image(2))
    assert copied == without != shown, "maps that are old or not whole are in no picture"


def drawing_in(window: Window, picture: QImage) -> QImage:
    """The side view in a picture twice as fine as on the screen."""
    above = window.banner.height() + window.block.height()
    at = window.views.side_view.geometry().translated(0, above)
    return picture.copy(2 * at.x(), 2 * at.y(), 2 * at.width(), 2 * at.height())


def test_one_process_answers_all_that_a_window_asks_but_the_search_of_the_rack(window: Window) -> None:
    shared = window.panels.process
    assert window.commands.reach_maps.background.process is shared
    assert window.commands.explanations.reason.background.process is shared
    for tab in TABS:
        background = getattr(window.panels[tab], "background", None)
        assert background is None or (background.process is shared) == (tab is not RACK), tab.name


def test_a_map_shades_every_cell_it_can_reach_once(boatyard: Job) -> None:
    plan_map = reach_map(boatyard, boatyard.poses[0], "plan", CELL_M)
    over, allowed = washes(plan_map, LIGHT)
    for row, across in enumerate(plan_map.across_m):
        for column, x in enumerate(plan_map.x_m):
            spot = QPointF(float(x) * 1000.0, -float(across) * 1000.0)
            inside = (over.path.contains(spot), allowed.path.contains(spot))
            reachable, within = bool(plan_map.reachable[row, column]), bool(plan_map.allowed[row, column])
            assert inside == (reachable and not within, reachable and within)
            words = words_at(plan_map, boatyard, float(x), float(across))
            assert words.startswith("Hook here") == reachable and (not within or "Allowed load" in words)


@pytest.mark.parametrize("text_size", [100, 200])
def test_what_is_said_of_the_map_covers_nothing_and_moves_nothing(
    make_window: Callable[..., Window],
    gates: gated.Gates,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    text_size: int,
) -> None:
    """It stands in one row on the bar under the drawing, beside the bar's own words, and is cut there."""
    monkeypatch.setattr(worker_tasks, "reach", gated.reach)
    monkeypatch.setattr(waiting, "BAR_MS", MARK_MS)
    window = make_window("tarn_hollow_stone_yard")
    window.resize(1280, 800)
    window.appearance.set_text_size(text_size)
    QTest.qWait(20)
    views, said = window.views, window.commands.reach_maps.waiting
    before = views.side_view.geometry()
    QTest.keyClick(views.side_view, Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(said.stop_button.isVisible, timeout=WAIT_MS)
    QTest.qWait(20)
    assert views.side_view.geometry() == before
    on_bar = [views.strip.bar.geometry(), said.geometry()]
    seen = [view.geometry() for view in (views.side_view, views.plan_view) if view.isVisible()]
    assert not any(one.intersects(other) for one, other in itertools.combinations([*on_bar, *seen], 2))
    assert said.line.width() > 10 * said.fontMetrics().averageCharWidth() and said.height() == views.strip.bar.height()
    assert views.strip.bar.width() >= views.strip.bar.minimumSizeHint().width()
