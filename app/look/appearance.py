"""Light or dark and the size of all text, as the settings have them, put onto a window."""

from __future__ import annotations

import functools

from PySide6.QtCore import QObject, QSettings, Qt, Signal
from PySide6.QtGui import QFont, QGuiApplication
from PySide6.QtWidgets import QApplication, QWidget

from app.look.theme import DARK, LIGHT, Palette, qt_palette, style_sheet

MOST_DRAWN_TEXT = 1.5
"""Text on the drawing grows to this; beyond it figures would hide the rig, and the panels repeat them all."""

DRAWN_TEXT = 0.92
"""Size of the drawing's text beside that of the panels."""


class Appearance(QObject):
    """The look of one window; the settings behind it are the program's."""

    changed = Signal()
    """Another look is to be taken up."""

    chosen = Signal()
    """Light, dark or the text size were chosen in this window; the other windows follow."""

    def __init__(self, settings: QSettings, parent: QObject) -> None:
        super().__init__(parent)
        self._settings = settings
        self._program_font = program_font()
        self.colours: Palette = LIGHT
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._follow_system)

    @property
    def look(self) -> str:
        """``light``, ``dark`` or ``system``."""
        return str(self._settings.value("look", "system"))

    @property
    def text_size(self) -> int:
        """Text size in per cent."""
        try:
            return int(str(self._settings.value("text_size", 100)))
        except ValueError:
            return 100

    def set_look(self, look: str) -> None:
        """Choose ``light``, ``dark`` or ``system``."""
        self._choose("look", look)

    def set_text_size(self, percent: int) -> None:
        """Scale all text of the program."""
        self._choose("text_size", percent)

    def _choose(self, key: str, value: object) -> None:
        self._settings.setValue(key, value)
        self.changed.emit()
        self.chosen.emit()

    def _follow_system(self, _scheme: Qt.ColorScheme) -> None:
        self.changed.emit()

    def apply_to(self, window: QWidget) -> None:
        """Put colours and fonts onto the program and a window."""
        system_is_dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
        dark = system_is_dark if self.look == "system" else self.look == "dark"
        self.colours = DARK if dark else LIGHT
        font = self._scaled(self._program_font, self.text_size / 100.0)
        QApplication.setFont(font)
        window.setFont(font)
        QApplication.setPalette(qt_palette(self.colours))
        window.setStyleSheet(style_sheet(self.colours))

    def drawing_font(self, window: QWidget) -> QFont:
        """Font of the text on a window's drawing."""
        return self._scaled(window.font(), min(self.text_size / 100.0, MOST_DRAWN_TEXT) * DRAWN_TEXT)

    def _scaled(self, font: QFont, scale: float) -> QFont:
        scaled = QFont(font)
        scaled.setPointSizeF(self._program_font.pointSizeF() * scale)
        return scaled


@functools.cache
def program_font() -> QFont:
    """The font the program started with, before any text size was chosen."""
    return QFont(QApplication.font())
