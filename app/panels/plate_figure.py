"""A picture of a truck's data plate beside the boxes that ask for it: which figure on it each box means.

The plate is nobody's: its figures are invented and round, and it says that it is an example.
"""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QEvent, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look.text_metrics import small_font, text_metrics
from app.look.theme import LIGHT, Palette
from engine.base.formatting import System

LETTERS = {"rated_kg": "A", "load_centre_m": "B", "lift_m": "C"}
"""Letter of each box, as it stands on the picture."""


class Column(NamedTuple):
    """A column of the plate: what it asks, its unit and its figures."""

    entry: str
    head: str
    unit: str
    figures: tuple[str, ...]


COLUMNS: dict[System, tuple[Column, ...]] = {
    "metric": (
        Column("lift_m", "LIFT", "mm", ("3\u202f000", "4\u202f500")),
        Column("load_centre_m", "LOAD CENTRE", "mm", ("500", "500")),
        Column("rated_kg", "CAPACITY", "kg", ("2\u202f000", "1\u202f600")),
    ),
    "us": (
        Column("lift_m", "LIFT", "in", ("120", "180")),
        Column("load_centre_m", "LOAD CENTER", "in", ("24", "24")),
        Column("rated_kg", "CAPACITY", "lb", ("4,000", "3,200")),
    ),
}
"""An invented plate in either units."""

ROW_SAYS = "Take one row whole. Forks at the height you lift to, or the next row above it."
EXAMPLE = "EXAMPLE, not your truck"
LINES_HIGH = 6.4
EDGE_PX, RIVET_PX = 10.0, 3.0


class PlateFigure(QWidget):
    """The plate, with a letter at each figure that is asked for; the one in hand stands in a ring."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units: System = "metric"
        self._asked = ""
        self._colours = LIGHT
        self.setAccessibleName("picture of a truck's plate")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.set_units("metric")

    @property
    def asked(self) -> str:
        """The entry whose figure stands in a ring; empty for none."""
        return self._asked

    def set_units(self, units: System) -> None:
        """Show a plate in these units."""
        self._units = units
        said = ", ".join(f"{LETTERS[one.entry]}: {one.head.lower()}, {one.figures[0]}" for one in COLUMNS[units])
        self.setAccessibleDescription(f"{EXAMPLE}. {said}. {ROW_SAYS}")
        self.setToolTip(ROW_SAYS)
        self.update()

    def set_asked(self, entry: str) -> None:
        """Ring the figure of one entry; empty for none."""
        if entry != self._asked:
            self._asked = entry
            self.update()

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.update()

    def sizeHint(self) -> QSize:
        line_px = self.fontMetrics().height()
        return QSize(round(20 * line_px), round(LINES_HIGH * line_px))

    def minimumSizeHint(self) -> QSize:
        return QSize(round(12 * self.fontMetrics().height()), self.sizeHint().height())

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.updateGeometry()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        colours, small = self._colours, text_metrics(small_font(self.font()))
        plate = QRectF(self.rect()).adjusted(1.0, 1.0, -1.0, -1.0)
        painter.setPen(QPen(QColor(colours.ink), 1.5))
        painter.setBrush(QColor(colours.sheet))
        painter.drawRoundedRect(plate, EDGE_PX, EDGE_PX)
        for x in (plate.left() + EDGE_PX, plate.right() - EDGE_PX):
            painter.drawEllipse(QRectF(x - RIVET_PX, plate.center().y() - RIVET_PX, 2.0 * RIVET_PX, 2.0 * RIVET_PX))
        inner = plate.adjusted(2.0 * EDGE_PX, 3.0, -2.0 * EDGE_PX, -3.0)
        small.paint(painter, EXAMPLE, inner.left(), inner.top(), colours.faint_ink)
        table = inner.adjusted(0.0, small.line_px + 2.0, 0.0, -2.0)
        for index, column in enumerate(COLUMNS[self._units]):
            width = table.width() / len(LETTERS)
            self._paint_column(
                painter, column, QRectF(table.left() + index * width, table.top(), width, table.height())
            )

    def _paint_column(self, painter: QPainter, column: Column, box: QRectF) -> None:
        colours = self._colours
        plain, bold, small = (
            text_metrics(self.font()), text_metrics(self.font(), True), text_metrics(small_font(self.font()))
        )  # fmt: skip
        painter.setPen(QPen(QColor(colours.line), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box)
        x, y = box.left() + 4.0, box.top() + 2.0
        head = small.elided(column.head, box.width() - 8.0)
        small.paint(painter, head, x, y, colours.ink)
        y += small.line_px
        small.paint(painter, column.unit, x, y, colours.faint_ink)
        y += small.line_px + 2.0
        asked = column.entry == self._asked
        letter = f"{LETTERS[column.entry]} "
        bold.paint(painter, letter, x, y, colours.accent)
        figure_px = bold.size(letter)[0]
        (bold if asked else plain).paint(painter, column.figures[0], x + figure_px, y, colours.ink)
        if asked:
            painter.setPen(QPen(QColor(colours.accent), 2))
            width = figure_px + bold.size(column.figures[0])[0] + 8.0
            painter.drawRoundedRect(QRectF(x - 3.0, y - 1.0, min(width, box.width() - 4.0), bold.line_px + 2.0), 6, 6)
        y += plain.line_px + 3.0
        for figure in column.figures[1:]:
            plain.paint(painter, figure, x + figure_px, y, colours.faint_ink)
