"""Typing straight into a figure on the drawing: a small field over it, gone when it is done."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QShortcut
from PySide6.QtWidgets import QWidget

from app.panels.fields import QuantityField

WIDTH_CHARACTERS = 20


class FigureField:
    """Puts a field over a view at a place; Enter takes, Escape or going elsewhere leaves things as they were.

    A wrong entry stays, marked, with its reason in the notice, until it is mended or left.
    """

    def __init__(self) -> None:
        self.field: QuantityField | None = None

    def open(self, field: QuantityField, view: QWidget, at: QPointF) -> None:
        """Show a field over ``view`` with its middle at a viewport point."""
        self.close()
        self.field = field
        width = field.fontMetrics().averageCharWidth() * WIDTH_CHARACTERS
        field.setFixedWidth(width)
        field.adjustSize()
        corner = at.toPoint() - QPoint(width // 2, field.height() // 2)
        room = view.rect()
        field.move(
            max(0, min(corner.x(), room.width() - width)), max(0, min(corner.y(), room.height() - field.height()))
        )
        note = field.note
        note.setParent(view)
        note.setObjectName("page")  # of the paper's colour, over the drawing
        note.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        note.setFixedWidth(width)
        note.move(field.x(), field.y() + field.height())
        QShortcut(Qt.Key.Key_Escape, field, self.close, context=Qt.ShortcutContext.WidgetShortcut)
        field.entered.connect(lambda _value: self._done())
        field.editingFinished.connect(self._done)  # after the field has read what was typed
        field.show()
        field.setFocus()

    def _done(self) -> None:
        if self.field is not None and not self.field.wrong:
            self.close()

    def close(self) -> None:
        """Take the field away."""
        if self.field is not None:
            field, self.field = self.field, None
            field.blockSignals(True)
            field.hide()
            field.note.hide()
            field.note.deleteLater()
            field.deleteLater()
