"""The build sheet's drawing: side and plan of the rig alone, dimensioned, on one scale and one x.

The two lie over each other as projected views; dimensions step away from the drawing so that none lies on another.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import msgspec
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtWidgets import QGraphicsItem, QGraphicsScene

from app.canvas.drawing import LAYER
from app.canvas.hinge_marks import SIDES, piece_name, stay_name
from app.canvas.marks import Dimension
from app.canvas.plan import PlanDrawing
from app.canvas.side import SideDrawing
from app.canvas.side_outlines import GUSSETS
from app.canvas.transform import plan, side
from app.papers.page_marks import MM
from app.papers.pictures import PRINT, SCALES, Picture, print_ink
from app.papers.subject import Subject
from engine.base.geometry import Vec
from engine.rig.feasibility import usable_holes
from engine.rig.kinematics import arm_link
from engine.schema.model import Boom, Job, Pose
from engine.schema.quantities import Estimate
from engine.shop.pose_edits import straight_ahead
from engine.worst_case.verdict import Verdict

SIDE_PARTS = (
    "sleeve",
    "cross-member",
    "jib mast",
    *GUSSETS,
    "boom",
    "saddle bed",
    "saddle bed welds",
    "saddles",
    "boom pin",
    "hook",
)
PLAN_PARTS = ("sleeves", "cross-member", *GUSSETS, "saddle bed", "saddle bed welds", "boom", "jib mast")

LEVEL_STEP, UPRIGHT_STEP = 22.0, 124.0
"""Between two level and two upright dimension lines, in units of paper: a line of text high, a figure wide."""


class LevelDimension(NamedTuple):
    """A level dimension of the side view: its ends, the line it stands on, and its figure.

    ``line`` counts down from the underside of the sleeves (1, 2 ...) or up from the top of the boom (-1, -2 ...).
    """

    start_m: Vec
    end_m: Vec
    line: int
    words: str


def build_pose(job: Job) -> tuple[Job, Pose]:
    """The rig as it is built: level floor, upright plumb, arms straight, hook empty, boom furthest out."""
    level = Estimate(best=0.0, known="measured")
    floors = tuple(msgspec.structs.replace(floor, fall_along=level, fall_across=level) for floor in job.floors)
    pose = msgspec.structs.replace(
        job.poses[0],
        lift_m=job.truck.upright.lift_min_m,
        tilt_rad=0.0,
        hole=(usable_holes(job) or (1,))[0],
        free_out_m=None,
        arms=straight_ahead(job),
        loaded=False,
    )
    return msgspec.structs.replace(job, floors=floors), pose


def build_pictures(
    subject: Subject, job: Job, pose: Pose, verdict: Verdict, width: float, height: float
) -> tuple[Picture, Picture]:
    """Side view and plan of the rig alone, at the largest usual scale that fits so much paper; else at the smallest."""
    for scale in SCALES[:-1]:
        elevation, from_above = _pictures_at(scale, subject, job, pose, verdict)
        if elevation.width <= width and elevation.height + from_above.height <= height:
            return elevation, from_above
    return _pictures_at(SCALES[-1], subject, job, pose, verdict)


def _pictures_at(scale: int, subject: Subject, job: Job, pose: Pose, verdict: Verdict) -> tuple[Picture, Picture]:
    elevation = _side_view(scale, subject, job, pose, verdict)
    return elevation, _plan_view(scale, subject, job, pose, verdict, elevation.source)


def _arm_parts(job: Job) -> list[str]:
    """Every arm's tube and what stands at its hinge."""
    return [
        name
        for index in range(len(job.rig.arms))
        for name in (arm_link(index), stay_name(index), *(piece_name(index, end) for end in SIDES))
    ]


