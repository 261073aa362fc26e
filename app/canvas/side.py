"""Side view: items built once per rig and theme, then only moved, per verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QFontMetricsF, QPainterPath
from PySide6.QtWidgets import QGraphicsPathItem, QGraphicsScene

from app.canvas import outlines
from app.canvas.drawing import LAYER, Drawing
from app.canvas.marks import CentreMark, Dimension, Handle, Tag, declutter, fixed_path, fulcrum_mark
from app.canvas.style import Ink
from app.canvas.transform import MM_PER_M, Spans, plumb_deg, raised_deg, side, side_shape
from engine.base.formatting import show
from engine.base.geometry import Axes, Frame, Vec
from engine.rig.centre_marks import centres_of
from engine.rig.exclusion_zone import exclusion_zone
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.schema.model import Arm, Floor, Job, Pose, find_floor, hinge_of
from engine.schema.sections import outer_depth_m, outer_width_m

if TYPE_CHECKING:
    from engine.explain.overturn import Overturn
    from engine.rig.check import Check
    from engine.worst_case.verdict import Verdict

GROUND_M = (-12.0, 14.0)
DIMENSION_STEP = 1.45
"""Spacing of the dimension lines under the floor, in text heights."""

HEIGHT_ASIDE_PX = 34.0
"""The hook's height stands this far ahead of everything."""


