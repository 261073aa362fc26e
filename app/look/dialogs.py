"""Message boxes: a headline, a plain sentence and named answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMessageBox, QWidget

Answer = tuple[str, Callable[[], object]]
"""Words on a button, and what it does."""


def tell(window: QWidget, headline: str, words: str, extra: Sequence[Answer] = ()) -> QMessageBox:
    """Show a message with an OK button and other answers beside it; does not wait."""
    box = _box(window, headline, words, [("OK", keep), *extra], default=0, escape=0)
    box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    box.open()
    return box


def ask(window: QWidget, headline: str, words: str, answers: Sequence[Answer]) -> QMessageBox:
    """Show a question and do not wait; the last answer is the default and what Escape means."""
    box = _box(window, headline, words, answers)
    box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    box.open()
    return box


def choose(window: QWidget, headline: str, words: str, texts: Sequence[str], default: int = -1) -> int:
    """Show a question and wait; returns the index of the answer. The last one is what Escape means, and the default."""
    chosen: list[int] = []
    answers = [(text, lambda index=index: chosen.append(index)) for index, text in enumerate(texts)]
    box = _box(window, headline, words, answers, default=default)
    box.exec()
    box.deleteLater()
    return chosen[0] if chosen else len(texts) - 1


def _box(
    window: QWidget, headline: str, words: str, answers: Sequence[Answer], default: int = -1, escape: int = -1
) -> QMessageBox:
    box = QMessageBox(QMessageBox.Icon.Warning, "Tailweight", headline, QMessageBox.StandardButton.NoButton, window)
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setInformativeText(words)
    buttons = [box.addButton(text, QMessageBox.ButtonRole.AcceptRole) for text, _ in answers]
    for button, (text, act) in zip(buttons, answers, strict=True):
        button.setAccessibleName(text.replace("&", ""))
        button.clicked.connect(lambda _checked=False, act=act: act())
    box.setDefaultButton(buttons[default])
    box.setEscapeButton(buttons[escape])
    return box


def keep() -> None:
    """Leave everything as it is: the answer that only closes the box."""
