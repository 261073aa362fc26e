"""Widgets that paint themselves: what every one of them does about the font of the window and the colours of a look."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from app.look.text_metrics import small_font, text_metrics
from app.look.theme import LIGHT, Palette


class PaintedFigures(QWidget):
    """Figures painted in one go, since they change at every step of a drag; the sheet under them is theirs to paint."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._colours: Palette | None = None
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._take_font()

    def _take_font(self) -> None:
        self._plain, self._bold = text_metrics(self.font()), text_metrics(self.font(), True)
        self._small = text_metrics(small_font(self.font()))
        self.updateGeometry()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._take_font()

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.update()


class PaintedButton(QAbstractButton):
    """A button that stays down: what it opens is open; then it stands in the accent's colour."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._colours = LIGHT
        self.setText(text)
        self.setCheckable(True)
        self.setObjectName("register")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.updateGeometry()

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.update()

    def inks(self) -> tuple[str, str]:
        """Colour of the ground and of what is written on it."""
        colours = self._colours
        return (colours.accent, colours.sheet) if self.isChecked() else (colours.sheet, colours.ink)

    def outline(self) -> QPen:
        """The line round it, which shows where the keyboard is."""
        focus = self.hasFocus()
        return QPen(QColor(self._colours.focus if focus else self._colours.line), 2 if focus else 1)
