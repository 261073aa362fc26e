"""Side view: the parts of truck, rig and load, built once per rig and theme, then only moved with each verdict."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, ClassVar

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QPainterPath
from PySide6.QtWidgets import QGraphicsPathItem, QGraphicsScene

from app.canvas import bed_outlines, load_outlines, shapes, size_handles
from app.canvas import side_outlines as outlines
from app.canvas.drawing import Drawing
from app.canvas.handles import HandleKind
from app.canvas.hinge_marks import HingeMarks
from app.canvas.marks import Tag
from app.canvas.shapes import arm_spans
from app.canvas.side_labels import SideLabels
from app.canvas.side_outlines import GUSSETS
from app.canvas.style import Ink
from app.canvas.transform import MM_PER_M, plumb_deg, raised_deg, side, side_shape
from engine.base.geometry import LEVEL, Frame, Vec
from engine.rig.completeness import bed_is_open
from engine.rig.exclusion_zone import exclusion_zone
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.schema.model import Job, Pose, Surrounding
from engine.schema.sections import outer_width_m

if TYPE_CHECKING:
    from engine.explain.overturn import Overturn
    from engine.rig.check import Check
    from engine.worst_case.verdict import Verdict

GROUND_M = (-12.0, 14.0)
"""From where to where the ground line is drawn."""

POST_M = 1.2
"""Height of the posts that mark the ends of the stay-clear circle; it means nothing."""

BED = ("saddle bed", "saddle bed welds", "saddle bed flag")
"""What stands at the jib mast's top: bed and cap, their welds, and a flag where one of them is not entered."""

_FRAMES = ("chassis", "upright outer", "upright inner", "forks")
USUAL = {frame: f"usual {frame}" for frame in _FRAMES}
MEASURED = {frame: f"measured {frame}" for frame in _FRAMES}
"""Boxes of the truck's shape, by the frame they ride on: where they usually are, and where somebody measured them."""

_HANGING = frozenset({"rigging", "load"})
_TRUCK = ("guard", "body", "counterweight", "front wheel", "rear wheel", "upright inner", "upright outer", "carriage")
_RIG = (
    *("sleeve", "cross-member", "jib mast", *GUSSETS, "boom", "saddles", *BED, "saddles flag"),
    *("boom pin", "hook", "hook end", "hook end flag"),
)
_MOVING = frozenset({"boom", "hook", "load", "rigging"})
_NO_EXTENT = frozenset({"ground", "tipping line", "going over"})
_NO_OUTLINE = frozenset({"ground", "tipping line", "plumb", "stay clear", "going over", "held", *USUAL.values()})

_LINK_OF_PART = {
    "upright inner": "upright inner",
    "upright outer": "upright outer",
    "carriage": "forks",
    **{name: frame for frame, name in (*USUAL.items(), *MEASURED.items())},
    "forks": "forks",
    "sleeve": "forks",
    "heel hold": "forks",
    "heel flag": "forks",
    "cross-member": "forks",
    "jib mast": "jib mast",
    **dict.fromkeys(GUSSETS, "jib mast"),
    "saddles": "boom",
    "saddle bed": "boom",
    "saddle bed welds": "boom",
}

_DRAWN_AS = {
    "base plate": "cross-member",
    **dict.fromkeys(("front strap", "rear strap"), "saddles"),
    "jib mast's cap": "saddle bed",
    "boom pin": "boom",
    **dict.fromkeys(("hook pin", "hook hoop", "hook's standing pin"), "hook end"),
    "sleeves": "sleeve",
}
"""The part that stands for one a limit names, where they are not called alike."""


