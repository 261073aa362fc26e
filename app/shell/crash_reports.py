"""Faults of the program itself: told plainly, once, with the details to copy; the work in hand stays usable and kept.

An exception in a slot or an event handler ends in ``sys.excepthook``.  What was being dragged goes back to the last
finished edit, whose recovery record is written; then one box says so.  Further faults while it is open are added to its
details, so that no fault makes a chain of boxes.
"""

from __future__ import annotations

import contextlib
import platform
import sys
import threading
import traceback
from types import TracebackType
from typing import TYPE_CHECKING

import shiboken6
from PySide6.QtCore import QObject, Qt, Signal, qVersion
from PySide6.QtWidgets import QApplication, QMessageBox, QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.shell.window import Window

HEADLINE = "Something in the program went wrong."
WORDS = (
    "The last step may not have been carried out. The rig in the window is as it was after the last finished edit, and "
    "unsaved changes are kept for recovery. Save it, and check the last figure you read before you trust it."
)
MOST_KEPT = 20
"""Details of this many faults are kept; a fault that comes with every repaint would fill the memory otherwise."""


class CrashReports(QObject):
    """Takes every exception nobody caught, on any thread."""

    _happened = Signal(str)

    def __init__(self, windows: Sequence[Window]) -> None:
        """``windows`` are those that are open whenever a fault comes."""
        super().__init__()
        self._windows = windows
        self._kept: list[str] = []
        self._busy = False
        self.box: QMessageBox | None = None
        self.count = 0
        """Faults since the box was last closed."""
        # Queued: the fault is told when the handler it came from is through, and always on the window's thread.
        self._happened.connect(self._tell, Qt.ConnectionType.QueuedConnection)

    def take(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        """What ``sys.excepthook`` calls."""
        sys.__excepthook__(kind, error, trace)
        if issubclass(kind, Exception):
            self._happened.emit("".join(traceback.format_exception(kind, error, trace)))

    def take_from_thread(self, fault: threading.ExceptHookArgs) -> None:
        """What ``threading.excepthook`` calls."""
        self.take(fault.exc_type, fault.exc_value or fault.exc_type(), fault.exc_traceback)

    @property
    def details(self) -> str:
        """What there is to copy: versions and the faults."""
        head = f"Tailweight, Python {platform.python_version()}, Qt {qVersion()}, {platform.platform()}"
        left_out = f"\n\n({self.count - MOST_KEPT} more)" if self.count > MOST_KEPT else ""
        return f"{head}\n\n" + "\n".join(self._kept) + left_out

    def _tell(self, details: str) -> None:
        if self.box is not None and not shiboken6.isValid(self.box):
            self.box = None  # gone with the dialog it stood over
        if self.box is None:
            self._kept, self.count = [], 0
        self.count += 1
        if len(self._kept) < MOST_KEPT:
            self._kept.append(details)
        if self._busy:
            return
        self._busy = True
        try:
            self._put_right()
            self._show()
        finally:
            self._busy = False

    def _put_right(self) -> None:
        for window in list(self._windows):
            # Whatever of this fails must not keep the rest from being kept.
            views = window.views
            for act in (views.side_view.cancel_gesture, views.plan_view.cancel_gesture, window.document.restore):
                with contextlib.suppress(Exception):
                    act()
            with contextlib.suppress(Exception):
                if window.document.unsaved:
                    window.commands.files.recovery.keep()

    def _show(self) -> None:
        words = WORDS if self.count == 1 else f"{WORDS} ({self.count} faults so far.)"
        if self.box is not None:
            self.box.setInformativeText(words)
            return
        box = self.box = _box(QApplication.activeWindow() or next(iter(self._windows), None), words)
        copy = box.addButton("Copy details", QMessageBox.ButtonRole.ActionRole)
        copy.setAccessibleName("Copy details")
        copy.clicked.disconnect()  # copying leaves the box open
        copy.clicked.connect(lambda: QApplication.clipboard().setText(self.details))
        box.finished.connect(self._close)
        box.open()

    def _close(self) -> None:
        box, self.box = self.box, None
        if box is not None:
            box.deleteLater()


def _box(parent: QWidget | None, words: str) -> QMessageBox:
    box = QMessageBox(QMessageBox.Icon.Critical, "Tailweight", HEADLINE, QMessageBox.StandardButton.Ok, parent)
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setInformativeText(words)
    box.setEscapeButton(QMessageBox.StandardButton.Ok)
    return box


def watch(windows: Sequence[Window]) -> CrashReports:
    """Take every exception nobody catches from now on; returns what takes them."""
    reports = CrashReports(windows)
    sys.excepthook = reports.take
    threading.excepthook = reports.take_from_thread
    return reports
