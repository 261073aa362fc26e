"""Ghosts: the rig as it was held, and truck and rig as they start to go over.

A held ghost is drawn once, by the same painters on scenes of its own, and kept as paths.  A ghost that goes over is
the drawing itself turned about the tipping line: in the side view for the front and rear lines, in the plan for the
side lines.
"""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtGui import QPainterPath
from PySide6.QtWidgets import QGraphicsScene

from app.canvas.plan import PlanDrawing
from app.canvas.shapes import arm_spans
from app.canvas.side import SideDrawing
from app.canvas.style import Ink
from app.canvas.transform import box, outline, plan, side, turned
from engine.base.geometry import LEVEL, ZERO, Frame, Vec
from engine.explain.overturn import START_RAD, Overturn, turned_over
from engine.rig.kinematics import arm_link, fitted_arms
from engine.rig.truck_solids import truck_boxes
from engine.schema.model import Job, Pose
from engine.schema.sections import outer_width_m
from engine.worst_case.verdict import Verdict


class Held(NamedTuple):
    """A pose, or a whole rig, held to be compared with."""

    job: Job
    pose: Pose
    verdict: Verdict
    side: QPainterPath
    plan: QPainterPath

    @property
    def name(self) -> str:
        return self.pose.name


def hold(job: Job, pose: Pose, verdict: Verdict, ink: Ink) -> Held:
    """A verdict with the outlines it is drawn with."""
    side_scene, plan_scene = QGraphicsScene(), QGraphicsScene()
    elevation, from_above = SideDrawing(side_scene, ink), PlanDrawing(plan_scene, ink)
    elevation.show(job, pose, verdict)
    from_above.show(job, pose, verdict)
    path = elevation.outlines(hanging=False)
    path.addPath(elevation.outlines(hanging=True))
    return Held(job=job, pose=pose, verdict=verdict, side=path, plan=from_above.outlines())


def over_end(drawing: SideDrawing, over: Overturn, verdict: Verdict) -> QPainterPath:
    """Truck and rig turned about the front or rear line in the side view; what hangs stays plumb under the hook."""
    clockwise = START_RAD if over.line.name == "front" else -START_RAD
    path = turned(drawing.outlines(hanging=False), side(over.line.a_m), clockwise)
    hook = verdict.placed.hook_m
    path.addPath(drawing.outlines(hanging=True).translated(side(turned_over(hook, over.line)) - side(hook)))
    return path


def over_side(drawing: PlanDrawing, job: Job, over: Overturn, pose: Pose, verdict: Verdict) -> QPainterPath:
    """Truck and rig turned about a side line, seen from above; what hangs stays plumb under the hook."""
    path = QPainterPath()
    for corners in _boxes(job, verdict):
        path.addPolygon(outline(plan(turned_over(corner, over.line)) for corner in corners))
        path.closeSubpath()
    if pose.loaded:
        hook = verdict.placed.hook_m
        moved = turned_over(hook, over.line) - hook
        load = drawing.part("load").path()
        path.addPath(load.translated(plan(verdict.placed.load_centre_m + moved)))
    return path


def _boxes(job: Job, verdict: Verdict) -> list[list[Vec]]:
    """The eight corners of the truck's body, its guard, the forks, the boom and each arm."""
    truck, rig, frames, figures = job.truck, job.rig, verdict.placed.frames, verdict.placed.figures
    level, spread = Frame(LEVEL, ZERO), truck.forks.spread_m / 2.0 + rig.sleeves.section.width_m / 2.0
    half_boom = outer_width_m(rig.boom.section) / 2.0
    out_m = float(figures.boom_out_m)
    boxes = [
        *(
            box(level, *one.box)
            for one in truck_boxes(truck)
            if one.role in ("body", "guard") and one.frame == "chassis"
        ),
        box(frames["forks"], (0.0, truck.forks.length_m), (-spread, spread), (0.0, 0.0)),
        box(frames["boom"], (out_m - rig.boom.length_m, out_m), (-half_boom, half_boom), (-half_boom, half_boom)),
    ]
    return boxes + [box(frames[arm_link(index)], *arm_spans(rig, index)) for index in fitted_arms(figures)]