class SideDrawing(Drawing):
    """Owns the items of the side view in one scene."""

    GROUPS: ClassVar[Mapping[str, str]] = {
        **dict.fromkeys((*_TRUCK, *USUAL.values(), *MEASURED.values(), "forks"), "truck"),
        **dict.fromkeys(_RIG, "rig"),
        **dict.fromkeys(_HANGING, "load"),
    }

    def __init__(self, scene: QGraphicsScene, ink: Ink, plain: bool = False) -> None:
        """``plain`` leaves out the figures that only its worker needs, for a drawing read from afar."""
        super().__init__(scene, ink, plain, side)
        self._frames: dict[str, Frame] = {}
        self._hinge_marks = HingeMarks(self, side, side_shape)
        self._labels: SideLabels
        self._surroundings: list[tuple[Surrounding, QGraphicsPathItem, Tag]] = []
        self._hatched = ""
        self._own_fill = QBrush()
        self.sizes_wanted = False
        """Handles change the parts' sizes instead of the pose."""

    # -------------------------------------------------------- building

    def build(self, job: Job) -> None:
        """Build every item for this truck, rig and load; they are kept until one of these changes."""
        if not self._needs_build(job):
            return
        self._frames = {}
        self._build_floor(job)
        self._build_truck(job)
        self._build_rig(job)
        if self._kept:
            return
        self._hatched = ""
        self._build_surroundings(job)
        self._labels = SideLabels(self)
        self._add_measure()
        self._add_ghosts()
        self._build_handles(job)
        self._cache_marks()

    def _build_floor(self, job: Job) -> None:
        ink = self.ink
        self.add("ground", outlines.ground(*GROUND_M), ink.faint, ink.clear, "floor")
        height = job.truck.upright.lift_max_m + job.truck.upright.lowered_height_m
        self.add("tipping line", shapes.line((0.0, -0.12), (0.0, height)), ink.tipping, ink.clear, "floor")

    def _build_surroundings(self, job: Job) -> None:
        self._surroundings = []
        for box in job.surroundings:
            path = shapes.rectangle(box.x0_m, box.x1_m, box.z0_m, box.z1_m)
            item = self.add(f"around {box.name}", path, self.ink.truck_edge, self.ink.around, "floor")
            tag = Tag(self.ink, self.ink.colours.faint_ink, (0.0, 1.0))
            tag.set(box.name, side(Vec(box.x0_m, 0.0, box.z1_m)))
            self.place(tag, "floor")
            self._surroundings.append((box, item, tag))

    def _build_truck(self, job: Job) -> None:
        ink, truck = self.ink, job.truck
        self.add("guard", outlines.guard(truck), ink.truck_edge, ink.truck_dark, "far")
        self.add("body", outlines.body(truck), ink.truck_edge, ink.truck, "truck")
        self.add("counterweight", outlines.counterweight(truck), ink.truck_edge, ink.truck_dark, "truck")
        for name, radius_m, x_m in (
            ("front wheel", truck.front_tyre_radius_m, 0.0),
            ("rear wheel", truck.rear_tyre_radius_m, -truck.wheelbase_m.best),
        ):
            wheel = self.add(name, outlines.wheel(radius_m), ink.truck_edge, ink.truck_dark, "truck")
            wheel.setPos(x_m * MM_PER_M, -radius_m * MM_PER_M)
        self.add("upright inner", outlines.upright(truck, inner=True), ink.truck_edge, ink.truck, "upright")
        self.add("upright outer", outlines.upright(truck, inner=False), ink.truck_edge, ink.truck_dark, "upright")
        self.add("carriage", outlines.carriage(), ink.truck_edge, ink.truck_dark, "upright")
        for frame, name in USUAL.items():
            self.add(name, outlines.shape(truck, frame, usual=True), ink.hidden, ink.clear, "upright")
        for frame, name in MEASURED.items():
            self.add(name, outlines.shape(truck, frame, usual=False), ink.truck_edge, ink.clear, "upright")
        self.add("forks", outlines.forks(truck), ink.edge, ink.truck_dark, "rig")

    def _build_rig(self, job: Job) -> None:
        ink, rig = self.ink, job.rig
        self.add("sleeve", outlines.sleeve(job), ink.steel_edge, ink.steel, "rig")
        self.add("heel hold", outlines.heel_hold(job), ink.edge, ink.ink, "load")
        heel_flag = self.add("heel flag", shapes.hollow_flag(), ink.tipping_solid, ink.clear, "load")
        heel_flag.setToolTip("What holds the sleeves' heels on the forks is not entered")
        heel_flag.setVisible(rig.sleeves.heel_hold is None)
        self.add("cross-member", outlines.cross_member(job), ink.steel_edge, ink.cut, "rig")
        mast = outlines.jib_mast(job, outer_width_m(rig.jib_mast.section))
        self.add("jib mast", mast, ink.steel_edge, ink.steel, "rig")
        self.add("gussets", outlines.gussets(job, counted=True), ink.steel_edge, ink.steel, "rig")
        self.add("gussets not counted", outlines.gussets(job, counted=False), ink.hidden, ink.clear, "rig")
        self.add("boom", outlines.boom(job), ink.steel_edge, ink.steel, "arms")
        bed = self.add("saddle bed", side_shape(LEVEL, *bed_outlines.pieces(job.rig)), ink.steel_edge, ink.steel, "rig")
        bed.setPen(
            ink.hidden if rig.saddles.bed is not None and rig.saddles.bed.origin == "typical" else ink.steel_edge
        )
        welds = side_shape(LEVEL, *bed_outlines.weld_bars(job))
        self.add("saddle bed welds", welds, ink.edge, ink.ink, "rig")
        flag = self.add("saddle bed flag", shapes.hollow_flag(), ink.tipping_solid, ink.clear, "load")
        flag.setToolTip("The saddle bed, or how it is mounted on the jib mast, is not entered")
        self.add("saddles", outlines.saddles(job), ink.steel_edge, ink.steel, "rig")
        flag = self.add("saddles flag", shapes.hollow_flag(), ink.tipping_solid, ink.clear, "load")
        flag.setToolTip("How the saddle straps are made, or how they stand on the bed, is not entered")
        pin = shapes.circle(0.0, 0.0, max(rig.boom.pin.hole_m, 0.02))
        self.add("boom pin", pin, ink.edge, ink.ink, "load")
        for index in range(len(rig.arms)):
            self.add(arm_link(index), QPainterPath(), ink.steel_edge, ink.arm, "arms")
            self.add(f"axis {index}", QPainterPath(), ink.centre, ink.clear, "load")
        self._hinge_marks.build(rig)
        dashed = rig.hook.end is None or rig.hook.end.origin == "typical"
        end = self.add("hook end", QPainterPath(), ink.steel_edge, ink.steel, "load")
        end.setPen(ink.hidden if dashed else ink.steel_edge)
        flag = self.add("hook end flag", shapes.hollow_flag(), ink.tipping_solid, ink.clear, "load")
        flag.setToolTip("What holds the hook is not entered")
        self.add("hook", outlines.hook(rig.hook.drop_m), ink.edge, ink.clear, "load")
        sling = self.add("rigging", QPainterPath(), ink.edge, ink.clear, "load")
        sling.setPen(ink.hidden if job.load.rigging is None else ink.edge)
        self.add("load", QPainterPath(), ink.edge, ink.load, "load")

    def _build_handles(self, job: Job) -> None:
        handles: list[tuple[str, HandleKind, str]] = [
            ("lift", "raise", "Raise or lower the forks"),
            ("tilt", "turn", "Tilt the upright"),
            ("boom", "slide", "Slide the boom from hole to hole (Ctrl: free, not pinned)"),
        ]
        for index, arm in enumerate(job.rig.arms):
            kind = arm.joint.handle("side")
            if kind is not None:
                handles.append((f"arm {index}", kind, f"{arm.joint.verb} {arm.name}"))
        handles.append(("hook", "free", "Move the hook; the rig follows (Ctrl: boom not pinned)"))
        handles += size_handles.handles(job.rig)
        self._add_handles(handles)

    # -------------------------------------------------------- extent and outlines

    def bounds(self) -> QRectF:
        """Scene rectangle of truck, rig and load, without the endless floor."""
        bounds = QRectF()
        for name, item in self._parts.items():
            if name not in _NO_EXTENT and not name.startswith("around ") and item.isVisible():
                bounds |= item.mapRectToScene(item.boundingRect())
        return bounds

    def moving_bounds(self) -> QRectF:
        """Scene rectangle of boom, arms, hook and load: what a pull moves."""
        bounds = QRectF()
        for name, item in self._parts.items():
            if (name in _MOVING or name.startswith("arm ")) and item.isVisible():
                bounds |= item.mapRectToScene(item.boundingRect())
        return bounds

    def margins_px(self) -> tuple[float, float, float, float]:
        """Screen room for tags and dimensions around the bounds: left, top, right, bottom."""
        if self.plain:
            return self._labels.plain_margins_px()
        return self._labels.margins_px()

    def outlines(self, hanging: bool) -> QPainterPath:
        """Outlines of all that hangs on the hook, or of all the rest, where they stand now."""
        path = QPainterPath()
        for name, item in self._parts.items():
            if (
                item.isVisible()
                and name not in _NO_OUTLINE
                and not name.startswith(("axis", "around "))
                and (name in _HANGING) is hanging
            ):
                path.addPath(item.mapToScene(item.path()))
        return path

    def tag(self, name: str) -> Tag:
        """One of the tags, by its name."""
        return self._labels.tag(name)

    def dimension_tag(self, name: str) -> Tag:
        """The figure of one dimension."""
        return self._labels.dimension_tag(name)

    # -------------------------------------------------------- showing one verdict

    def show(self, job: Job, pose: Pose, verdict: Verdict) -> None:
        """Move every item to where this verdict has it."""
        self._show_placed(job, pose, verdict.placed)
        self._labels.show_centres(job, verdict)
        self._show_governing(job, verdict.governing)
        self._labels.keep_apart()

    def show_placed(self, job: Job, pose: Pose, placed: Placed, *, apart: bool = True) -> None:
        """Show where everything stands while there is no verdict: no weights, nothing that gives first.

        Tags are not kept ``apart`` where only the extent is wanted.
        """
        self._show_placed(job, pose, placed)
        self._labels.hide_centres()
        self._show_governing(job, None)
        if apart:
            self._labels.keep_apart()

    def _show_placed(self, job: Job, pose: Pose, placed: Placed) -> None:
        self.build(job)
        for box, item, tag in self._surroundings:
            there = box.floor is None or box.floor == pose.floor
            item.setVisible(there)
            tag.setVisible(there)
        self._show_links(job, placed)
        self._show_boom_pin(job, pose, placed)
        self._show_arms(job, placed)
        self._show_hanging(job, pose, placed)
        self._show_stay_clear(job, placed)
        self._labels.show_placed(job, pose, placed)
        self._show_handles(job, placed)

    def _show_links(self, job: Job, placed: Placed) -> None:
        frames = placed.frames
        for part, link in _LINK_OF_PART.items():
            self._move(part, frames[link])
        boom = frames["boom"]
        self._move("boom", Frame(boom.axes, boom.at(placed.figures.boom_out_m)))
        flag = self._parts["saddle bed flag"]
        flag.setPos(side(frames["jib mast"].at(z_m=job.rig.jib_mast.length_m)))
        flag.setVisible(bed_is_open(job.rig.saddles))

    def _move(self, part: str, frame: Frame) -> None:
        """Put a part where its link stands."""
        if self._frames.get(part) != frame:
            self._frames[part] = frame
            self._parts[part].setPos(side(frame.origin))
            self._parts[part].setRotation(raised_deg(frame))

    def _show_boom_pin(self, job: Job, pose: Pose, placed: Placed) -> None:
        saddles, pin = job.rig.saddles, self._parts["boom pin"]
        pin_x_m = saddles.front_x_m if saddles.pin_at == "front" else saddles.rear_x_m
        pin.setPos(side(placed.frames["boom"].at(pin_x_m)))
        pin.setVisible(pose.hole is not None)
        over_m = job.rig.boom.section.depth_m / 2.0 + saddles.strap_thickness_m
        flag = self._parts["saddles flag"]
        flag.setPos(side(placed.frames["boom"].at(saddles.rear_x_m, 0.0, over_m)))
        flag.setVisible(saddles.strap_make is None or saddles.strap_foot is None)

    def _show_arms(self, job: Job, placed: Placed) -> None:
        fitted = fitted_arms(placed.figures)
        for index, arm in enumerate(job.rig.arms):
            tube, axis = self._parts[arm_link(index)], self._parts[f"axis {index}"]
            tube.setVisible(index in fitted)
            axis.setVisible(index in fitted)
            if index in fitted:
                axes, origin = placed.frames[arm_link(index)]
                spans = arm_spans(job.rig, index)
                self.reshape(arm_link(index), axes, lambda spans=spans, axes=axes: side_shape(axes, spans))
                self.reshape(f"axis {index}", axes, lambda arm=arm, axes=axes: outlines.hinge_axis(arm, axes))
                tube.setPos(side(origin))
                axis.setPos(side(origin))
        self._hinge_marks.show(job.rig, placed)

    def _show_hook_end(self, job: Job, placed: Placed) -> None:
        """What holds the hook, or a hollow flag where nobody has said."""
        rig, fitted = job.rig, fitted_arms(placed.figures)
        link, section = ("boom", rig.boom.section)
        if fitted:
            link, section = arm_link(fitted[-1]), rig.arms[fitted[-1]].section
        axes = placed.frames[link].axes
        self.reshape("hook end", (axes, section), lambda: side_shape(axes, *shapes.hook_end_spans(rig.hook, section)))
        for name in ("hook end", "hook end flag"):
            self._parts[name].setPos(side(placed.tip_m))
        self._parts["hook end flag"].setVisible(rig.hook.end is None)

    def _show_hanging(self, job: Job, pose: Pose, placed: Placed) -> None:
        """Hook, rigging and load hang plumb; what holds the hook stays with the last link."""
        self._show_hook_end(job, placed)
        turn_deg, load = plumb_deg(placed.gravity), job.load
        half_m = load_outlines.drawn_half_m(job, pose, placed)
        self.reshape("rigging", half_m, lambda: load_outlines.rigging(load, half_m))
        self.reshape("load", half_m, lambda: load_outlines.side_block(load, half_m))
        for name, at in (("hook", placed.tip_m), ("rigging", placed.hook_m), ("load", placed.hook_m)):
            item = self._parts[name]
            item.setPos(side(at))
            item.setRotation(turn_deg)
            item.setVisible(pose.loaded or name == "hook")
        self._labels.show_load_length(job, cut=pose.loaded and load_outlines.side_is_cut(load, half_m))

    def _show_stay_clear(self, job: Job, placed: Placed) -> None:
        """A dashed post at each end of the circle nobody stands in."""
        item, path = self._parts["stay clear"], QPainterPath()
        item.setVisible(self.stay_clear_wanted)
        if self.stay_clear_wanted:
            radius_m = float(exclusion_zone(placed, job.load).radius_m)
            for x_m in (-radius_m, radius_m):
                path.addPath(shapes.line((x_m, 0.0), (x_m, POST_M)))
        item.setPath(path)

    def _show_governing(self, job: Job, governing: Check | None) -> None:
        """Ring, name and hatch what gives first; the part hatched before gets its own fill back."""
        self._labels.show_governing(governing)
        part = governing.part.removesuffix(" hinge") if governing is not None else ""
        arms = {arm.name: arm_link(index) for index, arm in enumerate(job.rig.arms)}
        if governing is not None and governing.kind.startswith(("inner end", "outer end")) and part in arms:
            part = f"{arms[part]} hinge {governing.kind.partition(' ')[0]}"
        name = arms.get(part) or _DRAWN_AS.get(part, part)
        if name == self._hatched:
            return
        if self._hatched in self._parts:
            self._parts[self._hatched].setBrush(self._own_fill)
        self._hatched = name
        if name in self._parts:
            self._own_fill = self._parts[name].brush()
            self._parts[name].setBrush(self.ink.governing)

    def _show_handles(self, job: Job, placed: Placed) -> None:
        rig, frames, out_m = job.rig, placed.frames, placed.figures.boom_out_m
        boom = frames["boom"]
        spots = {
            "lift": frames["forks"].at(-0.06, 0.0, 0.28),
            "tilt": frames["upright outer"].at(-0.2, 0.0, job.truck.upright.lowered_height_m),
            "boom": boom.at(out_m - 0.25),
            "hook": placed.hook_m,
        }
        for index in fitted_arms(placed.figures):
            arm, frame = rig.arms[index], frames[arm_link(index)]
            spots[f"arm {index}"] = frame.at(arm.length_m * 0.72)
        if self.sizes_wanted:
            spots |= {name: spot.at_m for name, spot in size_handles.spots(job, placed).items()}
        for name, handle in self.handles.items():
            spot = spots.get(name)
            handle.setVisible(spot is not None and name.startswith(size_handles.PREFIX) == self.sizes_wanted)
            if spot is not None:
                handle.setPos(side(spot))

    # -------------------------------------------------------- ghosts and pointing

    def show_held(self, path: QPainterPath, words: str) -> None:
        """Draw what is held as a ghost, named over its top left; an empty path takes it away."""
        if path.isEmpty() and not self.tag("held").isVisible():
            return
        self._parts["held"].setPath(path)
        self._labels.name_held(words, path.boundingRect().topLeft())
        self._labels.keep_apart()

    def show_over(self, path: QPainterPath, over: Overturn | None) -> None:
        """Draw truck and rig going over, and say which way beside the line; None takes both away."""
        if over is None and not self.tag("going over").isVisible():
            return
        self._parts["going over"].setPath(path)
        self._labels.name_over(over)
        self._labels.keep_apart()

    def point_at(self, at: QPointF, words: str) -> None:
        """Ring a place on the drawing until the next change."""
        self._labels.point_at(at, words)
        self._labels.keep_apart()
