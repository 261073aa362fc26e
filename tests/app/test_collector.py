"""Cyclic garbage goes on the main thread, whatever other threads make meanwhile."""

from __future__ import annotations

import gc
import threading
import weakref
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.start import collector
from app.start.collector import Collector


@pytest.fixture
def collecting(qapp: QApplication, monkeypatch: pytest.MonkeyPatch) -> Iterator[Collector]:
    monkeypatch.setattr(collector, "EVERY_MS", 1)
    parent = QObject()
    yield Collector(parent)
    gc.enable()


def test_tests_of_the_window_run_as_the_program_does_without_python_s_own_collections() -> None:
    assert not gc.isenabled()


class Knot:
    """Garbage only the collector can take down; notes on which thread it went."""

    def __init__(self, went: list[threading.Thread]) -> None:
        self.itself = self
        weakref.finalize(self, lambda: went.append(threading.current_thread()))


def test_garbage_is_taken_down_and_only_on_the_main_thread(collecting: Collector, qtbot: QtBot) -> None:
    went: list[threading.Thread] = []
    Knot(went)

    def busy() -> None:
        kept = [[index] for index in range(5 * gc.get_threshold()[0])]
        assert kept

    thread = threading.Thread(target=busy)
    thread.start()
    thread.join()
    assert went == []
    many = [[index] for index in range(2 * gc.get_threshold()[0])]
    qtbot.waitUntil(lambda: bool(went))
    assert many and went == [threading.main_thread()]


def test_old_garbage_goes_too_in_the_end(collecting: Collector, qtbot: QtBot) -> None:
    went: list[threading.Thread] = []
    knot = Knot(went)
    gc.collect()
    gc.collect()  # now it is among the oldest
    del knot
    kept: list[list[int]] = []

    def done() -> bool:
        kept.extend([index] for index in range(2 * gc.get_threshold()[0]))
        return bool(went)

    qtbot.waitUntil(done, timeout=10_000)