class SideDrawing(Drawing):
    """Owns the items of the side view in one scene."""

    def __init__(self, scene: QGraphicsScene, ink: Ink, plain: bool = False) -> None:
        """``plain`` leaves out the figures that only its worker needs, for a drawing read from afar."""
        super().__init__(scene, ink, plain, side)
        self._arms: list[QGraphicsPathItem] = []
        self._stands: dict[str, Frame] = {}
        self.lengths_wanted = False
        """Handles change the parts' lengths instead of the pose."""
        self._text_px = QFontMetricsF(ink.font).height()

    # -------------------------------------------------------- building

    def build(self, job: Job) -> None:
        """Make every item anew for this truck, rig and load; kept until one of them changes."""
        if self._is_built(job):
            return
        self._arms, self._stands = [], {}
        self._build_floor(job)
        self._build_truck(job)
        self._build_rig(job)
        if self._kept:
            return
        self._shaded = ""
        self._build_surroundings(job)
        self._build_marks()
        self._build_ghosts()
        self._build_handles(job)
        self._carry_marks()

    def _build_floor(self, job: Job) -> None:
        ink = self._ink
        self._add("ground", outlines.ground(*GROUND_M), ink.faint, ink.clear, "floor")
        height = job.truck.upright.lift_max_m + job.truck.upright.lowered_height_m
        self._add("tipping line", outlines.line((0.0, -0.12), (0.0, height)), ink.tipping, ink.clear, "floor")

    def _build_surroundings(self, job: Job) -> None:
        self._around = []
        for box in job.surroundings:
            path = outlines.rectangle(box.x0_m, box.x1_m, box.z0_m, box.z1_m)
            item = self._add(f"around {box.name}", path, self._ink.truck_edge, self._ink.around, "floor")
            tag = Tag(self._ink, self._ink.colours.faint_ink, (0.0, 1.0))
            tag.set(box.name, side(Vec(box.x0_m, 0.0, box.z1_m)))
            self._place(tag, "floor")
            self._around.append((box, item, tag))

    def _show_surroundings(self, pose: Pose) -> None:
        for box, item, tag in self._around:
            there = box.floor is None or box.floor == pose.floor
            item.setVisible(there)
            tag.setVisible(there)

    def _build_truck(self, job: Job) -> None:
        ink, truck = self._ink, job.truck
        self._add("guard", outlines.guard(truck), ink.truck_edge, ink.truck_dark, "far")
        self._add("body", outlines.body(truck), ink.truck_edge, ink.truck, "truck")
        self._add("counterweight", outlines.counterweight(truck), ink.truck_edge, ink.truck_dark, "truck")
        for name, radius, x in (
            ("front wheel", truck.front_tyre_radius_m, 0.0),
            ("rear wheel", truck.rear_tyre_radius_m, -truck.wheelbase_m.best),
        ):
            wheel = self._add(name, outlines.wheel(radius), ink.truck_edge, ink.truck_dark, "truck")
            wheel.setPos(x * MM_PER_M, -radius * MM_PER_M)
        self._add("upright inner", outlines.upright(truck, inner=True), ink.truck_edge, ink.truck, "upright")
        self._add("upright outer", outlines.upright(truck, inner=False), ink.truck_edge, ink.truck_dark, "upright")
        self._add("carriage", outlines.carriage(), ink.truck_edge, ink.truck_dark, "upright")
        self._add("forks", outlines.forks(truck), ink.edge, ink.truck_dark, "rig")

    def _build_rig(self, job: Job) -> None:
        ink, rig = self._ink, job.rig
        self._add("sleeve", outlines.sleeve(job), ink.steel_edge, ink.steel, "rig")
        self._add("cross-member", outlines.cross_member(job), ink.steel_edge, ink.cut, "rig")
        mast = outlines.jib_mast(job, outer_width_m(rig.jib_mast.section))
        self._add("jib mast", mast, ink.steel_edge, ink.steel, "rig")
        self._add("boom", outlines.boom(job), ink.steel_edge, ink.steel, "arms")
        self._add("saddles", outlines.saddles(job), ink.steel_edge, ink.steel, "rig")
        pin = outlines.circle(0.0, 0.0, max(rig.boom.pin.hole_m, 0.02))
        self._add("boom pin", pin, ink.edge, ink.ink, "load")
        for index in range(len(rig.arms)):
            self._arms.append(self._add(arm_link(index), QPainterPath(), ink.steel_edge, ink.arm, "arms"))
            self._add(f"axis {index}", QPainterPath(), ink.centre, ink.clear, "load")
        self._add("hook", outlines.hook(rig.hook.drop_m), ink.edge, ink.clear, "load")
        self._add("rigging", outlines.rigging(job.load), ink.edge, ink.clear, "load")
        self._add("load", outlines.load_block(job.load), ink.edge, ink.load, "load")

    def _build_marks(self) -> None:
        ink, colours = self._ink, self._ink.colours
        fulcrum = fulcrum_mark(ink)
        self._place(fulcrum, "marks")
        self._tags = {
            "tipping": Tag(ink, colours.tipping, (0.0, 0.5)),
            "floor": Tag(ink, colours.faint_ink, (0.0, 0.0)),
            "governing": Tag(ink, colours.tipping, (0.0, 1.0)),
            "pin": Tag(ink, colours.error, (0.5, 1.0), bold=True),
        }
        for tag in self._tags.values():
            self._place(tag, "tags")
        self._plumb = self._add("plumb", QPainterPath(), ink.gravity, ink.clear, "marks")
        self._centres = {
            name: CentreMark(ink, radius) for name, radius in (("truck", 7), ("rig", 6), ("load", 6), ("combined", 10))
        }
        self._centre_tags = {name: Tag(ink, colours.gravity, (1.1, 0.5)) for name in self._centres}
        for name, mark in self._centres.items():
            self._place(mark, "marks")
            self._place(self._centre_tags[name], "tags")
        ring = QPainterPath()
        for radius in (13.0, 17.0):
            ring.addEllipse(QPointF(), radius, radius)
        self._ring = fixed_path(ring, ink.tipping_solid, ink.clear)
        self._place(self._ring, "marks")
        self._build_measure()
        self._dimensions = {
            "combined": Dimension(self._scene, ink, colours.gravity, LAYER["tags"]),
            "reach": Dimension(self._scene, ink, colours.ink, LAYER["tags"]),
            "fork face": Dimension(self._scene, ink, colours.ink, LAYER["tags"]),
            "height": Dimension(self._scene, ink, colours.ink, LAYER["tags"]),
        }
        self._dimensions["reach"].tag.entry, self._dimensions["height"].tag.entry = "hook", "hook z"
        self._tags["pin"].entry = "boom hole"

    def _build_ghosts(self) -> None:
        ink, colours = self._ink, self._ink.colours
        for name, line in (("held", ink.held), ("going over", ink.going_over), ("stay clear", ink.clear_of)):
            self._add(name, QPainterPath(), line, ink.clear, "ghosts")
        for name, colour in (("going over", colours.tipping), ("held", colours.faint_ink)):
            self._tags[name] = Tag(ink, colour, (0.0, 0.5), bold=name == "going over")
            self._tags[name].setVisible(False)
            self._place(self._tags[name], "tags")

    def _build_handles(self, job: Job) -> None:
        found = [
            ("lift", "raise", "Raise or lower the forks"),
            ("tilt", "turn", "Tilt the upright"),
            ("boom", "slide", "Slide the boom from hole to hole (Ctrl: free, not pinned)"),
            *(
                (f"arm {index}", shape, f"Turn {arm.name}")
                for index, arm in enumerate(job.rig.arms)
                if (shape := arm.joint.handle("side")) is not None
            ),
            ("hook", "free", "Move the hook; the rig follows (Ctrl: boom not pinned)"),
            ("length mast", "raise", "Make the jib mast longer or shorter"),
            ("length boom", "slide", "Make the boom longer or shorter at its tail"),
            *((f"length arm {i}", "slide", f"Make {a.name} longer or shorter") for i, a in enumerate(job.rig.arms)),
        ]
        for name, kind, hint in found:
            handle = Handle(self._ink, name, kind, hint)
            self._place(handle, "handles")
            self.handles[name] = handle

    def bounds(self) -> QRectF:
        """Scene rectangle of truck, rig and load, without the endless floor."""
        found = QRectF()
        for name, item in self._parts.items():
            if (
                name not in ("ground", "tipping line", "going over")
                and not name.startswith("around ")
                and item.isVisible()
            ):
                found |= item.mapRectToScene(item.boundingRect())
        return found

    # -------------------------------------------------------- ghosts

    def outlines(self, hung: bool) -> QPainterPath:
        """Outlines of all that hangs on the hook, or of all the rest, where they stand now."""
        path = QPainterPath()
        for name, item in self._parts.items():
            if (
                item.isVisible()
                and name not in _NO_OUTLINE
                and not name.startswith(("axis", "around "))
                and (name in _HUNG) is hung
            ):
                path.addPath(item.mapToScene(item.path()))
        return path

    def show_held(self, path: QPainterPath, words: str) -> None:
        """Draw what is held as a ghost, named over its top left; an empty path takes it away."""
        if path.isEmpty() and not self._tags["held"].isVisible():
            return
        self._parts["held"].setPath(path)
        self._tags["held"].set(words, path.boundingRect().topLeft())
        self._tags["held"].setVisible(bool(words))
        self._clear_tags()

    def show_over(self, path: QPainterPath, over: Overturn | None) -> None:
        """Draw truck and rig going over, and say which way beside the line; None takes both away."""
        tag = self._tags["going over"]
        if over is None and not tag.isVisible():
            return
        self._parts["going over"].setPath(path)
        tag.setVisible(over is not None)
        if over is not None:
            at_x = over.line.a_m.x if over.line.name == "rear" else 0.0
            tag.set(f"{over.way}\n{over.basis_words}", side(Vec(at_x - 0.05, 0.0, 0.0)) + self._drop(2))
        self._clear_tags()

    def set_emphasis(self, groups: tuple[str, ...]) -> None:
        """Draw only some groups of bodies (truck, rig, rigging, load) strongly; none: all of them."""
        for name, item in self._parts.items():
            group = (
                "load"
                if name in _HUNG
                else "truck"
                if name in _TRUCK
                else "rig"
                if name in _RIG or name.startswith("arm ")
                else ""
            )
            item.setOpacity(1.0 if not groups or not group or group in groups else FAINT)

    # -------------------------------------------------------- room

    def margins_px(self) -> tuple[float, float, float, float]:
        """Screen room for tags and dimensions around the bounds: left, top, right, bottom."""
        text = self._text_px
        return 2.0 * text, 1.8 * text, HEIGHT_ASIDE_PX + 5.0 * text, (2 * DIMENSION_STEP + 1.7) * text

    def tag(self, name: str) -> Tag:
        """One of the tags, by its name."""
        return self._tags[name]

    def point_at(self, at: QPointF, words: str) -> None:
        """Ring a place on the drawing until the next change."""
        self._ring.setPos(at)
        self._ring.setVisible(True)
        self._tags["governing"].set(words, at)
        self._tags["governing"].setVisible(True)
        self._clear_tags()

    def dimension_tag(self, name: str) -> Tag:
        """The figure of one dimension."""
        return self._dimensions[name].tag

    # -------------------------------------------------------- showing one verdict

    def show(self, job: Job, pose: Pose, verdict: Verdict) -> None:
        """Move every item to where this verdict has it."""
        self._show_placed(job, pose, verdict.placed)
        self._show_centres(job, verdict)
        self._show_governing(job, verdict.governing)
        self._clear_tags()

    def show_placed(self, job: Job, pose: Pose, placed: Placed) -> None:
        """Show where everything stands while there is no verdict: no weights, nothing that gives first."""
        self._show_placed(job, pose, placed)
        for mark in (*self._centres.values(), *self._centre_tags.values()):
            mark.setVisible(False)
        self._dimensions["combined"].set_visible(False)
        self._show_governing(job, None)
        self._clear_tags()

    def _show_placed(self, job: Job, pose: Pose, placed: Placed) -> None:
        self.build(job)
        self._show_surroundings(pose)
        self._show_links(job, placed)
        self._show_arms(job, placed)
        self._show_hung(pose, placed)
        self._show_dimensions(job, placed)
        self._show_stay_clear(job, placed)
        self._show_tags(job, pose, placed)
        self._show_handles(job, placed)

    def _clear_tags(self) -> None:
        """Important tags first; none lies over another or over the dimensions' figures."""
        shown: list[tuple[Tag, tuple[tuple[float, float], ...]]] = [
            (self._dimensions["reach"].tag, ((0.5, 0.5), (0.0, 0.5))),
            (self._dimensions["fork face"].tag, ((0.5, 0.5), (0.0, 0.5))),
            (self._dimensions["combined"].tag, ((1.05, 0.5), (0.5, 0.5), (1.05, 1.6))),
            (self._dimensions["height"].tag, ((0.5, 0.5), (0.0, 0.5), (0.0, 1.2), (0.0, -0.2))),
        ]
        shown = [entry for entry in shown if entry[0].isVisible()]
        shown += [(self._tags["pin"], ((0.5, 1.0), (0.5, 2.4), (1.2, 1.0), (-0.2, 1.0), (0.5, 3.8)))]
        if self._tags["governing"].isVisible():
            shown.append((self._tags["governing"], _AT_THE_RING))
        for name in ("combined", "rig", "load", "truck"):
            if self._centres[name].isVisible():
                shown.append((self._centre_tags[name], _TAG_ALIGNS[name]))
        shown += [(self._tags["floor"], _UNDER_THE_FLOOR), (self._tags["tipping"], ((-0.02, 0.5), (1.02, 0.5)))]
        if self._plain:
            self._dimensions["fork face"].set_visible(False)
            self._dimensions["combined"].set_visible(False)
            shown = [entry for entry in shown if entry[0] not in self._tags_left_out()]
        aligns = _PLAIN_GHOST_ALIGNS if self._plain else _GHOST_ALIGNS
        ghosts = [(self._tags[name], aligns[name]) for name in _GHOSTS if self._tags[name].isVisible()]
        sheet = None
        if self._seen is not None:
            sheet = QRectF(self._seen.topLeft() * self._px_per_mm, self._seen.bottomRight() * self._px_per_mm)
        declutter(ghosts + shown, self._px_per_mm, sheet, self.handles.values())

    def _tags_left_out(self) -> list[Tag]:
        left_out = [self._centre_tags[name] for name in ("truck", "rig", "combined")]
        left_out += [
            self._dimensions["fork face"].tag,
            self._dimensions["combined"].tag,
            self._tags["tipping"],
            self._tags["floor"],
        ]
        for tag in left_out:
            tag.setVisible(False)
        return left_out

    def _show_links(self, job: Job, placed: Placed) -> None:
        frames = placed.frames
        for part, link in (
            ("upright inner", "upright inner"),
            ("upright outer", "upright outer"),
            ("carriage", "forks"),
            ("forks", "forks"),
            ("sleeve", "forks"),
            ("cross-member", "forks"),
            ("jib mast", "jib mast"),
            ("saddles", "boom"),
        ):
            self._move(part, frames[link])
        boom = frames["boom"]
        self._move("boom", Frame(boom.axes, boom.at(placed.figures.boom_out_m)))
        saddles = job.rig.saddles
        pin_x = saddles.front_x_m if saddles.pin_at == "front" else saddles.rear_x_m
        self._parts["boom pin"].setPos(side(boom.at(pin_x)))

    def _move(self, name: str, frame: Frame) -> None:
        if self._stands.get(name) != frame:
            self._stands[name] = frame
            self._parts[name].setPos(side(frame.origin))
            self._parts[name].setRotation(raised_deg(frame))

    def _show_arms(self, job: Job, placed: Placed) -> None:
        fitted = fitted_arms(placed.figures)
        for index, arm in enumerate(job.rig.arms):
            on = index in fitted
            item, axis = self._arms[index], self._parts[f"axis {index}"]
            item.setVisible(on)
            axis.setVisible(on)
            if not on:
                continue
            axes, origin = placed.frames[arm_link(index)]
            self._shape(arm_link(index), axes, lambda a=arm, b=axes: side_shape(b, arm_spans(a)))
            self._shape(f"axis {index}", axes, lambda a=arm, b=axes: _axis_path(a, b))
            for moved in (item, axis):
                moved.setPos(side(origin))

    def _show_hung(self, pose: Pose, placed: Placed) -> None:
        turn = plumb_deg(placed.gravity)
        for name, at in (("hook", placed.tip_m), ("rigging", placed.hook_m), ("load", placed.hook_m)):
            item = self._parts[name]
            item.setPos(side(at))
            item.setRotation(turn)
            item.setVisible(pose.loaded or name == "hook")

    def _show_centres(self, job: Job, verdict: Verdict) -> None:
        placed, units = verdict.placed, job.units
        sums = centres_of(verdict.hanging, _CENTRES)  # where the balance has them: on the bent rig
        for name, (mass_kg, at) in sums.items():
            there = mass_kg > 0.0
            self._centres[name].setVisible(there)
            self._centre_tags[name].setVisible(there)
            if there:
                spot = side(placed.load_centre_m if name == "load" else at)
                self._centres[name].setPos(spot)
                self._centre_tags[name].set(f"{name} {show(mass_kg, 'kg', units)}", spot)
        known = verdict.balance is not None  # else there is no saying where the floor's plumb line meets it
        self._dimensions["combined"].set_visible(known)
        self._plumb.setVisible(known)
        if not known:
            return
        combined = sums["combined"][1]
        foot = plumb_foot(combined, placed.gravity)
        path = QPainterPath(side(combined))
        path.lineTo(side(foot))
        self._plumb.setPath(path)
        words = f"{show(abs(foot.x), 'm', units)} {'behind' if foot.x < 0.0 else 'AHEAD OF THE LINE'}"
        drop = self._drop(1)
        self._dimensions["combined"].set(side(foot) + drop, drop, words, (side(foot),))
        if foot.x < 0.0:
            self._dimensions["combined"].tag.setPos(side(foot) + drop)

    def _show_stay_clear(self, job: Job, placed: Placed) -> None:
        """A dashed post at each end of the circle nobody stands in."""
        item = self._parts["stay clear"]
        item.setVisible(self.stay_clear_wanted)
        if not self.stay_clear_wanted:
            item.setPath(QPainterPath())
            return
        radius_m = float(exclusion_zone(placed, job.load).radius_m)
        path = outlines.line((-radius_m, 0.0), (-radius_m, CLEAR_POST_M))
        path.addPath(outlines.line((radius_m, 0.0), (radius_m, CLEAR_POST_M)))
        item.setPath(path)

    def _drop(self, lines: int) -> QPointF:
        """Scene distance of the n-th dimension line under the floor."""
        return QPointF(0.0, (lines * DIMENSION_STEP + 0.5) * self._text_px / self._px_per_mm)

    def _show_dimensions(self, job: Job, placed: Placed) -> None:
        units = job.units
        hook, face = placed.hook_m, placed.frames["forks"].origin
        end = side(Vec(hook.x, 0.0, 0.0))
        for name, start, lines, label in (
            ("reach", 0.0, 1, "from front axle"),
            ("fork face", face.x, 2, "from fork face"),
        ):
            foot, drop = side(Vec(start, 0.0, 0.0)), self._drop(lines)
            self._dimensions[name].set(
                foot + drop, end + drop, f"{show(hook.x - start, 'm', units)} {label}", (foot, end)
            )
        ahead = QPointF(HEIGHT_ASIDE_PX / self._px_per_mm + max(job.load.length_m / 2.0, 0.1) * MM_PER_M, 0.0)
        foot, top = end + ahead, side(hook) + ahead
        self._dimensions["height"].set(foot, top, f"hook {show(hook.z, 'm', units)}", (foot, side(hook)))

    def _show_tags(self, job: Job, pose: Pose, placed: Placed) -> None:
        self._tags["tipping"].set("front tipping line", side(Vec(0.03, 0.0, 0.12)))
        corner = side(Vec(outlines.rear_end_m(job.truck), 0.0, -0.04)) - QPointF(self._text_px / self._px_per_mm, 0.0)
        self._tags["floor"].set(fall_words(find_floor(job, pose)), corner)
        boom = placed.frames["boom"]
        text = f"hole {pose.hole}" if pose.hole is not None else "NOT PINNED"
        self._tags["pin"].set(text, side(boom.at(0.0, 0.0, outer_depth_m(job.rig.boom.section) / 2.0 + 0.06)))
        self._parts["boom pin"].setVisible(pose.hole is not None)

    def _show_governing(self, job: Job, governing: Check | None) -> None:
        """Ring and name what gives first."""
        for item in (self._ring, self._tags["governing"]):
            item.setVisible(governing is not None)
        self._shade(job, governing.part if governing is not None else "")
        if governing is not None:
            at = side(governing.place_m)
            self._ring.setPos(at)
            self._tags["governing"].set(f"gives first: {governing.part}", at)

    def _shade(self, job: Job, part: str) -> None:
        """Hatch the part that gives first; the one before gets its own fill back."""
        names = {"front strap": "saddles", "rear strap": "saddles", "boom pin": "boom", "sleeves": "sleeve"}
        names |= {arm.name: arm_link(index) for index, arm in enumerate(job.rig.arms)}
        name = names.get(part.removesuffix(" hinge"), part)
        if name == self._shaded:
            return
        if self._shaded in self._parts:
            self._parts[self._shaded].setBrush(self._own_fill)
        self._shaded = name
        if name in self._parts:
            self._own_fill = self._parts[name].brush()
            self._parts[name].setBrush(self._ink.governing)

    _shaded = ""
    _own_fill = QBrush()

    def _show_handles(self, job: Job, placed: Placed) -> None:
        frames = placed.frames
        spots = {
            "lift": frames["forks"].at(-0.06, 0.0, 0.28),
            "tilt": frames["upright outer"].at(-0.2, 0.0, job.truck.upright.lowered_height_m),
            "boom": frames["boom"].at(placed.figures.boom_out_m - 0.25),
            "hook": placed.hook_m,
        }
        boom, rig = frames["boom"], job.rig
        spots["length mast"] = frames["jib mast"].at(z_m=rig.jib_mast.length_m)
        spots["length boom"] = boom.at(placed.figures.boom_out_m - rig.boom.length_m)
        fitted = fitted_arms(placed.figures)
        for index, arm in enumerate(job.rig.arms):
            if index in fitted:
                spots[f"arm {index}"] = frames[arm_link(index)].at(arm.length_m * 0.72)
                spots[f"length arm {index}"] = frames[arm_link(index)].at(arm.length_m * 0.97)
        for name, at in spots.items():
            self.handles[name].setPos(side(at))
        for name, handle in self.handles.items():
            handle.setVisible(name in spots and name.startswith("length ") == self.lengths_wanted)


