"""A form with a picture over it: few lettered fields in the order a tape is put on, and the others under "more"."""

from __future__ import annotations

from collections.abc import Callable, Container
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QToolButton, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look import hints
from app.look.theme import LIGHT, Palette
from app.panels.forms import Form, get, hints_of
from app.panels.part_figure import PartFigure
from app.panels.part_pictures import Picture
from app.panels.widgets import heading
from engine.schema.model import Job

MORE = "More entries"

Pictures = Callable[[Job], tuple[tuple[str, Picture], ...]]
"""The pictures of a job's parts, each under a title; an empty title where there is one."""


class PartForm(Form):
    """Fields of a part, those that its picture has letters for first."""

    def __init__(
        self,
        document: Document,
        paths: tuple[str, ...],
        pictures: Pictures,
        parent: QWidget | None = None,
        *,
        only: Container[str] | None = None,
    ) -> None:
        super().__init__(document, paths, parent, only=only)
        self._pictures = pictures
        self._colours = LIGHT
        self._letters: dict[str, str] = {}
        self._taken: set[str] = set()
        """Entries that stand over the others."""
        self._sections: set[str] = set()
        self._letter = ""
        self._open = False
        self.figures: list[PartFigure] = []
        self.more = QToolButton()
        self._rest = QWidget()
        self.entered_path.connect(self._show_in_hand)

    def set_theme(self, colours: Palette) -> None:
        """Colours of the pictures."""
        self._colours = colours
        for figure in self.figures:
            figure.set_theme(colours)

    def show_document(self, document: Document) -> None:
        """Put the job's values in, and draw the pictures to them."""
        pictures = self._pictures(document.job)
        letters = {path: letter for _, picture in pictures for path, letter in picture.letters.items()}
        taken = {*letters, *(path for _, picture in pictures for path in picture.first)}
        if (letters, taken) != (self._letters, self._taken):
            self._letters, self._taken, self._shape = letters, taken, None
            self._sections = {picture.section for _, picture in pictures}
        super().show_document(document)
        for figure, (_, picture) in zip(self.figures, pictures, strict=True):
            figure.set_picture(picture)

    def entry_field(self, path: str) -> QWidget | None:
        """The field of an entry; what is under "more" is unfolded for it."""
        field = super().entry_field(path)
        if field is not None and self._rest.isAncestorOf(field):
            self._unfold(True)
        return field

    # -------------------------------------------------------- building

    def _build(self, document: Document) -> None:
        self._clear()
        body = self._body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 0)
        self.figures = []
        for title, picture in self._pictures(document.job):
            if title:
                column.addWidget(heading(title))
            column.addWidget(self._figure())
            column.addLayout(self._lettered_grid(document.job, picture))
        self.more = QToolButton()
        self.more.setText(MORE)
        self.more.setCheckable(True)
        self.more.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        hints.name(self.more, f"{MORE}: the other entries of the part")
        self.more.clicked.connect(self._unfold)
        column.addWidget(self.more)
        self._rest = QWidget()
        self._fill(self._rest, document)
        column.addWidget(self._rest)
        column.addStretch(1)
        self._unfold(self._open)
        self._column.addWidget(body)

    def _figure(self) -> PartFigure:
        figure = PartFigure()
        figure.set_theme(self._colours)
        figure.chosen.connect(self._go_to)
        self.figures.append(figure)
        return figure

    def _lettered_grid(self, job: Job, picture: Picture) -> QGridLayout:
        grid = QGridLayout()
        grid.setColumnStretch(1, 1)
        if picture.section:
            super()._add_sizes(grid, picture.section, get(job, picture.section))
        for path, letter in (*((path, "") for path in picture.first), *picture.letters.items()):
            parent, _, name = path.rpartition(".")
            node = get(job, parent)
            self._letter = letter
            self._add_entry(grid, path, name, getattr(node, name), hints_of(type(node))[name])
        self._letter = ""
        return grid

    def _row(self, grid: QGridLayout, label: str, widget: QWidget) -> None:
        if self._letter and label:
            label, self._letter = f"{self._letter}   {label}", ""
        super()._row(grid, label, widget)

    def _is_shown(self, path: str, name: str) -> bool:
        return f"{path}.{name}" not in self._taken and super()._is_shown(path, name)

    def _add_sizes(self, grid: QGridLayout, path: str, node: Any) -> None:
        if path not in self._sections:
            super()._add_sizes(grid, path, node)

    # -------------------------------------------------------- picture and fields

    def _unfold(self, wanted: bool) -> None:
        self._open = wanted
        self.more.setChecked(wanted)
        self.more.setArrowType(Qt.ArrowType.DownArrow if wanted else Qt.ArrowType.RightArrow)
        self._rest.setVisible(wanted)

    def _show_in_hand(self, path: str) -> None:
        for figure in self.figures:
            figure.set_bold(path)

    def _go_to(self, path: str) -> None:
        field = self.entry_field(path)
        if field is not None:
            field.setFocus(Qt.FocusReason.MouseFocusReason)
