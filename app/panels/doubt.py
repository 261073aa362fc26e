"""Doubt panel: what each uncertain entry does to the limit most used at worst, as a tornado, and what settles it."""

from __future__ import annotations

from collections.abc import Iterator

import pyqtgraph as pg
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.documents.document import Document
from app.look.theme import Palette
from app.panels.plot import Plot, Point
from app.panels.widgets import caption, copyable_sentence, heading
from engine.base.formatting import System, show
from engine.explain import doubt_words
from engine.worst_case.doubt import Doubt, Swing, doubt_of

HOW = (
    "Each bar: this entry alone at its least and at its most, everything else as entered. Dashed line: everything "
    "against it at once. After an arrow: what that comes to once the entry is measured."
)

NO_DOUBT = "There is no verdict here, so there is nothing to weigh up yet."

ROW_LINES = 2.7
"""Lines of text that a row takes: its name, its bar, and a little air."""

LOW_ROW_LINES = 2.2
"""The same where height is short."""

BAR_FROM, BAR_TO = 0.61, 0.95
"""Where in a row its bar stands, under its name."""

SIDE_ROOM = 0.06
"""Share of the width left free on either side."""

LEAST_SPAN = 0.02
"""Least use that the axis spans: bars of next to nothing must not fill the sheet."""


class Tornado(Plot):
    """A bar for each entry, dearest on top; lines at the use as entered, at 100 % and at the worst of all together."""

    def __init__(self, parent: QWidget | None = None, row_lines: float = ROW_LINES) -> None:
        super().__init__("doubt, entry by entry", parent)
        self._row_lines = row_lines
        self.doubt: Doubt | None = None
        self._system: System = "metric"
        self.view.hideAxis("left")
        self.view.getViewBox().invertY(True)

    def show_doubt(self, doubt: Doubt | None, system: System) -> None:
        """Draw the doubt about a limit."""
        self.doubt, self._system = doubt, system
        rows = len(doubt.rows) if doubt is not None else 0
        line_px = self.fontMetrics().height()
        self.view.setFixedHeight(int((rows * self._row_lines + 4.5) * line_px))
        self.setVisible(bool(rows))
        self.draw()

    def at_rest(self) -> str:
        doubt = self.doubt
        if doubt is None or not doubt.others:
            return ""
        added = show(100.0 * doubt.others_add, "ratio", self._system)
        return f"{doubt.others} more entries together add {added} points."

    def fill(self, colours: Palette) -> list[Point]:
        doubt = self.doubt
        if doubt is None or not doubt.rows:
            return []
        ends = [use for swing in doubt.rows for use in (swing.at_least, swing.at_most)]
        low, high = min([doubt.base, *ends]), max([doubt.base, doubt.worst, *ends])
        spare = max(high - low, LEAST_SPAN) * SIDE_ROOM
        box = self.view.getViewBox()
        box.setXRange(low - spare, high + spare, padding=0.0)
        box.setYRange(0.0, float(len(doubt.rows)), padding=0.0)
        self.view.setLabel("bottom", "use of what the limit allows, %")
        self.view.getAxis("bottom").setScale(100.0)
        for item in self._lines(doubt, colours, low - spare < 1.0 < high + spare):
            self.view.addItem(item)
        for row, swing in enumerate(doubt.rows):
            self._draw_row(row, swing, low - spare, colours)
        return [
            Point(max(swing.at_least, swing.at_most), row + 0.5 * (BAR_FROM + BAR_TO), self._words(swing))
            for row, swing in enumerate(doubt.rows)
        ]

    def _words(self, swing: Swing) -> str:
        return doubt_words.swing_words(swing, self._system)

    def _lines(self, doubt: Doubt, colours: Palette, allowed: bool) -> Iterator[pg.InfiniteLine]:
        yield pg.InfiniteLine(doubt.base, angle=90, pen=pg.mkPen(colours.ink, width=1))
        yield pg.InfiniteLine(doubt.worst, angle=90, pen=pg.mkPen(colours.ink, width=1, style=Qt.PenStyle.DashLine))
        if allowed:
            yield pg.InfiniteLine(1.0, angle=90, pen=pg.mkPen(colours.tipping, width=2))

    def _draw_row(self, row: int, swing: Swing, left: float, colours: Palette) -> None:
        """Name and gain above, the bar below; where both ends are worse the lesser is an outline."""
        start, end = sorted((swing.at_least, swing.at_most))
        whole = QColor(colours.steel)
        top, height = row + BAR_FROM, BAR_TO - BAR_FROM
        spans = [(min(start, swing.base), max(end, swing.base), whole)]
        if swing.both_worse:
            spans = [(swing.base, end, whole), (swing.base, start, QColor(colours.sheet))]
        for x0, x1, ground in spans:
            self.view.addItem(
                pg.BarGraphItem(
                    x0=[x0],
                    x1=[x1],
                    y0=[top],
                    height=[height],
                    brush=pg.mkBrush(ground),
                    pen=pg.mkPen(colours.steel_edge),
                )
            )
        metrics = self.fontMetrics()
        room = max(self.view.viewport().width() - 2 * metrics.height(), 0)
        words = metrics.elidedText(doubt_words.label_of(swing, self._system), Qt.TextElideMode.ElideRight, room)
        label = pg.TextItem(words, color=colours.ink, anchor=(0.0, 0.0), fill=pg.mkBrush(colours.sheet))
        label.setFont(self.font())
        label.setPos(left, row + 0.02)
        self.view.addItem(label, ignoreBounds=True)  # pyright: ignore[reportCallIssue]  # handed on to the plot item


class DoubtPanel(QWidget):
    """The doubt about the shown pose: the limit, what settles it, the tornado, and the same in words."""

    told = Signal(str)

    def __init__(self, parent: QWidget | None = None, *, low: bool = False) -> None:
        """``low``: where height is short, how to read the bars stands under the pointer, and rows are lower."""
        super().__init__(parent)
        self._low = low
        self._limit = copyable_sentence("the limit most used at worst")
        self._settles = copyable_sentence("what would prove it")
        self.tornado = Tornado(row_lines=LOW_ROW_LINES if low else ROW_LINES)
        if low:
            self.tornado.setToolTip(HOW)
        column = QVBoxLayout(self)
        column.addWidget(heading("What the doubt costs"))
        column.addWidget(self._limit)
        column.addWidget(self._settles)
        self._how = caption(HOW)
        column.addWidget(self._how)
        column.addWidget(self.tornado)
        column.addStretch(1)

    @property
    def text(self) -> str:
        """All that is said, for tests."""
        return f"{self._limit.text()}\n{self._settles.text()}\n{self.tornado.text()}"

    def set_theme(self, colours: Palette) -> None:
        self.tornado.set_theme(colours)

    def show_document(self, document: Document) -> None:
        """The doubt about the document's pose."""
        job, verdict = document.job, document.verdict
        doubt = doubt_of(verdict)
        self._how.setVisible(not self._low and doubt is not None and bool(doubt.rows))
        if doubt is None:
            self._limit.setText(NO_DOUBT)
            self._settles.setText("")
        else:
            self._limit.setText(doubt_words.heading_of(doubt, job.units))
            self._settles.setText(doubt_words.settling_words(job, document.pose, verdict, doubt))
        self.tornado.show_doubt(doubt, job.units)
