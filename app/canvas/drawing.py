"""What side view and plan share: one scene, named parts in layers, handles, ghosts, a distance to measure."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import ClassVar

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QColor, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsScene

from app.canvas.bodies import GRASP_PX, Body
from app.canvas.declutter import Align, declutter
from app.canvas.handles import Handle, HandleKind
from app.canvas.marks import FIXED_SIZE, Dimension
from app.canvas.measures import Measure
from app.canvas.style import Ink
from engine.base.geometry import Vec
from engine.schema.model import Job

_LAYERS = ("floor", "ghosts", "far", "truck", "upright", "rig", "arms", "load", "marks", "tags", "handles")
LAYER = {name: float(height) for height, name in enumerate(_LAYERS)}

STILL = ("ground", "guard", "body", "counterweight", "front wheel", "rear wheel", "truck", "wheels")
"""Parts that stand where they stand whatever the pose."""

FLAG = " flag"
"""How the names of parts end that are flags: at a joint that is not entered."""

MOST_CACHED_PX = 200_000.0
"""A part is cached as a picture up to this many pixels of the screen: carrying more costs more than painting the part.

All pictures of this size stay inside Qt's store of pictures.
"""

FAINT = 0.22
"""Opacity of what a helper is not being told about."""

_OFF_THE_LINE: tuple[Align, ...] = ((0.5, 1.7), (0.5, -0.7))
"""Where the words of a distance to measure stand that are wider than its line: over or under it."""

_CACHED = QGraphicsItem.CacheMode.DeviceCoordinateCache
_PAINTED = QGraphicsItem.CacheMode.NoCache


class Drawing:
    """Owns the items of one view in one scene; they are built once per rig and theme, then only moved."""

    GROUPS: ClassVar[Mapping[str, str]] = {}
    """Group of bodies (truck, rig, load) each part belongs to; arms are of the rig, others of none."""

    def __init__(self, scene: QGraphicsScene, ink: Ink, plain: bool, project: Callable[[Vec], QPointF]) -> None:
        self.scene, self.ink, self.plain, self._project = scene, ink, plain, project
        self._built: tuple[object, ...] = ()
        self._items: tuple[object, ...] = ()
        self._kept = False
        self._parts: dict[str, QGraphicsPathItem] = {}
        self._shapes: dict[str, object] = {}
        self.handles: dict[str, Handle] = {}
        self.stay_clear_wanted = False
        self.reach_from_forks = False
        """A plain drawing measures the reach from the fork face, to the millimetre, as a question asks for it."""
        self.painted_often = False
        """For a view that is worked in: marks and still parts are painted once and then carried as pictures.

        Papers want lines and letters instead.
        """
        self.seen: QRectF | None = None
        self.px_per_mm = 0.1
        self._measure: Dimension
        self._marked: dict[str, QPen] = {}
        """Parts drawn boldly, with the pens of their own."""

    # -------------------------------------------------------- building

    def _needs_build(self, job: Job) -> bool:
        """Whether the items are not those of this truck, rig, load and theme; if so, make ready to build them.

        Where only outlines change the items stay (``_kept``): a drag of a length changes the rig at every step, and
        new items cost most.  Otherwise the scene is emptied.
        """
        wanted = (job.truck, job.rig, job.load, job.surroundings, self.ink)
        if self._built and all(old is new for old, new in zip(self._built, wanted, strict=True)):
            return False
        items = (tuple((arm.name, type(arm.joint)) for arm in job.rig.arms), job.surroundings, self.ink)
        self._kept = bool(self._built) and items == self._items
        self._built, self._items, self._shapes = wanted, items, {}
        if self._kept:
            self._measure.set_visible(False)
        else:
            self.scene.clear()
            self._parts, self.handles, self._marked = {}, {}, {}
        return True

    def add(self, name: str, path: QPainterPath, line: QPen, fill: QBrush, layer: str) -> QGraphicsPathItem:
        """Add a part with its outline; one that is there already only takes the outline."""
        if self._kept and name in self._parts:
            self._parts[name].setPath(path)
            return self._parts[name]
        item = QGraphicsPathItem(path)
        item.setPen(line)
        item.setBrush(fill)
        self.place(item, layer)
        self._parts[name] = item
        return item

    def place(self, item: QGraphicsItem, layer: str) -> None:
        """Put an item that is not a part into the scene."""
        item.setZValue(LAYER[layer])
        self.scene.addItem(item)

    def _add_ghosts(self) -> None:
        ink = self.ink
        for name, line in (("held", ink.held), ("going over", ink.going_over), ("stay clear", ink.clear_of)):
            self.add(name, QPainterPath(), line, ink.clear, "ghosts")

    def _add_measure(self) -> None:
        self._measure = Dimension(self.scene, self.ink, self.ink.colours.handle, LAYER["handles"])
        self._measure.set_visible(False)

    def _add_handles(self, handles: Iterable[tuple[str, HandleKind, str]]) -> None:
        """Add handles, each by its name, kind and hint."""
        for name, kind, hint in handles:
            handle = Handle(self.ink, name, kind, hint)
            self.place(handle, "handles")
            self.handles[name] = handle

    # -------------------------------------------------------- scale, and parts carried as pictures

    def set_scale(self, px_per_mm: float, seen: QRectF | None = None) -> None:
        """Take the view's scale and what of the scene is in it: dimensions and tags keep their size on the screen."""
        self.px_per_mm, self.seen = px_per_mm, seen
        self._cache_still_parts()

    def _cache_marks(self) -> None:
        """Cache everything that keeps its size on the screen as a picture; called when all of it is there."""
        if self.painted_often:
            for item in self.scene.items():
                if (item.parentItem() or item).flags() & FIXED_SIZE:
                    item.setCacheMode(_CACHED)
            self._cache_still_parts()

    def _cache_still_parts(self) -> None:
        """Cache what stands still in a drag as pictures, as long as these are not large."""
        if not self.painted_often:
            return
        views = self.scene.views()
        scale = self.px_per_mm * (views[0].devicePixelRatioF() if views else 1.0)
        for name in STILL:
            item = self._parts.get(name)
            if item is not None:
                size = item.boundingRect().size() * scale
                mode = _CACHED if size.width() * size.height() <= MOST_CACHED_PX else _PAINTED
                if item.cacheMode() != mode:
                    item.setCacheMode(mode)

    # -------------------------------------------------------- showing

    def reshape(self, name: str, made_of: object, shape: Callable[[], QPainterPath]) -> None:
        """Give a part a new outline if what it is made of has changed: making one costs more than moving it."""
        if self._shapes.get(name) != made_of:
            self._shapes[name] = made_of
            self._parts[name].setPath(shape())

    def part(self, name: str) -> QGraphicsPathItem:
        """One of the drawn parts, by its name."""
        return self._parts[name]

    def find_part(self, name: str) -> QGraphicsPathItem | None:
        """One of the drawn parts, or None where this rig has no such part."""
        return self._parts.get(name)

    @property
    def is_flagged(self) -> bool:
        """Whether a flag is to be seen: a joint is not entered."""
        return any(item.isVisible() for name, item in self._parts.items() if name.endswith(FLAG))

    def body_rects(self) -> list[QRectF]:
        """Scene rectangles of the parts of truck, rig and load as they are drawn now."""
        return [
            item.mapRectToScene(item.boundingRect())
            for name, item in self._parts.items()
            if item.isVisible() and (name in self.GROUPS or name.startswith("arm "))
        ]

    def path_in_scene(self, name: str) -> QPainterPath:
        """A part's outline where it stands; empty when nothing of it is drawn."""
        item = self._parts[name]
        return item.mapToScene(item.path())

    @property
    def measure_words(self) -> str:
        """What the drawing shows to be measured."""
        return self._measure.text

    def show_measure(self, measure: Measure | None) -> None:
        """Show a distance to measure until the next change, or none."""
        self._measure.set_visible(measure is not None)
        if measure is not None:
            self._measure.set(self._project(measure.a), self._project(measure.b), measure.words)
            heads = self._measure.arrange(self.px_per_mm)
            on_line, right, left = self._measure.aligns(self.px_per_mm)
            places = (on_line, *_OFF_THE_LINE, right, left)
            declutter([(self._measure.tag, places)], self.px_per_mm, self.seen, arrow_heads=heads)

    def show_only(self, names: Collection[str]) -> None:
        """Hide everything but some parts, for a drawing of the rig alone."""
        for item in self.scene.items():
            item.setVisible(False)
        for name in names:
            if name in self._parts:
                self._parts[name].setVisible(True)

    def set_emphasis(self, groups: tuple[str, ...]) -> None:
        """Draw only some groups of bodies (truck, rig, rigging, load) strongly; none: all of them."""
        for name, item in self._parts.items():
            group = "rig" if name.startswith("arm ") else self.GROUPS.get(name, "")
            item.setOpacity(1.0 if not groups or not group or group in groups else FAINT)

    # -------------------------------------------------------- bodies under the pointer

    def body_at(self, bodies: Iterable[Body], at: QPointF) -> Body | None:
        """The topmost body within reach of a scene point."""
        reach = GRASP_PX / self.px_per_mm
        for body in bodies:
            if any(self._touches(name, at, reach) for name in body.parts):
                return body
        return None

    def _touches(self, name: str, at: QPointF, reach: float) -> bool:
        item = self._parts.get(name)
        if item is None or not item.isVisible():
            return False
        own = item.mapFromScene(at)
        square = QRectF(own.x() - reach, own.y() - reach, 2.0 * reach, 2.0 * reach)
        return item.boundingRect().intersects(square) and item.path().intersects(square)

    def mark_body(self, body: Body | None) -> None:
        """Draw the outline of one body boldly, and of no other."""
        for name, own in self._marked.items():
            if name in self._parts:
                self._parts[name].setPen(own)
        self._marked = {}
        for name in () if body is None else body.parts:
            item = self._parts.get(name)
            if item is not None:
                self._marked[name] = item.pen()
                bold = QPen(item.pen())
                bold.setColor(QColor(self.ink.colours.handle))
                bold.setWidthF(2.5)
                item.setPen(bold)

    def hide_handles(self) -> None:
        """For a view that is looked at and not worked in."""
        for handle in self.handles.values():
            handle.setVisible(False)

    def ghost(self, name: str) -> QPainterPath:
        """A ghost as it is drawn, held or going over; empty when there is none."""
        return self._parts[name].path()
