"""What stands at the hinges and what holds level arms up, true to size, with a hollow flag where it is not entered."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainterPath

from app.canvas import shapes
from app.canvas.drawing import Drawing
from engine.base.geometry import Axes, Frame, Vec
from engine.rig.hinge_boxes import Solid, end_solids
from engine.rig.hinge_pieces import link_ends, open_questions
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.rig.stay_places import stay_ends, stay_lug_boxes
from engine.schema.model import Rig
from engine.schema.sections import outer_depth_m

SIDES = ("inner", "outer")

STAY_END_MM = 15.0
"""Radius of the rounds at a stay's ends, wide enough to be seen; it means no size."""


def piece_name(index: int, side: str) -> str:
    """Name of the part that is what stands on one side of an arm's hinge."""
    return f"{arm_link(index)} hinge {side}"


def flag_name(index: int) -> str:
    """Name of the part that says that an arm's hinge is not entered."""
    return f"{arm_link(index)} hinge flag"


def stay_name(index: int) -> str:
    """Name of the part that is the stay of a level arm."""
    return f"{arm_link(index)} stay"


class _Hinge(NamedTuple):
    """What is drawn of one hinge: what stands on the link before the arm and on the arm, and whether it is entered."""

    inner: tuple[Solid, ...]
    outer: tuple[Solid, ...]
    is_open: bool


class HingeMarks:
    """Pieces and flags of one view, carried along with the links they stand on."""

    def __init__(self, drawing: Drawing, project: Callable[[Vec], QPointF], shape: Callable[..., QPainterPath]) -> None:
        self._drawing, self._project, self._shape = drawing, project, shape
        self._hinges: dict[tuple[int, int | None], _Hinge] = {}

    def build(self, rig: Rig) -> None:
        """Add a part for each side of every hinge, empty until it is shown."""
        self._hinges, ink = {}, self._drawing.ink
        for index, arm in enumerate(rig.arms):
            for side in SIDES:
                self._drawing.add(piece_name(index, side), QPainterPath(), ink.steel_edge, ink.steel, "arms")
            flag = self._drawing.add(flag_name(index), shapes.hollow_flag(), ink.tipping_solid, ink.clear, "load")
            flag.setToolTip(f"What carries the hinge of {arm.name} is not entered")
            stay = self._drawing.add(stay_name(index), QPainterPath(), ink.edge, ink.steel, "load")
            stay.setToolTip(f"What holds {arm.name} up")

    def show(self, rig: Rig, placed: Placed) -> None:
        """Put every piece where its link stands; what stands on a link stays there when the arm is taken off."""
        frames, fitted = placed.frames, fitted_arms(placed.figures)
        before: int | None = None
        for index, arm in enumerate(rig.arms):
            there = index in fitted
            on_link = there or index == 0 or index - 1 in fitted
            inner = frames["boom" if before is None else arm_link(before)]
            own = frames[arm_link(index)] if there else Frame(inner.axes, _end_m(rig, placed, before, inner))
            stacked_m = own.origin - inner.axes.z.times(arm.stack_m) if there else own.origin
            hinge = self._hinge(rig, index, before)
            self._show_piece(index, "inner", on_link, Frame(inner.axes, stacked_m), hinge.inner)
            self._show_piece(index, "outer", there, own, hinge.outer)
            flag = self._drawing.part(flag_name(index))
            flag.setPos(self._project(own.origin))
            flag.setVisible(there and hinge.is_open)
            self._show_stay(rig, placed, index)
            before = index if there else before

    def _show_stay(self, rig: Rig, placed: Placed, index: int) -> None:
        """A line from pin to pin with a round at each end; of a stop the place alone."""
        item, ends = self._drawing.part(stay_name(index)), stay_ends(rig, placed, index)
        item.setVisible(ends is not None)
        if ends is not None:
            first, last = self._project(ends.inner_m), self._project(ends.arm_m)
            path = QPainterPath(first)
            path.lineTo(last)
            for point in (first, last):
                path.addEllipse(point, STAY_END_MM, STAY_END_MM)
            item.setPath(path)

    def _hinge(self, rig: Rig, index: int, before: int | None) -> _Hinge:
        """What is drawn of a hinge on the link before it; worked out once for a rig."""
        if (index, before) not in self._hinges:
            arm, hinge = rig.arms[index], rig.arms[index].hinge
            walls = [outer_depth_m(tube.section) / 2.0 for tube in link_ends(rig, index, before)]
            lugs = [stay_lug_boxes(arm, wall_m, outer=side > 0) for side, wall_m in enumerate(walls)]
            if hinge.inner_end is None and hinge.outer_end is None:
                drawn = _Hinge(lugs[0], lugs[1], True)
            else:
                inner, outer = ends = link_ends(rig, index, before)
                is_open = bool(open_questions(hinge, ends, ("", "")))
                drawn = _Hinge(
                    end_solids(hinge, inner, outer=False) + lugs[0],
                    end_solids(hinge, outer, outer=True) + lugs[1],
                    is_open,
                )
            waits = shapes.empty_hook_place(rig, index - 1 if index else None)
            self._hinges[index, before] = drawn._replace(inner=drawn.inner + waits)
        return self._hinges[index, before]

    def _show_piece(self, index: int, side: str, there: bool, frame: Frame, solids: tuple[Solid, ...]) -> None:
        name = piece_name(index, side)
        item = self._drawing.part(name)
        item.setVisible(there and bool(solids))
        if there and solids:
            axes: Axes = frame.axes
            self._drawing.reshape(name, (axes, solids), lambda: self._filled(axes, solids))
            item.setPos(self._project(frame.origin))

    def _filled(self, axes: Axes, solids: tuple[Solid, ...]) -> QPainterPath:
        """Outlines of pieces that may lie over each other, all of them filled."""
        path = self._shape(axes, *solids)
        path.setFillRule(Qt.FillRule.WindingFill)
        return path


def _end_m(rig: Rig, placed: Placed, before: int | None, inner: Frame) -> Vec:
    """Where the hinge of an arm that is not fitted would be."""
    return inner.at(placed.figures.boom_out_m if before is None else rig.arms[before].length_m)
