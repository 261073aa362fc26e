"""Plan strip: the truck from above on the side view's x scale, with the triangle it stands on."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from typing import TYPE_CHECKING, ClassVar

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QFontMetricsF, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsPathItem, QGraphicsScene

from app.canvas import bed_outlines, load_outlines, shapes
from app.canvas import plan_outlines as outlines
from app.canvas.arm_marks import ArmMarks, arc_name, drift_name
from app.canvas.declutter import Align, TagPlaces, declutter
from app.canvas.drawing import Drawing
from app.canvas.handles import HandleKind
from app.canvas.hinge_marks import HingeMarks
from app.canvas.leaders import PLAIN_TAG_LINES, lead
from app.canvas.marks import CentreMark, Tag
from app.canvas.shapes import arm_spans
from app.canvas.side_outlines import GUSSETS
from app.canvas.style import Ink, seen_through
from app.canvas.transform import MM_PER_M, Spans, plan, plan_shape, plumb_foot
from engine.base.formatting import show
from engine.base.geometry import Frame
from engine.base.lazy import lazy
from engine.limits.balance import corners_m
from engine.rig.completeness import bed_is_open
from engine.rig.exclusion_zone import exclusion_zone
from engine.rig.hinge_boxes import boom_short_m
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.schema.model import Job, Pose, Surrounding

if TYPE_CHECKING:
    from engine.explain import shown
    from engine.explain.overturn import Overturn
    from engine.handling.arm_drift import ArmDrift
    from engine.limits.balance import Balance
    from engine.worst_case.verdict import Verdict
else:
    shown = lazy("engine.explain.shown")

LOW_BOX_M = 2.5
"""Boxes that start above this (ceilings, beams) would cover the whole plan; the side view shows them."""

CENTRELINE_M = (-12.0, 14.0)
"""From where to where the truck's centreline is drawn."""

TAG_ROOM_M = 0.28
"""Room kept beside the outermost wheels for their reactions."""

LOAD_OPACITY = 0.85
"""The rig under the load stays to be seen."""

_NO_OUTLINE = frozenset({"centreline", "triangle", "held", "going over", "stay clear", "usual shape", "load sweep"})
_NO_EXTENT = frozenset({"centreline", "going over", "load sweep"})
_BESIDE = ("arc ", "around ", "drift ")
"""Drawn beside truck, rig and load, and no part of their outline."""

_WHEEL_ALIGNS: dict[str, Align] = {"left front": (0.5, 1.0), "right front": (0.5, 0.0), "rear": (1.0, 0.5)}
_WHEEL_OFFSETS = {
    "left front": QPointF(0.0, -0.14 * MM_PER_M),
    "right front": QPointF(0.0, 0.14 * MM_PER_M),
    "rear": QPointF(-0.10 * MM_PER_M, 0.0),
}


