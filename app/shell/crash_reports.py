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
from typing import TYPE_CHECKING, Protocol

import shiboken6
from PySide6.QtCore import QObject, Qt, Signal, qVersion
from PySide6.QtWidgets import QApplication, QMessageBox, QWidget

if TYPE_CHECKING:
    from app.canvas.view import DrawingView
    from app.documents.document import Document
    from app.documents.file_commands import FileCommands

HEADLINE = "Something in the program went wrong."
WORDS = (
    "The last step may not have been carried out. The rig in the window is as it was after the last finished edit, and "
    "unsaved changes are kept for recovery. Save it, and check the last figure you read before you trust it."
)
MOST_KEPT = 20
"""Details of this many faults are kept; a fault that comes with every repaint would fill the memory otherwise."""


class ReportingWindow(Protocol):
    """What a mishap needs to know of a window."""

    document: Document
    filing: FileCommands
    side_view: DrawingView
    plan_view: DrawingView


class ReportingWindows(Protocol):
    """The open windows."""

    all: list[ReportingWindow]


class CrashReports(QObject):
    """Takes every exception nobody caught, on any thread."""

    _happened = Signal(str)

    def __init__(self, windows: ReportingWindows) -> None:
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
        for window in list(self._windows.all):
            # Whatever of this fails must not keep the rest from being kept.
            for act in (window.side_view.cancel_gesture, window.plan_view.cancel_gesture, window.document.restore):
                with contextlib.suppress(Exception):
                    act()
            with contextlib.suppress(Exception):
                if window.document.unsaved:
                    window.filing.recovery.keep()

    def _show(self) -> None:
        words = WORDS if self.count == 1 else f"{WORDS} ({self.count} faults so far.)"
        if self.box is not None:
            self.box.setInformativeText(words)
            return
        parent = QApplication.activeWindow() or next(iter(self._windows.all), None)
        self.box = _box(parent, words)
        copy = self.box.addButton("Copy details", QMessageBox.ButtonRole.ActionRole)
        copy.setAccessibleName("Copy details")
        copy.clicked.disconnect()  # copying leaves the box open
        copy.clicked.connect(lambda: QApplication.clipboard().setText(self.details))
        self.box.finished.connect(self._close)
        self.box.open()

    def _close(self) -> None:
        box, self.box = self.box, None
        box.deleteLater()


def _box(parent: QWidget | None, words: str) -> QMessageBox:
    box = QMessageBox(QMessageBox.Icon.Critical, "Tailweight", HEADLINE, QMessageBox.StandardButton.Ok, parent)
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setInformativeText(words)
    box.setEscapeButton(QMessageBox.StandardButton.Ok)
    return box


def watch(windows: ReportingWindows) -> CrashReports:
    """Take every exception nobody catches from now on."""
    mishaps = CrashReports(windows)
    sys.excepthook = mishaps.take
    threading.excepthook = lambda args: mishaps.take(args.exc_type, args.exc_value, args.exc_traceback)
    return mishaps
