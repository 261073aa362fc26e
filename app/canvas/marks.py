"""Marks that keep their size on the screen: tags, dimensions, centre-of-gravity marks, fulcrums."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsScene, QStyleOptionGraphicsItem, QWidget

from app.canvas.style import Ink, pen

ARROW_PX = 9.0

LEADER_PX, DOT_PX = 2.0, 4.0
"""Width of a leader, and half the size of the dot at its end: they are read from two metres."""

FIXED_SIZE = QGraphicsItem.GraphicsItemFlag.ItemIgnoresTransformations


class Tag(QGraphicsItem):
    """A short text on a ground of its own, anchored at a scene point; it keeps its size on the screen.

    ``align`` is where the anchor sits on the tag: (0, 0) its top left, (0.5, 0.5) its middle, (1, 1) its bottom right.
    """

    def __init__(self, ink: Ink, colour: str, align: tuple[float, float] = (0.5, 0.5), bold: bool = False) -> None:
        super().__init__()
        self.setFlag(FIXED_SIZE)
        self._ink, self._align, self._text = ink, align, ""
        self._pen = QPen(QColor(colour))
        self._ground = QBrush(QColor(ink.colours.sheet))
        self._metrics = ink.bold if bold else ink.plain
        self._rect, self._size = QRectF(), (0.0, 0.0)
        self._led = False
        self.entry = ""
        """Name of the pose field that a double click on this tag types into; empty for none."""

    def set(self, text: str, at: QPointF, align: tuple[float, float] | None = None) -> None:
        """Show ``text`` at a scene point."""
        if text != self._text:
            width, height = self._metrics.size(text)
            self._text, self._size = text, (width + 6.0, height + 2.0)
            self.update()
        self.setPos(at)
        self.set_align(align or self._align)

    def set_align(self, align: tuple[float, float]) -> None:
        """Let the anchor sit elsewhere on the tag."""
        self._align = align
        width, height = self._size
        rect = QRectF(-width * align[0], -height * align[1], width, height)
        if rect != self._rect:
            self.prepareGeometryChange()
            self._rect = rect

    def set_led(self, led: bool) -> None:
        """Draw a leader from the tag to its anchor, or none."""
        if led != self._led:
            self.prepareGeometryChange()
            self._led = led

    @property
    def led(self) -> bool:
        """Whether a leader runs to the anchor."""
        return self._led

    @property
    def size_px(self) -> tuple[float, float]:
        """Width and height on the screen."""
        return self._size

    @property
    def text(self) -> str:
        return self._text

    def screen_rect(self, px_per_mm: float) -> QRectF:
        """The tag's rectangle in pixels of the whole sheet."""
        return self._rect.translated(self.pos() * px_per_mm)

    def boundingRect(self) -> QRectF:
        return self._rect | QRectF(-DOT_PX, -DOT_PX, 2.0 * DOT_PX, 2.0 * DOT_PX) if self._led else self._rect

    def paint(self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None) -> None:
        if self._led:
            painter.setPen(QPen(self._pen.color(), LEADER_PX))
            painter.setBrush(self._pen.color())
            painter.drawLine(QPointF(), nearest(self._rect, QPointF()))
            painter.drawEllipse(QPointF(), DOT_PX / 2.0, DOT_PX / 2.0)
        painter.fillRect(self._rect, self._ground)
        painter.setFont(self._metrics.font)
        painter.setPen(self._pen)
        painter.drawText(self._rect, int(Qt.AlignmentFlag.AlignCenter), self._text)


def nearest(rect: QRectF, at: QPointF) -> QPointF:
    """The point of a rectangle nearest to another point."""
    x = min(max(at.x(), rect.left()), rect.right())
    return QPointF(x, min(max(at.y(), rect.top()), rect.bottom()))


def fixed_path(path: QPainterPath, line: QPen, fill: QBrush) -> QGraphicsPathItem:
    """A path item in screen pixels that keeps its size."""
    item = QGraphicsPathItem(path)
    item.setFlag(FIXED_SIZE)
    item.setPen(line)
    item.setBrush(fill)
    return item


class CentreMark(QGraphicsPathItem):
    """Centre-of-gravity mark: a circle with two filled quarters."""

    def __init__(self, ink: Ink, radius_px: float) -> None:
        ring = QPainterPath()
        ring.addEllipse(QPointF(), radius_px, radius_px)
        super().__init__(ring)
        self.setFlag(FIXED_SIZE)
        self.setPen(pen(ink.colours.gravity))
        self.setBrush(ink.sheet)
        path = QPainterPath()
        for start_deg in (0.0, 180.0):
            path.moveTo(0.0, 0.0)
            path.arcTo(QRectF(-radius_px, -radius_px, 2 * radius_px, 2 * radius_px), start_deg, 90.0)
            path.closeSubpath()
        quarters = QGraphicsPathItem(path, self)
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
        growing = (b.y() > a.y()) if upright else (b.x() > a.x())
        turn_deg = (90.0 if growing else -90.0) if upright else (0.0 if growing else 180.0)
        for head, end, extra_deg in zip(self._heads, (a, b), (180.0, 0.0), strict=True):
            head.setPos(end)
            head.setRotation(turn_deg + extra_deg)

    def set_visible(self, visible: bool) -> None:
        for part in self._parts:
            part.setVisible(visible)

    @property
    def length(self) -> float:
        """Length of the dimension line along the sheet's edges (scene)."""
        path = self._line.path()
        return max(abs(path.elementAt(1).x - path.elementAt(0).x), abs(path.elementAt(1).y - path.elementAt(0).y))

    def rects_in_scene(self, px_per_mm: float) -> list[QRectF]:
        """Scene rectangles of the dimension line, of its witness lines and of the figure."""
        path, tag = self._line.path(), self._tag.screen_rect(px_per_mm)
        ends = [QPointF(path.elementAt(at).x, path.elementAt(at).y) for at in range(path.elementCount())]
        rects = [QRectF(a, b).normalized() for a, b in zip(ends[::2], ends[1::2], strict=True)]
        room = 2.0 / px_per_mm
        return [
            QRectF(tag.topLeft() / px_per_mm, tag.bottomRight() / px_per_mm),
            *(rect.adjusted(-room, -room, room, room) for rect in rects),
        ]

    @property
    def text(self) -> str:
        return self._tag.text

    @property
    def tag(self) -> Tag:
        return self._tag