CLEAR_POST_M = 1.2
"""Height of the posts that mark the ends of the stay-clear circle; it means nothing."""

FAINT = 0.22
"""Opacity of what a helper is not being told about."""

_GHOSTS = ("going over", "held")
_GHOST_ALIGNS = {"going over": ((1.0, 0.45), (0.0, 0.45)), "held": ((0.0, 1.2), (0.0, 2.4), (0.0, -0.4), (0.0, 3.6))}
_PLAIN_GHOST_ALIGNS = {**_GHOST_ALIGNS, "going over": ((0.5, 0.2),)}
_HUNG = frozenset({"rigging", "load"})
_TRUCK = frozenset(
    {
        "guard",
        "body",
        "counterweight",
        "front wheel",
        "rear wheel",
        "upright inner",
        "upright outer",
        "carriage",
        "forks",
    }
)
_RIG = frozenset({"sleeve", "cross-member", "jib mast", "boom", "saddles", "boom pin", "hook"})
_NO_OUTLINE = frozenset({"ground", "tipping line", "plumb", "stay clear", *_GHOSTS})
_UNDER_THE_FLOOR = (
    (0.0, -0.2),
    (0.0, -1.4),
    (0.0, -2.6),
    (0.5, -0.2),
    (1.0, -0.2),
    (0.5, -1.4),
    (1.0, -1.4),
    (0.5, -2.6),
    (1.0, -2.6),
)
_AT_THE_RING = (
    (-0.15, 1.6),
    (1.15, 1.6),
    (-0.15, -0.6),
    (1.15, -0.6),
    (-0.15, 2.8),
    (1.15, 2.8),
    (-0.15, -1.8),
    (1.15, -1.8),
)
_BESIDE = ((1.1, 1.35), (1.1, -0.35), (-0.12, 1.35), (-0.12, -0.35), (1.25, 0.5), (-0.25, 0.5))
_FURTHER = (
    *((0.5, -0.8), (0.5, 1.8), (1.1, -1.5), (1.1, 2.5), (-0.12, -1.5), (-0.12, 2.5)),
    *((0.5, -1.9), (0.5, 2.9), (1.1, -2.6), (1.1, 3.6), (-0.12, -2.6), (-0.12, 3.6), (1.6, 0.5), (-0.6, 0.5)),
)
_TAG_ALIGNS = {
    "truck": (_BESIDE[1], _BESIDE[0], *_BESIDE[2:], *_FURTHER),
    "rig": (_BESIDE[5], *_BESIDE, *_FURTHER),
    "load": ((0.5, -0.6), (0.5, 1.6), *_BESIDE, *_FURTHER),
    "combined": (*_BESIDE, *_FURTHER),
}
"""Where a mark may sit on its tag, best first."""

