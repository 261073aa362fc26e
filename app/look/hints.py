"""A widget's name, as it is read aloud and as it shows over the widget under the pointer."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget


def name(widget: QWidget, words: str) -> None:
    """Name a widget: ``words`` say in full what it does or holds."""
    widget.setAccessibleName(words)
    widget.setToolTip(as_hint(words))


def as_hint(words: str) -> str:
    """Words with a capital at their start."""
    return words[:1].upper() + words[1:]
