"""Start-up of a window: the first paint comes first, and the rest is made once, whoever asks for it."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.shell.start_up import StartUp


class Starting(QWidget):
    """A widget with a start-up of its own; notes paints, the rest being made, and its completion."""

    def __init__(self) -> None:
        super().__init__()
        self.noted: list[str] = []
        self.start_up = StartUp((self,), self.make_the_rest, self)
        self.start_up.completed.connect(lambda: self.noted.append("completed"))

    def make_the_rest(self) -> None:
        self.noted.append("rest")
        self.start_up.complete()  # as a part does that asks for another one while it is made

    def paintEvent(self, _event: QPaintEvent) -> None:
        self.noted.append("paint")


@pytest.fixture
def starting(qtbot: QtBot) -> Starting:
    """A widget nobody has seen yet."""
    widget = Starting()
    qtbot.addWidget(widget)
    return widget


def painted(widget: Starting, qtbot: QtBot) -> None:
    """Show a widget until it has been painted and what the paint has posted is through."""
    widget.show()
    qtbot.waitUntil(lambda: "paint" in widget.noted)
    for _ in range(3):
        QApplication.processEvents()


def test_the_first_paint_comes_first_and_then_the_rest_once(starting: Starting, qtbot: QtBot) -> None:
    assert not starting.start_up.done
    painted(starting, qtbot)
    starting.repaint()
    QApplication.processEvents()
    assert [note for note in starting.noted if note != "paint"] == ["rest", "completed"]
    assert starting.noted[0] == "paint" and starting.start_up.done


def test_what_is_asked_for_sooner_is_made_at_once_and_not_again_by_the_paint(starting: Starting, qtbot: QtBot) -> None:
    starting.start_up.complete()
    assert starting.noted == ["rest", "completed"]
    painted(starting, qtbot)
    assert starting.noted.count("rest") == 1


def test_a_window_given_up_makes_nothing_any_more(starting: Starting, qtbot: QtBot) -> None:
    starting.start_up.give_up()
    painted(starting, qtbot)
    starting.start_up.complete()
    assert "rest" not in starting.noted and not starting.start_up.done
