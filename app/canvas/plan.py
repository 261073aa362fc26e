"""Plan strip: the truck from above on the side view's x scale, with the triangle it stands on."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QFontMetricsF, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsScene

from app.canvas import outlines
from app.canvas.drawing import Drawing
from app.canvas.marks import CentreMark, Handle, Tag, declutter
from app.canvas.side import FAINT, arm_spans, plumb_foot
from app.canvas.style import Ink, seen_through
from app.canvas.transform import MM_PER_M, Spans, plan, plan_line, plan_shape, seen_from_above
from engine.base.formatting import show
from engine.base.geometry import Axes, Frame
from engine.limits.balance import corners_m
from engine.rig.arm_arcs import arm_arc
from engine.rig.exclusion_zone import exclusion_zone
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.schema.joints import swings
from engine.schema.model import Arm, Job, Pose

if TYPE_CHECKING:
    from engine.explain.overturn import Overturn
    from engine.handling.arm_drift import ArmDrift
    from engine.limits.balance import Balance
    from engine.worst_case.verdict import Verdict

LOW_BOX_M = 2.5
"""Boxes that start above this (ceilings, beams) would cover the whole plan; the side view shows them."""

TYRE_WIDTH_M = 0.2
"""Drawn width of a tyre; no number is reckoned from it."""


ARROW_FROM_M, ARROW_TO_M, ARROW_HEAD_M = 0.12, 0.42, 0.14
"""A drift arrow's tail, tip and head, from the arm's middle line."""

TAG_ROOM_M = 0.28
"""Room kept beside the outermost wheels for their reactions."""


class PlanDrawing(Drawing):
    """Owns the items of the plan strip in one scene."""

    def __init__(self, scene: QGraphicsScene, ink: Ink, plain: bool = False) -> None:
        """``plain`` is for a drawing read from afar, that shows the stay-clear outline whole."""
        super().__init__(scene, ink, plain, plan)

    def set_scale(self, px_per_mm: float, seen: QRectF | None = None) -> None:
        """Scale of the view and what of the scene is in it, for the tags."""
        super().set_scale(px_per_mm, seen)
        if self._built:
            self._clear_tags()

    def _clear_tags(self) -> None:
        """Which way it goes over first, then the wheels; none lies over another."""
        shown = []
        if self._ghost_tag.isVisible():
            shown.append((self._ghost_tag, self._ghost_aligns))
        shown += [(tag, _beside(*_WHEEL_TAGS[name])) for name, tag in self._wheel_tags.items() if tag.text]
        if self._clear_tag.isVisible():
            shown.append((self._clear_tag, ((0.5, 1.0),) if self._plain else ((1.02, 0.0), (1.02, 1.0), (1.02, -0.8))))
        sheet = None
        if self._seen is not None:
            sheet = QRectF(self._seen.topLeft() * self._px_per_mm, self._seen.bottomRight() * self._px_per_mm)
        declutter(shown, self._px_per_mm, sheet, self.handles.values())

    def build(self, job: Job) -> None:
        """Make every item anew for this truck, rig and load; kept until one of them changes."""
        if self._is_built(job):
            return
        self._rig = job.rig
        ink, colours = self._ink, self._ink.colours
        self._add("centreline", outlines.line((-12.0, 0.0), (14.0, 0.0)), ink.centre, ink.clear, "floor")
        if not self._kept:
            self._around = [
                (
                    box,
                    self._add(
                        f"around {box.name}",
                        outlines.rectangle(box.x0_m, box.x1_m, box.y0_m, box.y1_m),
                        ink.truck_edge,
                        ink.around,
                        "floor",
                    ),
                )
                for box in job.surroundings
                if box.z0_m < LOW_BOX_M
            ]
        self._add("truck", _truck_path(job), ink.truck_edge, ink.truck, "far")
        self._add("wheels", _wheels_path(job), ink.truck_edge, ink.truck_dark, "far")
        self._add("triangle", QPainterPath(), ink.tipping, ink.clear, "marks")
        for name in ("forks", "sleeves", "cross-member", "boom"):
            self._add(name, QPainterPath(), ink.steel_edge, ink.steel, "rig")
        self._add("jib mast", QPainterPath(), ink.steel_edge, ink.cut, "arms")
        for index in range(len(job.rig.arms)):
            self._add(arm_link(index), QPainterPath(), ink.steel_edge, ink.arm, "arms")
            if swings(job.rig.arms[index].joint):
                self._add(_arc(index), QPainterPath(), ink.hidden, ink.clear, "ghosts")
                self._add(_drift(index), QPainterPath(), ink.gravity_edge, ink.gravity_fill, "marks")
        edge = QPen(ink.edge)
        edge.setColor(seen_through(edge.color(), LOAD_OPACITY))
        self._add("load", _load_path(job), edge, QBrush(seen_through(ink.load.color(), LOAD_OPACITY)), "load")
        for name, line in (("held", ink.held), ("going over", ink.going_over), ("stay clear", ink.clear_of)):
            self._add(name, QPainterPath(), line, ink.clear, "ghosts")
        if self._kept:
            return
        self._drifts: tuple[ArmDrift, ...] = ()
        self._ghost_tag = Tag(ink, colours.tipping, bold=True)
        self._clear_tag = Tag(ink, colours.tipping, (0.5, 1.0) if self._plain else (1.02, 0.0))
        for tag in (self._ghost_tag, self._clear_tag):
            tag.setVisible(False)
            self._place(tag, "tags")
        self._marks = CentreMark(ink, 8)
        self._place(self._marks, "tags")
        self._ghost_aligns: tuple[tuple[float, float], ...] = ((0.0, 0.0),)
        self._wheel_tags = {name: Tag(ink, colours.ink, align) for name, align in _WHEEL_TAGS.items()}
        for tag in self._wheel_tags.values():
            self._place(tag, "tags")
        self._build_measure()
        self._build_handles(job)
        self._carry_marks()

    def _build_handles(self, job: Job) -> None:
        found = [
            ("boom", "slide", "Slide the boom from hole to hole (Ctrl: free, not pinned)"),
            *(
                (f"arm {index}", shape, f"Turn {arm.name}")
                for index, arm in enumerate(job.rig.arms)
                if (shape := arm.joint.handle("plan")) is not None
            ),
        ]
        found.append(("hook", "free", "Move the hook; the arms follow"))
        for name, kind, hint in found:
            handle = Handle(self._ink, name, kind, hint)
            self._place(handle, "handles")
            self.handles[name] = handle

    def bounds(self) -> QRectF:
        """Scene rectangle of everything drawn, without tags; the stay-clear outline only in a plain drawing."""
        found = QRectF()
        for name, item in self._parts.items():
            left_out = name in _NO_EXTENT or name.startswith(_BESIDE) or (name == "stay clear" and not self._plain)
            if item.isVisible() and not left_out:
                found |= item.mapRectToScene(item.boundingRect())
        return found

    def margin_px(self) -> float:
        """Screen room for tags above and below the bounds."""
        return (2.3 if self._plain else 1.6) * QFontMetricsF(self._ink.font).height() + 4.0

    def extent_y(self) -> tuple[float, float]:
        """Scene y from the left-most to the right-most thing drawn, tags included."""
        found, room = self.bounds(), TAG_ROOM_M * MM_PER_M
        return found.top() - room, found.bottom() + room

    # -------------------------------------------------------- showing one verdict

    def show(self, job: Job, pose: Pose, verdict: Verdict) -> None:
        """Move every item to where this verdict has it."""
        self._show_placed(job, pose, verdict.placed)
        self._show_wheels(job, verdict.placed, verdict.balance)
        self._show_arcs(job, verdict)
        self._show_drifts()
        self._clear_tags()

    def show_placed(self, job: Job, pose: Pose, placed: Placed) -> None:
        """Show where everything stands while there is no verdict: no weights on the wheels."""
        self._show_placed(job, pose, placed)
        self._show_wheels(job, placed, None)
        self._clear_tags()

    def _show_placed(self, job: Job, pose: Pose, placed: Placed) -> None:
        self.build(job)
        self._placed = placed
        for box, item in self._around:
            item.setVisible(box.floor is None or box.floor == pose.floor)
        self._show_rig(job, pose, placed)
        self._show_triangle(placed)
        self._show_stay_clear(job, placed)
        self._show_handles(job, placed)

    def _show_arcs(self, job: Job, verdict: Verdict) -> None:
        """The arcs hold while arms, stops and hinges do: they are drawn once in their hinge's own axes, and carried along."""
        for index, arm in enumerate(job.rig.arms):
            item = self._parts.get(_arc(index))
            if item is None:
                continue
            frame = verdict.placed.frames.get(arm_link(index))
            self._shape(_arc(index), frame is not None, lambda i=index: _arc_path(job, verdict.placed, i))
            if frame is not None:
                item.setTransform(seen_from_above(_unturned(arm, verdict.placed, index)))
                item.setPos(plan(frame.origin))

    def show_drift(self, arms: tuple[ArmDrift, ...]) -> None:
        """An arrow at each arm's end the way it runs when let go, nothing where it stands still.

        While a drag lasts the arrows go along with the arms; which way they point follows when this is called again.
        """
        self._drifts = arms
        self._show_drifts()

    def _show_drifts(self) -> None:
        runs = {arm.index: arm for arm in self._drifts if arm.runs in ("left", "right")}
        for index, arm in enumerate(self._rig.arms):
            item = self._parts.get(_drift(index))
            if item is None:
                continue
            frame, way = self._placed.frames.get(arm_link(index)), runs[index].runs if index in runs else ""
            way = way if frame is not None else ""
            if self._shapes.get(_drift(index)) != way:
                item.setToolTip(f"{arm.name} runs to the {way} when let go" if way else "")
            self._shape(_drift(index), way, lambda a=arm, w=way: _arrow(a.length_m, w))
            if way:
                item.setTransform(seen_from_above(frame.axes))
                item.setPos(plan(frame.origin))

    def _show_stay_clear(self, job: Job, placed: Placed) -> None:
        item = self._parts["stay clear"]
        item.setVisible(self.stay_clear_wanted)
        self._clear_tag.setVisible(self.stay_clear_wanted)
        if self.stay_clear_wanted:
            found = exclusion_zone(placed, job.load)
            radius, path = float(found.radius_m) * MM_PER_M, QPainterPath()
            path.addEllipse(plan(found.centre_m), radius, radius)
            item.setPath(path)
            words = f"stay clear: {show(found.radius_m, 'm', job.units)} from the front axle"
            spot = QPointF(0.0, -radius) if self._plain else QPointF(radius, 0.1 * MM_PER_M)
            self._clear_tag.set(words, plan(found.centre_m) + spot)

    # -------------------------------------------------------- ghosts

    def outlines(self) -> QPainterPath:
        """Outlines of truck, rig and load where they stand now."""
        path = QPainterPath()
        for name, item in self._parts.items():
            if item.isVisible() and name not in _NO_OUTLINE and not name.startswith(_BESIDE):
                path.addPath(item.mapToScene(item.path()))
        return path

    def drift_arrow(self, index: int) -> QPainterPath:
        """An arm's drift arrow as it is drawn; empty when there is none."""
        return self._on_the_sheet(_drift(index))

    def arc(self, index: int) -> QPainterPath:
        """Where an arm's end can go, as it is drawn."""
        return self._on_the_sheet(_arc(index))

    def _on_the_sheet(self, name: str) -> QPainterPath:
        item = self._parts[name]
        return item.mapToScene(item.path())

    @property
    def stay_clear_words(self) -> str:
        """What stands beside the stay-clear outline; nothing while it is not shown."""
        return self._clear_tag.text if self._clear_tag.isVisible() else ""

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
            to_left = over.line.name == "left side"
            # It is said on the side that rises: the load is on the other.
            rising = self._parts["truck"].boundingRect()
            spot, up = QPointF(0.0, rising.bottom() if to_left else rising.top()), -0.1 if to_left else 1.1
            self._ghost_aligns = ((-0.2, up), (1.2, up), (-0.2, 1.0 - up), (-0.2, 2.2 - 3.4 * up))
            if self._plain:
                spot, self._ghost_aligns = QPointF(0.0, self.bounds().bottom()), ((0.5, 0.0),)
            self._ghost_tag.set(f"{over.way}\n{over.basis_words}", spot, self._ghost_aligns[0])
        self._clear_tags()

    def set_emphasis(self, groups: tuple[str, ...]) -> None:
        """Draw only some groups of bodies (truck, rig, rigging, load) strongly; none: all of them."""
        for name, item in self._parts.items():
            group = (
                "load"
                if name == "load"
                else "truck"
                if name in _TRUCK
                else "rig"
                if name in _RIG or name.startswith("arm ")
                else ""
            )
            item.setOpacity(1.0 if not groups or not group or group in groups else FAINT)

    # -------------------------------------------------------- parts

    def _show_rig(self, job: Job, pose: Pose, placed: Placed) -> None:
        frames, figures, rig = placed.frames, placed.figures, job.rig
        forks, boom = frames["forks"], frames["boom"]
        half_fork, spread = job.truck.forks.width_m / 2.0, job.truck.forks.spread_m / 2.0
        sleeves = rig.sleeves
        half_sleeve, from_m = sleeves.section.width_m / 2.0, sleeves.heel_gap_m
        self._put("forks", forks, *_pair((0.0, job.truck.forks.length_m), spread, half_fork))
        self._put("sleeves", forks, *_pair((from_m, from_m + sleeves.length_m), spread, half_sleeve))
        half_cross, foot = sleeves.cross_section.width_m / 2.0, rig.jib_mast.foot_x_m
        across = half_sleeve - spread, spread - half_sleeve
        self._put("cross-member", forks, ((foot - half_cross, foot + half_cross), across, (0.0, 0.0)))
        half_boom = rig.boom.section.width_m / 2.0
        thick = -half_boom, half_boom
        self._put("boom", Frame(boom.axes, boom.at(figures.boom_out_m)), ((-rig.boom.length_m, 0.0), thick, (0.0, 0.0)))
        self._put("jib mast", boom, (thick, thick, (0.0, 0.0)))
        fitted = fitted_arms(figures)
        for index, arm in enumerate(rig.arms):
            self._parts[arm_link(index)].setVisible(index in fitted)
            if index in fitted:
                self._put(arm_link(index), frames[arm_link(index)], arm_spans(arm))
        self._parts["load"].setPos(plan(placed.load_centre_m))
        self._parts["load"].setVisible(pose.loaded)

    def _put(self, name: str, frame: Frame, *boxes: Spans) -> None:
        """Draw a part's boxes where its link stands."""
        self._shape(name, frame.axes, lambda: plan_shape(frame.axes, *boxes))
        self._parts[name].setPos(plan(frame.origin))

    def _show_triangle(self, placed: Placed) -> None:
        corners = corners_m(placed)
        path = QPainterPath()
        path.addPolygon(QPolygonF([plan(corners[name]) for name in ("left front", "right front", "pivot")]))
        path.closeSubpath()
        self._parts["triangle"].setPath(path)

    def _show_wheels(self, job: Job, placed: Placed, weighed: Balance | None) -> None:
        """What each wheel carries, and where the combined weight's plumb line meets the floor."""
        corners = corners_m(placed)
        self._marks.setVisible(weighed is not None)
        if weighed is not None:
            self._marks.setPos(plan(plumb_foot(weighed.combined_m, placed.gravity)))
        for name, corner, reaction in (
            ("left front", "left front", weighed and weighed.left_front_kg),
            ("right front", "right front", weighed and weighed.right_front_kg),
            ("rear", "pivot", weighed and weighed.rear_kg),
        ):
            tag = self._wheel_tags[name]
            tag.setVisible(reaction is not None)
            if reaction is None:
                tag.set("", plan(corners[corner]))
            else:
                tag.set(show(float(reaction), "kg", job.units), plan(corners[corner]) + _WHEEL_OFFSETS[name])

    def _show_handles(self, job: Job, placed: Placed) -> None:
        frames = placed.frames
        fitted = fitted_arms(placed.figures)
        spots = {"boom": frames["boom"].at(placed.figures.boom_out_m - 0.25), "hook": placed.hook_m}
        for name, handle in self.handles.items():
            if name.startswith("arm "):
                index = int(name.split()[1])
                handle.setVisible(index in fitted)
                if index in fitted:
                    spots[name] = frames[arm_link(index)].at(job.rig.arms[index].length_m * 0.72)
        for name, at in spots.items():
            self.handles[name].setPos(plan(at))


