"""What the side view and the plan strip share: one scene, named parts in layers, handles, a distance to tape."""

from __future__ import annotations

from collections.abc import Callable, Collection

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsScene

from app.canvas.marks import Dimension, Handle
from app.canvas.measures import Measure
from app.canvas.style import Ink
from engine.base.geometry import Vec
from engine.schema.model import Job

_LAYERS = ("floor", "ghosts", "far", "truck", "upright", "rig", "arms", "load", "marks", "tags", "handles")
LAYER = {name: float(height) for height, name in enumerate(_LAYERS)}

STILL = ("ground", "guard", "body", "counterweight", "front wheel", "rear wheel", "truck", "wheels")
"""Parts that stand where they stand whatever the pose."""

MOST_CARRIED_PX = 200_000.0
"""Pixels of the screen in a picture up to which carrying it costs less than painting the part; all of them stay inside Qt's store of pictures."""


class Drawing:
    """Owns the items of one view in one scene; built once per rig and theme, then only moved."""

    def __init__(self, scene: QGraphicsScene, ink: Ink, plain: bool, project: Callable[[Vec], QPointF]) -> None:
        self._scene, self._ink, self._plain, self._project = scene, ink, plain, project
        self._built: tuple[object, ...] = ()
        self._items: tuple[object, ...] = ()
        self._kept = False
        self._parts: dict[str, QGraphicsPathItem] = {}
        self._shapes: dict[str, object] = {}
        self.handles: dict[str, Handle] = {}
        self.stay_clear_wanted = False
        self.painted_often = False
        """For a view that is worked in: marks, and parts that stand still in a drag, are painted once and then carried as pictures.
        Papers want lines and letters instead."""
        self._seen: QRectF | None = None
        self._px_per_mm = 0.1
        self._measure: Dimension

    def _is_built(self, job: Job) -> bool:
        """Whether the items are those of this truck, rig, load and theme.

        If not, their outlines are to be made anew; the items themselves too, in an emptied scene, where ``_kept`` is
        false.  A drag of a length changes the rig at every step, and new items cost most.
        """
        wanted = (job.truck, job.rig, job.load, job.surroundings, self._ink)
        if self._built and all(one is other for one, other in zip(wanted, self._built, strict=True)):
            return True
        items = (tuple((arm.name, type(arm.joint)) for arm in job.rig.arms), job.surroundings, self._ink)
        self._kept = bool(self._built) and items == self._items
        self._built, self._items, self._shapes = wanted, items, {}
        if self._kept:
            self._measure.set_visible(False)
        else:
            self._scene.clear()
            self._parts, self.handles = {}, {}
        return False

    def set_scale(self, px_per_mm: float, seen: QRectF | None = None) -> None:
        """Scale of the view, and what of the scene is in it; dimension lines and tags keep their distances on the screen."""
        self._px_per_mm, self._seen = px_per_mm, seen
        self._carry_still_parts()

    def _carry_marks(self) -> None:
        """Carry everything that keeps its size on the screen as a picture; to be called when all of it is there."""
        if self.painted_often:
            for item in self._scene.items():
                if (item.parentItem() or item).flags() & QGraphicsItem.GraphicsItemFlag.ItemIgnoresTransformations:
                    item.setCacheMode(QGraphicsItem.CacheMode.DeviceCoordinateCache)
            self._carry_still_parts()

    def _carry_still_parts(self) -> None:
        """Carry what stands still in a drag as pictures, as long as these are not large."""
        views = self._scene.views()
        scale = self._px_per_mm * (views[0].devicePixelRatioF() if views else 1.0)
        for name in STILL if self.painted_often else ():
            item = self._parts.get(name)
            if item is not None:
                size = item.boundingRect().size() * scale
                small = size.width() * size.height() <= MOST_CARRIED_PX
                wanted = QGraphicsItem.CacheMode.DeviceCoordinateCache if small else QGraphicsItem.CacheMode.NoCache
                if item.cacheMode() != wanted:
                    item.setCacheMode(wanted)

    def _build_measure(self) -> None:
        self._measure = Dimension(self._scene, self._ink, self._ink.colours.handle, LAYER["handles"])
        self._measure.set_visible(False)

    def _add(self, name: str, path: QPainterPath, line: QPen, fill: QBrush, layer: str) -> QGraphicsPathItem:
        """A part with its outline; one that is there already only takes the outline."""
        if self._kept and name in self._parts:
            self._parts[name].setPath(path)
            return self._parts[name]
        item = QGraphicsPathItem(path)
        item.setPen(line)
        item.setBrush(fill)
        self._place(item, layer)
        self._parts[name] = item
        return item

    def _place(self, item: QGraphicsItem, layer: str) -> None:
        item.setZValue(LAYER[layer])
        self._scene.addItem(item)

    def _shape(self, name: str, made_of: object, shape: Callable[[], QPainterPath]) -> None:
        """Give a part its outline, anew only when what it is made of has changed: making one costs more than moving it."""
        if self._shapes.get(name) != made_of:
            self._shapes[name] = made_of
            self._parts[name].setPath(shape())

    def part(self, name: str) -> QGraphicsPathItem:
        """One of the drawn parts, by its name."""
        return self._parts[name]

    @property
    def measure_words(self) -> str:
        """What the drawing shows to be measured."""
        return self._measure.text

    def show_measure(self, found: Measure | None) -> None:
        """Show a distance to tape until the next change, or none."""
        self._measure.set_visible(found is not None)
        if found is not None:
            self._measure.set(self._project(found.a), self._project(found.b), found.words)

    def show_only(self, names: Collection[str]) -> None:
        """Hide everything but some parts, for a drawing of the rig alone."""
        for item in self._scene.items():
            item.setVisible(False)
        for name in names:
            if name in self._parts:
                self._parts[name].setVisible(True)

    def hide_handles(self) -> None:
        """For a view that is looked at and not worked in."""
        for handle in self.handles.values():
            handle.setVisible(False)

    def ghost(self, name: str) -> QPainterPath:
        """A ghost as it is drawn, held or going over; empty when there is none."""
        return self._parts[name].path()
