"""Margin ribbon: the use along a move, step by step, with the allowed line, the worst point and a place to scrub."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.look.theme import Palette
from engine.planning.move import Plan

pg.setConfigOption("exitCleanup", False)  # its clean-up at exit can crash after Qt has gone

MOST_USE = 1.6
"""Top of the ribbon; what is over it is over by any measure."""


class Ribbon(QWidget):
    """A chart of use against steps; the line in it is dragged to scrub."""

    scrubbed = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("margin along the move")
        self.plot = pg.PlotWidget()
        self.plot.setAccessibleName("margin ribbon")
        self.plot.setMenuEnabled(False)
        self.plot.setMouseEnabled(x=False, y=False)
        self.plot.hideButtons()
        self.plot.setFixedHeight(self.fontMetrics().height() * 11)
        self.plot.setLabel("left", "use")
        self.plot.setLabel("bottom", "step")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.plot)
        self._colours: Palette | None = None
        self._plan: Plan | None = None
        self._line = pg.InfiniteLine(movable=True, angle=90)
        self._line.sigPositionChanged.connect(lambda line: self.scrubbed.emit(float(line.value())))

    def set_theme(self, colours: Palette) -> None:
        """Paper and ink of the theme."""
        self._colours = colours
        self.plot.setBackground(colours.sheet)
        for name in ("left", "bottom"):
            axis = self.plot.getAxis(name)
            axis.setPen(pg.mkPen(colours.faint_ink))
            axis.setTextPen(pg.mkPen(colours.ink))
            axis.setStyle(tickFont=self.font())
        if self._plan is not None:
            self.show_plan(self._plan)

    def show_plan(self, plan: Plan) -> None:
        """Draw a plan's uses step by step, the worst point tagged with its limit."""
        self._plan = plan
        plot, colours = self.plot, self._colours
        plot.clear()
        if colours is None or not plan.steps:
            return
        top = min(max(1.15, max(step.peak_use for step in plan.steps) * 1.1), MOST_USE)
        plot.getViewBox().setXRange(0.0, float(len(plan.steps)), padding=0.02)
        plot.getViewBox().setYRange(0.0, top, padding=0.0)
        plot.getAxis("bottom").setTicks([[(index + 0.5, str(index + 1)) for index in range(len(plan.steps))]])
        for index, step in enumerate(plan.steps):
            use = np.minimum(np.nan_to_num(step.use, posinf=MOST_USE), MOST_USE)
            ground = colours.states["OVER" if step.over else "WITHIN" if step.peak_use <= 1.0 else "NOT PROVEN"].ground
            brush = QColor(ground)
            brush.setAlpha(90)
            curve = pg.PlotDataItem(
                step.share + index,
                use,
                pen=pg.mkPen(ground, width=1),
                fillLevel=0.0,
                brush=brush,
            )
            plot.addItem(curve)
            plot.addItem(pg.InfiniteLine(pos=index, angle=90, pen=pg.mkPen(colours.line, style=Qt.PenStyle.DotLine)))
        limit = pg.InfiniteLine(
            pos=1.0,
            angle=0,
            pen=pg.mkPen(colours.tipping, width=1),
            label="allowed",
            labelOpts={"color": colours.tipping},
        )
        plot.addItem(limit)
        self._mark_worst(plan, top)
        self._line.setPen(pg.mkPen(colours.handle, width=1))
        self._line.setBounds((0.0, float(len(plan.steps))))
        plot.addItem(self._line)

    def _mark_worst(self, plan: Plan, top: float) -> None:
        worst = plan.worst_step
        if worst is None or self._colours is None:
            return
        step = plan.steps[worst]
        x, y = worst + step.peak_share, min(step.peak_use, top)
        rules = max(step.stretches, key=lambda stretch: stretch.use).rules if step.stretches else ""
        mark = pg.ScatterPlotItem(
            [x], [y], symbol="d", size=11, pen=pg.mkPen(self._colours.ink), brush=self._colours.sheet
        )
        tag = pg.TextItem(
            f"worst: {rules}",
            color=self._colours.ink,
            anchor=(1.0 if worst + step.peak_share > len(plan.steps) / 2 else 0.0, 1.1),
        )
        tag.setPos(x, y)
        self.plot.addItem(mark)
        self.plot.addItem(tag, ignoreBounds=True)  # pyright: ignore[reportCallIssue]  # handed on to the plot item

    def set_place(self, place: float) -> None:
        """Put the line at a place without scrubbing again."""
        self._line.blockSignals(True)
        self._line.setValue(place)
        self._line.blockSignals(False)
