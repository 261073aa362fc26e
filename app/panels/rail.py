"""The rail beside the panels of a wide window: what explains the pose shown, as the stage asks.

Truck and Build: the limits of the part that is open, and what its next sizes would allow.  Place and Pick: the most
used limits, allowed load against reach, and what the doubt costs.  Why: the limit chosen with its sum.  Papers: the
paper chosen as it will print.
"""

from __future__ import annotations

from typing import Protocol

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look.theme import Palette
from app.panels.doubt import DoubtPanel
from app.panels.limit_rows import LimitRows, most_used_first
from app.panels.rail_answers import NextSizes, ReachHere
from app.panels.widgets import caption, copyable_sentence, heading
from app.panels.worst_uses import worst_uses_of_each
from app.workers.background import Background
from app.workers.working_process import WorkingProcess
from engine.explain.limit_entries import rests_on
from engine.rig.check import Check

MOST, MOST_OF_PART = 5, 8
"""Limits that the rail lists: of the whole pose, and of a part."""

HOW = "The most used, worst case. Choose one for its place and sum."

NO_LIMITS = "There is no verdict on this pose, so no limit gives first."
NO_LIMIT_OF_PART = "No limit of this pose rests on what is open here."

GIVES_FIRST, OF_TRUCK, OF_RIG = "Gives first", "Limits of the truck", "Limits of the rig"

TRUCK, BUILD, WHY, PAPERS = "Truck", "Build", "Why", "Papers"


class PaperPreview(Protocol):
    """What shows the paper chosen as it will print."""

    def show_document(self, document: Document) -> None: ...

    def forget(self) -> None: ...

    @property
    def first_for_keyboard(self) -> QWidget: ...