def _side_view(scale: int, subject: Subject, job: Job, pose: Pose, verdict: Verdict) -> Picture:
    scene = QGraphicsScene()
    drawing = SideDrawing(scene, print_ink())
    drawing.show(job, pose, verdict)
    axes = [f"axis {index}" for index in range(len(job.rig.arms))]
    drawing.show_only((*SIDE_PARTS, *_arm_parts(job), *axes))
    rig, frames = job.rig, verdict.placed.frames
    forks, boom = frames["forks"], frames["boom"]
    tail_m = float(verdict.placed.figures.boom_out_m) - rig.boom.length_m
    heel = side(forks.at(rig.sleeves.heel_gap_m, 0.0, _underside_m(job)))
    tail = side(boom.at(tail_m, 0.0, rig.boom.section.depth_m / 2.0))
    dimensions = _Dimensions(scene, MM / scale)
    for dimension in _level_dimensions(subject, job, verdict):
        edge = tail if dimension.line < 0 else heel
        dimensions.level(side(dimension.start_m), side(dimension.end_m), edge.y(), dimension.line, dimension.words)
    foot, top = frames["jib mast"].at(), frames["jib mast"].at(z_m=rig.jib_mast.length_m)
    behind = min(tail.x(), heel.x())
    mast_words = f"jib mast {subject.cut_length(rig.jib_mast.length_m)}"
    dimensions.upright(side(foot), side(top), behind, 1, mast_words)
    axis_words = f"axis {subject.cut_length(float(boom.origin.z - forks.origin.z))}"
    dimensions.upright(side(forks.origin), side(boom.at(tail_m)), behind, 2, axis_words, 0.7)
    return Picture(scene, dimensions.around(drawing.bounds()), scale)


def _underside_m(job: Job) -> float:
    """Underside of the sleeves over the top of the fork blades (negative: under it)."""
    section = job.rig.sleeves.section
    return section.wall_m - section.depth_m


def _level_dimensions(subject: Subject, job: Job, verdict: Verdict) -> list[LevelDimension]:
    """Lengths along the forks, the boom and the arms, as seen from the side."""
    rig, frames = job.rig, verdict.placed.frames
    forks, boom = frames["forks"], frames["boom"]
    sleeves, mast, saddles = rig.sleeves, rig.jib_mast, rig.saddles
    under_m, half_m = _underside_m(job), rig.boom.section.depth_m / 2.0
    out_m = float(verdict.placed.figures.boom_out_m)
    tail_m = out_m - rig.boom.length_m
    show = subject.cut_length
    heel = forks.at(sleeves.heel_gap_m, 0.0, under_m)
    tip = forks.at(sleeves.heel_gap_m + sleeves.length_m, 0.0, under_m)
    foot = Vec(frames["jib mast"].at().x, 0.0, heel.z)
    tail, first_hole, rear_saddle, front_saddle, end = (
        boom.at(x_m, 0.0, half_m)
        for x_m in (tail_m, tail_m + rig.boom.first_hole_m, saddles.rear_x_m, saddles.front_x_m, out_m)
    )
    holes = _holes_words(rig.boom, subject.design_length)
    dimensions = [
        LevelDimension(heel, tip, 1, f"sleeves {show(sleeves.length_m)}"),
        LevelDimension(heel, foot, 2, f"jib mast {show(mast.foot_x_m - sleeves.heel_gap_m)}"),
        LevelDimension(rear_saddle, front_saddle, -1, f"saddles {show(saddles.front_x_m - saddles.rear_x_m)}"),
        LevelDimension(tail, first_hole, -2, f"first hole {show(rig.boom.first_hole_m)}"),
        LevelDimension(tail, end, -3, f"boom {show(rig.boom.length_m)}, {holes}"),
    ]
    for index, arm in enumerate(rig.arms):
        frame = frames[arm_link(index)]
        start, end = frame.at(0.0, 0.0, half_m), frame.at(arm.length_m, 0.0, half_m)
        dimensions.append(LevelDimension(start, end, -1 - index % 2, f"{arm.name} {show(arm.length_m)}"))
    return dimensions


def _holes_words(boom: Boom, show: Callable[[float], str]) -> str:
    """How many pin holes the boom has, and how far apart."""
    if boom.hole_count == 1:
        return "1 hole"
    if boom.hole_steps_m:
        return f"{boom.hole_count} holes in steps of {', '.join(show(step_m) for step_m in boom.hole_steps_m)}"
    return f"{boom.hole_count} holes every {show(boom.hole_pitch_m)}"


