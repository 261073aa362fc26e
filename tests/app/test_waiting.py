"""Long work says how far it has come, hands over what it has, and can be stopped; stale parts are dropped."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import gated
import numpy as np
import pytest
from hand import show_tab
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QListWidget, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.panels.waiting import BAR_MS, OLD, STOPPED, Waiting
from app.shell.panel_registry import CHART
from app.shell.window import Window
from app.start import run
from app.workers import worker_tasks
from app.workers.background import Background
from app.workers.working_process import WorkingProcess
from engine.shop.edits import REPLACE

WAIT_MS = 60_000


def test_a_wait_shows_a_mark_then_a_bar_and_esc_stops_it(
    process: WorkingProcess, gates: gated.Gates, qtbot: QtBot
) -> None:
    background = Background()
    background.share_process(process)
    panel, rows = QWidget(), QListWidget()
    waiting = Waiting(background, "Count", answers=(rows,), again=lambda: background.ask(gated.at_once, "again"))
    column = QVBoxLayout(panel)
    column.addWidget(waiting)
    column.addWidget(rows)
    qtbot.addWidget(panel)
    panel.show()
    background.ask(gated.count, "more", 3)
    assert waiting.isHidden(), "an answer that comes at once flashes nothing"
    qtbot.waitUntil(lambda: not waiting.isHidden(), timeout=WAIT_MS)
    assert waiting.bar.isHidden() and waiting.line.text() == f"Count: working. {OLD}" and rows.property("stale")
    gates.open()
    qtbot.waitUntil(lambda: waiting.bar.isVisible() and "more, 1 of 3" in waiting.line.text(), timeout=WAIT_MS)
    assert waiting.bar.value() / waiting.bar.maximum() == pytest.approx(1 / 3, abs=0.01)
    assert not rows.property("stale") and OLD not in waiting.line.text(), "a part has taken the old answer's place"
    QTest.keyClick(rows, Qt.Key.Key_Escape)
    assert waiting.line.text() == STOPPED and waiting.isVisible() and waiting.bar.isHidden() and not background.asks
    with qtbot.waitSignal(background.answered, timeout=WAIT_MS):
        waiting.again_button.click()
    assert waiting.isHidden() and not waiting.was_stopped
    gates.close()
    background.ask(gated.count, "other", 3)
    qtbot.waitUntil(lambda: bool(rows.property("stale")), timeout=WAIT_MS)
    QTest.keyClick(rows, Qt.Key.Key_Escape)
    assert waiting.line.text() == f"{STOPPED} {OLD}" and rows.property("stale"), "nothing new has come"


def test_a_picture_waits_for_its_answer_and_shows_the_bar_where_that_takes_too_long(
    make_window: Callable[..., Window], gates: gated.Gates, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(worker_tasks, "chart", gated.chart)
    monkeypatch.setattr(run, "ANSWER_MS", BAR_MS + 200)
    window = make_window("tarn_hollow_stone_yard")
    show_tab(window, "Load chart")
    panel = window.panels[CHART]
    run.wait_for_answer(window, "Load chart")
    assert panel.waiting.bar.isVisible() and panel.chart is None
    for _ in range(3):
        gates.open()
    monkeypatch.setattr(run, "ANSWER_MS", WAIT_MS)
    run.wait_for_answer(window, "Load chart")
    assert panel.chart is not None and len(panel.chart.arm_sets) == 3 and panel.waiting.isHidden()


def test_a_slow_chart_comes_by_arm_sets_and_a_stopped_one_is_not_written_down(
    make_window: Callable[..., Window],
    gates: gated.Gates,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    monkeypatch.setattr(worker_tasks, "chart", gated.chart)
    window = make_window("tarn_hollow_stone_yard")
    show_tab(window, "Load chart")
    panel, document = window.panels[CHART], window.document
    gates.open()
    qtbot.waitUntil(lambda: panel.view.arm_set.count() == 1 and panel.view.table.rowCount() > 0, timeout=WAIT_MS)
    qtbot.waitUntil(
        lambda: "second, 2 of 3" in panel.waiting.line.text() and panel.waiting.bar.isVisible(), timeout=WAIT_MS
    )
    before = panel.chart
    assert before is not None
    document.set_pose(REPLACE(document.pose, tilt_rad=document.pose.tilt_rad + 0.02), "Tilt")
    assert panel.chart is None and panel.view.table.rowCount() == 0, "rows of the pose before are no answer"
    gates.open()
    qtbot.waitUntil(lambda: panel.chart is not None and panel.view.arm_set.count() == 2, timeout=WAIT_MS)
    after = panel.chart
    assert after is not None and not np.array_equal(after.reach_m[0], before.reach_m[0], equal_nan=True)
    QTest.keyClick(panel.view.table, Qt.Key.Key_Escape)
    assert panel.waiting.was_stopped and panel.waiting.isVisible()
    assert panel.view.arm_set.count() == 2 and panel.view.table.rowCount() > 0
    panel.export(tmp_path / "chart.csv")
    assert not (tmp_path / "chart.csv").exists() and "no chart to export" in window.notice.text()
