"""Answers to message boxes, given as a person gives them: by pressing a button."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QDialog, QMessageBox, QWidget

LOOK_EVERY_MS = 20


def press(box: QWidget, text: str) -> None:
    """Press the button of this text with the mouse."""
    buttons = {button.text().replace("&", ""): button for button in box.findChildren(QAbstractButton)}
    assert text in buttons, list(buttons)
    QTest.mouseClick(buttons[text], Qt.MouseButton.LeftButton)
    QApplication.processEvents()


def open_boxes(window: QWidget) -> list[QMessageBox]:
    """Message boxes that stand open over a window."""
    return [box for box in window.findChildren(QMessageBox) if box.isVisible()]


def the_box(window: QWidget) -> QMessageBox:
    """The one that does."""
    boxes = open_boxes(window)
    assert len(boxes) == 1, [box.text() for box in boxes]
    return boxes[0]


@contextmanager
def answering_each(*texts: str) -> Iterator[list[str]]:
    """Presses one of these buttons in each of the next boxes that wait for an answer; gives what they said."""
    said: list[str] = []

    def look() -> None:
        box = QApplication.activeModalWidget()
        if isinstance(box, QMessageBox) and box.isVisible() and not box.property("answered"):
            box.setProperty("answered", True)
            said.append(f"{box.text()} {box.informativeText()}")
            press(box, texts[len(said) - 1] if len(said) <= len(texts) else "Cancel")

    timer = QTimer()
    timer.timeout.connect(look)
    timer.start(LOOK_EVERY_MS)
    yield said
    timer.stop()
    assert len(said) == len(texts), said


@contextmanager
def answering(act: Callable[[QDialog], object]) -> Iterator[list[str]]:
    """Answers the next box that waits for an answer; gives what it said."""
    said: list[str] = []

    def look() -> None:
        box = QApplication.activeModalWidget()
        if box is not None and box.isVisible():
            timer.stop()
            said.append(f"{box.text()} {box.informativeText()}" if isinstance(box, QMessageBox) else box.windowTitle())
            act(box)

    timer = QTimer()
    timer.timeout.connect(look)
    timer.start(LOOK_EVERY_MS)
    yield said
    timer.stop()
    assert said, "nothing was asked"
