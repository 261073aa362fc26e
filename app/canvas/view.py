"""A drawing to look at and take hold of: pan, zoom, fit, grid, and handles under the pointer.

The view knows pixels and handles, never the rig: its owner makes a gesture for the handle that is taken hold of, and
the view tells the gesture where the pointer is, in metres.  Of the mouse moves only the last is kept and answered once
per paint, so that slow answers never queue.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPen, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QApplication, QFrame, QGraphicsScene, QGraphicsView, QToolTip, QWidget

from app.canvas.handles import Handle, nearest_handle
from app.canvas.marks import Tag
from app.canvas.ruler_steps import LABEL_EVERY_PX, STEPS_M, ruler_step
from app.canvas.style import Ink
from app.canvas.transform import MM_PER_M, metres
from engine.base.formatting import System

if TYPE_CHECKING:
    from app.canvas.gestures import Gesture, SizeGesture
    from app.canvas.reach_layer import Wash

ZOOM_STEP = 1.2
SCALE_LIMITS = (0.02, 4.0)
"""Pixels per millimetre: from a whole yard to a pin hole."""

GRID_EVERY_PX = 16.0
"""Least distance of two lines of the grid."""

PAN_KEY_PX = 60.0
"""How far an arrow key moves the sheet."""

_MOVED = QEvent.Type(QEvent.registerEventType())
"""Posted to the view itself: answer the last mouse move once everything that waits is done."""


class DrawingView(QGraphicsView):
    """One view of the drawing (side or plan)."""

    looked = Signal()
    """Scale or centre changed; rulers and the linked view follow."""

    resized = Signal()
    """The view has another size; the owner may fit the drawing again."""

    typed_on = Signal(str, QPointF)
    """A figure was double-clicked: the entry it stands for, and where (viewport)."""

    grabbed = Signal(str)
    """A handle was taken hold of."""

    def __init__(self, scene: QGraphicsScene, name: str, parent: QWidget | None = None) -> None:
        super().__init__(scene, parent)
        # Most of some eighty items move at every step of a drag: a tree of where they are costs more than it saves.
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
        self.begin_gesture: Callable[[str, tuple[float, float]], Gesture | SizeGesture] | None = None
        """Set by the owner: makes the gesture for a handle, taken hold of at a place in metres."""
        self.fit_wanted: Callable[[], None] | None = None
        """Set by the owner: fits the drawing into the view."""
        self.words_at: Callable[[float, float], str] | None = None
        """Set by the owner: what holds with the hook at a place in metres; empty for nothing."""
        self.by_hand = False
        """Somebody has zoomed or moved the sheet since it was last fitted."""
        self._gesture: Gesture | SizeGesture | None = None
        self._pan_from: QPoint | None = None
        self._last_at: QPointF | None = None
        self._last_free = False
        self._posted = False
        self._tip = ""
        self._steps_m = STEPS_M["metric"]
        self._ink: Ink | None = None
        self._backdrop: tuple[Wash, ...] = ()

    # -------------------------------------------------------- looks

    def set_ink(self, ink: Ink, units: System) -> None:
        """Take the theme, and the units of the grid."""
        self._ink, self._steps_m = ink, STEPS_M[units]
        self.setBackgroundBrush(QColor(ink.colours.sheet))
        self.resetCachedContent()
        self.viewport().update()

    def set_backdrop(self, washes: tuple[Wash, ...]) -> None:
        """Shade areas behind everything; they are kept in the cached background."""
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
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        colours, px_per_m = self._ink.colours, self.px_per_mm * MM_PER_M
        for every_px, colour in ((GRID_EVERY_PX, colours.grid), (LABEL_EVERY_PX, colours.grid_strong)):
            line = QPen(QColor(colour))
            line.setCosmetic(True)
            painter.setPen(line)
            _draw_grid(painter, rect, ruler_step(every_px / px_per_m, self._steps_m) * MM_PER_M)

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
            self._show_tip(event)
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
            gesture = self._let_go()
            if gesture is not None:
                gesture.finish()
        if self._pan_from is not None:
            self._pan_from = None
            self.unsetCursor()
        event.accept()

    def _let_go(self) -> Gesture | SizeGesture | None:
        """The gesture that was going on, if any; its handle is no longer held."""
        gesture, self._gesture, self._last_at = self._gesture, None, None
        if gesture is not None and gesture.handle in self.handles:
            self.handles[gesture.handle].set_held(False)
        return gesture

    def _hover(self, name: str | None) -> None:
        self.viewport().setCursor(Qt.CursorShape.PointingHandCursor if name else Qt.CursorShape.ArrowCursor)
        for other, handle in self.handles.items():
            handle.set_held(other == name)

    def _show_tip(self, event: QMouseEvent) -> None:
        """Say what holds with the hook under the pointer, where a reach map says so."""
        if self.words_at is not None:
            words = self.words_at(*metres(self.mapToScene(event.position().toPoint())))
            if words != self._tip:
                self._tip = words
                QToolTip.showText(event.globalPosition().toPoint(), words, self.viewport())

    @property
    def holding(self) -> bool:
        """A drag is going on."""
        return self._gesture is not None

    def cancel_gesture(self) -> bool:
        """Put back what a drag has moved; True if there was one."""
        gesture = self._let_go()
        if gesture is not None:
            gesture.cancel()
        return gesture is not None

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
            self.look_at(self.scene_centre() + QPointF(dx, dy) * PAN_KEY_PX / self.px_per_mm, self.px_per_mm)
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

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.cancel_gesture()
        super().focusOutEvent(event)


_PAN_KEYS: dict[int, tuple[float, float]] = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, -1.0),
    Qt.Key.Key_Down: (0.0, 1.0),
}


def _draw_grid(painter: QPainter, rect: QRectF, step_mm: float) -> None:
    """Lines over a scene rectangle, at whole multiples of a step."""
    x = rect.left() - rect.left() % step_mm
    while x <= rect.right():
        painter.drawLine(QPointF(x, rect.top()), QPointF(x, rect.bottom()))
        x += step_mm
    y = rect.top() - rect.top() % step_mm
    while y <= rect.bottom():
        painter.drawLine(QPointF(rect.left(), y), QPointF(rect.right(), y))
        y += step_mm
