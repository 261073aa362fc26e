"""Every key in one place: what the menus say, and what the drawing and the fields answer to."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFrame,
    QGridLayout,
    QLabel,
    QMenu,
    QMenuBar,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.panels.widgets import caption, heading

ON_THE_DRAWING = (
    ("pull a part", "move it; the rig follows the hook"),
    ("click a part", "show its entries"),
    ("Ctrl with a drag", "leave the boom unpinned"),
    ("Esc in a drag", "put everything back"),
    ("Esc while the hook's places are worked out", "stop there; what has come stays"),
    ("double click a figure", "type it"),
    ("drag empty paper", "move the sheet"),
    ("wheel, + and -", "zoom"),
    ("two fingers on a trackpad, Shift or Alt with the wheel, space with a pull", "move the sheet"),
    ("Tab", "hold the next part, from the truck outwards; Esc lets go"),
    ("arrow keys", "move the part held by a step (Shift: ten, Alt: boom unpinned), else the sheet"),
    ("Enter", "show the entries of the part held"),
    ("F or 0", "fit the drawing"),
)
IN_A_FIELD = (
    ("Enter or Tab", "take what is typed, in any unit"),
    ("Up, Down", "one step more or less"),
    ("Page Up, Page Down", "ten steps"),
    ("Shift with these", "finer steps, where an arm turns"),
    ("Esc", "forget what is typed"),
    ("Tab, then Enter on the chip", "how a number is known, its least and most; Esc closes it"),
)


def menu_keys(bar: QMenuBar) -> list[tuple[str, str]]:
    """Key and command of every action in the menus that has a key."""
    commands: list[tuple[str, str]] = []

    def walk(actions: Sequence[QAction]) -> None:
        for action in actions:
            menu = action.menu()
            if isinstance(menu, QMenu):
                walk(menu.actions())
            elif not action.shortcut().isEmpty():
                native = QKeySequence.SequenceFormat.NativeText
                keys = ", ".join(shortcut.toString(native) for shortcut in action.shortcuts())
                commands.append((keys, action.text().replace("&", "")))

    walk(bar.actions())
    return commands


class KeysSheet(QDialog):
    """A list of keys that scrolls."""

    def __init__(self, bar: QMenuBar, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keys")
        body = QWidget()
        grid = QGridLayout(body)
        grid.setColumnStretch(1, 1)
        for title, rows in (("Menus", menu_keys(bar)), ("On the drawing", ON_THE_DRAWING), ("In a field", IN_A_FIELD)):
            grid.addWidget(heading(title), grid.rowCount(), 0, 1, 2)
            for keys, words in rows:
                row = grid.rowCount()
                grid.addWidget(QLabel(keys), row, 0)
                grid.addWidget(caption(words), row, 1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setAccessibleName("list of keys")
        area.setWidget(body)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(area, 1)
        column.addWidget(buttons)
        self.resize(self.fontMetrics().averageCharWidth() * 70, min(self.fontMetrics().height() * 34, 720))

    @property
    def text(self) -> str:
        """All that is listed, for tests."""
        return "\n".join(label.text() for label in self.findChildren(QLabel))
