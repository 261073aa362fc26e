"""What a person has chosen for every rig: units that change no file, and where windows open."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, QRect, QSettings, QSize, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.documents.document import Document
from app.shell import preferences
from app.shell.window import Window
from app.shell.windows import Windows
from engine.schema import rig_file
from tests.samples import ROOT, sample

BOATYARD = ROOT / "sample_rigs" / "skerry_point_boatyard.rig.json"


@pytest.mark.parametrize(
    ("available", "size"),
    [
        (QSize(1280, 770), None),
        (QSize(1920, 1050), QSize(1632, 924)),
        (QSize(2560, 1410), QSize(1920, 1200)),
        (QSize(1080, 1890), None),
        (QSize(1440, 1000), None),
        (QSize(1441, 861), QSize(1225, 758)),
    ],
)
def test_a_window_opens_as_large_as_its_screen_allows(available: QSize, size: QSize | None) -> None:
    """85 % by 88 %, at most 1920 by 1200; a small or upright screen is filled (ours)."""
    assert preferences.opening_size(available) == size


def test_a_window_left_where_there_is_no_screen_any_more_is_not_opened_there() -> None:
    screens = [QRect(0, 0, 1920, 1080)]
    assert preferences.is_seen(QRect(100, 100, 1200, 800), screens)
    assert preferences.is_seen(QRect(1720, 980, 1200, 800), screens)
    assert not preferences.is_seen(QRect(1750, 100, 1200, 800), screens)
    assert not preferences.is_seen(QRect(2500, 100, 1200, 800), screens)


def test_a_second_window_is_on_the_screen_whole() -> None:
    screen = QRect(0, 0, 1280, 770)
    assert preferences.brought_in(QRect(28, 28, 1280, 770), screen) == screen
    assert preferences.brought_in(QRect(500, 300, 800, 600), screen) == QRect(480, 170, 800, 600)


@pytest.fixture
def windows(settings: QSettings, qapp: QApplication) -> Iterator[Windows]:
    kept = Windows(settings)
    yield kept
    for window in list(kept.all):
        window.document.undo_stack.setClean()
        window.close()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


def opened(windows: Windows, units: str | None = None) -> Window:
    job, stamp = rig_file.read(BOATYARD), None
    window = windows.open(Document(job, BOATYARD, stamp), units)  # type: ignore[arg-type]
    window.start_up.complete()
    return window


def test_units_are_the_person_s_and_mark_no_file_as_changed(windows: Windows, settings: QSettings) -> None:
    settings.setValue(preferences.UNITS, "us")
    window = opened(windows)
    assert window.document.units == "us" and not window.isWindowModified()
    window.commands.unit_actions["metric"].trigger()
    assert window.document.units == "metric" and settings.value(preferences.UNITS) == "metric"
    assert not window.document.unsaved and window.document.undo_stack.count() == 0
    window.document.step_holes(1)
    window.commands.unit_actions["us"].trigger()
    window.document.undo_stack.undo()
    assert window.document.units == "us" and not window.document.unsaved
    assert opened(windows).document.units == "us"


def test_units_asked_for_on_the_command_line_count_for_that_window(windows: Windows, settings: QSettings) -> None:
    settings.setValue(preferences.UNITS, "metric")
    assert opened(windows, "us").document.units == "us"
    assert settings.value(preferences.UNITS) == "metric"


def test_another_rig_opened_in_the_same_window_is_in_the_same_units(windows: Windows, settings: QSettings) -> None:
    settings.setValue(preferences.UNITS, "us")
    window = opened(windows)
    window.document.replace(sample("cold_spring_vineyard"), None)
    assert window.document.units == "us" and not window.document.unsaved


def test_units_of_the_system_count_at_first(settings: QSettings) -> None:
    assert preferences.units_of(settings) in ("metric", "us")
    settings.setValue(preferences.UNITS, "furlongs")
    assert preferences.units_of(settings) in ("metric", "us")


def test_split_and_fold_are_as_they_were_left(windows: Windows, settings: QSettings) -> None:
    window = opened(windows)
    window.views.strip.fold_by_hand(folded=True)
    window._split.setSizes([500, 400])
    window._split_moved()
    sizes = window._split.sizes()
    window.close()
    again = opened(windows)
    assert again.views.strip.folded
    again.resize(window.size())
    QApplication.processEvents()
    assert again._split.sizes()[1] == pytest.approx(sizes[1], abs=3)


def quit_by_key(window: Window) -> None:
    QTest.keyClick(window, Qt.Key.Key_Q, Qt.KeyboardModifier.ControlModifier)
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


def drag_splitter(window: Window, by_px: int) -> None:
    handle = window._split.handle(1)
    at = handle.rect().center()
    left = Qt.MouseButton.LeftButton
    QTest.mousePress(handle, left, pos=at)
    QTest.mouseMove(handle, at + QPoint(by_px, 0))
    QTest.mouseRelease(handle, left, pos=at + QPoint(by_px, 0))


def test_after_quit_and_start_place_size_splitter_plan_and_stage_are_as_they_were_left(
    windows: Windows, settings: QSettings
) -> None:
    window = opened(windows)
    screen = window.screen().availableGeometry()
    window.showNormal()
    place = QRect(screen.left() + 12, screen.top() + 60, min(screen.width() - 40, 1100), screen.height() - 90)
    window.setGeometry(place)
    QApplication.processEvents()
    before, was_folded = window._split.sizes(), window.views.strip.folded
    drag_splitter(window, -30)
    QTest.mouseClick(window.views.strip.bar, Qt.MouseButton.LeftButton)
    QTest.mouseClick(window.stages.buttons[2], Qt.MouseButton.LeftButton)
    left_as = (window.geometry(), window._split.sizes(), window.views.strip.folded, window.panels.group)
    assert left_as[0] == place and left_as[1] != before and left_as[2:] == (not was_folded, 2)
    quit_by_key(window)
    assert windows.all == []

    again = opened(Windows(settings))
    QApplication.processEvents()
    assert (again.geometry(), again._split.sizes(), again.views.strip.folded, again.panels.group) == left_as
    assert again.stages.buttons[2].isChecked() and again.panels.shown.stage == "Place"
    quit_by_key(again)


def test_a_window_left_on_a_screen_that_is_gone_starts_on_the_one_there_is(
    windows: Windows, settings: QSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = opened(windows)
    window.showNormal()
    window.setGeometry(QRect(9_000, 4_000, 900, 600))
    QApplication.processEvents()
    quit_by_key(window)
    assert any(settings.value(key) for key in settings.allKeys() if key.startswith("window/"))
    for key in ("the same screens", "others"):
        if key == "others":
            monkeypatch.setattr(preferences, "_key", lambda: "window/others")
        again = opened(Windows(settings))
        screen = again.screen().availableGeometry()
        assert again.frameGeometry().intersected(screen).width() >= 200
        assert again.frameGeometry().intersected(screen).height() >= 100
        quit_by_key(again)


def test_a_document_in_preferred_units_saves_what_it_holds(tmp_path: Path) -> None:
    document = Document(sample("skerry_point_boatyard"))
    document.prefer_units("us")
    document.save(tmp_path / "x.rig.json")
    kept = rig_file.read(tmp_path / "x.rig.json")
    assert kept.units == "us" and kept.rig == sample("skerry_point_boatyard").rig
