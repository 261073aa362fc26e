"""Puts data on the clipboard so that the program can end with them there.

Where the clipboard is the program's own (no screen, a remote screen over VNC), Qt deletes the data after Python has
ended. They were made in Python, and deleting them then crashes. There they are taken off before that; nobody else could
have pasted them. A desktop's clipboard is left alone.
"""

from __future__ import annotations

import atexit
import functools

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QGuiApplication


def put(data: QMimeData) -> None:
    """Put data on the clipboard."""
    clipboard = QGuiApplication.clipboard()
    clipboard.setMimeData(data)
    if not clipboard.ownsClipboard():
        _clear_at_exit()


@functools.cache
def _clear_at_exit() -> None:
    atexit.register(_clear)


def _clear() -> None:
    if QGuiApplication.instance() is not None and not QGuiApplication.clipboard().ownsClipboard():
        QGuiApplication.clipboard().clear()
