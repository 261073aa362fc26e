"""Load chart and reach maps in the window: worked out beside it, shown when they come."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import gated
import pytest
from boxes import open_boxes, press, the_box
from hand import show_tab
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.canvas.reach_layer import washes, words_at
from app.look.theme import LIGHT
from app.shell.panel_registry import CHART
from app.shell.reach_maps import OLD
from app.shell.window import Window
from app.workers import worker_tasks
from engine.planning.reach import COARSE_M, reach_map
from engine.schema.model import Job
from engine.shop.edits import REPLACE
from engine.worst_case.verdict import evaluate

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


def test_reach_maps_come_behind_the_drawing_turn_grey_when_they_are_old_and_go_again(
    make_window: Callable[..., Window], gates: gated.Gates, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(worker_tasks, "reach", gated.reach)
    gates.open()
    window = make_window("tarn_hollow_stone_yard")
    with qtbot.waitSignal(window.commands.reach_maps.shown, timeout=WAIT_MS):
        window.commands.reach_maps.set_wanted(True)
    maps = window.commands.reach_maps
    side_map, plan_map = window.commands.reach_maps.maps
    assert side_map.view == "side" and plan_map.view == "plan"
    hook = window.document.verdict.placed.hook_m
    words = window.commands.reach_maps.words_at(window.views.side_view, hook.x, hook.z)
    assert "Hook here" in words and "Allowed load" in words
    assert window.commands.reach_maps.words_at(window.views.side_view, 99.0, 0.0) == ""
    gates.close()
    window.document.set_pose(REPLACE(window.document.pose, lift_m=window.document.pose.lift_m + 0.1), "Raise")
    assert maps.words_at(window.views.side_view, hook.x, hook.z) == words, "for a moment nothing flashes"
    qtbot.waitUntil(lambda: maps.words_at(window.views.side_view, hook.x, hook.z) == f"{OLD} {words}", timeout=WAIT_MS)
    window.commands.reach_maps.set_wanted(False)
    assert window.commands.reach_maps.maps == (None, None)


def test_a_map_shades_every_cell_it_can_reach_once(boatyard: Job) -> None:
    plan_map = reach_map(boatyard, boatyard.poses[0], "plan", COARSE_M)
    over, allowed = washes(plan_map, LIGHT)
    for row, across in enumerate(plan_map.across_m):
        for column, x in enumerate(plan_map.x_m):
            spot = QPointF(float(x) * 1000.0, -float(across) * 1000.0)
            inside = (over.path.contains(spot), allowed.path.contains(spot))
            reachable, within = bool(plan_map.reachable[row, column]), bool(plan_map.allowed[row, column])
            assert inside == (reachable and not within, reachable and within)
            assert bool(words_at(plan_map, boatyard, float(x), float(across))) == reachable
