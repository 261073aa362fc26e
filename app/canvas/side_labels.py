"""What is written on the side view: tags, dimensions and centre-of-gravity marks, and where each may stand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF
from PySide6.QtGui import QFontMetricsF, QPainterPath

from app.canvas import load_outlines
from app.canvas.declutter import Align, TagPlaces, declutter
from app.canvas.drawing import LAYER, Drawing
from app.canvas.leaders import PLAIN_TAG_LINES, lead
from app.canvas.marks import ARROW_PX, CentreMark, Dimension, Tag, fixed_path, fulcrum_mark
from app.canvas.side_outlines import rear_end_m
from app.canvas.style import Ink
from app.canvas.transform import MM_PER_M, plumb_foot, side
from engine.base.formatting import show
from engine.base.geometry import Vec
from engine.base.lazy import lazy
from engine.rig.centre_marks import centres_of
from engine.rig.kinematics import Placed
from engine.schema.model import Floor, Job, Pose, find_floor
from engine.schema.sections import outer_depth_m

if TYPE_CHECKING:
    from engine.explain import shown
    from engine.explain.overturn import Overturn
    from engine.rig.check import Check
    from engine.worst_case.verdict import Verdict
else:
    shown = lazy("engine.explain.shown")

DIMENSION_STEP = 1.45
"""Spacing of the dimension lines under the floor, in text heights."""

PLAIN_DROP = 1.1
"""The one dimension line under the floor of a plain drawing, in text heights."""

CROWDED_LINES = 13.0
"""A view lower than so many text heights has one dimension line under the floor, and no words for the tipping line and
for the weights of truck and rig."""

CROWDED_UNDER = 3.8
"""Room under the floor of such a view, in text heights: one dimension line and the slope."""

HEIGHT_ASIDE_PX = 34.0
"""The hook's height stands this far ahead of everything."""

FLAG_KEY = "red flag: joint not entered"

RING_RADII_PX = (13.0, 17.0)

EDGE_PX, LIFT_PX = 8.0, 30.0
"""Room of a plain drawing beside it, and from its top to the tags over it."""


_CENTRE_RADII_PX = {"truck": 7, "rig": 6, "load": 6, "combined": 10}

_CENTRE_GROUPS = {
    "truck": ("truck",),
    "rig": ("rig",),
    "load": ("rigging", "load"),
    "combined": ("truck", "rig", "rigging", "load"),
}
"""Groups of bodies that each centre-of-gravity mark counts together."""


def text_px(ink: Ink) -> float:
    """Height of a line of the drawing's text."""
    return QFontMetricsF(ink.font).height()


