"""Weight on the rear wheels against the load on the hook, down to where the truck tips; past the most it is hatched."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import pyqtgraph as pg
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget

from app.look.theme import Palette
from app.panels.curve_plot import CurvePlot
from app.panels.plot import Point, round_ticks
from app.panels.plot_words import Place, PlotWords
from engine.base.formatting import KG_PER_LB
from engine.handling.lift_curve import LiftCurve, LiftPoint

AIR = 1.12
"""The axis of loads ends at so many times the last one."""

OVER_LINES = 4.5
"""Room over the curve, in lines of text: names stand there."""

MOST_OVER = 0.5

MARKS = (("now", "o"), ("most", "s"), ("must keep", "d"), ("tips", "x"))
"""Points that are named on the curve, and their marks."""

AT_REST = "Hatched: more than may hang on the hook, shown only to explain."

OVER = tuple(Place((0.0, 1.0), 0.0, -lift) for lift in (0.2, 0.8, 1.4, 2.0, 2.6, 3.2))
"""A name stands over its mark, in the first place that is free."""


class LiftPlot(CurvePlot[LiftCurve, LiftPoint]):
    """The curve as entered and in the worst case, what must stay, and the marks."""

    LINES = 16

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("rear wheels against load", parent)

    def at_rest(self) -> str:
        return "" if self.curve is None else AT_REST

    def fill_curve(self, curve: LiftCurve, colours: Palette) -> Sequence[Point]:
        points = curve.points
        box, unit = self.view.getViewBox(), KG_PER_LB if self._system == "us" else 1.0
        end_kg, most_kg = AIR * points[-1].hook_kg, max(point.on_rear_kg for point in points)
        over = OVER_LINES * self.fontMetrics().height() / max(box.height(), 1.0)
        top_kg = most_kg / (1.0 - min(over, MOST_OVER))
        box.setXRange(0.0, end_kg, padding=0.0)
        box.setYRange(0.0, top_kg, padding=0.0)
        name = "lb" if self._system == "us" else "kg"
        self.view.setLabel("bottom", f"load on the hook, {name}")
        self.set_values(f"on the rear wheels, {name}", list(round_ticks(0.96 * top_kg, unit)))
        self.view.getAxis("bottom").setTicks([list(round_ticks(end_kg, unit, self.ticks_along("1 000")))])
        self.settle_axes()
        names = PlotWords(self)
        for item in self._items(curve, colours, end_kg):
            self.view.addItem(item)
        self._draw_marks(curve, names, colours)
        self._draw_names(curve, names, colours)
        return [Point(point.hook_kg, max(point.on_rear_kg, 0.0), self._words(point)) for point in points]

    def _items(self, curve: LiftCurve, colours: Palette, end_kg: float) -> Iterator[pg.GraphicsObject]:
        """What is past the most, then the lines."""
        ground = QColor(colours.tipping)
        ground.setAlpha(90)
        past = pg.LinearRegionItem(
            (curve.most_kg or 0.0, end_kg), movable=False, pen=pg.mkPen(None), brush=pg.mkBrush(ground)
        )
        past.brush.setStyle(Qt.BrushStyle.BDiagPattern)
        past.setZValue(-10)
        yield past
        loads_kg = [point.hook_kg for point in curve.points]
        for values_kg, ink, width, dash in (
            ([point.must_keep_kg for point in curve.points], colours.tipping, 1.5, Qt.PenStyle.DotLine),
            ([point.at_worst_kg for point in curve.points], colours.ink, 1.5, Qt.PenStyle.DashLine),
            ([point.on_rear_kg for point in curve.points], colours.steel_edge, 2.5, Qt.PenStyle.SolidLine),
        ):
            yield pg.PlotDataItem(loads_kg, values_kg, pen=pg.mkPen(ink, width=width, style=dash))

    # ---------------------------------------------------------------- marks and names

    def _draw_marks(self, curve: LiftCurve, names: PlotWords, colours: Palette) -> None:
        """Each mark with its name over it, the rightmost first: the curve falls, so there is room up there."""
        named = [(curve.marked(mark), mark, symbol) for mark, symbol in MARKS]
        for point, mark, symbol in reversed(named):
            if point is None:
                continue
            x, y = point.hook_kg, max(point.on_rear_kg, 0.0)
            ink = colours.tipping if mark == "tips" else colours.ink
            self.view.addItem(
                pg.ScatterPlotItem([x], [y], symbol=symbol, size=11, pen=pg.mkPen(ink, width=2), brush=colours.sheet)
            )
            names.write_near(mark, (x, y), OVER, (ink, colours.faint_ink), colours.sheet)

    def _draw_names(self, curve: LiftCurve, names: PlotWords, colours: Palette) -> None:
        """Names of the lines, beside them where nothing else is written; a mark names what must stay where it can."""
        points = curve.points
        lines = [
            ("as entered", colours.steel_edge, [point.on_rear_kg for point in points], True),
            ("worst case", colours.ink, [point.at_worst_kg for point in points], False),
        ]
        if curve.marked("must keep") is None:
            lines.append(("must keep", colours.tipping, [point.must_keep_kg for point in points], False))
        for words, ink, values_kg, over in lines:
            for x, y in _from_the_middle(points, values_kg):
                rect = names.rect(words, names.spot(x, y), (0.0, 1.0))
                aside_px = 0.3 * names.line_px
                rect.translate(*((aside_px, 0.0) if over else (-rect.width() - aside_px, rect.height())))
                if names.is_free(rect):
                    names.write(words, rect, ink)
                    break


def _from_the_middle(points: Sequence[LiftPoint], values_kg: Sequence[float]) -> list[tuple[float, float]]:
    """Places along a line, the middle of the loads first."""
    places = [
        (one.hook_kg + share * (other.hook_kg - one.hook_kg), here_kg + share * (there_kg - here_kg))
        for (one, here_kg), (other, there_kg) in itertools.pairwise(zip(points, values_kg, strict=True))
        for share in (0.0, 0.25, 0.5, 0.75)
    ]
    middle_kg = points[-1].hook_kg / 2.0
    return sorted(places, key=lambda place: abs(place[0] - middle_kg))
