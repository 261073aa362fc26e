"""Marks that keep their size on the screen: tags, dimensions, centre-of-gravity marks, fulcrums."""

from __future__ import annotations

from typing import TypeAlias

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsScene, QStyleOptionGraphicsItem, QWidget

from app.canvas.style import Ink, pen

ARROW_PX = 9.0

ARROW_HEAD = "arrow head"
"""What an item says of itself (``data(0)``) that is the head of a dimension's arrow."""

LEADER_PX, DOT_PX = 2.0, 4.0
"""Width of a leader, and half the size of the dot at its end: they are read from two metres."""

THIN_LEADER_PX, THIN_DOT_PX = 1.0, 2.5
"""The same on the drawing that is worked on."""

BESIDE_PX = 5.0
"""Gap between a dimension line and its figure, where that stands beside it."""

FIXED_SIZE = QGraphicsItem.GraphicsItemFlag.ItemIgnoresTransformations


Box: TypeAlias = tuple[float, float, float, float]
"""Left, top, right and bottom, in pixels of the whole sheet."""


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
        self._led = self._thin = False
        self.entry = ""
        """Name of the pose field that a double click on this tag types into; empty for none."""
        self.may_go = False
        """It is left out where it has no place but on a handle or on another's mark."""
        self.mark_px: float | None = None
        """How far the mark that the tag names reaches from the anchor; None for words that name no mark."""

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
            if self._led:
                self.update()

    def set_led(self, led: bool, *, thin: bool = False) -> None:
        """Draw a leader from the tag to its anchor, or none."""
        if (led, thin) != (self._led, self._thin):
            self.prepareGeometryChange()
            self._led, self._thin = led, thin
            self.update()

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
            self._paint_leader(painter)
        painter.fillRect(self._rect, self._ground)
        painter.setFont(self._metrics.font)
        painter.setPen(self._pen)
        painter.drawText(self._rect, int(Qt.AlignmentFlag.AlignCenter), self._text)

    def _paint_leader(self, painter: QPainter) -> None:
        """A line to the edge of the mark, or to a dot where the mark is a point."""
        end, mark_px = nearest(self._rect, QPointF()), self.mark_px or 0.0
        px = max(QLineF(QPointF(), end).length(), 1.0)
        painter.setPen(QPen(self._pen.color(), THIN_LEADER_PX if self._thin else LEADER_PX))
        painter.setBrush(self._pen.color())
        painter.drawLine(end * min(mark_px / px, 1.0), end)
        if not mark_px:
            dot_px = (THIN_DOT_PX if self._thin else DOT_PX) / 2.0
            painter.drawEllipse(QPointF(), dot_px, dot_px)


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


def _head(outside: bool) -> QPainterPath:
    """An arrow head with its tip at the origin, pointing ahead; outside the line with a piece of line behind it."""
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(0, 0), QPointF(-ARROW_PX, 3), QPointF(-ARROW_PX, -3)]))
    path.closeSubpath()
    if outside:
        path.addRect(QRectF(-2.0 * ARROW_PX, -0.5, ARROW_PX, 1.0))
    return path


class Dimension:
    """A dimension line with filled arrow heads and its figure in the middle, or beside a line too short for it."""

    def __init__(self, scene: QGraphicsScene, ink: Ink, colour: str, layer: float) -> None:
        self._line = QGraphicsPathItem()
        self._line.setPen(pen(colour))
        self._heads = [fixed_path(_head(False), ink.none, QBrush(QColor(colour))) for _ in range(2)]
        for head in self._heads:
            head.setData(0, ARROW_HEAD)
        self._outside = False
        self._tag = Tag(ink, colour)
        self._shown: tuple[object, ...] = ()
        self._ends_xy = 0.0, 0.0, 0.0, 0.0
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
        self._ends_xy = a.x(), a.y(), b.x(), b.y()
        for head, end in zip(self._heads, (a, b), strict=True):
            head.setPos(end)
        self._turn_heads()

    @property
    def _upright(self) -> bool:
        ax, ay, bx, by = self._ends_xy
        return abs(by - ay) > abs(bx - ax)

    def _turn_heads(self) -> None:
        (ax, ay, bx, by), upright = self._ends_xy, self._upright
        growing = by > ay if upright else bx > ax
        turn_deg = (90.0 if growing else -90.0) if upright else (0.0 if growing else 180.0)
        for head, extra_deg in zip(self._heads, (0.0, 180.0) if self._outside else (180.0, 0.0), strict=True):
            head.setRotation(turn_deg + extra_deg)

    def arrange(self, px_per_mm: float) -> list[Box]:
        """Put the arrow heads outside a line too short for both; returns where they stand, the lower end first."""
        outside = self.length * px_per_mm < 2.0 * ARROW_PX + 2.0
        if outside != self._outside:
            self._outside = outside
            for head in self._heads:
                head.setPath(_head(outside))
            self._turn_heads()
        ax, ay, bx, by = (px_per_mm * at for at in self._ends_xy)
        before, after = (2.0 * ARROW_PX, 0.0) if outside else (0.0, ARROW_PX)
        if self._upright:
            low, high = min(ay, by), max(ay, by)
            return [(ax - 3.0, low - before, ax + 3.0, low + after), (bx - 3.0, high - after, bx + 3.0, high + before)]
        low, high = min(ax, bx), max(ax, bx)
        return [(low - before, ay - 3.0, low + after, ay + 3.0), (high - after, by - 3.0, high + before, by + 3.0)]

    def aligns(self, px_per_mm: float) -> list[tuple[float, float]]:
        """Where the figure may stand: on the line, or beside it past one end or the other (level) or side (upright)."""
        width = self._tag.size_px[0]
        past_px = 0.0 if self._upright else self.length * px_per_mm / 2.0
        past_px += BESIDE_PX + (2.0 * ARROW_PX if self._outside and not self._upright else 0.0)
        share = past_px / width if width else 0.0
        return [(0.5, 0.5), (-share, 0.5), (1.0 + share, 0.5)]

    def set_visible(self, visible: bool) -> None:
        for part in self._parts:
            part.setVisible(visible)

    @property
    def visible(self) -> bool:
        """Whether it is shown."""
        return self._line.isVisible()

    @property
    def length(self) -> float:
        """Length of the dimension line along the sheet's edges (scene)."""
        ax, ay, bx, by = self._ends_xy
        return max(abs(bx - ax), abs(by - ay))

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