LOAD_OPACITY = 0.85
"""The rig under the load stays to be seen."""

_GHOSTS = ("held", "going over", "stay clear")
_NO_OUTLINE = frozenset({"centreline", "triangle", *_GHOSTS})
_BESIDE = ("arc ", "around ", "drift ")
"""Drawn beside truck, rig and load, and no part of their outline."""
_NO_EXTENT = frozenset({"centreline", "going over"})
_TRUCK = frozenset({"truck", "wheels", "forks"})
_RIG = frozenset({"sleeves", "cross-member", "boom", "jib mast"})
_WHEEL_TAGS = {"left front": (0.5, 1.0), "right front": (0.5, 0.0), "rear": (1.0, 0.5)}
_WHEEL_OFFSETS = {
    "left front": QPointF(0.0, -0.14 * MM_PER_M),
    "right front": QPointF(0.0, 0.14 * MM_PER_M),
    "rear": QPointF(-0.10 * MM_PER_M, 0.0),
}


@functools.cache
def _beside(across: float, up: float) -> tuple[tuple[float, float], ...]:
    """A wheel tag's own place, then a little to either side of it, then further out."""
    out = 2.2 * up - 0.6 if up != 0.5 else up
    return (across, up), (across + 0.6, up), (across - 0.6, up), (across, out)