class SideLabels:
    """Tags, dimensions, centre-of-gravity marks and the ring round what gives first, on one side view."""

    def __init__(self, drawing: Drawing) -> None:
        self._drawing, ink, colours = drawing, drawing.ink, drawing.ink.colours
        self._text_px = text_px(ink)
        self._length = "afar" if drawing.plain and not drawing.reach_from_forks else "mm"
        drawing.place(fulcrum_mark(ink), "marks")
        self._tags = {
            "tipping": Tag(ink, colours.tipping, (0.0, 0.5)),
            "floor": Tag(ink, colours.faint_ink, (0.0, 0.0)),
            "governing": Tag(ink, colours.tipping, (0.0, 1.0)),
            "pin": Tag(ink, colours.error, (0.5, 1.0), bold=True),
            "flag key": Tag(ink, colours.tipping),
        }
        for tag in self._tags.values():
            drawing.place(tag, "tags")
        self._plumb = drawing.add("plumb", QPainterPath(), ink.gravity, ink.clear, "marks")
        self._centres = {name: CentreMark(ink, radius) for name, radius in _CENTRE_RADII_PX.items()}
        self._centre_tags = {name: Tag(ink, colours.gravity, (1.1, 0.5)) for name in self._centres}
        self._tags["pin"].mark_px = self._tags["tipping"].mark_px = 0.0
        self._tags["tipping"].may_go = True
        self._tags["governing"].mark_px = RING_RADII_PX[-1]
        for name, mark in self._centres.items():
            self._centre_tags[name].mark_px = float(_CENTRE_RADII_PX[name])
            drawing.place(mark, "marks")
            drawing.place(self._centre_tags[name], "tags")
        ring = QPainterPath()
        for radius in RING_RADII_PX:
            ring.addEllipse(QPointF(), radius, radius)
        self._ring = fixed_path(ring, ink.tipping_solid, ink.clear)
        drawing.place(self._ring, "marks")
        self._dimensions = {
            name: Dimension(drawing.scene, ink, colour, LAYER["tags"])
            for name, colour in (
                ("combined", colours.gravity),
                ("reach", colours.ink),
                ("fork face", colours.ink),
                ("height", colours.ink),
                ("load", colours.ink),
            )
        }
        for name, colour in (("going over", colours.tipping), ("held", colours.faint_ink)):
            tag = self._tags[name] = Tag(ink, colour, (0.0, 0.5), bold=name == "going over")
            tag.setVisible(False)
            drawing.place(tag, "tags")
        self._dimensions["reach"].tag.entry, self._dimensions["height"].tag.entry = "hook", "hook z"
        self._tags["pin"].entry = "boom hole"
        self._tags["floor"].entry = "floor"
        self._centre_tags["load"].entry = "load.mass_kg.best"

    def tag(self, name: str) -> Tag:
        """One of the tags, by its name."""
        return self._tags[name]

    def dimension_tag(self, name: str) -> Tag:
        """The figure of one dimension."""
        return self._dimensions[name].tag

    def margins_px(self) -> tuple[float, float, float, float]:
        """Screen room that tags and dimensions need around the drawing: left, top, right, bottom.

        The hook's height stands furthest to the right; its figure is so wide.
        """
        text, figure_px = self._text_px, self.dimension_tag("height").size_px[0]
        under = CROWDED_UNDER if self._is_crowded else 2 * DIMENSION_STEP + 1.7
        return 0.8 * text, 1.8 * text, HEIGHT_ASIDE_PX + figure_px / 2.0 + 2.0, under * text

    @property
    def _is_crowded(self) -> bool:
        """Whether the view is too low for all that is written on it."""
        drawing = self._drawing
        return drawing.seen is not None and drawing.seen.height() * drawing.px_per_mm < CROWDED_LINES * self._text_px

    def plain_margins_px(self) -> tuple[float, float, float, float]:
        """Screen room around a plain drawing: a tag of two lines over it, the hook's height ahead, a line under it."""
        text, figure_px = self._text_px, self.dimension_tag("height").size_px[0]
        return EDGE_PX, 2.0 * text + LIFT_PX, figure_px + 3.0 * EDGE_PX, 1.7 * text

    # -------------------------------------------------------- where the rig is

    def show_placed(self, job: Job, pose: Pose, placed: Placed) -> None:
        """Dimensions to the hook, and the tags that need no verdict."""
        self._show_dimensions(job, placed)
        self._tags["tipping"].set("front tipping line", side(Vec(0.03, 0.0, 0.12)))
        rear = side(Vec(rear_end_m(job.truck), 0.0, -0.04))
        corner = rear - QPointF(self._text_px / self._drawing.px_per_mm, 0.0)
        self._tags["floor"].set(slope_words(find_floor(job, pose)), corner)
        above_boom_m = outer_depth_m(job.rig.boom.section) / 2.0 + 0.06
        hole = f"hole {pose.hole}" if pose.hole is not None else "NOT PINNED"
        self._tags["pin"].set(hole, side(placed.frames["boom"].at(0.0, 0.0, above_boom_m)))

    def _show_dimensions(self, job: Job, placed: Placed) -> None:
        hook, drawing = placed.hook_m, self._drawing
        hook_x, face_x = float(hook.x), float(placed.frames["forks"].origin.x)
        end = side(Vec(hook_x, 0.0, 0.0))
        for name, start_x, line, label in (
            ("reach", face_x, 1, "from fork face")
            if drawing.reach_from_forks
            else ("reach", 0.0, 1, "from front axle"),
            ("fork face", face_x, 2, "from fork face"),
        ):
            start, drop = side(Vec(start_x, 0.0, 0.0)), self._drop(line)
            words = f"{show(hook_x - start_x, self._length, job.units)} {label}"
            words = self._shortened(words, label, abs(hook_x - start_x), max(start.x(), end.x()))
            self._dimensions[name].set(start + drop, end + drop, words, (start, end))
        half_load_mm = max(self._drawing.part("load").path().boundingRect().right(), 0.1 * MM_PER_M)
        words, aside_px = f"hook\n{show(float(hook.z), self._length, job.units)}", HEIGHT_ASIDE_PX
        if self._drawing.plain:
            aside_px = 0.5 * self._drawing.ink.plain.size(words)[0] + 2.0 * EDGE_PX
            half_load_mm = max(rect.right() for rect in self._drawing.body_rects()) - end.x()
        ahead = QPointF(aside_px / self._drawing.px_per_mm + half_load_mm, 0.0)
        self._dimensions["height"].set(end + ahead, side(hook) + ahead, words, (end + ahead, side(hook)))

    def _height_aligns(self, aligns: Sequence[Align]) -> Sequence[Align]:
        """Where the figure of the hook's height may stand: ahead of its line where it would lie over the load on it."""
        tag, scale, load = self._dimensions["height"].tag, self._drawing.px_per_mm, self._drawing.part("load")
        box, (width, height) = load.mapRectToScene(load.path().boundingRect()), tag.size_px
        on_line, ahead, behind = aligns
        at = tag.pos()
        over_load = (at.x() - box.right()) * scale < 0.5 * width and (
            box.top() * scale - 0.5 * height < at.y() * scale < box.bottom() * scale + 0.5 * height
        )
        return (ahead, on_line, behind) if over_load else aligns

    def _shortened(self, words: str, label: str, length_m: float, end_mm: float) -> str:
        """A dimension's figure without its label where neither its line nor the sheet ahead has room for both."""
        drawing = self._drawing
        width, room_px = drawing.ink.plain.size(words)[0], length_m * MM_PER_M * drawing.px_per_mm - 4.0 * ARROW_PX
        ahead_px = 0.0
        if drawing.seen is not None and not drawing.plain:
            ahead_px = (drawing.seen.right() - end_mm) * drawing.px_per_mm - 3.0 * ARROW_PX
        return words if width <= max(room_px, ahead_px) else words.removesuffix(f" {label}")

    def _figure_beside_short_line(self) -> None:
        """Put the figure of a plain drawing's reach on its line, or ahead of one that is too short for it."""
        tag, scale = self._dimensions["reach"].tag, self._drawing.px_per_mm
        on_line, beside, _ = self._dimensions["reach"].aligns(scale)
        fits = tag.size_px[0] + 4.0 * ARROW_PX <= self._dimensions["reach"].length * scale
        tag.set_align(on_line if fits else beside)

    def show_load_length(self, job: Job, *, cut: bool) -> None:
        """Under a load that is cut between break lines, its whole length."""
        dimension = self._dimensions["load"]
        dimension.set_visible(cut)
        if cut:
            load = self._drawing.part("load")
            box, drop = load.path().boundingRect(), QPointF(0.0, self._text_px / self._drawing.px_per_mm)
            ends = load.mapToScene(box.bottomLeft()), load.mapToScene(box.bottomRight())
            dimension.set(ends[0] + drop, ends[1] + drop, load_outlines.length_words(job), ends)

    def _drop(self, line: int) -> QPointF:
        """Scene distance of the n-th dimension line under the floor."""
        lines = PLAIN_DROP if self._drawing.plain else line * DIMENSION_STEP + 0.5
        return QPointF(0.0, lines * self._text_px / self._drawing.px_per_mm)

    # -------------------------------------------------------- what the verdict says

    def show_centres(self, job: Job, verdict: Verdict) -> None:
        """Centres of gravity where the balance has them, on the bent rig, and the combined one's plumb line."""
        placed, units = verdict.placed, job.units
        centres = centres_of(verdict.hanging, _CENTRE_GROUPS)
        for name, (mass_kg, centre) in centres.items():
            there = mass_kg > 0.0
            self._centres[name].setVisible(there)
            self._centre_tags[name].setVisible(there)
            if there:
                spot = side(placed.load_centre_m if name == "load" else centre)
                self._centres[name].setPos(spot)
                words = shown.load_tag(job) if name == "load" else shown.group_words(name, mass_kg, units)
                words = self._folded(words)
                self._centre_tags[name].set(words, spot)
        known = verdict.balance is not None  # else there is no saying where the floor's plumb line meets it
        dimension = self._dimensions["combined"]
        dimension.set_visible(known)
        self._plumb.setVisible(known)
        if not known:
            return
        combined = centres["combined"][1]
        foot = plumb_foot(combined, placed.gravity)
        path = QPainterPath(side(combined))
        path.lineTo(side(foot))
        self._plumb.setPath(path)
        ahead_m = float(foot.x)
        words = f"{show(abs(ahead_m), self._length, units)} {'behind' if ahead_m < 0.0 else 'AHEAD OF THE LINE'}"
        drop = self._drop(1)
        dimension.set(side(foot) + drop, drop, words, (side(foot),))
        if ahead_m < 0.0:
            dimension.tag.setPos(side(foot) + drop)

    def hide_centres(self) -> None:
        """Without a verdict there are no weights."""
        for item in (*self._centres.values(), *self._centre_tags.values()):
            item.setVisible(False)
        self._dimensions["combined"].set_visible(False)

    def show_governing(self, governing: Check | None) -> None:
        """Ring and name what gives first, if there is a verdict."""
        for item in (self._ring, self._tags["governing"]):
            item.setVisible(governing is not None)
        if governing is not None:
            spot = side(governing.place_m)
            self._ring.setPos(spot)
            first = "in the way" if governing.of == "room" else "gives first"
            over = "\n" if self._drawing.plain else " "
            self._tags["governing"].set(self._folded(f"{first}:{over}{governing.part}"), spot)

    def point_at(self, at: QPointF, words: str) -> None:
        """Ring a place on the drawing until the next change."""
        self._ring.setPos(at)
        self._ring.setVisible(True)
        self._tags["governing"].set(words, at)
        self._tags["governing"].setVisible(True)

    # -------------------------------------------------------- ghosts

    def name_held(self, words: str, at: QPointF) -> None:
        """Name the held ghost over its top left corner; empty words take the name away."""
        self._tags["held"].set(words, at)
        self._tags["held"].setVisible(bool(words))

    def name_over(self, over: Overturn | None) -> None:
        """Say beside the line which way truck and rig go over, or nothing."""
        tag = self._tags["going over"]
        tag.setVisible(over is not None)
        if over is not None:
            line_x = float(over.line.a_m.x) if over.line.name == "rear" else 0.0
            if self._drawing.plain:
                tag.set(self._folded(over.way), side(Vec(line_x, 0.0, 0.0)))
            else:
                spot = side(Vec(line_x - 0.05, 0.0, 0.0)) + self._drop(2)
                tag.set(f"{over.way}\n{over.basis_words}", spot)

    def _folded(self, words: str) -> str:
        """Words in lines as narrow as a plain drawing wants them; any other drawing takes them as they are."""
        if not self._drawing.plain:
            return words
        metrics = self._drawing.ink.bold
        return "\n".join(metrics.lines(words, PLAIN_TAG_LINES * self._text_px))

    # -------------------------------------------------------- keeping them apart

    def keep_apart(self) -> None:
        """Put each tag where it lies over no other and over no dimension's figure, the important ones first."""
        drawing, crowded = self._drawing, self._is_crowded
        if not drawing.plain:
            self._dimensions["fork face"].set_visible(not crowded)
        lines = [dimension for dimension in self._dimensions.values() if dimension.visible]
        heads = [rect for dimension in lines for rect in dimension.arrange(drawing.px_per_mm)]
        if drawing.plain:
            self._lead_tags()
            return
        places: list[TagPlaces] = [
            (self._tags[name], aligns) for name, aligns in _GHOST_ALIGNS.items() if self._tags[name].isVisible()
        ]
        for name, dimension_aligns in _DIMENSION_ALIGNS.items():
            dimension = self._dimensions[name]
            if dimension.visible:
                own = () if name == "combined" else dimension.aligns(drawing.px_per_mm)  # its figure stands at one end
                if name == "height":
                    own = self._height_aligns(own)
                places.append((dimension.tag, (*own, *dimension_aligns)))
        places.append((self._tags["pin"], _PIN_ALIGNS))
        if self._tags["governing"].isVisible():
            places.append((self._tags["governing"], _RING_ALIGNS))
        for name, centre_aligns in _CENTRE_ALIGNS.items():
            tag = self._centre_tags[name]
            if crowded and name in ("truck", "rig"):
                tag.setVisible(False)
            elif self._centres[name].isVisible():
                places.append((tag, centre_aligns))
        places.append((self._tags["floor"], _FLOOR_ALIGNS))
        self._show_flag_key(places)
        if crowded:
            self._tags["tipping"].setVisible(False)
        else:
            places.append((self._tags["tipping"], _TIPPING_ALIGNS))
        declutter(places, drawing.px_per_mm, drawing.seen, drawing.handles.values(), heads)

    def _show_flag_key(self, places: list[TagPlaces]) -> None:
        """Say in a corner of the sheet what a flag stands for, while there is one."""
        tag, seen, scale = self._tags["flag key"], self._drawing.seen, self._drawing.px_per_mm
        tag.setVisible(False)
        if seen is None or not self._drawing.is_flagged:
            return
        tag.set(FLAG_KEY, seen.center())
        width, height = tag.size_px
        across = 0.5 * (seen.width() * scale - 2.0 * EDGE_PX) / width
        up = 0.5 * (seen.height() * scale - 2.0 * EDGE_PX) / height
        places.append((tag, [(x, y) for y in (up, 1.0 - up) for x in (across, 1.0 - across)]))

    def _lead_tags(self) -> None:
        """Leave out what only the person at the drawing needs, and lead the other tags to their marks."""
        drawing = self._drawing
        for name in ("fork face", "combined"):
            self._dimensions[name].set_visible(False)
        for item in (
            *(self._centre_tags[name] for name in ("truck", "rig", "combined")),
            *(self._centres[name] for name in ("truck", "rig")),
            *(self._tags[name] for name in ("tipping", "floor", "held", "flag key")),
        ):
            item.setVisible(False)
        shown_lines = [self._dimensions[name] for name in ("reach", "height")]
        self._figure_beside_short_line()
        if drawing.seen is None:
            return
        scale = drawing.px_per_mm
        taken = [rect for dimension in shown_lines for rect in dimension.rects_in_scene(scale)]
        wanted = [self._tags[name] for name in ("going over", "governing") if self._tags[name].isVisible()]
        wanted += [self._centre_tags["load"]] if self._centres["load"].isVisible() else []
        lead([*wanted, self._tags["pin"]], scale, drawing.seen, drawing.body_rects(), taken)


