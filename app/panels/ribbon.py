"""Margin ribbon: what rig and truck use along a move, step by step; it is also where the move is looked along.

Each side is a band from its use as entered up to its worst case, coloured where it is over and where the step is proven
within. The part that governs stands over each stretch, and the worst point is flagged. Press or pull anywhere to look
at that place. Left and Right go along, Page Up and Page Down from step to step, Up and Down read the steps; Enter goes
to the one that is read.

While a move is worked out only the ends and the middle of its steps are known: those are drawn as points, without
a state.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, QObject, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from app.look.theme import Look, Palette
from app.panels.move_words import WHO, place_words, ribbon_words, ruling_limit, step_name
from app.panels.plot import Plot, Point
from engine.base.formatting import System, show
from engine.base.geometry import Array
from engine.planning.move import StepResult, StepSamples, worst_step
from engine.planning.sweep import SideUses

MOST_USE = 1.6
"""Top of what is drawn; what is over it is over by any measure."""

LINES, LEAST_LINES = 12, 7
"""Height of the plot in its panel, and the least in the strip, in lines of text."""

LINES_OVER = 2.4
"""Lines of text kept free over the highest use, for the governing parts and the flag of the worst point."""

LINES_OVER_ALLOWED = 1.3
"""And over the line of all that is allowed, for the governing parts."""

NAME_LINES = 2.3
"""Lines of text under the plot: the steps' names, and who is at the controls."""

MARGIN_PX = 6
"""Between the letters of a text in the plot and its edge."""

LEAST_CHARACTERS = 5
"""A name that would be cut to less is left out; what is read says it in full."""

STEPS_OF_A_STEP = 20
"""Left and Right go along by this part of a step."""

DASHES = {"rig": Qt.PenStyle.SolidLine, "truck": Qt.PenStyle.DashLine}
"""The worst case of either side, told apart without colour."""

HOW = "Bands: from as entered up to the worst case. Press or pull to look along."
ROUGH = "Ends and middle of each step so far; no verdict on the move yet."


