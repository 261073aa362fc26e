"""The marks on the stages, and the way from one missing entry to the next."""

from __future__ import annotations

from app.documents.document import Document
from app.panels.stage_bar import STAGES, StageBar
from app.shell.notice import Notice
from app.shell.panel_registry import Panels
from engine.base.formatting import fill
from engine.explain import stages
from engine.explain.entry_names import entry_words


class MissingWalk:
    """Walks through what the pose shown lacks, in the order of the stages."""

    def __init__(self, document: Document, bar: StageBar, panels: Panels, notice: Notice) -> None:
        self._document, self._bar, self._panels, self._notice = document, bar, panels, notice
        self._at = ""

    def show(self) -> None:
        """Mark the stages, name the next entry, and say what is in the closed sections."""
        document = self._document
        marks = stages.marks(document.job, document.verdict)
        self._bar.set_marks([marks[stage] for stage in STAGES])
        missing = stages.missing_entries(document.verdict)
        if all(problem.where != self._at for problem in missing):
            self._at = ""
        self._bar.set_next(entry_words(missing[0].where, document.job) if missing else "")
        self._panels.tell_lines()

    def go(self, steps: int) -> None:
        """To the next missing entry, or back to the one before."""
        paths = [problem.where for problem in stages.missing_entries(self._document.verdict)]
        if not paths:
            self._notice.report("Nothing is missing for this pose.")
            return
        at = paths.index(self._at) + steps if self._at in paths else (0 if steps > 0 else -1)
        self.open(paths[at % len(paths)])

    def open(self, path: str) -> None:
        """Show an entry, with why it is wanted under its field."""
        document, self._at = self._document, path
        told = [each for each in (*document.verdict.problems, *document.verdict.not_entered) if each.where == path]
        words = fill(told[0].words, told[0].numbers, document.units) if told else ""
        self._panels.open_entry(path, words)
