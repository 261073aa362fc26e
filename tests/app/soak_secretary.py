"""Answers every dialog that waits, by pressing and typing as a person does, so that nothing ever stands still."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QInputDialog,
    QLabel,
    QLineEdit,
    QMessageBox,
    QWidget,
)

LOOK_EVERY_MS = 2

Answer = Callable[[QWidget], None]


class Secretary(QObject):
    """Looks every few milliseconds for a dialog; gives it the answer that was prepared, or closes it."""

    def __init__(self) -> None:
        super().__init__()
        self._answers: list[Answer] = []
        self.seen: list[str] = []
        """What the dialogs since ``prepare`` said."""
        self.wrong: list[str] = []
        """Dialogs nobody was prepared for, and answers that did not fit."""
        QTimer.singleShot(LOOK_EVERY_MS, self._look)

    def prepare(self, *answers: Answer) -> None:
        """Answers to the next dialogs, in their order; whatever was prepared before is dropped."""
        self._answers, self.seen = list(answers), []

    def _look(self) -> None:
        # Another look first: an answer may open a dialog of its own and wait for it.
        QTimer.singleShot(LOOK_EVERY_MS, self._look)
        dialog = QApplication.activeModalWidget()
        if dialog is None or not dialog.isVisible():
            return
        if self.wrong:
            dialog.close()  # it is over anyhow; nothing may keep it from being said
        if dialog.property("answered"):
            return
        dialog.setProperty("answered", True)
        said = (
            f"{dialog.text()} {dialog.informativeText()}" if isinstance(dialog, QMessageBox) else dialog.windowTitle()
        )
        self.seen.append(said)
        if not self._answers:
            self.wrong.append(f"nobody was prepared for: {said}")
            dialog.close()
            return
        try:
            self._answers.pop(0)(dialog)
        except (AssertionError, AttributeError) as error:
            self.wrong.append(f"{said}: {error}")
            dialog.close()


def pressing(text: str) -> Answer:
    """Press the button of this text."""

    def answer(dialog: QWidget) -> None:
        buttons = {button.text().replace("&", ""): button for button in dialog.findChildren(QAbstractButton)}
        assert text in buttons, f"no button {text!r} among {list(buttons)}"
        QTest.mouseClick(buttons[text], Qt.MouseButton.LeftButton)

    return answer


def escaping(dialog: QWidget) -> None:
    """Press Escape."""
    QTest.keyClick(dialog, Qt.Key.Key_Escape)


def naming(name: str) -> Answer:
    """Type a name and press Enter."""

    def answer(dialog: QWidget) -> None:
        assert isinstance(dialog, QInputDialog)
        field = dialog.findChild(QLineEdit)
        field.selectAll()
        QTest.keyClicks(field, name)
        QTest.keyClick(field, Qt.Key.Key_Return)

    return answer


def picking(path: Path) -> Answer:
    """Enter a file's path in a file dialog and press Enter."""

    def answer(dialog: QWidget) -> None:
        assert isinstance(dialog, QFileDialog)
        field = dialog.findChild(QLineEdit, "fileNameEdit")
        field.setText(str(path))  # pasted; typed letter by letter, the list of completions would lie over it
        QTest.keyClick(field, Qt.Key.Key_Return)

    return answer


def printing(path: Path) -> Answer:
    """Print into a file, which is the only printer of a machine that has none."""

    def answer(dialog: QWidget) -> None:
        dialog.findChild(QLineEdit, "filename").setText(str(path))
        pressing("Print")(dialog)

    return answer


def filling(lines: dict[str, str]) -> Answer:
    """Type into fields and choose in lists by their accessible names, leave each with Tab, then press OK."""

    def answer(dialog: QWidget) -> None:
        assert isinstance(dialog, QDialog)
        dialog.activateWindow()
        QApplication.processEvents()
        fields = {field.accessibleName(): field for field in dialog.findChildren(QLineEdit)}
        choices = {field.accessibleName(): field for field in dialog.findChildren(QComboBox)}
        for name, text in lines.items():
            if name in choices:
                choices[name].setCurrentIndex(choices[name].findText(text))
                continue
            assert name in fields, f"no field {name!r} among {sorted(fields)}"
            field = fields[name]
            field.setFocus()
            field.selectAll()
            QTest.keyClicks(field, text)
            QTest.keyClick(field, Qt.Key.Key_Tab)
        button = dialog.findChild(QDialogButtonBox).button(QDialogButtonBox.StandardButton.Ok)
        assert button.isEnabled(), f"{dialog.windowTitle()}: OK cannot be pressed"
        QTest.mouseClick(button, Qt.MouseButton.LeftButton)
        wrong = [label.text() for label in dialog.findChildren(QLabel, "wrong")]
        assert not dialog.isVisible(), f"{dialog.windowTitle()} was not taken: {wrong}"

    return answer
