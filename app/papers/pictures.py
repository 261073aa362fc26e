"""Drawings on paper: the canvas's own painters in black on white, as vectors, at a scale one can measure.

Scene units are millimetres, paper units half points; at 1:N one scene millimetre is 1/N mm of paper.  Handles are left
off, marks and figures keep their size.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QGraphicsEllipseItem, QGraphicsScene

from app.canvas.marks import Tag
from app.canvas.plan import PlanDrawing
from app.canvas.side import SideDrawing
from app.canvas.style import Ink, dashed
from app.canvas.transform import MM_PER_M, plan
from app.look.theme import LIGHT
from app.papers.page_marks import MM, font
from engine.rig.exclusion_zone import ExclusionZone
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import Verdict

SCALES = (5, 10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 150, 200)
"""Scales a drawing may have, 1 to so much."""

FIGURE = 13
"""Type size of figures on a drawing, in half points."""

PRINT = LIGHT._replace(
    name="print",
    paper="#ffffff",
    sheet="#ffffff",
    ink="#000000",
    faint_ink="#404040",
    line="#404040",
    truck="#f4f4f4",
    truck_dark="#dcdcdc",
    steel="#c4c4c4",
    steel_edge="#000000",
    arm="#b0b0b0",
    load="#ececec",
    handle="#000000",
    handle_ground="#ffffff",
    tipping="#000000",
    gravity="#202020",
    accent="#000000",
    error="#000000",
)
"""Black on white: every part told apart by grey, line and word, never by colour."""


def print_ink(size: int = FIGURE) -> Ink:
    """What the painters draw with on paper."""
    return Ink(PRINT, font(size))


class Picture:
    """A drawing ready to be painted at a scale: the scene, the part of it shown, and its size on paper."""

    def __init__(self, scene: QGraphicsScene, source: QRectF, scale: int) -> None:
        self.scene, self.source, self.scale = scene, source, scale
        self.units_per_mm = MM / scale

    @property
    def width(self) -> float:
        return self.source.width() * self.units_per_mm

    @property
    def height(self) -> float:
        return self.source.height() * self.units_per_mm

    def painter_at(self, box: QRectF) -> Callable[[QPainter], None]:
        """How it is painted in the middle of a box on the page."""
        corner = QPointF(box.center().x() - self.width / 2.0, box.center().y() - self.height / 2.0)
        target = QRectF(corner.x(), corner.y(), self.width, self.height)

        def paint(painter: QPainter) -> None:
            painter.setClipRect(box)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self.scene.render(painter, target, self.source, Qt.AspectRatioMode.IgnoreAspectRatio)

        return paint


def side_picture(job: Job, pose: Pose, verdict: Verdict, width: float, height: float) -> Picture:
    """The side view with its figures, at the largest usual scale that fits so much paper; else at the smallest."""
    view = SideOnPaper(job, pose, verdict)
    for scale in SCALES[:-1]:
        picture = view.at(scale)
        if picture.width <= width and picture.height <= height:
            return picture
    return view.at(SCALES[-1])


class SideOnPaper:
    """The side view of one pose with its figures, at any scale.

    Only the picture made last is sound: all share one scene.  Figures keep their size on paper, so they take more of
    the scene at a smaller scale.
    """

    def __init__(self, job: Job, pose: Pose, verdict: Verdict) -> None:
        self._shown = job, pose, verdict
        self._scene = QGraphicsScene()
        self._drawing = SideDrawing(self._scene, print_ink())

    def at(self, scale: int) -> Picture:
        """The view at 1 to so much."""
        scene, drawing, units_per_mm = self._scene, self._drawing, MM / scale
        drawing.set_scale(units_per_mm)
        drawing.show(*self._shown)
        drawing.hide_handles()
        left, above, right, under = (margin / units_per_mm for margin in drawing.margins_px())
        source = drawing.bounds().adjusted(-left, -above, right, under)
        return Picture(scene, source | _tags_in(scene, units_per_mm), scale)


class PlanOnPaper:
    """The plan of one pose with its figures, as `SideOnPaper`."""

    def __init__(self, job: Job, pose: Pose, verdict: Verdict) -> None:
        self._shown = job, pose, verdict
        self._scene = QGraphicsScene()
        self._drawing = PlanDrawing(self._scene, print_ink())

    def at(self, scale: int) -> Picture:
        """The view at 1 to so much."""
        scene, drawing, units_per_mm = self._scene, self._drawing, MM / scale
        drawing.set_scale(units_per_mm)
        drawing.show(*self._shown)
        drawing.hide_handles()
        margin = drawing.margin_px() / units_per_mm
        source = drawing.bounds().adjusted(-margin, -margin, margin, margin)
        return Picture(scene, source | _tags_in(scene, units_per_mm), scale)


def _tags_in(scene: QGraphicsScene, units_per_mm: float) -> QRectF:
    """Scene rectangle of every figure on a drawing, at a scale."""
    bounds = QRectF()
    for item in scene.items():
        if isinstance(item, Tag) and item.isVisible():
            rect = item.screen_rect(units_per_mm)
            bounds |= QRectF(rect.topLeft() / units_per_mm, rect.size() / units_per_mm)
    return bounds


def stay_clear_picture(
    job: Job, pose: Pose, verdict: Verdict, zone: ExclusionZone, width: float, height: float
) -> Picture:
    """The plan, bare of figures, inside the circle nobody enters."""
    scene = QGraphicsScene()
    drawing = PlanDrawing(scene, print_ink())
    drawing.whole_load = True
    drawing.show(job, pose, verdict)
    drawing.hide_handles()
    for item in scene.items():
        if isinstance(item, Tag):
            item.setVisible(False)
    centre, radius = plan(zone.centre_m), float(zone.radius_m) * MM_PER_M
    box = QRectF(centre.x() - radius, centre.y() - radius, 2.0 * radius, 2.0 * radius)
    ring = QGraphicsEllipseItem(box)
    ring.setPen(dashed(PRINT.ink, 10.0, 5.0))
    scene.addItem(ring)
    scale = _largest_scale(box, width, height)
    edge = 2.0 * scale / MM
    return Picture(scene, box.adjusted(-edge, -edge, edge, edge), scale)


def _largest_scale(bounds: QRectF, width: float, height: float) -> int:
    """The largest usual scale at which a scene rectangle fits so much paper, else the smallest there is."""
    fitting = (
        scale for scale in SCALES if bounds.width() * MM / scale <= width and bounds.height() * MM / scale <= height
    )
    return next(fitting, SCALES[-1])