class Rail(QScrollArea):
    """Explains the pose shown, always beside the stage's panel."""

    check_chosen = Signal(object)
    """A check to show on the drawing, or None."""

    def __init__(self, process: WorkingProcess, paper: QWidget) -> None:
        """``process`` works out what takes long; ``paper`` is a `PaperPreview`."""
        super().__init__()
        self.setAccessibleName("why rail")
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.title = heading("")
        self.first = copyable_sentence("what gives first")
        self.limits = LimitRows("most used limits")
        self.limits.setToolTip(HOW)
        self.limits.chosen.connect(self._choose)
        self.sizes, self.reach, self.doubt = NextSizes(process), ReachHere(process), DoubtPanel(low=True)
        self.paper = paper
        self._how = caption(HOW)
        self._shown: tuple[object, ...] = ()
        self._document: Document | None = None
        self._section: tuple[object, ...] = ()
        self._stage, self._part = "", ""
        self._roots: tuple[str, ...] = ()
        self._chosen: Check | None = None
        page = QWidget()
        column = QVBoxLayout(page)
        explains = (self.title, self.first, self._how, self.limits, self.sizes, self.reach, self.doubt)
        for widget in explains:
            column.addWidget(widget)
        column.addWidget(paper, 1)
        column.addStretch(0)
        self.setWidget(page)

    def set_theme(self, colours: Palette) -> None:
        """Colours of bars and plots."""
        for part in (self.limits, self.reach, self.doubt):
            part.set_theme(colours)

    def set_section(self, stage: str, part: str, roots: tuple[str, ...]) -> None:
        """Explain for another section: its stage, its title, and the paths of the entries that it is about."""
        if stage != self._stage:
            self._chosen = None
        self._stage, self._part, self._roots = stage, part, roots

    def show_chosen(self, check: Check | None) -> None:
        """Somebody chose a limit elsewhere: in Why its sum stands here."""
        self._chosen = check
        if self._stage == WHY and check is not None and self._document is not None:
            self._show_limits(self._document)

    def show_document(self, document: Document) -> None:
        """Explain the pose shown."""
        section = (self._stage, self._part, self._roots)
        shown = (document.verdict, document.pose, document.job)
        same = bool(self._shown) and all(one is other for one, other in zip(self._shown, shown, strict=True))
        if same and section == self._section:
            return
        self._shown, self._section, self._document = shown, section, document
        of_paper = self._stage == PAPERS
        self.paper.setVisible(of_paper)
        self._show_limits(document)
        self._show_answers(document)
        if of_paper:
            self._preview.show_document(document)
        else:
            self._preview.forget()

    def _show_limits(self, document: Document) -> None:
        governing = document.verdict.governing
        on_paper, of_part = self._stage == PAPERS, self._stage in (TRUCK, BUILD)
        rows = [] if on_paper or governing is None else self._rows(document)
        part = f"Limits: {self._part[:1].lower()}{self._part[1:]}" if self._roots else OF_RIG
        self.title.setText(GIVES_FIRST if not of_part else OF_TRUCK if self._stage == TRUCK else part)
        self.first.setText(NO_LIMITS if governing is None else NO_LIMIT_OF_PART if of_part else governing.name)
        self.limits.show_rows(rows, document.job)
        self.limits.show_as_chosen(self._chosen_name(rows))
        self.title.setVisible(not on_paper)
        self.first.setVisible(not on_paper and not (of_part and rows))
        self.limits.setVisible(bool(rows))
        self._how.setVisible(bool(rows) and not self._of_pose)

    def _rows(self, document: Document) -> list[tuple[Check, float]]:
        """The limits that the section asks for, the most used first."""
        rows = sorted(worst_uses_of_each(document.verdict), key=most_used_first)
        if self._stage in (TRUCK, BUILD):
            return [(check, use) for check, use in rows if self._is_of_part(document, check)][:MOST_OF_PART]
        return self._with_chosen(rows) if self._stage == WHY else rows[:MOST]

    def _with_chosen(self, rows: list[tuple[Check, float]]) -> list[tuple[Check, float]]:
        """The most used limits, the chosen one over them where it is not among them."""
        name = self._chosen.name if self._chosen is not None else ""
        most = rows[:MOST]
        if any(check.name == name for check, _ in most):
            return most
        return [*[(check, use) for check, use in rows if check.name == name], *most]

    def _chosen_name(self, rows: list[tuple[Check, float]]) -> str:
        """The limit whose sum stands here: the one chosen, in Why else the one on top."""
        if self._chosen is not None:
            return self._chosen.name
        return rows[0][0].name if rows and self._stage == WHY else ""

    def _is_of_part(self, document: Document, check: Check) -> bool:
        if self._stage == TRUCK:
            return check.side == "truck"
        if not self._roots:
            return check.side == "rig"
        return rests_on(document.job, document.pose, check, self._roots)

    @property
    def _of_pose(self) -> bool:
        """Whether the stage is Place or Pick, where height is short: how to use the list stands under the pointer."""
        return self._stage not in (TRUCK, BUILD, WHY, PAPERS)

    def _show_answers(self, document: Document) -> None:
        judged = document.verdict.governing is not None
        sizes = self._stage == BUILD and bool(self._roots) and judged
        of_pose = self._of_pose and judged
        for part, wanted in ((self.sizes, sizes), (self.reach, of_pose), (self.doubt, of_pose)):
            part.setVisible(wanted)
        if sizes:
            self.sizes.show_document(document, self._roots)
        else:
            self.sizes.forget()
        if of_pose:
            self.reach.show_document(document)
            self.doubt.show_document(document)
        else:
            self.reach.forget()

    def forget(self) -> None:
        """A hand pulls, or the rail is not seen: nobody waits for an answer; it is asked for when next shown."""
        self._shown = ()
        for part in (self.sizes, self.reach, self._preview):
            part.forget()

    @property
    def asking(self) -> tuple[Background, ...]:
        """What is being worked out for the rail."""
        return tuple(part.background for part in (self.sizes, self.reach) if part.background.asks)

    @property
    def _preview(self) -> PaperPreview:
        return self.paper  # type: ignore[return-value]

    @property
    def first_for_keyboard(self) -> QWidget:
        """What takes the keyboard when it comes here: the limits, or the sentence that says why there are none."""
        if self._stage == PAPERS:
            return self._preview.first_for_keyboard
        return self.limits if self.limits.rows else self.first

    def _choose(self, check: object) -> None:
        self._chosen = check if isinstance(check, Check) else None
        self.check_chosen.emit(check)
