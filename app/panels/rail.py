"""The rail beside the panels of a wide window: what gives first, the five most used limits, what the doubt costs."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look.theme import Palette
from app.panels.doubt import DoubtPanel
from app.panels.limit_rows import LimitRows, most_used_first
from app.panels.widgets import caption, copyable_sentence, heading
from app.panels.worst_uses import worst_uses_of_each

MOST = 5
"""Limits that the rail lists."""

HOW = "The most used limits at their worst case. Choose one to see its place and its sum."

NO_LIMITS = "There is no verdict on this pose, so no limit gives first."


class Rail(QScrollArea):
    """Why the pose shown is as it is, always beside the stage's panel."""

    check_chosen = Signal(object)
    """A check to show on the drawing, or None."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("why rail")
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.first = copyable_sentence("what gives first")
        self.limits = LimitRows("most used limits")
        self.limits.chosen.connect(self.check_chosen)
        self.doubt = DoubtPanel()
        self._how = caption(HOW)
        self._shown: tuple[object, ...] = ()
        page = QWidget()
        column = QVBoxLayout(page)
        for widget in (heading("Gives first"), self.first, self._how, self.limits, self.doubt):
            column.addWidget(widget)
        column.addStretch(1)
        self.setWidget(page)

    def set_theme(self, colours: Palette) -> None:
        """Colours of the bars and of the tornado."""
        self.limits.set_theme(colours)
        self.doubt.set_theme(colours)

    def show_document(self, document: Document) -> None:
        """Explain the pose shown."""
        job, verdict = document.job, document.verdict
        if self._shown and self._shown[0] is verdict and self._shown[1] == job.units:
            return
        self._shown = verdict, job.units
        governing = verdict.governing
        rows = sorted(worst_uses_of_each(verdict), key=most_used_first) if governing is not None else []
        self.first.setText(NO_LIMITS if governing is None else governing.name)
        self.limits.show_rows(rows[:MOST], job)
        for part in (self._how, self.limits, self.doubt):
            part.setVisible(bool(rows))
        self.doubt.show_document(document)

    @property
    def first_for_keyboard(self) -> QWidget:
        """What takes the keyboard when it comes here: the limits, or the sentence that says why there are none."""
        return self.limits if self.limits.rows else self.first
