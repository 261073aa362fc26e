"""Reach map behind the rig: where the hook may be with this load, hatched as well as shaded, and what holds there.

It is painted into the view's cached background, under the grid and every item, so that it costs a drag nothing until a
new map comes.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainterPath

from app.canvas.transform import MM_PER_M
from app.look.theme import Palette
from engine.base.formatting import show
from engine.limits import sideways
from engine.planning.reach import ReachMap
from engine.schema.model import Job
from engine.worst_case.verdict import State

WASH_ALPHA = 70
HATCH_ALPHA = 120


StateAndHatch = tuple[State, Qt.BrushStyle]


class Wash(NamedTuple):
    """An area of the background: its cells, a tint and a hatch over it."""

    path: QPainterPath
    tint: QBrush
    hatch: QBrush


def washes(reach: ReachMap | None, colours: Palette, is_old: bool = False) -> tuple[Wash, ...]:
    """Areas of a map: where the hook may be, or nothing proves that it may, and where it can be but may not.

    A map from before the last change is grey all over; its hatches stay.
    """
    if reach is None or reach.problems:
        return ()
    holding: StateAndHatch = ("WITHIN", Qt.BrushStyle.Dense7Pattern)
    if reach.unsettled:
        holding = ("NOT PROVEN", Qt.BrushStyle.VerPattern)
    over: StateAndHatch = ("OVER", Qt.BrushStyle.BDiagPattern)
    areas = ((reach.reachable & ~reach.holds, over), (reach.holds & reach.reachable, holding))
    return tuple(
        _wash(reach, cells, colours.line if is_old else colours.states[state].ground, hatch)
        for cells, (state, hatch) in areas
    )


def words_at(reach: ReachMap | None, job: Job, x_m: float, across_m: float) -> str:
    """What holds with the hook at a place, in a sentence; empty off the map."""
    if reach is None or reach.problems or not reach.x_m.size:
        return ""
    column = round((x_m - float(reach.x_m[0])) / reach.cell_m)
    row = round((across_m - float(reach.across_m[0])) / reach.cell_m)
    if not (0 <= row < reach.across_m.size and 0 <= column < reach.x_m.size) or not reach.reachable[row, column]:
        return ""
    middle, use = float(reach.use[row, column]), float(reach.whole_use[row, column])
    governing = reach.names[int(reach.governing[row, column])]
    if math.isinf(middle):
        return f"Hook here: cannot be. Gives first: {governing}."
    if math.isinf(use):
        return "Hook here, at a first look: part of this cell cannot be reached, or something is in the way there."
    over = "not covered by the plate" if governing == sideways.NAME else "OVER"
    holds = "NOT PROVEN, within the limits of the parts entered" if reach.unsettled else "within the limits"
    state = holds if use <= 1.0 else "over in part of this cell" if middle <= 1.0 else over
    used = show(use, "use", job.units)
    allowed = show(float(reach.allowed_kg[row, column]), "kg_down", job.units)
    used = f"{used} used in the worst case"
    return f"Hook here, at a first look: {state}, {used}. Gives first: {governing}. Allowed load {allowed}."


def _wash(reach: ReachMap, cells: NDArray[np.bool_], colour: str, hatch: Qt.BrushStyle) -> Wash:
    tint, lines = QColor(colour), QColor(colour)
    tint.setAlpha(WASH_ALPHA)
    lines.setAlpha(HATCH_ALPHA)
    return Wash(_outline(reach, cells), QBrush(tint), QBrush(lines, hatch))


def _outline(reach: ReachMap, cells: NDArray[np.bool_]) -> QPainterPath:
    """Cells, shape (across, x), joined into runs along x."""
    path, half, size_mm = QPainterPath(), reach.cell_m / 2.0, reach.cell_m * MM_PER_M
    path.setFillRule(Qt.FillRule.WindingFill)
    for across, inside in zip(reach.across_m, cells, strict=True):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], inside.astype(np.int8), [0]))))
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            left, top = (float(reach.x_m[start]) - half) * MM_PER_M, -(float(across) + half) * MM_PER_M
            path.addRect(QRectF(left, top, (end - start) * size_mm, size_mm))
    return path