class PlanDrawing(Drawing):
    """Owns the items of the plan strip in one scene."""

    GROUPS: ClassVar[Mapping[str, str]] = {
        **dict.fromkeys(("truck", "wheels", "forks", "usual shape", "measured shape"), "truck"),
        **dict.fromkeys(("sleeves", "cross-member", *GUSSETS, "saddle bed", "boom", "jib mast", "hook end"), "rig"),
        **dict.fromkeys(("load", "load sweep"), "load"),
    }

    def __init__(self, scene: QGraphicsScene, ink: Ink, plain: bool = False) -> None:
        """``plain`` is for a drawing read from afar, that shows the stay-clear outline whole."""
        super().__init__(scene, ink, plain, plan)
        self.whole_load = plain
        """Never cut a long load: the stay-clear outline is drawn to its full reach anyway."""
        self._arm_marks = ArmMarks(self)
        self._hinge_marks = HingeMarks(self, plan, plan_shape)
        self._surroundings: list[tuple[Surrounding, QGraphicsPathItem]] = []
        self._ghost_aligns: tuple[Align, ...] = ()
        self._shown: tuple[Job, Placed] | None = None

    # -------------------------------------------------------- building

    def build(self, job: Job) -> None:
        """Build every item for this truck, rig and load; they are kept until one of these changes."""
        if not self._needs_build(job):
            return
        ink = self.ink
        start_m, end_m = CENTRELINE_M
        self.add("centreline", shapes.line((start_m, 0.0), (end_m, 0.0)), ink.centre, ink.clear, "floor")
        if not self._kept:
            self._build_surroundings(job)
        self.add("truck", outlines.body(job.truck), ink.truck_edge, ink.truck, "far")
        self.add("wheels", outlines.wheels(job.truck), ink.truck_edge, ink.truck_dark, "far")
        self.add("usual shape", outlines.shape(job.truck, usual=True), ink.hidden, ink.clear, "truck")
        self.add("measured shape", outlines.shape(job.truck, usual=False), ink.truck_edge, ink.clear, "truck")
        self.add("triangle", QPainterPath(), ink.tipping, ink.clear, "marks")
        for name in ("forks", "sleeves", "cross-member", "saddle bed", "saddle bed welds", "boom"):
            self.add(name, QPainterPath(), ink.steel_edge, ink.steel, "rig")
        self.add("gussets", QPainterPath(), ink.steel_edge, ink.steel, "rig")
        self.add("gussets not counted", QPainterPath(), ink.hidden, ink.clear, "rig")
        self.add("straps", QPainterPath(), ink.steel_edge, ink.clear, "arms")
        self.add("jib mast", QPainterPath(), ink.steel_edge, ink.cut, "arms")
        for index, arm in enumerate(job.rig.arms):
            self.add(arm_link(index), QPainterPath(), ink.steel_edge, ink.arm, "arms")
            self._arm_marks.build_arm(index, arm)
        self._hinge_marks.build(job.rig)
        flag = self.add("saddle bed flag", shapes.hollow_flag(), ink.tipping_solid, ink.clear, "load")
        flag.setToolTip("The saddle bed, or how it is mounted on the jib mast, is not entered")
        dashed = job.rig.hook.end is None or job.rig.hook.end.origin == "typical"
        end = self.add("hook end", QPainterPath(), ink.steel_edge, ink.steel, "load")
        end.setPen(ink.hidden if dashed else ink.steel_edge)
        flag = self.add("hook end flag", shapes.hollow_flag(), ink.tipping_solid, ink.clear, "load")
        flag.setToolTip("What holds the hook is not entered")
        edge = QPen(ink.edge)
        edge.setColor(seen_through(edge.color(), LOAD_OPACITY))
        fill = QBrush(seen_through(ink.load.color(), LOAD_OPACITY))
        self.add("load", QPainterPath(), edge, fill, "load")
        self.add("load sweep", load_outlines.plan_sweep(job.load), ink.hidden, ink.clear, "load")
        self._add_ghosts()
        if self._kept:
            return
        self._arm_marks.forget_drifts()
        self._build_tags()
        self._add_measure()
        self._build_handles(job)
        self._cache_marks()

    def _build_surroundings(self, job: Job) -> None:
        ink, self._surroundings = self.ink, []
        for box in job.surroundings:
            if box.z0_m < LOW_BOX_M:
                path = shapes.rectangle(box.x0_m, box.x1_m, box.y0_m, box.y1_m)
                item = self.add(f"around {box.name}", path, ink.truck_edge, ink.around, "floor")
                self._surroundings.append((box, item))

    def _build_tags(self) -> None:
        ink, colours = self.ink, self.ink.colours
        self._ghost_tag = Tag(ink, colours.tipping, bold=True)
        self._load_tag = Tag(ink, colours.ink)
        self.place(self._load_tag, "tags")
        self._stay_clear_tag = Tag(ink, colours.tipping, (0.5, 1.0) if self.plain else (1.02, 0.0))
        for tag in (self._ghost_tag, self._stay_clear_tag):
            tag.setVisible(False)
            self.place(tag, "tags")
        self._centre = CentreMark(ink, 8)
        self.place(self._centre, "tags")
        self._ghost_aligns = ((0.0, 0.0),)
        self._wheel_tags = {name: Tag(ink, colours.ink, align) for name, align in _WHEEL_ALIGNS.items()}
        for tag in self._wheel_tags.values():
            self.place(tag, "tags")

    def _build_handles(self, job: Job) -> None:
        handles: list[tuple[str, HandleKind, str]] = [
            ("boom", "slide", "Slide the boom from hole to hole (Ctrl: free, not pinned)")
        ]
        for index, arm in enumerate(job.rig.arms):
            kind = arm.joint.handle("plan")
            if kind is not None:
                handles.append((f"arm {index}", kind, f"{arm.joint.verb} {arm.name}"))
        handles.append(("hook", "free", "Move the hook; the arms follow"))
        self._add_handles(handles)

    # -------------------------------------------------------- extent and outlines

    def bounds(self) -> QRectF:
        """Scene rectangle of everything drawn, without tags; the stay-clear outline only in a plain drawing."""
        bounds = QRectF()
        for name, item in self._parts.items():
            left_out = name in _NO_EXTENT or name.startswith(_BESIDE) or (name == "stay clear" and not self.plain)
            if item.isVisible() and not left_out:
                bounds |= item.mapRectToScene(item.boundingRect())
        return bounds

    def margin_px(self) -> float:
        """Screen room for tags above and below the bounds."""
        return 1.6 * QFontMetricsF(self.ink.font).height() + 4.0

    def plain_margins_px(self) -> tuple[float, float, float, float]:
        """Screen room of a plain drawing at left, top, right and bottom; the words of the circle stand over it."""
        return 3.0, self._stay_clear_tag.size_px[1] + 3.0, 3.0, 3.0

    @property
    def least_px(self) -> float:
        """Screen width that the words of the stay-clear circle need."""
        return self._stay_clear_tag.size_px[0] + 6.0

    def extent_y(self) -> tuple[float, float]:
        """Scene y from the left-most to the right-most thing drawn, tags included."""
        bounds, room = self.bounds(), TAG_ROOM_M * MM_PER_M
        return bounds.top() - room, bounds.bottom() + room

    def outlines(self) -> QPainterPath:
        """Outlines of truck, rig and load where they stand now."""
        path = QPainterPath()
        for name, item in self._parts.items():
            if item.isVisible() and name not in _NO_OUTLINE and not name.startswith(_BESIDE):
                path.addPath(item.mapToScene(item.path()))
        return path

    def drift_arrow(self, index: int) -> QPainterPath:
        """An arm's drift arrow as it is drawn; empty when there is none."""
        return self.path_in_scene(drift_name(index))

    def arc(self, index: int) -> QPainterPath:
        """Where an arm's end can go, as it is drawn."""
        return self.path_in_scene(arc_name(index))

    @property
    def load_words(self) -> str:
        """What stands at a load that is cut between break lines; nothing where it is drawn whole."""
        return self._load_tag.text

    @property
    def stay_clear_words(self) -> str:
        """What stands beside the stay-clear outline; nothing while it is not shown."""
        return self._stay_clear_tag.text if self._stay_clear_tag.isVisible() else ""

    # -------------------------------------------------------- showing one verdict

    def show(self, job: Job, pose: Pose, verdict: Verdict) -> None:
        """Move every item to where this verdict has it."""
        self._show_placed(job, pose, verdict.placed)
        self._show_wheels(job, verdict.placed, verdict.leaned)
        self._arm_marks.show_arcs(job, verdict.placed)
        self._arm_marks.show_drifts(job.rig, verdict.placed)
        self._keep_tags_apart()

    def show_placed(self, job: Job, pose: Pose, placed: Placed, *, apart: bool = True) -> None:
        """Show where everything stands while there is no verdict: no weights on the wheels.

        Tags are not kept ``apart`` where only the extent is wanted.
        """
        self._show_placed(job, pose, placed)
        self._show_wheels(job, placed, None)
        if apart:
            self._keep_tags_apart()

    def show_drift(self, drifts: tuple[ArmDrift, ...]) -> None:
        """Draw an arrow at each arm's end the way it runs when let go, nothing where it stands still.

        While a drag lasts the arrows go along with the arms; which way they point follows when this is called again.
        """
        self._arm_marks.set_drifts(drifts)
        if self._shown is not None:
            job, placed = self._shown
            self._arm_marks.show_drifts(job.rig, placed)

    def _show_placed(self, job: Job, pose: Pose, placed: Placed) -> None:
        self.build(job)
        self._shown = job, placed
        for box, item in self._surroundings:
            item.setVisible(box.floor is None or box.floor == pose.floor)
        self._show_rig(job, pose, placed)
        self._show_triangle(placed)
        self._show_stay_clear(job, placed)
        self._show_handles(job, placed)

    def _show_rig(self, job: Job, pose: Pose, placed: Placed) -> None:
        frames, figures, rig = placed.frames, placed.figures, job.rig
        forks, boom = frames["forks"], frames["boom"]
        self._put("forks", forks, *outlines.fork_pair(job))
        self._put("sleeves", forks, *outlines.sleeve_pair(job))
        self._put("cross-member", forks, outlines.cross_member(job), *outlines.base_plate(job))
        self._put("gussets", forks, *outlines.gussets(job, counted=True))
        self._put("gussets not counted", forks, *outlines.gussets(job, counted=False))
        self._put("saddle bed", boom, *bed_outlines.pieces(job.rig))
        self._put("saddle bed welds", boom, *bed_outlines.weld_bars(job))
        self._parts["saddle bed flag"].setPos(plan(boom.origin))
        self._parts["saddle bed flag"].setVisible(bed_is_open(rig.saddles))
        half_boom = rig.boom.section.width_m / 2.0
        thick = -half_boom, half_boom
        long = -rig.boom.length_m, -boom_short_m(rig)
        self._put("boom", Frame(boom.axes, boom.at(figures.boom_out_m)), (long, thick, (0.0, 0.0)))
        self._put("straps", boom, *outlines.straps(job))
        self._put("jib mast", boom, (thick, thick, (0.0, 0.0)))
        fitted = fitted_arms(figures)
        for index in range(len(rig.arms)):
            self._parts[arm_link(index)].setVisible(index in fitted)
            if index in fitted:
                self._put(arm_link(index), frames[arm_link(index)], arm_spans(rig, index))
        self._hinge_marks.show(rig, placed)
        link, section = (arm_link(fitted[-1]), rig.arms[fitted[-1]].section) if fitted else ("boom", rig.boom.section)
        self._put(
            "hook end",
            Frame(frames[link].axes, placed.tip_m),
            *shapes.hook_end_spans(rig.hook, section),
            made_of=section,
        )
        self._parts["hook end flag"].setPos(plan(placed.tip_m))
        self._parts["hook end flag"].setVisible(rig.hook.end is None)
        self._show_load(job, pose, placed)

    def _show_load(self, job: Job, pose: Pose, placed: Placed) -> None:
        load, half_m = job.load, load_outlines.WHOLE
        if not self.whole_load:
            half_m = load_outlines.drawn_half_m(job, pose, placed)
        self.reshape("load", half_m, lambda: load_outlines.plan_block(load, half_m))
        centre = plan(placed.load_centre_m)
        for name in ("load", "load sweep"):
            self._parts[name].setPos(centre)
            self._parts[name].setVisible(pose.loaded)
        cut = pose.loaded and load_outlines.plan_is_cut(half_m)
        self._load_tag.setVisible(cut)
        self._load_tag.set(load_outlines.length_words(job) if cut else "", centre)

    def _put(self, part: str, frame: Frame, *boxes: Spans, made_of: object = None) -> None:
        """Draw a part's boxes where its link stands; ``made_of`` is what else they change with in a pose."""
        self.reshape(part, (frame.axes, made_of), lambda: plan_shape(frame.axes, *boxes))
        self._parts[part].setPos(plan(frame.origin))

    def _show_triangle(self, placed: Placed) -> None:
        corners = corners_m(placed)
        path = QPainterPath()
        path.addPolygon(QPolygonF([plan(corners[name]) for name in ("left front", "right front", "pivot")]))
        path.closeSubpath()
        self._parts["triangle"].setPath(path)

    def _show_wheels(self, job: Job, placed: Placed, balance: Balance | None) -> None:
        """What each wheel carries, and where the combined weight's plumb line meets the floor."""
        self._centre.setVisible(balance is not None)
        for tag in self._wheel_tags.values():
            tag.setVisible(balance is not None)
        corners = corners_m(placed)
        places = {"left front": corners["left front"], "right front": corners["right front"], "rear": corners["pivot"]}
        if balance is None or self.plain:  # the dials of a helper view say what is left, in the worst case
            for name, place in places.items():
                self._wheel_tags[name].set("", plan(place))
            return
        self._centre.setPos(plan(plumb_foot(balance.combined_m, placed.gravity)))
        reactions = {
            "left front": balance.left_front_kg,
            "right front": balance.right_front_kg,
            "rear": balance.rear_kg,
        }
        heavy = "left front" if balance.left_front_kg > balance.right_front_kg else "right front"
        for name, place in places.items():
            words = shown.wheel_text(float(reactions[name]), job.units, light=name != heavy)
            self._wheel_tags[name].set(words, plan(place) + _WHEEL_OFFSETS[name])

    def _show_stay_clear(self, job: Job, placed: Placed) -> None:
        item = self._parts["stay clear"]
        item.setVisible(self.stay_clear_wanted)
        self._stay_clear_tag.setVisible(self.stay_clear_wanted)
        if self.stay_clear_wanted:
            zone = exclusion_zone(placed, job.load)
            radius_m, centre, path = float(zone.radius_m), plan(zone.centre_m), QPainterPath()
            radius = radius_m * MM_PER_M
            path.addEllipse(centre, radius, radius)
            item.setPath(path)
            over = "\n" if self.plain else " "
            length = show(radius_m, "afar" if self.plain else "mm", job.units)
            words = f"stay clear: {length}{over}from the front axle"
            offset = QPointF(0.0, -radius) if self.plain else QPointF(radius, 0.1 * MM_PER_M)
            self._stay_clear_tag.set(words, centre + offset)

    def _show_handles(self, job: Job, placed: Placed) -> None:
        frames = placed.frames
        spots = {"boom": frames["boom"].at(placed.figures.boom_out_m - 0.25), "hook": placed.hook_m}
        for index in fitted_arms(placed.figures):
            spots[f"arm {index}"] = frames[arm_link(index)].at(job.rig.arms[index].length_m * 0.72)
        for name, handle in self.handles.items():
            spot = spots.get(name)
            if name.startswith("arm "):
                handle.setVisible(spot is not None)
            if spot is not None:
                handle.setPos(plan(spot))

    # -------------------------------------------------------- ghosts

    def show_held(self, path: QPainterPath) -> None:
        """Draw what is held as a ghost; an empty path takes it away."""
        self._parts["held"].setPath(path)

    def show_over(self, path: QPainterPath, over: Overturn | None) -> None:
        """Draw truck and rig going over sideways, and say which way on the side they rise; None takes both away."""
        if over is None and not self._ghost_tag.isVisible():
            return
        self._parts["going over"].setPath(path)
        self._ghost_tag.setVisible(over is not None)
        if over is not None:
            # It is said on the side that rises: the load is on the other.
            to_left, truck = over.line.name == "left side", self._parts["truck"].boundingRect()
            spot, up = QPointF(0.0, truck.bottom() if to_left else truck.top()), -0.1 if to_left else 1.1
            self._ghost_aligns = ((-0.2, up), (1.2, up), (-0.2, 1.0 - up), (-0.2, 2.2 - 3.4 * up))
            words = f"{over.way}\n{over.basis_words}"
            if self.plain:
                spot = path.boundingRect().center()
                words = "\n".join(self.ink.bold.lines(over.way, PLAIN_TAG_LINES * self.ink.bold.line_px))
            self._ghost_tag.set(words, spot, self._ghost_aligns[0])
        self._keep_tags_apart()

    # -------------------------------------------------------- tags

    def set_scale(self, px_per_mm: float, seen: QRectF | None = None) -> None:
        """Take the view's scale and what of the scene is in it, for the tags."""
        super().set_scale(px_per_mm, seen)
        if self._built:
            self._keep_tags_apart()

    def _keep_tags_apart(self) -> None:
        """Which way it goes over first, then the wheels; none lies over another."""
        if self.plain:
            self._lead_ghost_tag()
            return
        places: list[TagPlaces] = []
        if self._ghost_tag.isVisible():
            places.append((self._ghost_tag, self._ghost_aligns))
        places += [(tag, _wheel_places(*_WHEEL_ALIGNS[name])) for name, tag in self._wheel_tags.items() if tag.text]
        if self._load_tag.text:
            places.append((self._load_tag, _LOAD_ALIGNS))
        if self._stay_clear_tag.isVisible():
            places.append((self._stay_clear_tag, _STAY_CLEAR_ALIGNS))
        declutter(places, self.px_per_mm, self.seen, self.handles.values())

    def _lead_ghost_tag(self) -> None:
        """Lead the words on which way it goes over to the ghost; those of the circle stand on it."""
        if self.seen is None or not self._ghost_tag.isVisible():
            return
        box = self._stay_clear_tag.screen_rect(self.px_per_mm)
        taken = QRectF(box.topLeft() / self.px_per_mm, box.bottomRight() / self.px_per_mm)
        lead([self._ghost_tag], self.px_per_mm, self.seen, self.body_rects(), [taken])


_LOAD_ALIGNS: tuple[Align, ...] = ((0.5, 1.6), (0.5, -0.6), (-0.2, 0.5), (1.2, 0.5), (0.5, 0.5))
_STAY_CLEAR_ALIGNS: tuple[Align, ...] = ((1.02, 0.0), (1.02, 1.0), (1.02, -0.8))


@functools.cache
def _wheel_places(across: float, up: float) -> tuple[Align, ...]:
    """A wheel tag's own place, then a little to either side of it, then further out."""
    out = 2.2 * up - 0.6 if up != 0.5 else up
    return (across, up), (across + 0.6, up), (across - 0.6, up), (across, out)
