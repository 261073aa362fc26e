"""A fault of the program: one plain message, details to copy, the rig kept and usable."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from boxes import press
from hand import Hand
from PySide6.QtCore import QPointF, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMessageBox
from pytestqt.qtbot import QtBot

from app.documents.recovery import NOW
from app.shell import crash_reports
from app.shell.panel_registry import POSE
from app.shell.window import Window
from engine.worst_case import verdict as judging


@pytest.fixture
def watched(
    window: Window, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> Iterator[crash_reports.CrashReports]:
    """Faults of this window are taken as in the real program."""
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    monkeypatch.setattr(threading, "excepthook", threading.excepthook)
    reports = crash_reports.watch([window])
    yield reports
    if reports.box is not None:
        reports.box.close()


def fail() -> None:
    raise ZeroDivisionError("the sum went wrong")


def wait_for_fault(qtbot: QtBot, watched: crash_reports.CrashReports, count: int = 1) -> QMessageBox:
    qtbot.waitUntil(lambda: watched.box is not None and watched.count >= count, timeout=5000)
    return watched.box


def test_a_fault_in_a_slot_is_told_once_and_its_details_can_be_copied(
    window: Window, watched: crash_reports.CrashReports, qtbot: QtBot, capfd: pytest.CaptureFixture[str]
) -> None:
    QTimer.singleShot(0, fail)
    box = wait_for_fault(qtbot, watched)
    assert box.isVisible() and box.text() == crash_reports.HEADLINE
    assert "Traceback" not in box.text() + box.informativeText()
    press(box, "Copy details")
    copied = QApplication.clipboard().text()
    assert "ZeroDivisionError: the sum went wrong" in copied and "Python 3" in copied
    assert watched.box is box and box.isVisible(), "copying leaves the message there"
    assert "the sum went wrong" in capfd.readouterr().err
    press(box, "OK")
    assert watched.box is None


def test_a_fault_at_every_repaint_makes_no_chain_of_boxes(
    window: Window, watched: crash_reports.CrashReports, qtbot: QtBot
) -> None:
    timer = QTimer()
    timer.timeout.connect(fail)
    timer.start(0)
    box = wait_for_fault(qtbot, watched, count=60)
    timer.stop()
    assert len([each for each in window.findChildren(QMessageBox) if each.isVisible()]) == 1
    assert watched.details.count("Traceback") == crash_reports.MOST_KEPT
    assert "faults so far" in box.informativeText() and "more)" in watched.details


def test_the_rig_is_kept_and_stays_usable(
    window: Window, watched: crash_reports.CrashReports, qtbot: QtBot, state_dir: Path
) -> None:
    window.document.set_value("load.mass_kg.best", 150.0, "Weigh it")
    for record in (state_dir / "recovery").glob(f"*{NOW}"):
        record.unlink()
    window.commands.files.recovery._held = None
    QTimer.singleShot(0, fail)
    press(wait_for_fault(qtbot, watched), "OK")
    (record,) = (state_dir / "recovery").glob(f"*{NOW}")
    assert b'"best":150.0' in record.read_bytes()
    window.document.set_value("load.mass_kg.best", 151.0, "Weigh it")
    window.document.undo_stack.undo()
    assert window.document.job.load.mass_kg.best == 150.0


def test_a_fault_in_the_middle_of_a_drag_puts_the_drag_back(
    window: Window, watched: crash_reports.CrashReports, qtbot: QtBot
) -> None:
    before = window.document.pose
    hand = Hand(window.views.side_view)
    start = hand.handle_spot("boom")
    hand.press(start)
    hand.move(start + QPointF(-40.0, 0.0))
    assert window.document.pose != before
    QTimer.singleShot(0, fail)
    wait_for_fault(qtbot, watched)
    assert window.document.pose == before and not window.views.side_view.holding
    press(watched.box, "OK")
    hand.release()
    hand.drag("boom", -40.0, 0.0)
    assert window.document.undo_stack.count() == 1


def test_an_edit_whose_verdict_fails_changes_nothing(
    window: Window, watched: crash_reports.CrashReports, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = window.document
    before, verdict = document.job, document.verdict
    monkeypatch.setattr(judging, "evaluate", lambda *_arguments: fail())
    field = window.panels[POSE].fields["lift"]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "1.23 m")
    QTest.keyClick(field, Qt.Key.Key_Return)
    wait_for_fault(qtbot, watched)
    monkeypatch.undo()
    assert document.job is before and document.verdict is verdict and document.finished.job is before
    assert document.undo_stack.count() == 0 and not document.unsaved
    sys.excepthook = watched.take
    press(watched.box, "OK")


def test_a_fault_while_the_fault_is_handled_still_ends_in_one_box(
    window: Window, watched: crash_reports.CrashReports, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(window.commands.files.recovery, "keep", fail)
    monkeypatch.setattr(window.document, "restore", fail)
    window.document.set_value("load.mass_kg.best", 150.0, "Weigh it")
    QTimer.singleShot(0, fail)
    box = wait_for_fault(qtbot, watched)
    assert box.isVisible()


def test_a_fault_on_another_thread_is_told_too(
    window: Window, watched: crash_reports.CrashReports, qtbot: QtBot
) -> None:
    thread = threading.Thread(target=fail)
    thread.start()
    thread.join()
    wait_for_fault(qtbot, watched)
    assert "the sum went wrong" in watched.details


def test_stopping_the_program_from_the_keyboard_is_no_fault(
    watched: crash_reports.CrashReports, capfd: pytest.CaptureFixture[str]
) -> None:
    watched.take(KeyboardInterrupt, KeyboardInterrupt(), None)
    QApplication.processEvents()
    assert watched.box is None
