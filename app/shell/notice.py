"""The notice under the drawing: one sentence, in red where something is wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QLabel

from engine.base.formatting import fill
from engine.base.lazy import lazy

if TYPE_CHECKING:
    from app.documents.document import Document
    from app.panels import surroundings
else:
    surroundings = lazy("app.panels.surroundings")  # not on the first paint


class Notice(QLabel):
    """Shows what was told last, or what stands as long as the pose shown does."""

    def __init__(self) -> None:
        super().__init__()
        self._problem = self._collision = self._standing = ""
        self._shares = False
        self.setObjectName("wrong")
        self.setWordWrap(True)
        self.setAccessibleName("notice")
        self.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)

    def set_sharing(self, shares: bool) -> None:
        """Share a row with others, and stand there only with something to say; else keep a line of its own."""
        self._shares = shares
        self.setMinimumHeight(0 if shares else self.fontMetrics().height() + 6)
        self._show_words()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.set_sharing(self._shares)

    def clear(self) -> None:
        """Take away what is said."""
        super().clear()
        self._show_words()

    def _show_words(self) -> None:
        self.setVisible(bool(self.text()) or not self._shares)

    def tell(self, words: str) -> None:
        """Show what is wrong in one sentence; an empty one takes it away."""
        self._say(words, "wrong")

    def report(self, words: str) -> None:
        """Show in one sentence what was done or is asked for, in the colour of text: nothing is wrong."""
        self._say(words, "report")

    def _say(self, words: str, name: str) -> None:
        self.setText(words)
        self._show_words()
        if name != self.objectName():
            self.setObjectName(name)
            self.style().unpolish(self)
            self.style().polish(self)

    def show_problem(self, document: Document) -> None:
        """Say why there is no verdict."""
        problems = document.verdict.problems
        self._problem = fill(problems[0].words, problems[0].numbers, document.units) if problems else ""
        self._tell_standing()

    def show_collisions(self, document: Document) -> None:
        """Name what the pose shown runs into; a clear pose takes the sentence away again."""
        self._collision = surroundings.collision_words(document)
        self._tell_standing()

    def _tell_standing(self) -> None:
        words = " ".join(filter(None, (self._problem, self._collision)))
        if words or self._standing:
            self.tell(words)
        self._standing = words