def slope_words(floor: Floor) -> str:
    """A floor's slope in words, or which way it is not known: that way it is drawn level."""
    slopes = (
        (floor.fall_along, "slope", "front", "back"),
        (floor.fall_across, "side slope", "left", "right"),
    )
    unknown = [name for slope, name, _, _ in slopes if slope is None]
    if unknown:
        return f"{' and '.join(unknown)} NOT KNOWN"
    parts = [
        f"{name} {show(abs(slope.best), 'fall', 'metric')} to the {down if slope.best > 0 else up}"
        for slope, name, down, up in slopes
        if slope is not None and slope.best
    ]
    return ", ".join(parts) if parts else "floor level"


# ---------------------------------------------------------------- where a mark may sit on its tag, best first

_GHOST_ALIGNS: dict[str, tuple[Align, ...]] = {
    "going over": ((1.0, 0.45), (0.0, 0.45)),
    "held": ((0.0, 1.2), (0.0, 2.4), (0.0, -0.4), (0.0, 3.6)),
}
_DIMENSION_ALIGNS: dict[str, tuple[Align, ...]] = {
    "reach": ((0.5, 0.5), (0.0, 0.5)),
    "fork face": ((0.5, 0.5), (0.0, 0.5)),
    "combined": ((1.05, 0.5), (0.5, 0.5), (1.05, 1.6)),
    "height": ((0.5, 0.5), (0.0, 0.5), (0.0, 1.2), (0.0, -0.2)),
    "load": ((0.5, 0.5), (1.0, 0.5), (0.0, 0.5), (0.5, 1.7), (0.5, -0.7)),
}
_PIN_ALIGNS: tuple[Align, ...] = ((0.5, 1.0), (0.5, 2.4), (1.2, 1.0), (-0.2, 1.0), (0.5, 3.8))
_RING_ALIGNS: tuple[Align, ...] = tuple((across, up) for up in (1.6, -0.6, 2.8, -1.8) for across in (-0.15, 1.15))
_TIPPING_ALIGNS: tuple[Align, ...] = tuple(
    (across, up) for up in (0.5, 1.6, -0.6, 2.7, 3.8) for across in (-0.02, 1.02)
)
_FLOOR_ALIGNS: tuple[Align, ...] = (
    *((0.0, up) for up in (-0.2, -1.4, -2.6)),
    *((across, up) for up in (-0.2, -1.4, -2.6) for across in (0.5, 1.0)),
    *((across, up) for up in (-3.8, 1.2, 2.4) for across in (0.0, 0.5, 1.0)),
)
_NEAR: tuple[Align, ...] = ((1.1, 1.35), (1.1, -0.35), (-0.12, 1.35), (-0.12, -0.35), (1.25, 0.5), (-0.25, 0.5))
_FURTHER: tuple[Align, ...] = (
    *((0.5, -0.8), (0.5, 1.8), (1.1, -1.5), (1.1, 2.5), (-0.12, -1.5), (-0.12, 2.5)),
    *((0.5, -1.9), (0.5, 2.9), (1.1, -2.6), (1.1, 3.6), (-0.12, -2.6), (-0.12, 3.6), (1.6, 0.5), (-0.6, 0.5)),
)
_FAR: tuple[Align, ...] = tuple(
    (across, up) for across in (0.5, 1.3, -0.3, 2.0, -1.0) for up in (0.5, -3.2, 4.2, -4.4, 5.4)
)
_CENTRE_ALIGNS: dict[str, tuple[Align, ...]] = {
    "combined": (*_NEAR, *_FURTHER),
    "rig": (_NEAR[5], *_NEAR, *_FURTHER, *_FAR),
    "load": ((0.5, -0.6), (0.5, 1.6), *_NEAR, *_FURTHER),
    "truck": (_NEAR[1], _NEAR[0], *_NEAR[2:], *_FURTHER),
}
