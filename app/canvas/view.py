"""A drawing to look at and take hold of: pan, zoom, fit, grid, rulers, and handles under the pointer.

The view knows pixels and handles, never the rig: what is taken hold of is told as (handle, metres) to a gesture that
its owner makes.  Mouse moves are kept to the last one and answered once per paint, so that slow answers never queue.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QApplication, QFrame, QGraphicsScene, QGraphicsView, QToolTip, QWidget

from app.canvas.marks import Handle, Tag
from app.canvas.style import Ink
from app.canvas.transform import MM_PER_M, distance, metres, ruler_step
from engine.base.formatting import M_PER_IN, System, feet_inches

if TYPE_CHECKING:
    from app.canvas.gestures import Gesture
    from app.canvas.reach_layer import Wash

GRAB_PX = 16.0
"""A handle is under the pointer within this distance."""

ZOOM_STEP = 1.2
SCALE_LIMITS = (0.02, 4.0)
"""Pixels per millimetre: from a whole yard to a pin hole."""

METRIC_STEPS_M = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
US_STEPS_M = tuple(inches * M_PER_IN for inches in (0.5, 1, 3, 6, 12, 24, 60, 120, 240))
LABEL_EVERY_PX = 64.0
GRID_EVERY_PX = 16.0

_MOVED = QEvent.Type(QEvent.registerEventType())


def nearest_handle(handles: Mapping[str, tuple[QPointF, bool]], at: QPointF, within_px: float = GRAB_PX) -> str | None:
    """Name of the visible handle nearest to a screen point, if one is near enough; later ones win ties."""
    best, found = within_px, None
    for name, (spot, visible) in handles.items():
        if visible and (away := distance(spot, at)) <= best:
            best, found = away, name
    return found


class DrawingView(QGraphicsView):
    """One view of the drawing (side or plan)."""

    looked = Signal()
    """Scale or centre changed; rulers and the linked view follow."""

    resized = Signal()
    """The view has another size; the owner may fit the drawing anew."""

    typed_on = Signal(str, QPointF)
    """A figure was double-clicked: the entry it stands for, and where (viewport)."""

    grabbed = Signal(str)
    """A handle was taken hold of."""

    def __init__(self, scene: QGraphicsScene, name: str, parent: QWidget | None = None) -> None:
        super().__init__(scene, parent)
        # Most of some eighty items move at every step of a drag: keeping a tree of where they are costs more than it finds.
        scene.setItemIndexMethod(QGraphicsScene.ItemIndexMethod.NoIndex)
        self.setAccessibleName(name)
        self.setAccessibleDescription(f"{name}. Wheel zooms, drag on empty paper moves the sheet, F fits it.")
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.BoundingRectViewportUpdate)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setCacheMode(QGraphicsView.CacheModeFlag.CacheBackground)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setResizeAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QFrame.Shape.NoFrame)
        # The sheet covers everything: nothing under it has to be painted first.
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSceneRect(QRectF(-60_000, -60_000, 120_000, 120_000))
        self.handles: dict[str, Handle] = {}
        self.begin_gesture: Callable[[str, tuple[float, float]], Gesture] | None = None
        self.fit_wanted: Callable[[], None] | None = None
        self.by_hand = False
        """Somebody has zoomed or moved the sheet since it was last fitted."""
        self._gesture: Gesture | None = None
        self._pan_from: QPoint | None = None
        self._last_at: QPointF | None = None
        self._last_free = False
        self._posted = False
        self._steps: tuple[float, ...] = METRIC_STEPS_M
        self._ink: Ink | None = None
        self._backdrop: tuple[Wash, ...] = ()
        self.words_at: Callable[[float, float], str] | None = None

    # -------------------------------------------------------- looks

    def set_ink(self, ink: Ink, units: System) -> None:
        """Theme and units of grid and ground."""
        self._ink = ink
        self._steps = US_STEPS_M if units == "us" else METRIC_STEPS_M
        self.setBackgroundBrush(QColor(ink.colours.sheet))
        self.resetCachedContent()
        self.viewport().update()

    def set_backdrop(self, washes: tuple[Wash, ...]) -> None:
        """Areas to shade behind everything; kept in the cached background."""
        if washes or self._backdrop:
            self._backdrop = washes
            self.resetCachedContent()
            self.viewport().update()

    @property
    def px_per_mm(self) -> float:
        return self.transform().m11()

    def seen(self) -> QRectF:
        """Scene rectangle in view."""
        return self.mapToScene(self.viewport().rect()).boundingRect()

    def scene_centre(self) -> QPointF:
        """Scene point in the middle of the view."""
        return self.mapToScene(self.viewport().rect().center())

    def look_at(self, centre: QPointF, px_per_mm: float) -> None:
        """Scale about the middle and put a scene point there."""
        scale = min(max(px_per_mm, SCALE_LIMITS[0]), SCALE_LIMITS[1])
        self.resetTransform()
        self.scale(scale, scale)
        self.centerOn(centre)
        self.resetCachedContent()
        self.looked.emit()

    def zoom(self, factor: float, about: QPointF | None = None) -> None:
        """Zoom by a factor, keeping a viewport point where it is."""
        about = about if about is not None else QPointF(self.viewport().rect().center())
        fixed = self.mapToScene(about.toPoint())
        before = self.scene_centre()
        scale = min(max(self.px_per_mm * factor, SCALE_LIMITS[0]), SCALE_LIMITS[1])
        kept = self.px_per_mm / scale
        self.by_hand = True
        self.look_at(fixed + (before - fixed) * kept, scale)

    def drawBackground(self, painter: QPainter, rect: QRectF) -> None:
        super().drawBackground(painter, rect)
        if self._ink is None:
            return
        for wash in self._backdrop:
            painter.fillPath(wash.path, wash.tint)
            painter.fillPath(wash.path, wash.hatch)
        step = ruler_step(GRID_EVERY_PX / self.px_per_mm / MM_PER_M, self._steps) * MM_PER_M
        strong = ruler_step(LABEL_EVERY_PX / self.px_per_mm / MM_PER_M, self._steps) * MM_PER_M
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        for size, colour in ((step, self._ink.colours.grid), (strong, self._ink.colours.grid_strong)):
            line = QPen(QColor(colour))
            line.setCosmetic(True)
            painter.setPen(line)
            x = rect.left() - rect.left() % size
            while x <= rect.right():
                painter.drawLine(QPointF(x, rect.top()), QPointF(x, rect.bottom()))
                x += size
            y = rect.top() - rect.top() % size
            while y <= rect.bottom():
                painter.drawLine(QPointF(rect.left(), y), QPointF(rect.right(), y))
                y += size

    # -------------------------------------------------------- hands

    def handle_at(self, at: QPointF) -> str | None:
        """Name of the handle under a viewport point."""
        spots = {
            name: (QPointF(self.mapFromScene(handle.pos())), handle.isVisible())
            for name, handle in self.handles.items()
        }
        return nearest_handle(spots, at)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        handle = self.handle_at(event.position()) if event.button() == Qt.MouseButton.LeftButton else None
        if handle is not None and self.begin_gesture is not None:
            self._gesture = self.begin_gesture(handle, metres(self.mapToScene(event.position().toPoint())))
            self.handles[handle].set_held(True)
            self.grabbed.emit(handle)
        elif event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            self._pan_from = event.position().toPoint()
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        for item in self.items(event.position().toPoint()):
            if isinstance(item, Tag) and item.entry:
                self._pan_from = None
                self.unsetCursor()
                self.typed_on.emit(item.entry, event.position())
                event.accept()
                return
        self.mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._gesture is not None:
            self._last_at = event.position()
            self._last_free = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            if not self._posted:
                self._posted = True
                QApplication.postEvent(self, QEvent(_MOVED), Qt.EventPriority.LowEventPriority.value)
        elif self._pan_from is not None:
            moved = event.position().toPoint() - self._pan_from
            self._pan_from = event.position().toPoint()
            self.by_hand = True
            self.look_at(self.scene_centre() - QPointF(moved) / self.px_per_mm, self.px_per_mm)
        else:
            self._hover(self.handle_at(event.position()))
            self._tell_place(event)
        event.accept()

    def customEvent(self, event: QEvent) -> None:
        if event.type() == _MOVED:
            self._posted = False
            self._answer_move()

    def _answer_move(self) -> None:
        if self._gesture is not None and self._last_at is not None:
            at, self._last_at = self._last_at, None
            self._gesture.move(metres(self.mapToScene(at.toPoint())), self._last_free)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._gesture is not None and event.button() == Qt.MouseButton.LeftButton:
            self._answer_move()
            self._end_gesture().finish()
        if self._pan_from is not None:
            self._pan_from = None
            self.unsetCursor()
        event.accept()

    def _end_gesture(self) -> Gesture:
        gesture, self._gesture, self._last_at = self._gesture, None, None
        if gesture.handle in self.handles:
            self.handles[gesture.handle].set_held(False)
        return gesture

    def _hover(self, name: str | None) -> None:
        self.viewport().setCursor(Qt.CursorShape.PointingHandCursor if name else Qt.CursorShape.ArrowCursor)
        for other, handle in self.handles.items():
            handle.set_held(other == name)

    def _tell_place(self, event: QMouseEvent) -> None:
        """What holds with the hook under the pointer, where a map says so."""
        if self.words_at is not None:
            words = self.words_at(*metres(self.mapToScene(event.position().toPoint())))
            if words != self._told:
                self._told = words
                QToolTip.showText(event.globalPosition().toPoint(), words, self.viewport())

    _told = ""

    @property
    def holding(self) -> bool:
        """A drag is going on."""
        return self._gesture is not None

    def cancel_gesture(self) -> bool:
        """Put back what a drag has moved; True if there was one."""
        if self._gesture is None:
            return False
        self._end_gesture().cancel()
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key == Qt.Key.Key_Escape and self.cancel_gesture():
            return
        if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(ZOOM_STEP)
        elif key == Qt.Key.Key_Minus:
            self.zoom(1.0 / ZOOM_STEP)
        elif key in (Qt.Key.Key_0, Qt.Key.Key_F) and self.fit_wanted is not None:
            self.fit_wanted()
        elif key in _PAN_KEYS:
            dx, dy = _PAN_KEYS[key]
            self.by_hand = True
            self.look_at(self.scene_centre() + QPointF(dx, dy) * 60.0 / self.px_per_mm, self.px_per_mm)
        else:
            super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        steps = event.angleDelta().y() / 120.0
        if steps:
            self.zoom(ZOOM_STEP**steps, event.position())
        event.accept()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.looked.emit()
        self.resized.emit()

    def focusOutEvent(self, event: QEvent) -> None:
        self.cancel_gesture()
        super().focusOutEvent(event)


_PAN_KEYS = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, -1.0),
    Qt.Key.Key_Down: (0.0, 1.0),
}


class Ruler(QWidget):
    """A ruler along one side of a view, in the person's units; follows the view's scale and place."""

    def __init__(self, view: DrawingView, upright: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view, self._upright = view, upright
        self._units: System = "metric"
        self._ink: Ink | None = None
        self.setAccessibleName("upright ruler" if upright else "ruler")
        view.looked.connect(self.update)

    def set_ink(self, ink: Ink, units: System) -> None:
        """Theme and units."""
        self._ink, self._units = ink, units
        self.setFont(ink.font)
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance("-00 ft") + 10, 10) if self._upright else QSize(10, metrics.height() + 9)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    @property
    def units(self) -> System:
        return self._units

    def label(self, value_m: float) -> str:
        """Figure beside a tick."""
        if self._units == "us":
            return feet_inches(value_m, 2)
        return f"{value_m:.2f}".rstrip("0").rstrip(".") if value_m else "0"

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._ink is None:
            return
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._ink.colours.paper))
        painter.setPen(self._ink.edge)
        steps = US_STEPS_M if self._units == "us" else METRIC_STEPS_M
        px_per_m = self._view.px_per_mm * MM_PER_M
        room = (
            LABEL_EVERY_PX
            if self._upright
            else max(LABEL_EVERY_PX, self.fontMetrics().horizontalAdvance("00 ft 00 in"))
        )
        step = ruler_step(max(room, 2.5 * self.fontMetrics().height()) / px_per_m, steps)
        corner = self._view.mapToScene(0, 0)
        length = self.height() if self._upright else self.width()
        origin = -corner.y() if self._upright else corner.x()
        offset = self._view.viewport().mapTo(self.window(), QPoint(0, 0)) - self.mapTo(self.window(), QPoint(0, 0))
        shift = offset.y() if self._upright else offset.x()
        low, high = (
            (origin / MM_PER_M - length / px_per_m, origin / MM_PER_M)
            if self._upright
            else (
                origin / MM_PER_M,
                origin / MM_PER_M + length / px_per_m,
            )
        )
        self._ticks(painter, step, low - step, high + step, px_per_m, origin / MM_PER_M, shift)

    def _ticks(
        self, painter: QPainter, step: float, low: float, high: float, px_per_m: float, origin: float, shift: int
    ) -> None:
        first = int(low // step)
        for count in range(first, int(high // step) + 1):
            value = count * step
            at = (origin - value if self._upright else value - origin) * px_per_m + shift
            text = self.label(value)
            if self._upright:
                painter.drawLine(QPointF(self.width() - 6, at), QPointF(self.width(), at))
                box = QRectF(0, at - 20, self.width() - 8, 40)
                painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight), text)
            else:
                painter.drawLine(QPointF(at, 0), QPointF(at, 5))
                box = QRectF(at - 60, 5, 120, self.height() - 5)
                painter.drawText(box, int(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop), text)
