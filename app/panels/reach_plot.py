"""Allowed load against reach: a curve for each arm pose, a mark for each pin hole, the load as a level line."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pyqtgraph as pg
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget

from app.look.theme import Palette
from app.panels.chart_table import Spot
from app.panels.plot import Plot, Point, round_ticks
from app.panels.plot_words import Place, PlotWords
from engine.base.formatting import KG_PER_LB, M_PER_FT, M_PER_IN, System, show
from engine.planning.load_chart import Chart
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import low_high

LOOKS = (
    (Qt.PenStyle.SolidLine, "o"),
    (Qt.PenStyle.DashLine, "s"),
    (Qt.PenStyle.DotLine, "t"),
    (Qt.PenStyle.DashDotLine, "d"),
    (Qt.PenStyle.DashDotDotLine, "+"),
)
"""Dash and mark of the curves, in turn."""

WIDE_EMS = 42.0
"""From this width, in heights of a line, whole names stand at the curves' ends; else a letter of the key."""

LEAST_LINES = 7
"""Least height, in lines of text: that of the plan strip."""

NAMED_LINES = 14
"""From this height, in lines of text, whole names stand at the curves' ends without lying on other words."""

MOST_LOADS = 4.0
"""The plot ends at this many times the load, or at the most that is allowed."""


TICKS_TO = 0.93
"""Share of the axis up to which a figure stands whole beside it in a low plot."""

HERE_PX = 17
"""Size of "you are here"."""

AT_ENDS = (
    Place((0.0, 0.5), 0.3, 0.0),
    *(Place((0.0, 0.5), 0.3, down) for far in (1.0, 1.5, 2.0, 3.0, 4.0, 5.0) for down in (-far, far)),
    *(Place((1.0, 0.5), -0.3, down) for far in (1.0, 2.0, 3.0) for down in (-far, far)),
)
"""A curve's name stands to the right of its end; over or under that where another stands there, with a line to it."""

AT_CHANGES = (
    *(Place(anchor, 0.0, down) for anchor, down in (((0.0, 1.0), -0.2), ((1.0, 1.0), -0.2), ((0.0, 0.0), 0.2))),
    *(Place((left, 0.5), 0.0, down) for far in (1.5, 2.0, 3.0, 4.0) for down in (-far, far) for left in (0.0, 1.0)),
)
"""The part that gives first stands over the mark from which it does; else it has a line to it."""

MARKS = "Ringed cross: the load here; \N{MULTIPLICATION SIGN}: something is in the way."