def _arc(index: int) -> str:
    return f"arc {index}"


def _drift(index: int) -> str:
    return f"drift {index}"


def _unturned(arm: Arm, placed: Placed, index: int) -> Axes:
    """Axes of an arm's hinge: those of the arm, its own turn taken back."""
    return arm.joint.carried(placed.frames[arm_link(index)], -placed.figures.turns_rad[index]).axes


def _arc_path(job: Job, placed: Placed, index: int) -> QPainterPath:
    """Where an arm's end can go, in its hinge's own axes."""
    points, path = arm_arc(job, placed, index), QPainterPath()
    if points is not None:
        path.addPolygon(
            plan_line(_unturned(job.rig.arms[index], placed, index).own(points - placed.frames[arm_link(index)].origin))
        )
    return path


def _arrow(end_m: float, way: str) -> QPainterPath:
    """An arrow square to an arm at its end, to the left or right, in the arm's own axes; none without a way."""
    path = QPainterPath()
    if not way:
        return path
    turn, half = 1.0 if way == "left" else -1.0, ARROW_HEAD_M / 2.0
    tail, neck, tip = (turn * reach for reach in (ARROW_FROM_M, ARROW_TO_M - ARROW_HEAD_M, ARROW_TO_M))
    path.addPath(outlines.line((end_m, tail), (end_m, neck)))
    path.addPath(outlines.polygon(((end_m - half, neck), (end_m, tip), (end_m + half, neck))))
    return path


