"""Tip-up curve: what still brings the truck back against its lean, and how high the rear wheels are by then."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import pyqtgraph as pg
from PySide6.QtWidgets import QWidget

from app.look.theme import Palette
from app.panels.curve_plot import CurvePlot
from app.panels.plot import Point, round_ticks
from engine.base.formatting import M_PER_FT, M_PER_IN, N_PER_LBF, System
from engine.handling.tip_curve import TipCurve

DEG_PER_RAD = 180.0 / math.pi

STEP_RAD = 1.0 / DEG_PER_RAD
"""Points are a degree apart."""

AIR = 1.28
"""The axis of moments ends at so many times the greatest: the first point's name stands there, clear of the ticks."""

UNDER = 0.2
"""Share of the greatest moment that the axis goes below nothing: the last point's name stands there."""

LIFT_STEPS: dict[System, tuple[float, ...]] = {
    "metric": (0.02, 0.05, 0.1, 0.2, 0.5, 1.0),
    "us": (M_PER_IN, 2.0 * M_PER_IN, 6.0 * M_PER_IN, M_PER_FT, 2.0 * M_PER_FT),
}
"""Steps of the rear wheels' height."""

START, END = "first lift: the limit", "nothing brings it back"


class TipPlot(CurvePlot[TipCurve, float]):
    """The moment that brings the truck back, from the first lift to where there is none."""

    LINES = 15

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("tip-up curve", parent)
        self.view.showAxis("top")

    def fill_curve(self, curve: TipCurve, colours: Palette) -> Sequence[Point]:
        leans_rad = [float(lean_rad) for lean_rad in curve.leans_rad(STEP_RAD)]
        moments_Nm = [max(float(curve.moment_Nm(lean_rad)), 0.0) for lean_rad in leans_rad]
        us, most_Nm = self._system == "us", moments_Nm[0]
        box = self.view.getViewBox()
        box.setXRange(0.0, 1.05 * leans_rad[-1], padding=0.0)
        box.setYRange(-UNDER * most_Nm, AIR * most_Nm, padding=0.0)
        ticks = list(round_ticks(1.1 * most_Nm, N_PER_LBF * M_PER_FT if us else 1.0))
        self.set_values("brings it back, lbf-ft" if us else "brings it back, N·m", ticks)
        self.view.setLabel("bottom", "lean, degrees")
        self.view.setLabel("top", "rear wheels up, in" if us else "rear wheels up, mm")
        self.view.getAxis("bottom").setTicks([list(_lean_ticks(leans_rad[-1], self.ticks_along("10")))])
        self.view.getAxis("top").setTicks([list(_lift_ticks(curve, self._system, self.ticks_along("100")))])
        self.view.addItem(pg.InfiniteLine(0.0, angle=0, pen=pg.mkPen(colours.faint_ink, width=1)))
        self.view.addItem(pg.PlotDataItem(leans_rad, moments_Nm, pen=pg.mkPen(colours.tipping, width=2.5)))
        for symbol, at in (("o", 0), ("x", -1)):
            pen = pg.mkPen(colours.tipping, width=2)
            self.view.addItem(
                pg.ScatterPlotItem(
                    [leans_rad[at]], [moments_Nm[at]], symbol=symbol, size=11, pen=pen, brush=colours.sheet
                )
            )
        self.write(START, 0.0, most_Nm, (0.0, 1.0), colours.ink)
        self.write(END, 1.05 * leans_rad[-1], 0.0, (1.0, 0.0), colours.tipping)
        return [
            Point(lean_rad, moment_Nm, self._words(lean_rad))
            for lean_rad, moment_Nm in zip(leans_rad, moments_Nm, strict=True)
        ]


def _lean_ticks(last_rad: float, most: float) -> Iterator[tuple[float, str]]:
    """Leans at whole degrees."""
    last_deg = last_rad * DEG_PER_RAD
    step = next((step for step in (1, 2, 5, 10) if last_deg / step <= most), 20)
    for count in range(int(last_deg / step) + 1):
        yield count * step / DEG_PER_RAD, f"{count * step}"


def _lift_ticks(curve: TipCurve, system: System, most: float) -> Iterator[tuple[float, str]]:
    """Leans at which the rear wheels are at round heights, each with the height."""
    most_m = float(curve.wheel_lift_m(curve.no_return_rad))
    steps = LIFT_STEPS[system]
    step_m = next((step_m for step_m in steps if most_m / step_m <= most), steps[-1])
    unit_m = M_PER_IN if system == "us" else 0.001
    for count in range(int(most_m / step_m) + 1):
        yield curve.lean_at_lift_rad(count * step_m), f"{count * step_m / unit_m:.0f}"