class ReachPlot(Plot):
    """Curves of a chart at one hook height; a mark that is clicked or entered is chosen as its `Spot`."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("allowed load against reach", parent)
        self._chart: Chart | None = None
        self._height, self._arm_set = 0, 0
        self._load: Estimate[float] = Estimate(best=0.0, known="guess")
        self._reach_m = math.nan
        self._system: System = "metric"

    def show_chart(
        self, chart: Chart | None, spot: Spot, load: Estimate[float], reach_m: float, system: System
    ) -> None:
        """Draw a chart at the hook height of a spot, the curve of its arm pose the boldest.

        Parameters
        ----------
        chart : Chart or None
        spot : Spot
            Its hole is of no matter.
        load : Estimate
            The load's weight (kg).
        reach_m : float
            Where the hook is now, ahead of the front axle.
        system : System
        """
        self._chart, self._height, self._arm_set = chart, spot.height, spot.arm_set
        self._load, self._reach_m, self._system = load, reach_m, system
        self.view.setMinimumHeight(LEAST_LINES * self.fontMetrics().height())
        self.draw()

    def fill(self, colours: Palette) -> list[Point]:
        chart = self._chart
        if chart is None or not chart.holes or not chart.hook_heights_m:
            return []
        spots = [
            [Spot(at, hole, self._height) for hole in range(len(chart.holes))] for at in range(len(chart.arm_sets))
        ]
        curves = [[spot for spot in curve if not math.isnan(chart.allowed_kg[spot])] for curve in spots]
        reaches = [float(chart.reach_m[spot]) for curve in curves for spot in curve] + [self._reach_m]
        reaches = [reach_m for reach_m in reaches if math.isfinite(reach_m)]
        if not reaches:
            return []
        top_kg = self._top_kg(chart, curves)
        self._set_ranges(min(reaches), max(reaches), top_kg)
        self._draw_load(colours)
        for at, curve in enumerate(curves):
            self._draw_curve(chart, at, curve, top_kg, colours)
        self._draw_words(chart, curves, top_kg, colours)
        return [
            Point(
                float(chart.reach_m[spot]), min(float(chart.allowed_kg[spot]), top_kg), self._words(chart, spot), spot
            )
            for curve in curves
            for spot in reversed(curve)
        ]

    def key(self) -> str:
        """Which arm pose each letter is; empty where the curves' names are written out."""
        if self._chart is None or self._names_fit() or len(self._chart.arm_sets) == 1:
            return ""  # a lone curve needs no name
        names = (f"{_letter(at)} {one.name}" for at, one in enumerate(self._chart.arm_sets))
        return f"Curves: {'; '.join(names)}."

    def at_rest(self) -> str:
        chart = self._chart
        if chart is None or not chart.hook_heights_m:
            return ""
        height = show(chart.hook_heights_m[self._height], "m", self._system)
        return " ".join(
            filter(
                None,
                (
                    f"Hook at {height}. {MARKS}",
                    self.key(),
                ),
            )
        )

    # ---------------------------------------------------------------- drawing

    def _top_kg(self, chart: Chart, curves: list[list[Spot]]) -> float:
        most = max((float(chart.allowed_kg[spot]) for curve in curves for spot in curve), default=0.0)
        return 1.15 * max(min(most, MOST_LOADS * self._load.best), self._load.best, 1.0)

    def _set_ranges(self, least_m: float, most_m: float, top_kg: float) -> None:
        spare = 0.04 * max(most_m - least_m, 0.1)
        box = self.view.getViewBox()
        wide_px = max(box.width(), 1.0)
        share = min((self._names_px() + self.fontMetrics().height()) / wide_px, 0.6)
        end_m = least_m - spare + (most_m + spare - (least_m - spare)) / (1.0 - share)
        box.setXRange(least_m - spare, end_m, padding=0.0)
        box.setYRange(0.0, top_kg, padding=0.0)
        us = self._system == "us"
        self.view.setLabel("bottom", "hook ahead of the front axle, ft" if us else "hook ahead of the front axle, m")
        self.view.getAxis("bottom").setTicks([list(_reach_ticks(least_m, most_m, us))])
        ticks = list(round_ticks(TICKS_TO * top_kg, KG_PER_LB if us else 1.0))
        self.set_values("allowed load, lb" if us else "allowed load, kg", ticks)

    def _draw_load(self, colours: Palette) -> None:
        low, high = low_high(self._load, "mass")
        band = pg.LinearRegionItem((low, high), orientation="horizontal", movable=False, pen=pg.mkPen(None))
        ground = QColor(colours.load)
        ground.setAlpha(110)
        band.setBrush(ground)
        band.setZValue(-10)
        self.view.addItem(band)
        self.view.addItem(pg.InfiniteLine(self._load.best, angle=0, pen=pg.mkPen(colours.ink, width=1)))
        for symbol, size in (("o", HERE_PX), ("+", 12)):
            here = pg.ScatterPlotItem(
                [self._reach_m],
                [self._load.best],
                symbol=symbol,
                size=size,
                pen=pg.mkPen(colours.tipping, width=2),
                brush=pg.mkBrush(None if symbol == "o" else colours.tipping),
            )
            here.setZValue(20)
            self.view.addItem(here)

    def _draw_curve(self, chart: Chart, at: int, curve: list[Spot], top_kg: float, colours: Palette) -> None:
        dash, symbol = LOOKS[at % len(LOOKS)]
        bold = at == self._arm_set
        ink = QColor(colours.steel_edge if bold else colours.faint_ink)
        x = [float(chart.reach_m[spot]) for spot in curve]
        # A gap in the line where something is in the way: nothing is allowed there, whatever the steel holds.
        ways = [bool(chart.in_the_way[spot]) for spot in curve]
        y = [
            math.nan if way else min(float(chart.allowed_kg[spot]), top_kg)
            for spot, way in zip(curve, ways, strict=True)
        ]
        self.view.addItem(
            pg.PlotDataItem(
                x,
                y,
                pen=pg.mkPen(ink, width=2.5 if bold else 1.2, style=dash),
                symbol=symbol,
                symbolSize=8 if bold else 6,
                symbolPen=pg.mkPen(ink),
                symbolBrush=pg.mkBrush(colours.sheet),
                connect="finite",
            )
        )
        blocked = [reach_m for reach_m, way in zip(x, ways, strict=True) if way]
        pen = pg.mkPen(ink, width=1.5)
        self.view.addItem(pg.ScatterPlotItem(blocked, [0.0] * len(blocked), symbol="x", size=9, pen=pen, brush=None))

    def _draw_words(self, chart: Chart, curves: list[list[Spot]], top_kg: float, colours: Palette) -> None:
        """Names of curves and parts, off each other, off "you are here" and, where there is room, off the marks."""
        self.settle_axes()
        words = PlotWords(self)
        words.avoid(self._reach_m, self._load.best, HERE_PX / 2.0)
        for curve in curves:
            words.avoid_line(
                [(float(chart.reach_m[spot]), min(float(chart.allowed_kg[spot]), top_kg)) for spot in curve]
            )
        self._draw_names(chart, curves, top_kg, words, colours)
        self._draw_changes(chart, curves[self._arm_set], top_kg, words, colours)

    def _draw_changes(self, chart: Chart, curve: list[Spot], top_kg: float, words: PlotWords, colours: Palette) -> None:
        """The part that gives first, written where it changes along the boldest curve."""
        before = ""
        for spot in reversed(curve):
            part = chart.names[int(chart.governing[spot])].partition(":")[0]
            if part != before and float(chart.allowed_kg[spot]) <= top_kg:
                at = float(chart.reach_m[spot]), float(chart.allowed_kg[spot])
                words.write_near(part, at, AT_CHANGES, (colours.faint_ink, colours.line), colours.sheet, must=False)
            before = part

    def _draw_names(
        self, chart: Chart, curves: list[list[Spot]], top_kg: float, words: PlotWords, colours: Palette
    ) -> None:
        """Name or letter at the far end of each curve, that of the boldest first; none lies on another."""
        if len(chart.arm_sets) == 1:
            return
        furthest = [max(curve, key=lambda spot: float(chart.reach_m[spot])) for curve in curves if curve]
        for spot in sorted(furthest, key=lambda spot: (spot.arm_set != self._arm_set, spot.arm_set)):
            at = spot.arm_set
            name = chart.arm_sets[at].name if self._names_fit() else _letter(at)
            ink = colours.ink if at == self._arm_set else colours.faint_ink
            end = float(chart.reach_m[spot]), min(float(chart.allowed_kg[spot]), top_kg)
            words.write_near(name, end, AT_ENDS, (ink, colours.faint_ink), colours.sheet)

    def _names_px(self) -> int:
        """Width of the longest name or letter at a curve's end."""
        chart, metrics = self._chart, self.fontMetrics()
        if chart is not None and len(chart.arm_sets) == 1:
            return 0
        names = [one.name for one in chart.arm_sets] if chart is not None and self._names_fit() else ["W"]
        return max(metrics.horizontalAdvance(f"  {name}") for name in names)

    def _names_fit(self) -> bool:
        line_px, room = self.fontMetrics().height(), self.view.viewport()
        return room.width() >= WIDE_EMS * line_px and room.height() >= NAMED_LINES * line_px

    def _words(self, chart: Chart, spot: Spot) -> str:
        name = chart.arm_sets[spot.arm_set].name
        reach = show(float(chart.reach_m[spot]), "m", self._system)
        governing = chart.names[int(chart.governing[spot])]
        if chart.in_the_way[spot]:
            return f"{name}, hole {chart.holes[spot.hole]}, reach {reach}: something is in the way ({governing})"
        load = show(float(chart.allowed_kg[spot]), "kg_down", self._system)
        unproven = "" if chart.proven[spot.arm_set] else "not proven; for the parts entered "
        return f"{name}, hole {chart.holes[spot.hole]}, reach {reach}: {unproven}{load}, gives first: {governing}"


def _letter(at: int) -> str:
    return chr(ord("A") + at)


def _reach_ticks(least_m: float, most_m: float, us: bool) -> Iterator[tuple[float, str]]:
    """Whole feet or half feet, or half or quarter metres, as the span asks."""
    steps = (3.0 * M_PER_IN, 6.0 * M_PER_IN, M_PER_FT, 2.0 * M_PER_FT) if us else (0.1, 0.25, 0.5, 1.0)
    step = next((step for step in steps if (most_m - least_m) / step <= 7.0), steps[-1])
    for count in range(math.ceil(least_m / step), math.floor(most_m / step + 0.2) + 1):
        value = count * step
        yield value, f"{value / M_PER_FT:g}" if us else f"{value:g}"
