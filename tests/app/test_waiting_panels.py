"""Each panel that waits shows what has come so far, keeps it when it is stopped, and calls it unfinished."""

from __future__ import annotations

from collections.abc import Callable

import gated
import pyqtgraph as pg
import pytest
from hand import show_tab
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QListWidget
from pytestqt.qtbot import QtBot
from test_rack_panel import pick, want

from app.documents.document import Document
from app.look.theme import LIGHT
from app.panels.ribbon import ROUGH
from app.panels.waiting import STOPPED
from app.panels.why import LOOKING, NOT_LOOKED
from app.shell.panel_registry import GO_TO_POINT, MOVE, RACK, WHY
from app.shell.window import Window
from app.workers import worker_tasks
from engine.schema.model import Move
from engine.schema.quantities import Estimate
from engine.shop.edits import REPLACE
from engine.worst_case.verdict import evaluate
from tests.samples import sample

WAIT_MS = 60_000
STANDS_ALONE = "tarn_hollow_stone_yard"


@pytest.fixture(autouse=True)
def questions_wait(gates: gated.Gates, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every question waits at its gates, which are closed."""
    for name in ("remedy", "plan", "poses_to", "rack"):
        monkeypatch.setattr(worker_tasks, name, getattr(gated, name))


def listed(rows: QListWidget) -> list[str]:
    return [rows.item(row).text() for row in range(rows.count())]


def test_the_remedy_names_each_try_until_it_is_stopped(make_window: Callable[..., Window], qtbot: QtBot) -> None:
    job = sample(STANDS_ALONE)
    heavy = REPLACE(job.load, mass_kg=Estimate(best=900.0, known="weighed"))
    window = make_window(document=Document(REPLACE(job, load=heavy)))
    show_tab(window, "Cause, order, remedy")
    panel = window.panels[WHY]
    said = panel.sentences["Remedy"]
    qtbot.waitUntil(lambda: "does not hold, allows" in said.text(), timeout=WAIT_MS)
    assert said.text().startswith(LOOKING) and len(said.text().splitlines()) == 2
    QTest.keyClick(said, Qt.Key.Key_Escape)
    assert said.text().startswith(NOT_LOOKED) and "does not hold, allows" in said.text()
    assert panel.waiting.line.text() == STOPPED
    panel.waiting.again_button.click()
    qtbot.waitUntil(lambda: said.text().startswith(LOOKING) and "allows" in said.text(), timeout=WAIT_MS)


def test_ends_and_middle_of_every_step_come_first_and_then_the_steps_without_a_verdict(
    make_window: Callable[..., Window], gates: gated.Gates, qtbot: QtBot
) -> None:
    window = make_window(STANDS_ALONE)
    document = window.document
    pose = document.pose
    poses = (pose, REPLACE(pose, name="up", lift_m=pose.lift_m + 0.02))
    move = Move(name="up and down", poses=(pose.name, "up", pose.name))
    document.set_job(REPLACE(document.job, poses=poses, moves=(move,)), "Move")
    show_tab(window, "Move A to B")
    panel = window.panels[MOVE]
    assert panel._steps.isHidden() and window.views.plan_view.isVisible(), "no empty box before there is a step"
    gates.open()
    gates.open()  # the ends and the middle of either step
    qtbot.waitUntil(lambda: panel._steps.count() == 2, timeout=WAIT_MS)
    assert panel.plan is None and panel.text.strip() == ""
    assert all("so far" in words for words in listed(panel._steps))
    assert panel.ribbon is not None and panel.ribbon.isVisible() and panel.ribbon.reading.text() == ROUGH
    for at, lift_m in ((0, pose.lift_m), (2, pose.lift_m + 0.2)):
        judged = evaluate(document.job, REPLACE(pose, lift_m=lift_m))
        use = max(use for check, use in judged.worst_uses if check.side != "room")
        assert panel.ribbon.steps[0].use[at] == pytest.approx(use, abs=1e-6)
    gates.open()
    qtbot.waitUntil(lambda: "so far" not in listed(panel._steps)[0], timeout=WAIT_MS)
    assert "so far" in listed(panel._steps)[1] and panel.plan is None and panel.ribbon.reading.text() == ROUGH
    qtbot.waitUntil(lambda: "step 2 of 2" in panel.waiting.line.text(), timeout=WAIT_MS)
    QTest.keyClick(panel.ribbon.view, Qt.Key.Key_Escape)
    assert panel.waiting.was_stopped and panel._steps.count() == 2 and panel.plan is None
    document.set_job(REPLACE(document.job, moves=()), "No move")
    assert panel.waiting.isHidden() and panel._steps.count() == 0 and panel._steps.isHidden()


def test_an_old_ribbon_is_grey_says_so_and_is_not_looked_along(
    make_window: Callable[..., Window], gates: gated.Gates, qtbot: QtBot
) -> None:
    window = make_window(STANDS_ALONE)
    document, pose = window.document, window.document.pose
    poses = (pose, REPLACE(pose, name="up", lift_m=pose.lift_m + 0.02))
    document.set_job(REPLACE(document.job, poses=poses, moves=(Move(name="up", poses=(pose.name, "up")),)), "Move")
    for _ in range(2):
        gates.open()
    with qtbot.waitSignal(window.panels[MOVE].background.answered, timeout=WAIT_MS):
        show_tab(window, "Move A to B")
    panel, ribbon = window.panels[MOVE], window.panels[MOVE].ribbon
    assert ribbon is not None and not ribbon.is_old
    green = QColor(LIGHT.states["WITHIN"].ground).getRgb()[:3]

    def grounds() -> set[tuple[int, ...]]:
        bands = [item for item in ribbon.view.getPlotItem().items if isinstance(item, pg.FillBetweenItem)]
        return {band.brush().color().getRgb()[:3] for band in bands}

    assert panel.plan is not None and panel.plan.state == "WITHIN" and grounds() == {green}
    gates.close()
    document.set_value("load.mass_kg.best", 1.5 * document.job.load.mass_kg.best, "A heavier load")
    qtbot.waitUntil(lambda: ribbon.is_old, timeout=WAIT_MS)
    assert green not in grounds() and ribbon._old.isVisible() and ribbon._old.text() == "before the last change"
    QTest.keyClick(ribbon.view, Qt.Key.Key_End)
    assert panel.place is None and document.pose == pose, "steps of another load are not looked along"
    gates.open()
    qtbot.waitUntil(lambda: not ribbon.is_old, timeout=WAIT_MS)
    assert ribbon._old.isHidden() and ribbon.reading.text() == ROUGH and grounds() == set()


def test_ways_to_a_point_are_listed_as_they_are_found(make_window: Callable[..., Window], qtbot: QtBot) -> None:
    window = make_window(STANDS_ALONE)
    show_tab(window, "Hook to a point")
    panel = window.panels[GO_TO_POINT]
    assert panel.list.isHidden(), "no empty box before there is a way"
    panel.find_button.click()
    qtbot.waitUntil(lambda: panel.list.count() == 1, timeout=WAIT_MS)
    assert "tried so far" in panel.said.text() and "one way" not in panel.said.text()
    QTest.keyClick(panel.list, Qt.Key.Key_Escape)
    assert panel.waiting.was_stopped and panel.list.count() == 1
    panel.here_button.click()
    assert panel.list.isHidden() and panel.waiting.isHidden(), "another point"


def test_the_lightest_rig_so_far_stays_when_the_search_is_stopped(
    make_window: Callable[..., Window], qtbot: QtBot
) -> None:
    window = make_window(STANDS_ALONE)
    show_tab(window, "Steel to hand")
    panel = window.panels[RACK]
    assert not any(rows.isVisible() for rows in (panel.list, panel.steel.rows, panel.jobs.rows))
    pick(panel.steel.size_choice, "100 x 100 x 6 mm")
    panel.steel.add.click()
    pick(panel.jobs.known, "weighed")
    want(panel, "lintel", "300 kg", "2.5 m", "1.1 m")
    panel.start_button.click()
    qtbot.waitUntil(lambda: panel.list.count() == 1, timeout=WAIT_MS)
    assert panel.open_button.isEnabled() and "goes on" in panel.said.text()
    QTest.keyClick(panel.list, Qt.Key.Key_Escape)
    assert panel.waiting.was_stopped and panel.list.count() == 1 and panel.open_button.isEnabled()
    panel.jobs.rows.setCurrentRow(0)
    panel.jobs.remove.click()
    assert listed(panel.list) == [] and panel.list.isHidden() and panel.waiting.isHidden()
    assert panel.steel.rows.isVisible()
