"""Pace of a drag: what follows now and then, what waits for rest, and that nothing is out of date at its end."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QElapsedTimer, QEvent, QPointF
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.shell import drag_pace
from app.shell.drag_pace import DragPace
from app.shell.panel_registry import WORST_CASE
from app.shell.window import Window
from tests.app.hand import Hand

SOON_MS, NEVER_MS = 1, 3_600_000
EVERY_PANEL_IS_SLOW, EVERY_PANEL_IS_QUICK = -1.0, 3600.0


@pytest.fixture
def noted() -> list[str]:
    """What has followed, in its order."""
    return []


@pytest.fixture
def paced(qtbot: QtBot, noted: list[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., DragPace]:
    """Makes a pace that notes what it lets follow."""
    windows: list[QWidget] = []

    def make(lag_ms: int, rest_ms: int, quick_s: float = EVERY_PANEL_IS_QUICK, asks: bool = False) -> DragPace:
        monkeypatch.setattr(drag_pace, "LAG_MS", lag_ms)
        monkeypatch.setattr(drag_pace, "REST_MS", rest_ms)
        monkeypatch.setattr(drag_pace, "QUICK_S", quick_s)
        window = QWidget()
        qtbot.addWidget(window)
        windows.append(window)  # else it is gone with this function
        return DragPace(
            window,
            tell_beside=lambda: noted.append("beside"),
            fill_panel=lambda: noted.append("panel"),
            panel_asks=lambda: asks,
            follow_at_rest=lambda: noted.append("maps"),
        )

    return make


def test_outside_a_drag_everything_follows_at_once(paced: Callable[..., DragPace], noted: list[str]) -> None:
    paced(NEVER_MS, NEVER_MS).settle()
    assert sorted(noted) == ["beside", "maps", "panel"]


def test_a_step_of_a_drag_lets_nothing_follow_at_once(paced: Callable[..., DragPace], noted: list[str]) -> None:
    paced(SOON_MS, SOON_MS).step()
    assert noted == []


@pytest.mark.parametrize(
    ("quick_s", "asks", "followed"),
    [
        (EVERY_PANEL_IS_QUICK, False, ["beside", "panel"]),
        (EVERY_PANEL_IS_SLOW, False, ["beside"]),
        (EVERY_PANEL_IS_QUICK, True, ["beside"]),
    ],
)
def test_now_and_then_follows_what_stands_beside_and_a_quick_panel_that_asks_nothing(
    paced: Callable[..., DragPace], noted: list[str], qtbot: QtBot, quick_s: float, asks: bool, followed: list[str]
) -> None:
    paced(SOON_MS, NEVER_MS, quick_s, asks).step()
    qtbot.waitUntil(lambda: bool(noted))
    assert noted == followed


def test_a_panel_that_was_slow_the_last_time_waits(
    paced: Callable[..., DragPace], noted: list[str], qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    pace = paced(SOON_MS, NEVER_MS, quick_s=0.0)  # no panel is filled in no time
    pace.step()
    qtbot.waitUntil(lambda: noted == ["beside", "panel"])
    pace.step()
    qtbot.waitUntil(lambda: noted[2:] == ["beside"])


def test_steps_that_come_faster_than_the_lag_do_not_put_it_off(
    paced: Callable[..., DragPace], noted: list[str]
) -> None:
    pace = paced(20, NEVER_MS)
    clock = QElapsedTimer()
    clock.start()
    while noted.count("beside") < 3 and clock.elapsed() < 10_000:
        pace.step()
        QApplication.processEvents()
    assert noted.count("beside") >= 3


@pytest.mark.parametrize(("quick_s", "asks"), [(EVERY_PANEL_IS_SLOW, False), (EVERY_PANEL_IS_QUICK, True)])
def test_once_the_hand_rests_everything_follows(
    paced: Callable[..., DragPace], noted: list[str], qtbot: QtBot, quick_s: float, asks: bool
) -> None:
    paced(NEVER_MS, SOON_MS, quick_s, asks).step()
    qtbot.waitUntil(lambda: sorted(noted) == ["beside", "maps", "panel"])


def test_the_end_of_a_drag_leaves_nothing_to_follow_later(
    paced: Callable[..., DragPace], noted: list[str], qtbot: QtBot
) -> None:
    pace = paced(SOON_MS, SOON_MS)
    pace.step()
    pace.settle()
    noted.clear()
    qtbot.wait(20 * SOON_MS)
    assert noted == []


def test_after_a_step_the_first_request_to_paint_waits_for_the_second(
    paced: Callable[..., DragPace], monkeypatch: pytest.MonkeyPatch
) -> None:
    pace = paced(NEVER_MS, NEVER_MS)
    window = pace.parent()
    assert isinstance(window, QWidget)

    def is_put_off() -> bool:
        return pace.eventFilter(window, QEvent(QEvent.Type.UpdateRequest))

    assert not is_put_off()
    pace.step()
    assert is_put_off() and not is_put_off()
    QApplication.removePostedEvents(window)


# ---------------------------------------------------------------- with a hand on the mouse


@pytest.mark.parametrize(
    ("quick_s", "follows"), [(EVERY_PANEL_IS_SLOW, False), (EVERY_PANEL_IS_QUICK, True)], ids=["slow", "quick"]
)
def test_the_panel_shown_follows_the_hand_if_it_is_quick_and_the_end_of_the_drag_in_any_case(
    make_window: Callable[..., Window], qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, quick_s: float, follows: bool
) -> None:
    monkeypatch.setattr(drag_pace, "LAG_MS", SOON_MS)
    monkeypatch.setattr(drag_pace, "REST_MS", NEVER_MS)
    monkeypatch.setattr(drag_pace, "QUICK_S", quick_s)
    window = make_window()
    panel = window.panels.bring(WORST_CASE)
    at_first, pose = panel.text, window.document.pose
    told: list[str] = []
    monkeypatch.setattr(window.notice, "show_collisions", lambda document: told.append(document.pose.name))
    hand = Hand(window.views.side_view)
    start = hand.handle_spot("boom")
    hand.press(start)
    told.clear()
    hand.move(start + QPointF(120.0, 0.0))
    assert window.document.pose != pose
    qtbot.waitUntil(lambda: bool(told))
    QApplication.processEvents()
    assert (panel.text != at_first) == follows
    hand.release()
    assert panel.text != at_first
