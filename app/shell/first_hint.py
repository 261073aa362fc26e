"""One line over the drawing for somebody who has not pulled anything yet."""

from __future__ import annotations

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton

from app.look import hints

WORDS = "Pull the load, an arm or the forks. Click a part for its sizes. Double-click a figure to type it. F1 is help."
SEEN = "hint_seen"
PULLS = 3
"""Different kinds of pull after which it goes by itself."""


class FirstHint(QFrame):
    """Stays until it is dismissed, or until a person has plainly got it."""

    def __init__(self, settings: QSettings) -> None:
        super().__init__()
        self._settings, self._kinds = settings, set()
        self.setObjectName("ruled")
        self.setAccessibleName("hint")
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 2, 8, 2)
        words = QLabel(WORDS)
        words.setWordWrap(True)
        row.addWidget(words, 1)
        self.got = QPushButton("Got it")
        hints.name(self.got, "got it: hide the hint")
        self.got.clicked.connect(self.dismiss)
        row.addWidget(self.got)
        self.hide()

    _kinds: set[str]

    def offer(self) -> None:
        """Show it, unless somebody has seen it."""
        if str(self._settings.value(SEEN, "")) != "yes":
            self.show_again()

    def show_again(self) -> None:
        """Show it whoever has seen it."""
        self._kinds = set()
        self.show()

    def pulled(self, handle: str) -> None:
        """Somebody has pulled something."""
        self._kinds.add(handle.split()[0])
        if self.isVisible() and len(self._kinds) >= PULLS:
            self.dismiss()

    def dismiss(self) -> None:
        """Hide it for good."""
        self._settings.setValue(SEEN, "yes")
        self.hide()
