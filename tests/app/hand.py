"""A hand on the mouse and the keyboard, for tests that do what a person does."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from app.canvas.view import DrawingView
from app.shell.window import Window


class Hand:
    """A hand on the mouse: presses, moves and releases with real events, the button held in between."""

    def __init__(self, view: DrawingView) -> None:
        self._view = view
        self._at = QPointF()

    def handle_spot(self, name: str) -> QPointF:
        """Where a handle stands in the viewport."""
        return QPointF(self._view.mapFromScene(self._view.handles[name].pos()))

    def press(self, at: QPointF, button: Qt.MouseButton = Qt.MouseButton.LeftButton) -> None:
        self.send(QEvent.Type.MouseButtonPress, at, button, button)

    def move(self, at: QPointF, keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        self.send(QEvent.Type.MouseMove, at, Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton, keys)
        QApplication.processEvents()

    def release(self, at: QPointF | None = None) -> None:
        spot = self._at if at is None else at
        self.send(QEvent.Type.MouseButtonRelease, spot, Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton)

    def drag(
        self,
        name: str,
        dx_px: float,
        dy_px: float,
        steps: int = 8,
        keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
    ) -> None:
        """Take a handle and pull it by so many pixels."""
        start = self.handle_spot(name)
        self.press(start)
        for step in range(1, steps + 1):
            self.move(start + QPointF(dx_px, dy_px) * step / steps, keys)
        self.release()

    def send(
        self,
        kind: QEvent.Type,
        at: QPointF,
        button: Qt.MouseButton,
        held: Qt.MouseButton,
        keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
    ) -> None:
        self._at = at
        viewport = self._view.viewport()
        event = QMouseEvent(kind, at, QPointF(viewport.mapToGlobal(at.toPoint())), button, held, keys)
        QApplication.sendEvent(viewport, event)


def block_words(window: Window, box: str) -> str:
    """What the verdict block says in one of its boxes, as it is read aloud."""
    block = window.block
    if box in ("now", "most"):
        (row,) = [row for row in block.table.rows if row.name == box]
        return row.words
    if box == "gives first":
        first = [bar.words for bar in block.bars.bars if bar.governs]
        return first[0] if first else block.bars.room
    return block.text(box)


def show_tab(window: Window, name: str) -> None:
    """Bring a panel to the front."""
    names = [window.panels.tabText(index) for index in range(window.panels.count())]
    window.panels.setCurrentIndex(names.index(name))


def type_into(field: QLineEdit, text: str) -> None:
    """Type over a field and press Enter, as a person would."""
    field.setFocus()
    field.selectAll()
    QTest.keyClick(field, Qt.Key.Key_Delete)
    for letter in text:
        if letter.isascii():
            QTest.keyClick(field, letter)
        else:  # what the test library has no key for
            for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
                QApplication.sendEvent(field, QKeyEvent(kind, 0, Qt.KeyboardModifier.NoModifier, letter))
    QTest.keyClick(field, Qt.Key.Key_Return)