def _plan_view(scale: int, subject: Subject, job: Job, pose: Pose, verdict: Verdict, side_source: QRectF) -> Picture:
    """The plan at a scale, on the x of the side view's picture."""
    scene = QGraphicsScene()
    drawing = PlanDrawing(scene, print_ink())
    drawing.show(job, pose, verdict)
    drawing.show_only((*PLAN_PARTS, *_arm_parts(job)))
    sleeves, forks = job.rig.sleeves, verdict.placed.frames["forks"]
    spread_m, heel_m = sleeves.spread_on(job.truck.forks), sleeves.heel_gap_m
    half_gap_m = spread_m / 2.0 - sleeves.section.width_m / 2.0
    dimensions = _Dimensions(scene, MM / scale)
    left, right = plan(forks.at(heel_m, spread_m / 2.0)), plan(forks.at(heel_m, -spread_m / 2.0))
    dimensions.upright(left, right, left.x(), 1, f"forks {subject.cut_length(spread_m)}", 0.75)
    inner_left, inner_right = plan(forks.at(heel_m, half_gap_m)), plan(forks.at(heel_m, -half_gap_m))
    ahead = plan(forks.at(heel_m + sleeves.length_m, 0.0)).x()
    words = f"cross-member {subject.cut_length(spread_m - sleeves.section.width_m)}"
    dimensions.upright(inner_left, inner_right, ahead, -1, words, 0.22)
    bounds = QRectF()
    for item in scene.items():
        if item.isVisible() and not dimensions.has_figure(item):
            bounds |= item.mapRectToScene(item.boundingRect())
    source = dimensions.around(bounds)
    return Picture(scene, QRectF(side_source.left(), source.top(), side_source.width(), source.height()), scale)


class _Dimensions:
    """Dimension lines about a drawing, stepped away from it so that none lies on another."""

    def __init__(self, scene: QGraphicsScene, units_per_mm: float) -> None:
        self._scene, self._units_per_mm = scene, units_per_mm
        self._dimensions: list[Dimension] = []
        self._bounds = QRectF()

    def level(self, a: QPointF, b: QPointF, edge: float, line: int, words: str) -> None:
        """Add a level dimension below the drawing (line 1, 2 ...) or above it (-1, -2 ...)."""
        y = edge + line * LEVEL_STEP / self._units_per_mm
        at_a, at_b = QPointF(a.x(), y), QPointF(b.x(), y)
        dimension = self._add(a, b, at_a, at_b, words)
        if dimension.tag.screen_rect(self._units_per_mm).width() > abs(at_b.x() - at_a.x()) * self._units_per_mm * 0.8:
            dimension.tag.set(words, at_b, (-0.03, 0.5))  # too short a line for its figure: beside it
        self._take_in(dimension, at_a, at_b)

    def upright(self, a: QPointF, b: QPointF, edge: float, line: int, words: str, share: float = 0.5) -> None:
        """Add an upright dimension behind the drawing (line 1, 2 ...) or ahead of it (-1, -2 ...).

        Its figure stands at a ``share`` of the way from a to b.
        """
        x = edge - (line * UPRIGHT_STEP - (0.4 if line > 0 else -0.4) * UPRIGHT_STEP) / self._units_per_mm
        at_a, at_b = QPointF(x, a.y()), QPointF(x, b.y())
        dimension = self._add(a, b, at_a, at_b, words)
        align = (0.5, 0.5) if line > 0 else (-0.03, 0.5)
        dimension.tag.set(words, at_a * (1.0 - share) + at_b * share, align)
        self._take_in(dimension, at_a, at_b)

    def _add(self, a: QPointF, b: QPointF, at_a: QPointF, at_b: QPointF, words: str) -> Dimension:
        dimension = Dimension(self._scene, print_ink(), PRINT.ink, LAYER["tags"])
        dimension.set(at_a, at_b, words, (a, b))
        dimension.tag.setZValue(LAYER["tags"] + 0.5)
        self._dimensions.append(dimension)
        return dimension

    def _take_in(self, dimension: Dimension, at_a: QPointF, at_b: QPointF) -> None:
        """Count a dimension's line and figure into the bounds."""
        rect = dimension.tag.screen_rect(self._units_per_mm)
        self._bounds |= QRectF(rect.topLeft() / self._units_per_mm, rect.size() / self._units_per_mm)
        self._bounds |= QRectF(at_a, at_b).normalized().adjusted(-1.0, -1.0, 1.0, 1.0)

    def has_figure(self, item: QGraphicsItem) -> bool:
        """Whether an item is a dimension's figure: it keeps its size on paper, so its scene rectangle means nothing."""
        return any(item is dimension.tag for dimension in self._dimensions)

    def around(self, bounds: QRectF) -> QRectF:
        """Scene rectangle of a drawing and its dimensions, with a narrow edge."""
        edge = 4.0 / self._units_per_mm
        return (bounds | self._bounds).adjusted(-edge, -edge, edge, edge)
