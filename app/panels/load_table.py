"""The load table of the verdict block: load and rigging add up to the hook load, now and at most."""

from __future__ import annotations

import math
from typing import NamedTuple

from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.panels.painted import PaintedFigures

HEADS = ("load", "+ rigging", "= hook load")
WIDEST = "00\u202f000"


class LoadRow(NamedTuple):
    """A row: its name and, where there are figures, load, rigging and hook load without their unit."""

    name: str
    figures: tuple[str, str, str] | None
    instead: str = ""

    @property
    def words(self) -> str:
        """The row as it is read aloud."""
        if self.figures is None:
            return f"{self.name}: {self.instead}"
        load, rigging, hook_load = self.figures
        return f"{self.name}: load {load} + rigging {rigging} = hook load {hook_load}"


class LoadTable(PaintedFigures):
    """Three columns of figures under their heads."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._unit, self._rows, self._note = "kg", (), ""
        self.setAccessibleName("load, rigging and hook load")
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    _rows: tuple[LoadRow, ...]

    def _columns_px(self) -> list[float]:
        """Right edges of the columns of figures."""
        gap = 2.0 * self._plain.space_px
        edge, edges = self._plain.size("most")[0], []
        for head in HEADS:
            edge += gap + max(self._small.size(head)[0], self._bold.size(WIDEST)[0])
            edges.append(edge)
        return edges

    def sizeHint(self) -> QSize:
        return QSize(
            math.ceil(self._columns_px()[-1]), math.ceil(2.0 * self._small.line_px + 2.0 * self._bold.line_px + 4.0)
        )

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    @property
    def rows(self) -> tuple[LoadRow, ...]:
        """What is shown."""
        return self._rows

    @property
    def note(self) -> str:
        """The small print under the rows."""
        return self._note

    def set(self, unit: str, rows: tuple[LoadRow, ...], note: str) -> None:
        """Show other figures, all in ``unit``."""
        if (unit, rows, note) == (self._unit, self._rows, self._note):
            return
        self._unit, self._rows, self._note = unit, rows, note
        words = "; ".join(row.words for row in rows)
        self.setAccessibleDescription(f"{words}, in {unit}. {note}".strip())
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._colours is None:
            return
        colours, painter = self._colours, QPainter(self)
        painter.fillRect(self.rect(), QColor(colours.sheet))
        edges = self._columns_px()
        self._small.paint(painter, self._unit, 0.0, 0.0, colours.faint_ink)
        for head, edge in zip(HEADS, edges, strict=True):
            self._small.paint(painter, head, edge - self._small.size(head)[0], 0.0, colours.faint_ink)
        y = self._small.line_px + 1.0
        painter.setPen(QPen(QColor(colours.line), 1))
        painter.drawLine(QPointF(0.0, y), QPointF(edges[-1], y))
        y += 2.0
        for row in self._rows:
            self._plain.paint(painter, row.name, 0.0, y, colours.ink)
            if row.figures is None:
                self._bold.paint(painter, row.instead, self._plain.size("most  ")[0], y, colours.ink)
            else:
                for at, (figure, edge) in enumerate(zip(row.figures, edges, strict=True)):
                    text = self._plain if at == 1 else self._bold
                    text.paint(painter, figure, edge - text.size(figure)[0], y, colours.ink)
            y += self._bold.line_px
        self._small.paint(painter, self._note, 0.0, y, colours.faint_ink)