_CENTRES = {
    "truck": ("truck",),
    "rig": ("rig",),
    "load": ("rigging", "load"),
    "combined": ("truck", "rig", "rigging", "load"),
}


def arm_spans(arm: Arm) -> Spans:
    """An arm's tube along its own axes."""
    half_width, half_depth = outer_width_m(arm.section) / 2.0, outer_depth_m(arm.section) / 2.0
    return (0.0, arm.length_m), (-half_width, half_width), (-half_depth, half_depth)


def _axis_path(arm: Arm, axes: Axes) -> QPainterPath:
    """Centre line of the hinge pin, about the arm's origin."""
    hinge = hinge_of(arm)
    reach = hinge.spacing_m / 2.0 + hinge.barrel_length_m
    end = arm.joint.pin(axes).times(reach)
    path = QPainterPath(side(end))
    path.lineTo(side(-end))
    return path


def plumb_foot(point: Vec, gravity: Vec) -> Vec:
    """Where a plumb line from a point meets the floor."""
    return point + gravity.times(-point.z / gravity.z)


def fall_words(floor: Floor) -> str:
    """A floor's fall in words, or which way of it is not known: that way it is drawn level."""
    falls = (
        (floor.fall_along, "along", "forward", "backward"),
        (floor.fall_across, "across", "to the left", "to the right"),
    )
    unknown = [way for fall, way, _, _ in falls if fall is None]
    if unknown:
        return f"fall {' and '.join(unknown)} NOT KNOWN"
    parts = [
        f"{show(abs(fall.best), 'fall', 'metric')} {up if fall.best > 0 else down}"
        for fall, _, up, down in falls
        if fall.best
    ]
    return "floor falls " + ", ".join(parts) if parts else "floor level"
