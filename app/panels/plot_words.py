"""Where words stand on a plot: none on another, on a mark or off the plot; a thin line leads to what stands off."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import NamedTuple

import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF

from app.panels.plot import Plot

ROUND_PX = 9.0
"""What the library leaves free round words, both sides together."""

LED_LINES = 0.8
"""Words that stand further than this from what they name, in lines of text, have a line to it."""


BETWEEN = (0.2, 0.4, 0.6, 0.8)
"""Places between two marks of a curve that words keep off as well."""


class Place(NamedTuple):
    """A place for words: which part of them stands there (from the top left), and how far off, in lines of text."""

    anchor: tuple[float, float]
    right: float
    down: float


class PlotWords:
    """Words of one drawing of a plot, in the pixels of its box; made anew for each."""

    def __init__(self, plot: Plot) -> None:
        self._plot = plot
        self._taken: list[QRectF] = []
        self._marks: list[QPointF] = []

    @property
    def line_px(self) -> float:
        """Height of a line of text."""
        return float(self._plot.fontMetrics().height())

    def spot(self, x: float, y: float) -> QPointF:
        """Where a place stands in the plot's box (px)."""
        box = self._plot.view.getViewBox()
        (left, right), (bottom, top) = box.viewRange()
        return QPointF((x - left) / (right - left) * box.width(), (top - y) / (top - bottom) * box.height())

    def place(self, spot: QPointF) -> QPointF:
        """The place that a spot of the plot's box stands for."""
        box = self._plot.view.getViewBox()
        (left, right), (bottom, top) = box.viewRange()
        return QPointF(
            left + spot.x() / max(box.width(), 1.0) * (right - left),
            top - spot.y() / max(box.height(), 1.0) * (top - bottom),
        )

    def avoid(self, x: float, y: float, px: float) -> None:
        """Keep words off a mark that they must not cover, so far to every side of it."""
        spot = self.spot(x, y)
        self._taken.append(QRectF(spot.x() - px, spot.y() - px, 2.0 * px, 2.0 * px))

    def avoid_line(self, points: Sequence[tuple[float, float]]) -> None:
        """Keep words off a curve where they can."""
        spots = [self.spot(x, y) for x, y in points]
        self._marks += spots
        for one, other in itertools.pairwise(spots):
            self._marks += [one + (other - one) * share for share in BETWEEN]

    def rect(self, words: str, spot: QPointF, anchor: tuple[float, float]) -> QRectF:
        """Room that words take of which that part stands at a spot, moved in from the left and the right edge."""
        metrics, box = self._plot.fontMetrics(), self._plot.view.getViewBox()
        wide, tall = metrics.horizontalAdvance(words) + ROUND_PX, metrics.height() + ROUND_PX
        left = max(min(spot.x() - anchor[0] * wide, box.width() - wide), 0.0)
        return QRectF(left, spot.y() - anchor[1] * tall, wide, tall)

    def is_free(self, rect: QRectF) -> bool:
        """Whether words may stand there."""
        box = self._plot.view.getViewBox()
        inside = rect.top() >= 0.0 and rect.left() >= 0.0 and rect.bottom() <= box.height()
        return inside and not any(rect.intersects(other) for other in self._taken)

    def write(self, words: str, rect: QRectF, ink: str, ground: str = "") -> None:
        """Write words into their room; nothing else is written there."""
        self._taken.append(rect)
        at = self.place(rect.bottomLeft())
        self._plot.write(words, at.x(), at.y(), (0.0, 1.0), ink, ground)

    def write_near(
        self,
        words: str,
        at: tuple[float, float],
        places: Sequence[Place],
        inks: tuple[str, str],
        ground: str,
        *,
        must: bool = True,
    ) -> None:
        """Write words by a place (plot's units) where they are free of others.

        Parameters
        ----------
        words : str
        at
            What they name.
        places
            Where they may stand, best first; one that lies on no curve goes before one that does.
        inks
            Of the words, and of the line that leads to them.
        ground : str
            Colour under the words.
        must
            They may lie on a curve where there is no better place; else they are left out.
        """
        spot = self.spot(*at)
        rects = [
            self.rect(words, spot + QPointF(place.right, place.down) * self.line_px, place.anchor) for place in places
        ]
        free = [rect for rect in rects if self.is_free(rect)]
        bare = (one for one in free if not any(one.contains(mark) for mark in self._marks))
        rect = next(bare, free[0] if free and must else None)
        if rect is None:
            return
        nearest = QPointF(min(max(spot.x(), rect.left()), rect.right()), min(max(spot.y(), rect.top()), rect.bottom()))
        if (nearest - spot).manhattanLength() > LED_LINES * self.line_px:
            end = self.place(nearest)
            pen = pg.mkPen(inks[1], width=1)
            self._plot.view.addItem(pg.PlotDataItem([at[0], end.x()], [at[1], end.y()], pen=pen))
        self.write(words, rect, inks[0], ground)
