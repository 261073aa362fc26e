"""The picture of a part over its fields: the dimension in hand is bold, a click on one goes to its field."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.canvas.transform import distance
from app.look import hints
from app.look.text_metrics import small_font, text_metrics
from app.look.theme import LIGHT, Palette
from app.panels.part_pictures import Dim, Picture, Point, View
from engine.explain.entry_names import label_of

EDGE_PX = 14.0
GAP_PX = 16.0
TICK_PX = 3.0
NEAR_PX = 14.0
"""A click this near to a letter or on its line means that dimension."""

LINES_HIGH = 8.5
"""Height of the picture in lines of text."""


class PartFigure(QWidget):
    """A picture with lettered dimensions."""

    chosen = Signal(str)
    """Path of the entry whose dimension was clicked."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._picture: Picture | None = None
        self._bold = ""
        self._colours = LIGHT
        self._spots: list[tuple[QPointF, QPointF, QPointF, str]] = []
        """Ends and letter of every dimension on the screen, and its path."""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        hints.name(self, "picture of the part")
        self.setToolTip("The part, to its own proportions. Click a letter for its entry")
        self.setMouseTracking(True)

    def sizeHint(self) -> QSize:
        return QSize(240, round(LINES_HIGH * self.fontMetrics().height()))

    def minimumSizeHint(self) -> QSize:
        return QSize(160, self.sizeHint().height())

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.updateGeometry()

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.update()

    def set_picture(self, picture: Picture) -> None:
        """Show another picture."""
        if picture != self._picture:
            self._picture = picture
            named = {letter: label_of(path.rpartition(".")[2]) for path, letter in picture.letters.items()}
            letters = ", ".join(f"{letter}: {name}" for letter, name in named.items())
            self.setAccessibleDescription(letters)
            self.update()

    @property
    def bold(self) -> str:
        """Path of the dimension drawn boldly."""
        return self._bold

    def set_bold(self, path: str) -> None:
        """Draw one dimension boldly, by its entry's path; empty for none."""
        path = path.removesuffix(".best")
        if path != self._bold:
            self._bold = path
            self.update()

    # -------------------------------------------------------- mouse

    def spot(self, path: str) -> QPointF:
        """Where the letter of an entry stands."""
        return next(letter for _, _, letter, of in self._spots if of == path)

    def _at(self, at: QPointF) -> str:
        nearest, found = NEAR_PX, ""
        for _, _, letter, path in self._spots:
            away = distance(letter, at)
            if away < nearest:
                nearest, found = away, path
        return found

    def mousePressEvent(self, event: QMouseEvent) -> None:
        path = self._at(event.position())
        if path:
            self.chosen.emit(path)
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        over = bool(self._at(event.position()))
        self.setCursor(Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor)

    # -------------------------------------------------------- paint

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._picture is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        colours = self._colours
        box = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        painter.fillRect(box, QColor(colours.sheet))
        painter.setPen(QPen(QColor(colours.line), 1))
        painter.drawRect(box)
        self._spots = []
        views = self._picture.views
        total = sum(view.share for view in views)
        width = box.width() - GAP_PX * (len(views) - 1)
        x = box.left()
        for view in views:
            own = QRectF(x, box.top(), width * view.share / total, box.height())
            self._paint_view(painter, view, own.adjusted(EDGE_PX, EDGE_PX, -EDGE_PX, -EDGE_PX))
            x += own.width() + GAP_PX

    def _paint_view(self, painter: QPainter, view: View, box: QRectF) -> None:
        bounds = _bounds(view)
        scale = min(box.width() / max(bounds.width(), 1e-6), box.height() / max(bounds.height(), 1e-6))
        middle = bounds.center()

        def seen(point: Point) -> QPointF:
            return box.center() + QPointF((point[0] - middle.x()) * scale, (middle.y() - point[1]) * scale)

        colours = self._colours
        outline = QPen(QColor(colours.steel_edge), 1.2)
        thin = QPen(QColor(colours.faint_ink), 1.0, Qt.PenStyle.DashLine)
        for line in view.lines:
            painter.setPen(thin if line.thin else outline)
            polygon = QPolygonF([seen(point) for point in line.points])
            painter.setBrush(QColor(colours.steel) if line.closed else Qt.BrushStyle.NoBrush)
            (painter.drawPolygon if line.closed else painter.drawPolyline)(polygon)
        painter.setPen(outline)
        painter.setBrush(QColor(colours.sheet))
        for ring in view.rings:
            radius = max(ring.radius * scale, 1.0)
            painter.drawEllipse(seen(ring.centre), radius, radius)
        for dim in view.dims:
            self._paint_dim(painter, dim, seen(dim.a), seen(dim.b))

    def _paint_dim(self, painter: QPainter, dim: Dim, a: QPointF, b: QPointF) -> None:
        colours, bold = self._colours, dim.path == self._bold
        ink = colours.handle if bold else colours.ink
        painter.setPen(QPen(QColor(ink), 2.2 if bold else 1.0))
        across = abs(b.x() - a.x()) >= abs(b.y() - a.y())
        tick = QPointF(0.0, TICK_PX) if across else QPointF(TICK_PX, 0.0)
        if a != b:
            painter.drawLine(a, b)
            for end in (a, b):
                painter.drawLine(end - tick, end + tick)
        text = text_metrics(small_font(self.font()), True)
        width, high = text.size(dim.letter)[0], text.line_px
        middle = (a + b) / 2.0
        if distance(a, b) < width + 10.0 and a != b:  # no room between its ends: beside them
            middle += QPointF(0.0, -high) if across else QPointF(width + 4.0, 0.0)
        rect = QRectF(middle.x() - width / 2.0 - 2.0, middle.y() - high / 2.0, width + 4.0, high)
        painter.fillRect(rect, QColor(colours.sheet))
        if bold:
            painter.drawRect(rect)
        text.paint(painter, dim.letter, rect.left() + 2.0, rect.top(), ink)
        self._spots.append((a, b, middle, dim.path))


def _bounds(view: View) -> QRectF:
    """What a view takes up, in metres."""
    points: list[Point] = [point for line in view.lines for point in line.points]
    points += [end for dim in view.dims for end in (dim.a, dim.b)]
    for ring in view.rings:
        (x, y), radius = ring.centre, ring.radius
        points += [(x - radius, y - radius), (x + radius, y + radius)]
    xs, ys = _spread(point[0] for point in points), _spread(point[1] for point in points)
    return QRectF(xs[0], ys[0], xs[1] - xs[0], ys[1] - ys[0])


def _spread(values: Iterable[float]) -> tuple[float, float]:
    kept = list(values)
    return min(kept), max(kept)
