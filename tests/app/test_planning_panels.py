"""Load chart and reach maps in the window: worked out beside it, shown when they come."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
from hand import show_tab
from PySide6.QtCore import QPointF
from pytestqt.qtbot import QtBot

from app.canvas.reach_layer import washes, words_at
from app.look.theme import LIGHT
from app.shell.panel_registry import CHART
from app.shell.window import Window
from engine.planning.reach import COARSE_M, reach_map
from engine.schema.model import Job
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
    row, column = next(
        (row, column)
        for row in range(len(chart.hook_heights_m))
        for column in range(1, len(chart.holes))
        if chart.allowed_kg[0, column, row] > 0.0
    )
    shown = panel.table.item(row, column).text()
    assert shown.split("\n")[0].replace("\u202f", "") == f"{math.floor(chart.allowed_kg[0, column, row])} kg"
    panel.set_pose_of(row, column)
    pose = charted.document.pose
    assert pose.hole == chart.holes[column]
    verdict = evaluate(charted.document.job, pose)
    assert verdict.allowed_load_kg == pytest.approx(float(chart.allowed_kg[0, column, row]), rel=1e-3)
    assert verdict.placed.hook_m.z == pytest.approx(chart.hook_heights_m[row], abs=1e-6)
    assert charted.document.undo_stack.count() == 1


def test_the_chart_is_exported_with_units_and_caution(charted: Window, tmp_path: Path) -> None:
    path = tmp_path / "chart.csv"
    charted.panels[CHART].export(path)
    text = path.read_text(encoding="utf-8")
    assert text.lstrip('"').startswith("WARNING")
    assert "NOT APPROVED" in text
    assert "kg" in text
    charted.panels[CHART].export(tmp_path / "no such folder" / "x.csv")
    assert "NOT written" in charted.notice.text()


def test_a_missing_plate_gives_no_chart_but_the_reason(charted: Window, qtbot: QtBot) -> None:
    with qtbot.waitSignal(charted.panels[CHART].background.answered, timeout=WAIT_MS):
        charted.document.set_value("truck.plate", None, "plate not known")
    assert charted.panels[CHART].table.rowCount() == 0
    assert "Without a plate" in charted.panels[CHART]._state.text()


def test_reach_maps_come_behind_the_drawing_and_go_again(make_window: Callable[..., Window], qtbot: QtBot) -> None:
    window = make_window("tarn_hollow_stone_yard")
    with qtbot.waitSignal(window.commands.reach_maps.shown, timeout=WAIT_MS):
        window.commands.reach_maps.set_wanted(True)
    side_map, plan_map = window.commands.reach_maps.maps
    assert side_map.view == "side" and plan_map.view == "plan"
    hook = window.document.verdict.placed.hook_m
    words = window.commands.reach_maps.words_at(window.views.side_view, hook.x, hook.z)
    assert "Hook here" in words and "Allowed load" in words
    assert window.commands.reach_maps.words_at(window.views.side_view, 99.0, 0.0) == ""
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
