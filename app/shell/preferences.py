"""What a person has chosen for every rig: units, and where windows open."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QByteArray, QLocale, QPoint, QRect, QSettings, QSize
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMainWindow

from engine.base.formatting import System

UNITS = "units"

SMALL = QSize(1440, 860)
"""Screens with less room than this, one way or the other, are filled."""

SHARE_OF_WIDTH, SHARE_OF_HEIGHT = 0.85, 0.88
LARGEST = QSize(1920, 1200)

LEAST_SEEN = QSize(200, 100)
"""Of a window opened where it was left, at least this much is on a screen."""


def units_of(settings: QSettings) -> System:
    """The units chosen, at first those of the system's measurement setting."""
    chosen = str(settings.value(UNITS, ""))
    if chosen in ("metric", "us"):
        return "us" if chosen == "us" else "metric"
    system = QLocale.system().measurementSystem()
    return "us" if system == QLocale.MeasurementSystem.ImperialUSSystem else "metric"


def opening_size(available: QSize) -> QSize | None:
    """Size of a window on a screen with so much room; None: the whole of it."""
    width, height = available.width(), available.height()
    if width <= SMALL.width() or height <= SMALL.height() or height > width:
        return None
    return QSize(round(SHARE_OF_WIDTH * width), round(SHARE_OF_HEIGHT * height)).boundedTo(LARGEST)


def is_seen(frame: QRect, screens: list[QRect]) -> bool:
    """Whether enough of a window is on one of the screens to take hold of it."""
    seen = (frame.intersected(screen).size() for screen in screens)
    return any(size.width() >= LEAST_SEEN.width() and size.height() >= LEAST_SEEN.height() for size in seen)


def brought_in(frame: QRect, available: QRect) -> QRect:
    """A window's frame moved, and made smaller if need be, so that all of it is on a screen."""
    size = frame.size().boundedTo(available.size())
    left = min(max(frame.left(), available.left()), available.right() - size.width() + 1)
    top = min(max(frame.top(), available.top()), available.bottom() - size.height() + 1)
    return QRect(QPoint(left, top), size)


def _key() -> str:
    """Where a window lay is kept for each set of screens by itself."""
    screens = (screen.geometry() for screen in QGuiApplication.screens())
    return "window/" + "_".join(f"{at.x()},{at.y()},{at.width()},{at.height()}" for at in screens)


def place(window: QMainWindow, settings: QSettings) -> None:
    """Put a window where one was left last on these screens; else a share of the screen, in its middle."""
    screens = [screen.availableGeometry() for screen in QGuiApplication.screens()]
    kept: Any = settings.value(_key())
    if isinstance(kept, QByteArray) and window.restoreGeometry(kept) and is_seen(window.frameGeometry(), screens):
        return
    available = QGuiApplication.primaryScreen().availableGeometry()
    size = opening_size(available.size())
    if size is None:
        window.resize(available.size())
        window.showMaximized()
        return
    window.resize(size)
    window.move(available.center() - QPoint(size.width() // 2, size.height() // 2))


def keep(window: QMainWindow, settings: QSettings) -> None:
    """Remember where a window lies."""
    settings.setValue(_key(), window.saveGeometry())
