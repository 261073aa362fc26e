"""The strip under the side view: the plan, or a part of the section that is open in its place."""

from __future__ import annotations

from collections.abc import Callable

import gated
import pytest
from hand import show_tab
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.documents.document import Document
from app.panels.ribbon import Ribbon
from app.shell.panel_registry import MOVE
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
