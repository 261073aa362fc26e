"""Long work says how far it has come, hands over what it has, and can be stopped; stale parts are dropped."""

from __future__ import annotations

import gated
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QListWidget, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.panels.waiting import OLD, STOPPED, Waiting
from app.workers.background import Background
from app.workers.working_process import WorkingProcess

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
