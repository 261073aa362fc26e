"""Marks that keep their size on the screen: handles, tags, dimensions, centre-of-gravity marks, fulcrums."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF, QTransform
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsScene, QStyleOptionGraphicsItem, QWidget

from app.canvas.style import Ink, pen

HANDLE_RADIUS_PX = 6.5
GRIP_PX = HANDLE_RADIUS_PX + 3.0
"""Half of what a handle covers: its ring and a little of its arrow heads."""

ARROW_PX = 9.0

_FIXED = QGraphicsItem.GraphicsItemFlag.ItemIgnoresTransformations


class Tag(QGraphicsItem):
    """A short text on a ground of its own, anchored at a scene point; keeps its size on the screen.

    ``align`` is where the anchor sits on the tag: (0, 0) its top left, (0.5, 0.5) its middle, (1, 1) its bottom right.
    """

    def __init__(self, ink: Ink, colour: str, align: tuple[float, float] = (0.5, 0.5), bold: bool = False) -> None:
        super().__init__()
        self.setFlag(_FIXED)
        self._ink, self._align, self._text = ink, align, ""
        self._pen = QPen(QColor(colour))
        self._ground = QBrush(QColor(ink.colours.sheet))
        self._face = ink.bold if bold else ink.plain
        self._rect, self._size = QRectF(), (0.0, 0.0)
        self.entry = ""
        """Name of the pose field that a double click on this tag types into; empty for none."""

    def set(self, text: str, at: QPointF, align: tuple[float, float] | None = None) -> None:
        """Show ``text`` at a scene point."""
        if text != self._text:
            width, height = self._face.size(text)
            self._text, self._size = text, (width + 6.0, height + 2.0)
            self.update()
        self.setPos(at)
        self.put(align or self._align)

    def put(self, align: tuple[float, float]) -> None:
        """Let the anchor sit elsewhere on the tag."""
        self._align = align
        rect = self._rect_for(align)
        if rect != self._rect:
            self.prepareGeometryChange()
            self._rect = rect

    @property
    def size_px(self) -> tuple[float, float]:
        """Width and height on the screen."""
        return self._size

    def _rect_for(self, align: tuple[float, float]) -> QRectF:
        width, height = self._size
        return QRectF(-width * align[0], -height * align[1], width, height)

    @property
    def text(self) -> str:
        return self._text

    def screen_rect(self, px_per_mm: float, align: tuple[float, float] | None = None) -> QRectF:
        """Where the tag stands, or would with another alignment, in pixels of the whole sheet."""
        rect = self._rect if align is None else self._rect_for(align)
        return rect.translated(self.pos() * px_per_mm)

    def boundingRect(self) -> QRectF:
        return self._rect

    def paint(self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None) -> None:
        painter.fillRect(self._rect, self._ground)
        painter.setFont(self._face.font)
        painter.setPen(self._pen)
        painter.drawText(self._rect, int(Qt.AlignmentFlag.AlignCenter), self._text)


def fixed_path(path: QPainterPath, line: QPen, fill: QBrush) -> QGraphicsPathItem:
    """A path item in screen pixels that keeps its size."""
    item = QGraphicsPathItem(path)
    item.setFlag(_FIXED)
    item.setPen(line)
    item.setBrush(fill)
    return item


def centre_mark_path(radius: float) -> QPainterPath:
    """Filled quarters of the usual centre-of-gravity mark."""
    path = QPainterPath()
    for start in (0.0, 180.0):
        path.moveTo(0.0, 0.0)
        path.arcTo(QRectF(-radius, -radius, 2 * radius, 2 * radius), start, 90.0)
        path.closeSubpath()
    return path


class CentreMark(QGraphicsPathItem):
    """Centre-of-gravity mark: a quartered circle."""

    def __init__(self, ink: Ink, radius_px: float) -> None:
        ring = QPainterPath()
        ring.addEllipse(QPointF(), radius_px, radius_px)
        super().__init__(ring)
        self.setFlag(_FIXED)
        self.setPen(pen(ink.colours.gravity))
        self.setBrush(ink.sheet)
        quarters = QGraphicsPathItem(centre_mark_path(radius_px), self)
        quarters.setPen(pen(ink.colours.gravity))
        quarters.setBrush(ink.gravity_fill)


def fulcrum_mark(ink: Ink) -> QGraphicsPathItem:
    """Triangle under a tipping line, its tip at the origin."""
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(0, 0), QPointF(9, 15), QPointF(-9, 15)]))
    path.closeSubpath()
    return fixed_path(path, ink.tipping_solid, ink.tipping_fill)


class Dimension:
    """A dimension line with filled arrow heads and its figure in the middle."""

    def __init__(self, scene: QGraphicsScene, ink: Ink, colour: str, layer: float) -> None:
        self._line = QGraphicsPathItem()
        self._line.setPen(pen(colour))
        head = QPainterPath()
        head.addPolygon(QPolygonF([QPointF(0, 0), QPointF(-ARROW_PX, 3), QPointF(-ARROW_PX, -3)]))
        head.closeSubpath()
        self._heads = [fixed_path(head, ink.none, QBrush(QColor(colour))) for _ in range(2)]
        self._tag = Tag(ink, colour)
        self._shown: tuple[object, ...] = ()
        self._parts: list[QGraphicsItem] = [self._line, *self._heads, self._tag]
        for part in self._parts:
            part.setZValue(layer if part is self._tag else layer - 0.5)  # no line runs through another's figure
            scene.addItem(part)

    def set(self, a: QPointF, b: QPointF, text: str, feet: tuple[QPointF, ...] = ()) -> None:
        """Show the dimension from a to b; ``feet`` are where the witness lines start, one for each end."""
        self._tag.set(text, (a + b) / 2.0)
        if self._shown == (a, b, feet):
            return
        self._shown = a, b, feet
        path = QPainterPath(a)
        path.lineTo(b)
        for foot, end in zip(feet, (a, b), strict=False):
            path.moveTo(foot)
            path.lineTo(end)
        self._line.setPath(path)
        upright = abs(b.y() - a.y()) > abs(b.x() - a.x())
        forward = (b.y() > a.y()) if upright else (b.x() > a.x())
        turn = (90.0 if forward else -90.0) if upright else (0.0 if forward else 180.0)
        for head, end, extra in zip(self._heads, (a, b), (180.0, 0.0), strict=True):
            head.setPos(end)
            head.setRotation(turn + extra)

    def set_visible(self, visible: bool) -> None:
        for part in self._parts:
            part.setVisible(visible)

    @property
    def text(self) -> str:
        return self._tag.text

    @property
    def tag(self) -> Tag:
        return self._tag


def declutter(
    tags: Sequence[tuple[Tag, Sequence[tuple[float, float]]]],
    px_per_mm: float,
    sheet: QRectF | None = None,
    handles: Iterable[Handle] = (),
) -> None:
    """Keep tags off each other and on the sheet: each takes the first of its places that is free, or is not shown.

    Tags come in order of importance with the alignments they may take.  ``sheet`` is the ground in view (pixels); a tag
    that would leave it is pushed back by its edge as long as what it stands at is in view.  A handle lies over tags: where
    a tag has a place without one under it, it takes that.
    """
    used: list[_Box] = []
    ground = None if sheet is None else (sheet.left(), sheet.top(), sheet.right(), sheet.bottom())
    gripped = [_around(handle.pos(), px_per_mm) for handle in handles if handle.isVisible()]
    for tag, places in tags:
        align, box = _place_for(tag, places, px_per_mm, ground, used, gripped)
        tag.setVisible(align is not None)
        if align is not None:
            tag.put(align)
            used.append(box)


_Box = tuple[float, float, float, float]
"""Left, top, right and bottom, in pixels of the whole sheet."""


def _around(at: QPointF, px_per_mm: float) -> _Box:
    x, y = at.x() * px_per_mm, at.y() * px_per_mm
    return x - GRIP_PX, y - GRIP_PX, x + GRIP_PX, y + GRIP_PX


def _place_for(
    tag: Tag,
    places: Sequence[tuple[float, float]],
    px_per_mm: float,
    ground: _Box | None,
    used: Sequence[_Box],
    gripped: Sequence[_Box],
) -> tuple[tuple[float, float] | None, _Box]:
    """The first free place that is on the sheet and under no handle, else the first on the sheet, else any, else none."""
    at, (width, height) = tag.pos(), tag.size_px
    x, y = at.x() * px_per_mm, at.y() * px_per_mm
    found, box, good = None, (x, y, x, y), -1
    for align in _places_and_pushed(places, x, y, width, height, ground):
        left, top = x - width * align[0], y - height * align[1]
        right, bottom = left + width, top + height
        if any(left < r and l < right and top < b and t < bottom for l, t, r, b in used):
            continue
        inside = ground is None or (
            left >= ground[0] and top >= ground[1] and right <= ground[2] and bottom <= ground[3]
        )
        clear = not any(left < r and l < right and top < b and t < bottom for l, t, r, b in gripped)
        if 2 * inside + clear > good:
            found, box, good = align, (left, top, right, bottom), 2 * inside + clear
        if inside and clear:
            break
    return found, box


def _places_and_pushed(
    places: Sequence[tuple[float, float]], x: float, y: float, width: float, height: float, ground: _Box | None
) -> Iterator[tuple[float, float]]:
    """The places themselves, then those that would leave the sheet, pushed back onto it."""
    yield from places
    if ground is None or not width or not (ground[0] <= x <= ground[2] and ground[1] <= y <= ground[3]):
        return
    for across, up in places:
        left, top = x - width * across, y - height * up
        right = max(ground[0] + 1.0 - left, 0.0) - max(left + width - ground[2] + 1.0, 0.0)
        down = max(ground[1] + 1.0 - top, 0.0) - max(top + height - ground[3] + 1.0, 0.0)
        if right or down:
            yield across - right / width, up - down / height


def handle_path(kind: str) -> QPainterPath:
    """A ring with the ways it can be dragged: slide, raise, turn or free."""
    radius = HANDLE_RADIUS_PX
    path = QPainterPath()
    path.addEllipse(QPointF(), radius, radius)
    ways = {"raise": (90, 270), "slide": (0, 180), "turn": (45, 225), "free": (0, 90, 180, 270)}[kind]
    tip = QPolygonF([QPointF(radius + 6, 0), QPointF(radius + 1.5, -4), QPointF(radius + 1.5, 4)])
    for way in ways:
        turned = QPainterPath()
        turned.addPolygon(tip)
        turned.closeSubpath()
        path.addPath(_rotated(turned, way))
    return path


def _rotated(path: QPainterPath, degrees: float) -> QPainterPath:
    return QTransform().rotate(degrees).map(path)


class Handle(QGraphicsPathItem):
    """Something to take hold of; it only shows itself, gestures do the work."""

    def __init__(self, ink: Ink, name: str, kind: str, hint: str) -> None:
        super().__init__(handle_path(kind))
        self.name = name
        self.setFlag(_FIXED)
        self.setPen(ink.handle)
        self.setBrush(ink.handle_fill)
        self.setToolTip(hint)
        self._ink = ink

    def set_held(self, held: bool) -> None:
        """Filled while it is dragged or hovered."""
        self.setBrush(QBrush(QColor(self._ink.colours.handle)) if held else self._ink.handle_fill)
