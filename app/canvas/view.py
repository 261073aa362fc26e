"""A drawing to look at and take hold of: pan, zoom, fit, grid, and handles under the pointer.

The view knows pixels and handles, never the rig: its owner makes a gesture for the handle that is taken hold of, and
the view tells the gesture where the pointer is, in metres.  Of the mouse moves only the last is kept and answered once
per paint, so that slow answers never queue.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QInputDevice,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QGestureEvent,
    QGraphicsScene,
    QGraphicsView,
    QLabel,
    QPinchGesture,
    QToolTip,
    QWidget,
)

from app.canvas.bodies import Body, Way
from app.canvas.handles import Handle, nearest_handle
from app.canvas.marks import Tag
from app.canvas.ruler_steps import LABEL_EVERY_PX, STEPS_M, ruler_step
from app.canvas.style import Ink
from app.canvas.transform import MM_PER_M, distance, metres
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

CLICK_PX = 4.0
"""A press that moves less is a click."""

LIVE_AWAY_PX = 18.0
"""How far beside the pointer a pull says what it has come to."""

_MOVED = QEvent.Type(QEvent.registerEventType())
"""Posted to the view itself: answer the last mouse move once everything that waits is done."""


TYPE_OVER = "Double-click to type another figure"


class DrawingView(QGraphicsView):
    """One view of the drawing (side or plan)."""

    looked = Signal()
    """Scale or centre changed; rulers and the linked view follow."""

    resized = Signal()
    """The view has another size; the owner may fit the drawing again."""

    typed_on = Signal(str, QPointF)
    """A figure was double-clicked: the entry it stands for, and where (viewport)."""

    grabbed = Signal(str)
    """A handle, or the body it stands for, was taken hold of."""

    clicked = Signal(str)
    """A body was clicked: the path of its entry."""

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
        self.viewport().grabGesture(Qt.GestureType.PinchGesture)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSceneRect(QRectF(-60_000, -60_000, 120_000, 120_000))
        self.handles: dict[str, Handle] = {}
        self.begin_gesture: Callable[[str, tuple[float, float]], Gesture | SizeGesture] | None = None
        """Set by the owner: makes the gesture for a handle, taken hold of at a place in metres."""
        self.fit_wanted: Callable[[], None] | None = None
        """Set by the owner: fits the drawing into the view."""
        self.body_at: Callable[[QPointF], Body | None] | None = None
        """Set by the owner: the body at a scene point."""
        self.mark_body: Callable[[Body | None], None] | None = None
        """Set by the owner: marks the body under the pointer."""
        self.words_at: Callable[[float, float], str] | None = None
        """Set by the owner: what holds with the hook at a place in metres; empty for nothing."""
        self.by_hand = False
        """Somebody has zoomed or moved the sheet since it was last fitted."""
        self._gesture: Gesture | SizeGesture | None = None
        self._pressed: tuple[Body | None, QPointF] | None = None
        """The body pressed and where, until the pointer has moved so far that it is a pull."""
        self._held_at: QPoint | None = None
        """Where the pointer was last in a pull, and how far the sheet has moved under it since the pull began."""
        self._moved_under = QPointF()
        self._over: Body | None = None
        self._hint = ""
        """What the body under the pointer would do."""
        self._live = QLabel(self)
        self._live.setObjectName("live")
        self._live.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._live.hide()
        self._space = False
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
        before = None if self._held_at is None else self.mapToScene(self._held_at)
        self.resetTransform()
        self.scale(scale, scale)
        self.centerOn(centre)
        if self._held_at is not None and before is not None:
            self._moved_under += before - self.mapToScene(self._held_at)
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
        left, at = event.button() == Qt.MouseButton.LeftButton and not self._space, event.position()
        handle, body = self.handle_at(at) if left else None, self._body_at(at) if left else None
        self._pressed = (body, at) if left else None
        if handle is not None:
            self._begin(handle, at)
        elif not left and (self._space or event.button() == Qt.MouseButton.MiddleButton):
            self._take_sheet(at)
        event.accept()

    def _take_sheet(self, at: QPointF) -> None:
        self._pan_from = at.toPoint()
        self.setCursor(Qt.CursorShape.ClosedHandCursor)

    def _body_at(self, at: QPointF) -> Body | None:
        """The body under a viewport point, while handles move the pose."""
        return None if self.body_at is None else self.body_at(self.mapToScene(at.toPoint()))

    def _begin(self, handle: str, at: QPointF) -> None:
        """Take hold of a handle, or of the body it stands for, at a viewport point."""
        if self.begin_gesture is None:
            return
        self._held_at, self._moved_under = at.toPoint(), QPointF()
        self._gesture = self.begin_gesture(handle, metres(self.mapToScene(self._held_at)))
        if handle in self.handles:
            self.handles[handle].set_held(True)
        self.grabbed.emit(handle)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        tag = self._typed_tag_at(event.position())
        if tag is None:
            self.mousePressEvent(event)
            return
        self._pan_from = self._pressed = None
        self.unsetCursor()
        self.typed_on.emit(tag.entry, event.position())
        event.accept()

    def _typed_tag_at(self, at: QPointF) -> Tag | None:
        """The figure under a viewport point that can be typed over."""
        tags = (item for item in self.items(at.toPoint()) if isinstance(item, Tag) and item.entry)
        return next(tags, None)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._begin_pull(event.position())
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
        elif self._pressed is not None:
            pass  # not moved so far that it is a pull
        else:
            self._hover(self.handle_at(event.position()), self._body_at(event.position()))
            figure = self._typed_tag_at(event.position())
            self.viewport().setToolTip(self._hint if figure is None else TYPE_OVER)
            self._show_tip(event)
        event.accept()

    def _begin_pull(self, at: QPointF) -> None:
        """A press becomes a pull, of a body or of the paper, once the pointer has moved a little."""
        if self._pressed is None or distance(at, self._pressed[1]) < CLICK_PX:
            return
        (body, start), self._pressed = self._pressed, None
        if self._gesture is None and self._pan_from is None:
            if body is not None and body.handle is not None:
                self._begin(body.handle, start)
            else:
                self._take_sheet(start)

    def customEvent(self, event: QEvent) -> None:
        if event.type() == _MOVED:
            self._posted = False
            self._answer_move()

    def _answer_move(self) -> None:
        if self._gesture is not None and self._last_at is not None:
            at, self._last_at = self._last_at, None
            self._held_at = at.toPoint()
            self._gesture.move(metres(self.mapToScene(self._held_at) + self._moved_under), self._last_free)
            self._show_live(at)

    def _show_live(self, at: QPointF) -> None:
        """Beside the pointer, what the pull has come to."""
        if self._gesture is None:
            return
        words = self._gesture.words
        if words != self._live.text():
            self._live.setText(words)
            self._live.adjustSize()
        right = at.x() > 0.6 * self.width()
        left = at.x() - self._live.width() - LIVE_AWAY_PX if right else at.x() + LIVE_AWAY_PX
        top = at.y() + LIVE_AWAY_PX if at.y() < 0.2 * self.height() else at.y() - self._live.height() - LIVE_AWAY_PX
        self._live.move(round(left), round(top))
        self._live.setVisible(bool(words))

    def hold_body(self, body: Body | None) -> None:
        """Mark the body that the keyboard holds, or none, whatever the pointer is over."""
        self._hover(None, body)
        if body is None:
            self._live.hide()

    def say_live(self, words: str) -> None:
        """Say what the keyboard holds, in the upper left corner."""
        self._live.setText(words)
        self._live.adjustSize()
        self._live.move(round(LIVE_AWAY_PX), round(LIVE_AWAY_PX))
        self._live.show()

    @property
    def live_words(self) -> str:
        """What the pull going on has come to, beside the pointer, or what the keyboard holds."""
        return "" if self._live.isHidden() else self._live.text()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._gesture is not None and event.button() == Qt.MouseButton.LeftButton:
            self._answer_move()
            gesture = self._let_go()
            if gesture is not None:
                gesture.finish()
        (body, _), self._pressed = self._pressed or (None, None), None
        if body is not None and self._typed_tag_at(event.position()) is None:
            self.clicked.emit(body.entry)
        if self._pan_from is not None:
            self._pan_from = None
            self.unsetCursor()
        event.accept()

    def _let_go(self) -> Gesture | SizeGesture | None:
        """The gesture that was going on, if any; its handle is no longer held."""
        gesture, self._gesture, self._last_at, self._held_at = self._gesture, None, None, None
        self._live.hide()
        if gesture is not None and gesture.handle in self.handles:
            self.handles[gesture.handle].set_held(False)
        return gesture

    def _hover(self, name: str | None, body: Body | None) -> None:
        """Show what would move: the handle filled, the body's outline bold, the pointer as the way it goes."""
        shape = Qt.CursorShape.ArrowCursor
        if name is not None:
            shape = Qt.CursorShape.PointingHandCursor
        elif body is not None:
            shape = _POINTERS[body.way] if body.handle else Qt.CursorShape.OpenHandCursor
        self.viewport().setCursor(shape)
        for other, handle in self.handles.items():
            handle.set_held(other == name)
        if body != self._over:
            self._over = body
            if self.mark_body is not None:
                self.mark_body(body)
            self._hint = "" if body is None else body.hint

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        if not self.holding:
            self._hover(None, None)

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
        self._space = key == Qt.Key.Key_Space
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

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = False
        super().keyReleaseEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """A mouse wheel zooms about the pointer; two fingers on a trackpad move the sheet, with Ctrl they zoom.

        Where a trackpad is not told from a wheel, Shift moves the sheet sideways and Alt up and down.
        """
        keys, turned, fingers = event.modifiers(), event.angleDelta(), event.pixelDelta()
        on_pad = event.device().type() == QInputDevice.DeviceType.TouchPad and not fingers.isNull()
        moves = keys & (Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.AltModifier)
        if on_pad and not keys & Qt.KeyboardModifier.ControlModifier:
            self.pan(QPointF(fingers))
        elif moves:
            by = (turned.x() or turned.y()) * PAN_KEY_PX / 120.0
            self.pan(QPointF(by, 0.0) if keys & Qt.KeyboardModifier.ShiftModifier else QPointF(0.0, by))
        elif turned.y():
            self.zoom(ZOOM_STEP ** (turned.y() / 120.0), event.position())
        event.accept()

    def pan(self, by_px: QPointF) -> None:
        """Move the sheet by screen pixels."""
        self.by_hand = True
        self.look_at(self.scene_centre() - by_px / self.px_per_mm, self.px_per_mm)

    def viewportEvent(self, event: QEvent) -> bool:
        """Fingers that pinch zoom about themselves and take the sheet along; no pull is begun."""
        if isinstance(event, QNativeGestureEvent) and event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture:
            self.zoom(1.0 + event.value(), event.position())
            return True
        if isinstance(event, QGestureEvent):
            pinch = event.gesture(Qt.GestureType.PinchGesture)
            if isinstance(pinch, QPinchGesture):
                self._pinch(pinch)
                return True
        return super().viewportEvent(event)

    def _pinch(self, pinch: QPinchGesture) -> None:
        self.cancel_gesture()
        self._pressed = self._pan_from = None
        centre = self.viewport().mapFromGlobal(pinch.centerPoint())
        self.pan(pinch.centerPoint() - pinch.lastCenterPoint())
        self.zoom(pinch.scaleFactor(), centre)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.looked.emit()
        self.resized.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.cancel_gesture()
        super().focusOutEvent(event)


_POINTERS: dict[Way, Qt.CursorShape] = {
    "any": Qt.CursorShape.SizeAllCursor,
    "turn": Qt.CursorShape.CrossCursor,
    "along": Qt.CursorShape.SizeHorCursor,
    "up": Qt.CursorShape.SizeVerCursor,
}

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
