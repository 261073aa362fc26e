"""What the plan says of each arm that swings: the arc its end can reach, and an arrow the way it runs when let go."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QPainterPath

from app.canvas import shapes
from app.canvas.drawing import Drawing
from app.canvas.transform import plan, plan_line, seen_from_above
from engine.base.geometry import Axes, Frame
from engine.rig.arm_arcs import arm_arc
from engine.rig.kinematics import Placed, arm_link
from engine.schema.joints import swings
from engine.schema.model import Arm, Job, Rig

if TYPE_CHECKING:
    from engine.handling.arm_drift import ArmDrift

ARROW_FROM_M, ARROW_TO_M, ARROW_HEAD_M = 0.12, 0.42, 0.14
"""A drift arrow's tail, tip and head, from the arm's middle line."""


class ArmMarks:
    """Arcs and drift arrows of one plan, carried along with the arms."""

    def __init__(self, drawing: Drawing) -> None:
        self._drawing = drawing
        self._drifts: tuple[ArmDrift, ...] = ()

    def build_arm(self, index: int, arm: Arm) -> None:
        """Add arc and arrow of an arm that swings; both are empty until they are shown."""
        if swings(arm.joint):
            ink = self._drawing.ink
            self._drawing.add(arc_name(index), QPainterPath(), ink.hidden, ink.clear, "ghosts")
            self._drawing.add(drift_name(index), QPainterPath(), ink.gravity_edge, ink.gravity_fill, "marks")

    def forget_drifts(self) -> None:
        """Nothing is known of how the arms of a new drawing run."""
        self._drifts = ()

    def show_arcs(self, job: Job, placed: Placed) -> None:
        """Draw where each arm's end can go.

        An arc holds while arms, stops and hinges do: it is made once in its hinge's own axes, and carried along.
        """
        for index, arm in enumerate(job.rig.arms):
            item = self._drawing.find_part(arc_name(index))
            if item is None:
                continue
            frame = placed.frames.get(arm_link(index))
            self._drawing.reshape(arc_name(index), frame is not None, lambda index=index: _arc_path(job, placed, index))
            if frame is not None:
                item.setTransform(seen_from_above(_hinge_axes(arm, placed, index, frame)))
                item.setPos(plan(frame.origin))

    def set_drifts(self, drifts: tuple[ArmDrift, ...]) -> None:
        """Take which way each arm runs when let go; shown by `show_drifts`."""
        self._drifts = drifts

    def show_drifts(self, rig: Rig, placed: Placed) -> None:
        """Draw an arrow at each arm's end the way it runs, none where it stands still."""
        runs = {drift.index: drift.runs for drift in self._drifts if drift.runs in ("left", "right")}
        for index, arm in enumerate(rig.arms):
            item = self._drawing.find_part(drift_name(index))
            if item is None:
                continue
            frame = placed.frames.get(arm_link(index))
            side = runs.get(index, "") if frame is not None else ""
            self._drawing.reshape(drift_name(index), side, lambda arm=arm, side=side: _arrow(arm.length_m, side))
            hint = f"{arm.name} runs to the {side} when let go" if side else ""
            if item.toolTip() != hint:
                item.setToolTip(hint)
            if side and frame is not None:
                item.setTransform(seen_from_above(frame.axes))
                item.setPos(plan(frame.origin))


def arc_name(index: int) -> str:
    """Name of the part that is an arm's arc."""
    return f"arc {index}"


def drift_name(index: int) -> str:
    """Name of the part that is an arm's drift arrow."""
    return f"drift {index}"


def _hinge_axes(arm: Arm, placed: Placed, index: int, frame: Frame) -> Axes:
    """Axes of an arm's hinge: those of the arm, its own turn taken back."""
    turn_rad = placed.figures.turns_rad[index]
    return frame.axes if turn_rad is None else arm.joint.carried(frame, -turn_rad).axes


def _arc_path(job: Job, placed: Placed, index: int) -> QPainterPath:
    """Where an arm's end can go, in its hinge's own axes; empty for an arm that is not fitted."""
    points, frame, path = arm_arc(job, placed, index), placed.frames.get(arm_link(index)), QPainterPath()
    if points is not None and frame is not None:
        axes = _hinge_axes(job.rig.arms[index], placed, index, frame)
        path.addPolygon(plan_line(axes.own(points - frame.origin)))
    return path


def _arrow(end_m: float, side: str) -> QPainterPath:
    """An arrow square to an arm at its end, to the left or right, in the arm's own axes; none without a side."""
    path = QPainterPath()
    if side:
        sign, half = 1.0 if side == "left" else -1.0, ARROW_HEAD_M / 2.0
        tail, neck, tip = (sign * reach for reach in (ARROW_FROM_M, ARROW_TO_M - ARROW_HEAD_M, ARROW_TO_M))
        path.addPath(shapes.line((end_m, tail), (end_m, neck)))
        path.addPath(shapes.polygon(((end_m - half, neck), (end_m, tip), (end_m + half, neck))))
    return path