class Ribbon(Plot):
    """A chart of use against steps; the line in it is where the move is looked at."""

    scrubbed = Signal(float)
    """The place to look at, counted in steps."""

    left = Signal()
    """Esc: nobody wants to look along the move any more."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("margin along the move", parent)
        self._steps: tuple[StepSamples, ...] = ()
        self._system: System = "metric"
        self._place: float | None = None
        self._pulling = False
        self._line = pg.InfiniteLine(angle=90)
        self._line.setZValue(40)
        self._take_height()
        # What is drawn depends on the size of the plot itself, which follows that of the widget a little later.
        self._again = QTimer(self, singleShot=True, interval=0)
        self._again.timeout.connect(self.draw)
        self.view.getViewBox().sigResized.connect(lambda _box: self._again.start())
        self.chosen.connect(self._go)

    def _take_height(self) -> None:
        """As high as the strip it stands in, and in its panel no higher than need be."""
        lines_px = self.fontMetrics().height()
        self.view.setMinimumHeight(LEAST_LINES * lines_px)
        if self.view.asked_px != LINES * lines_px:
            self.view.asked_px = LINES * lines_px
            self.view.updateGeometry()

    def show_steps(self, steps: tuple[StepSamples, ...], system: System) -> None:
        """Draw the steps of a move, examined or only sampled at their ends and middle."""
        self._steps, self._system = steps, system
        if self._place is not None:
            self._place = min(self._place, float(len(steps)))
        self.draw()

    @property
    def steps(self) -> tuple[StepSamples, ...]:
        """What is shown."""
        return self._steps

    @property
    def place(self) -> float:
        """Where the line is, counted in steps."""
        return self._place or 0.0

    def set_place(self, place: float | None) -> None:
        """Put the line at a place without looking at it; None takes it away."""
        self._place = place
        self._put_line()
        self.reading.setText(self.at_rest())

    def _put_line(self) -> None:
        self._line.setVisible(self._place is not None)
        self._line.setValue(self.place)

    def at_rest(self) -> str:
        """Where the line is; else the worst of the whole move."""
        worst = worst_step(self._steps)
        if worst is None:
            return ""
        if not self._examined:
            return ROUGH
        if self._place is not None:
            return place_words(self._steps, self._place, self._system)
        step = self._steps[worst]
        use = show(step.peak_use, "use", self._system)
        return f"Worst: step {worst + 1}, {use}, {ruling_limit(step) or 'no limit'}. {HOW}"

    @property
    def _examined(self) -> bool:
        return all(isinstance(step, StepResult) for step in self._steps)

    # ---------------------------------------------------------------- drawing

    def fill(self, colours: Palette) -> Sequence[Point]:
        self._take_height()
        self.view.getAxis("bottom").setHeight(NAME_LINES * self.fontMetrics().height())
        if not self._steps:
            return []
        top = self._set_ranges()
        for index, step in enumerate(self._steps):
            self._draw_step(index, step, colours)
        self._name_parts(top, colours)
        self.view.addItem(pg.InfiniteLine(pos=1.0, angle=0, pen=pg.mkPen(colours.tipping, width=2)))
        self._name_sides(top, colours)
        self._flag_worst(colours)
        self._line.setPen(pg.mkPen(colours.handle, width=2))
        self.view.addItem(self._line, ignoreBounds=True)  # pyright: ignore[reportCallIssue]  # handed on to the plot item
        self._put_line()
        return [
            Point(
                index + step.peak_share,
                min(step.peak_use, MOST_USE),
                ribbon_words(index + 1, step, self._system),
                index + step.peak_share,
            )
            for index, step in enumerate(self._steps)
        ]

    def _set_ranges(self) -> float:
        """Ranges and marks of both axes; returns the top."""
        box, line_px = self.view.getViewBox(), self.fontMetrics().height()
        height, width = max(box.height(), 1.0), max(box.width(), 1.0)
        highest = min(max(step.peak_use for step in self._steps), MOST_USE)
        top = max(
            over / max(1.0 - lines * line_px / height, 0.3)
            for over, lines in ((highest, LINES_OVER), (1.0, LINES_OVER_ALLOWED))
        )
        steps, names_px = len(self._steps), self.fontMetrics().horizontalAdvance(" TRUCK ") + 2 * MARGIN_PX
        box.setXRange(0.0, steps / max(1.0 - names_px / width, 0.5), padding=0.0)
        box.setYRange(0.0, top, padding=0.0)
        self.view.setLabel("left", "use, %")
        shares = [share for share in (0.0, 0.5, 1.0, 1.5) if share <= top]
        self.view.getAxis("left").setTicks([[(share, f"{100.0 * share:.0f}") for share in shares]])
        names = [(index + 0.5, self._step_label(index, step)) for index, step in enumerate(self._steps)]
        self.view.getAxis("bottom").setTicks([names])
        return top

    def _step_px(self) -> float:
        """Width of a step (px)."""
        box = self.view.getViewBox()
        (left, right), _ = box.viewRange()
        return box.width() / max(right - left, 1e-9)

    def _step_label(self, index: int, step: StepSamples) -> str:
        """A step's number and name, and under it who is at the controls, as far as there is room."""
        controls = step.step.controls
        names = [f"{index + 1} {step_name(step, self._system)}"]
        people = [WHO[controls], "NOBODY" if controls == "nobody" else controls]
        return f"{self._fitting(names) or index + 1}\n{self._fitting(people)}"

    def _fitting(self, texts: list[str], share: float = 1.0) -> str:
        """The first text that fits into a share of a step, else the last one cut short; empty where little is left."""
        metrics, room = self.fontMetrics(), int(share * self._step_px()) - self.fontMetrics().averageCharWidth()
        for text in texts:
            if metrics.horizontalAdvance(text) <= room:
                return text
        cut = metrics.elidedText(texts[-1], Qt.TextElideMode.ElideRight, room)
        return cut if len(cut) > LEAST_CHARACTERS else ""

    def _draw_step(self, index: int, step: StepSamples, colours: Palette) -> None:
        for side in step.sides:
            self._draw_side(index, step, side, colours)
        edge = pg.mkPen(colours.line, style=Qt.PenStyle.DotLine)
        self.view.addItem(pg.InfiniteLine(pos=index, angle=90, pen=edge))
        if index == len(self._steps) - 1:
            self.view.addItem(pg.InfiniteLine(pos=index + 1, angle=90, pen=edge))

    def _draw_side(self, index: int, step: StepSamples, side: SideUses, colours: Palette) -> None:
        """The band of one side: its worst case as a strong edge, as entered as a thin one."""
        x, examined = step.share + index, isinstance(step, StepResult)
        worst, entered = (
            np.minimum(np.nan_to_num(use, nan=MOST_USE, posinf=MOST_USE), MOST_USE)
            for use in (side.use, side.as_entered)
        )
        ink = QColor(colours.ink if examined else colours.faint_ink)
        pen = pg.mkPen(ink, width=2.5 if examined else 1.0, style=DASHES[side.side])
        points = {} if examined else {"symbol": "o", "symbolSize": 6, "symbolPen": pg.mkPen(ink), "symbolBrush": None}
        upper = pg.PlotDataItem(x, worst, pen=pen, **points)
        lower = pg.PlotDataItem(x, entered, pen=pg.mkPen(colours.faint_ink, width=1, style=DASHES[side.side]))
        if isinstance(step, StepResult):
            self.view.addItem(pg.FillBetweenItem(upper, lower, brush=_ground(_look(step, side, colours))))
            over = _ground(colours.states["OVER" if step.over else "NOT PROVEN"])
            for part in _parts_over(x, worst):
                edges = [pg.PlotDataItem(part, np.interp(part, x, edge)) for edge in (worst, entered)]
                self.view.addItem(pg.FillBetweenItem(*edges, brush=over))
        self.view.addItem(lower)
        self.view.addItem(upper)

    def _name_parts(self, top: float, colours: Palette) -> None:
        """The part that governs each stretch, over it."""
        for index, step in enumerate(self._steps):
            for stretch in step.stretches:
                share = stretch.to_share - stretch.from_share
                words = self._fitting([stretch.part], share)
                if words:
                    self._write(words, index + (stretch.from_share + stretch.to_share) / 2.0, top, (0.5, 0.0), colours)
                for end in (stretch.from_share,) if stretch.from_share > 0.0 else ():
                    tick = pg.mkPen(colours.faint_ink, style=Qt.PenStyle.DotLine)
                    self.view.addItem(pg.PlotDataItem([index + end] * 2, [0.0, top], pen=tick))

    def _name_sides(self, top: float, colours: Palette) -> None:
        """RIG and TRUCK at the ends of their bands, pushed apart where they would lie on each other."""
        line = self.fontMetrics().height() / max(self.view.getViewBox().height(), 1.0) * top
        last = self._steps[-1]
        ends = sorted((min(_finite(side.use[-1]), MOST_USE), side.side) for side in last.sides)
        lowest = line / 2.0
        for use, name in ends:
            y = max(use, lowest)
            lowest = y + line
            self._write(f" {name.upper()}", float(len(self._steps)), y, (0.0, 0.5), colours)

    def _flag_worst(self, colours: Palette) -> None:
        """A mark at the worst point, and its use beside it, inside the ribbon; the line under it says the rest."""
        worst = worst_step(self._steps)
        if worst is None:
            return
        step = self._steps[worst]
        x, y = worst + step.peak_share, min(_finite(step.peak_use), MOST_USE)
        mark = pg.ScatterPlotItem([x], [y], symbol="d", size=11, pen=pg.mkPen(colours.ink), brush=colours.sheet)
        mark.setZValue(30)
        self.view.addItem(mark)
        right = x > len(self._steps) / 2.0
        words = f" worst {show(step.peak_use, 'use', self._system)} "
        self._write(words, x, y, (1.0 if right else 0.0, 1.0), colours)

    def _write(self, words: str, x: float, y: float, anchor: tuple[float, float], colours: Palette) -> None:
        label = pg.TextItem(words, color=colours.ink, anchor=anchor)
        label.setFont(self.font())
        label.setPos(x, y)
        label.setZValue(35)
        self.view.addItem(label, ignoreBounds=True)  # pyright: ignore[reportCallIssue]  # handed on to the plot item

    # ---------------------------------------------------------------- hands

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.view.viewport() and isinstance(event, QMouseEvent) and self._pull(event):
            return True
        return super().eventFilter(watched, event)

    def _pull(self, event: QMouseEvent) -> bool:
        """Look at the place under a pressed button; returns whether that was all the event meant."""
        if event.type() == QEvent.Type.MouseButtonPress and event.button() == Qt.MouseButton.LeftButton:
            self.view.setFocus(Qt.FocusReason.MouseFocusReason)
            self._pulling = bool(self._steps)
        elif event.type() == QEvent.Type.MouseButtonRelease and event.button() == Qt.MouseButton.LeftButton:
            pulled, self._pulling = self._pulling, False
            return pulled
        elif event.type() != QEvent.Type.MouseMove:
            return False
        if self._pulling:
            self.read(None)
            self._go(self._place_of(event.position()))
        return self._pulling

    def _place_of(self, spot: QPointF) -> float:
        scene = self.view.mapToScene(spot.toPoint())
        return float(self.view.getViewBox().mapSceneToView(scene).x())

    def _go(self, place: object) -> None:
        """Ask for a place to be looked at."""
        self.scrubbed.emit(min(max(float(place), 0.0), float(len(self._steps))))  # pyright: ignore[reportArgumentType]

    def _key(self, event: QKeyEvent) -> bool:
        place, keys = self.place, Qt.Key
        if event.key() == keys.Key_Escape:
            self.left.emit()
            return True
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            return super()._key(event)
        to = {
            keys.Key_Left: math.ceil(place * STEPS_OF_A_STEP - 1.001) / STEPS_OF_A_STEP,
            keys.Key_Right: math.floor(place * STEPS_OF_A_STEP + 1.001) / STEPS_OF_A_STEP,
            keys.Key_PageUp: math.ceil(place - 1.001),
            keys.Key_PageDown: math.floor(place + 1.001),
            keys.Key_Home: 0.0,
            keys.Key_End: float(len(self._steps)),
        }.get(keys(event.key()))
        if to is None or not self._steps:
            return super()._key(event)
        self.read(None)
        self._go(to)
        return True


