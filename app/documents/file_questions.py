"""Questions of one window about its file, each calm and one at a time: what happened, where, and that nothing is lost.

A file or drive that refuses ends in one question with three answers: save elsewhere, try again, keep working. It never
stands in front of another one, and whoever keeps working is asked again only by the next save or close.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import Enum

from PySide6.QtWidgets import QMessageBox, QWidget

from app.documents.document import Document
from app.documents.recovery import Recovery
from app.look import dialogs

SAVE_ELSEWHERE, TRY_AGAIN, KEEP_WORKING = "Save elsewhere...", "Try again", "Keep working"
SAVE, DONT_SAVE, CANCEL = "Save", "Don't save", "Cancel"

Act = Callable[[], object]


class Leaving(Enum):
    """What to do with unsaved work before it is left."""

    SAVE = 0
    DISCARD = 1
    STAY = 2


class FileQuestions:
    """Asks over one window; a newer question takes the place of the one before."""

    def __init__(self, window: QWidget, document: Document, recovery: Recovery) -> None:
        self._window, self._document, self._recovery = window, document, recovery
        self._box: QMessageBox | None = None

    def ask(self, headline: str, words: str, answers: Sequence[dialogs.Answer]) -> None:
        """Ask without waiting; the last answer is the default and what Escape means."""
        self.close()
        box = self._box = dialogs.ask(self._window, headline, words, answers)
        box.finished.connect(lambda _result: self._forget(box))

    def ask_what_now(self, headline: str, words: str, *, elsewhere: Act, again: Act) -> None:
        """Ask what to do now that the file cannot be read or written."""
        answers = [(SAVE_ELSEWHERE, elsewhere), (TRY_AGAIN, again), (KEEP_WORKING, dialogs.keep)]
        self.ask(headline, f"{words} {self._still_here()}", answers)

    def ask_leaving(self, why: str) -> Leaving:
        """Ask what to do with unsaved work, and wait; ``why`` says why its file cannot take it, if that is known."""
        words = f"{why} {self._still_here()}" if why else "Save it first?"
        answers = (SAVE_ELSEWHERE if why else SAVE, DONT_SAVE, CANCEL)
        headline = f"{self._document.job.name} is not saved."
        return Leaving(dialogs.choose(self._window, headline, words, answers, default=0))

    def close(self) -> None:
        """Take back the question that stands open, if there is one."""
        if self._box is not None:
            self._box.close()

    def _still_here(self) -> str:
        if self._recovery.keeps:
            return "Nothing is lost: your work is still in this window, and a copy is kept for recovery."
        if self._document.unsaved:
            return "Your work is still in this window, and only there: no copy for recovery could be kept."
        return "Nothing is lost: your work is still in this window."

    def _forget(self, box: QMessageBox) -> None:
        if self._box is box:
            self._box = None


def ask_where_else(window: QWidget, headline: str, words: str, *, elsewhere: Act, again: Act) -> None:
    """Ask what to do now that a paper, a picture or a table was not written."""
    answers = [(SAVE_ELSEWHERE, elsewhere), (TRY_AGAIN, again), (KEEP_WORKING, dialogs.keep)]
    dialogs.ask(window, headline, f"{words} The rig in this window is as it was.", answers)