def _pair(x: tuple[float, float], spread: float, half: float) -> list[Spans]:
    """A left and a right bar along the forks."""
    return [(x, (way * spread - half, way * spread + half), (0.0, 0.0)) for way in (1.0, -1.0)]


def _truck_path(job: Job) -> QPainterPath:
    """Body from above: counterweight rounded behind, straight to the upright."""
    truck = job.truck
    half, rear = truck.front_track_m.best / 2.0, outlines.rear_end_m(truck)
    front = truck.front_overhang_m.best - 0.06
    path = QPainterPath()
    path.addRoundedRect(
        QRectF(QPointF(rear * MM_PER_M, -half * MM_PER_M), QPointF(front * MM_PER_M, half * MM_PER_M)), 160, 160
    )
    return path


def _wheels_path(job: Job) -> QPainterPath:
    truck, path = job.truck, QPainterPath()
    for x, track, radius in (
        (0.0, truck.front_track_m.best, truck.front_tyre_radius_m),
        (-truck.wheelbase_m.best, truck.rear_track_m, truck.rear_tyre_radius_m),
    ):
        for way in (1.0, -1.0):
            y = way * track / 2.0
            path.addPath(outlines.rectangle(x - radius, x + radius, y - TYRE_WIDTH_M / 2.0, y + TYRE_WIDTH_M / 2.0))
    return path


def _load_path(job: Job) -> QPainterPath:
    half_length, half_width = job.load.length_m / 2.0, job.load.width_m / 2.0
    return outlines.rectangle(-half_length, half_length, -half_width, half_width)