def _finite(use: float) -> float:
    return float(use) if math.isfinite(use) else MOST_USE


def _ground(look: Look) -> QColor:
    ground = QColor(look.ground)
    ground.setAlpha(150)
    return ground


def _look(step: StepResult, side: SideUses, colours: Palette) -> Look:
    """The look of a band where it is under the line: that of no verdict where nothing is proven of it.

    The proof is of both sides together: where it fails, the lesser one is only sampled.
    """
    if step.bound_use <= 1.0:
        return colours.states["WITHIN"]
    unproven = step.peak_use <= 1.0 and side.use.max() >= step.use.max()
    return colours.states["NOT PROVEN"] if unproven else colours.no_verdict


def _parts_over(x: Array, use: Array) -> Iterator[Array]:
    """The stretches of a curve that are over the line: their samples, from crossing to crossing."""
    over = use > 1.0
    ends = np.flatnonzero(np.diff(over))
    crossings = x[ends] + (1.0 - use[ends]) / (use[ends + 1] - use[ends]) * (x[ends + 1] - x[ends])
    bounds = [*([x[0]] if over[0] else []), *crossings, *([x[-1]] if over[-1] else [])]
    for first, last in zip(bounds[::2], bounds[1::2], strict=True):
        yield np.array([first, *x[(x > first) & (x < last)], last])
