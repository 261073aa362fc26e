"""Margin ribbon: the use along a move, step by step, with the allowed line, the worst point and a place to scrub."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget

from app.look.theme import Palette
from app.panels.move_words import ruling_limit, step_words
from app.panels.plot import Plot, Point
from engine.base.formatting import System, show
from engine.planning.move import Plan, StepResult

MOST_USE = 1.6
"""Top of the ribbon; what is over it is over by any measure."""

LEAST_TOP = 1.2
"""The ribbon ends no lower, so that what is allowed stands clear of its top."""

LINES = 11
"""Height of the ribbon in lines of text."""

ROOM = 0.26
"""Share of the height kept free over the highest use, for the flag of the worst point."""


class Ribbon(Plot):
    """A chart of use against steps; the line in it is dragged to scrub, the arrow keys read the steps."""

    scrubbed = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("margin along the move", parent)
        self._plan: Plan | None = None
        self._system: System = "metric"
        self._line = pg.InfiniteLine(movable=True, angle=90)
        self._line.sigPositionChanged.connect(lambda line: self.scrubbed.emit(float(line.value())))

    def show_plan(self, plan: Plan, system: System) -> None:
        """Draw a plan's uses step by step, the worst point flagged."""
        self._plan, self._system = plan, system
        self.draw()

    def at_rest(self) -> str:
        """The worst of the whole move, in full."""
        plan = self._plan
        if plan is None or plan.worst_step is None:
            return ""
        worst = plan.steps[plan.worst_step]
        use = show(worst.peak_use, "use", self._system)
        return f"Worst: step {plan.worst_step + 1}, {use}, {ruling_limit(worst) or 'no limit'}."

    def fill(self, colours: Palette) -> Sequence[Point]:
        plan = self._plan
        self.view.setFixedHeight(LINES * self.fontMetrics().height())
        if plan is None or not plan.steps:
            return []
        highest = min(max(step.peak_use for step in plan.steps), MOST_USE)
        top = max(highest / (1.0 - ROOM), LEAST_TOP)
        box = self.view.getViewBox()
        box.setXRange(0.0, float(len(plan.steps)), padding=0.01)
        box.setYRange(0.0, top, padding=0.0)
        self.view.setLabel("left", "use, %")
        self.view.setLabel("bottom", "step")
        self.view.getAxis("left").setTicks([[(share, f"{100.0 * share:.0f}") for share in (0.0, 0.5, 1.0, 1.5)]])
        steps = range(len(plan.steps))
        self.view.getAxis("bottom").setTicks([[(index + 0.5, str(index + 1)) for index in steps]])
        for index, step in enumerate(plan.steps):
            self._draw_step(index, step, colours)
        self.view.addItem(pg.InfiniteLine(pos=1.0, angle=0, pen=pg.mkPen(colours.tipping, width=2)))
        self._flag_worst(plan, top, colours)
        self._line.setPen(pg.mkPen(colours.handle, width=2))
        self._line.setBounds((0.0, float(len(plan.steps))))
        self.view.addItem(self._line)
        return [
            Point(index + step.peak_share, min(step.peak_use, top), step_words(index + 1, step, self._system))
            for index, step in enumerate(plan.steps)
        ]

    def _draw_step(self, index: int, step: StepResult, colours: Palette) -> None:
        use = np.minimum(np.nan_to_num(step.use, posinf=MOST_USE), MOST_USE)
        state = "OVER" if step.over else "WITHIN" if step.peak_use <= 1.0 else "NOT PROVEN"
        ground = QColor(colours.states[state].ground)
        pen = pg.mkPen(ground, width=2)
        ground.setAlpha(90)
        self.view.addItem(pg.PlotDataItem(step.share + index, use, pen=pen, fillLevel=0.0, brush=ground))
        edge = pg.mkPen(colours.line, style=Qt.PenStyle.DotLine)
        self.view.addItem(pg.InfiniteLine(pos=index, angle=90, pen=edge))

    def _flag_worst(self, plan: Plan, top: float, colours: Palette) -> None:
        """A mark at the worst point, and its use beside it, inside the ribbon; the line under it says the rest."""
        worst = plan.worst_step
        if worst is None:
            return
        step = plan.steps[worst]
        x, y = worst + step.peak_share, min(step.peak_use, top)
        self.view.addItem(
            pg.ScatterPlotItem([x], [y], symbol="d", size=11, pen=pg.mkPen(colours.ink), brush=colours.sheet)
        )
        flag = pg.TextItem(
            f" worst {show(step.peak_use, 'use', self._system)} ",
            color=colours.ink,
            anchor=(1.0 if x > len(plan.steps) / 2.0 else 0.0, 1.0),
        )
        flag.setFont(self.font())
        flag.setPos(x, y)
        self.view.addItem(flag, ignoreBounds=True)  # pyright: ignore[reportCallIssue]  # handed on to the plot item

    def set_place(self, place: float) -> None:
        """Put the line at a place without scrubbing again."""
        self._line.blockSignals(True)
        self._line.setValue(place)
        self._line.blockSignals(False)
