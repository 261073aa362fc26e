"""Bodies by keyboard: Tab walks them from the truck outwards, arrows move the one held, Enter shows its entries."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent

from app.canvas.bodies import Body, bodies
from app.canvas.view import DrawingView
from app.documents.document import Document
from engine.base.lazy import lazy
from engine.schema.joints import View

if TYPE_CHECKING:
    from app.canvas import gestures, live_words
    from engine.shop import pose_nudge
else:
    # Not before the first key: a window's first paint needs none of them.
    gestures, live_words = lazy("app.canvas.gestures"), lazy("app.canvas.live_words")
    pose_nudge = lazy("engine.shop.pose_nudge")

ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class KeyHold(QObject):
    """What the keyboard holds in one view; the arrows pan the sheet while that is nothing."""

    def __init__(self, document: Document, view: DrawingView, kind: View) -> None:
        super().__init__(view)
        self._document, self._view = document, view
        self._kind: View = kind
        self._name: str | None = None
        view.installEventFilter(self)

    @property
    def body(self) -> Body | None:
        """The body that is held."""
        return next((body for body in self._bodies() if body.name == self._name), None)

    def _bodies(self) -> tuple[Body, ...]:
        """From the truck outwards."""
        return tuple(reversed(bodies(self._document.job, self._kind)))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() in (QEvent.Type.FocusOut, QEvent.Type.MouseButtonPress):
            self._hold(None)
        elif isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            return self._press(event)
        return super().eventFilter(watched, event)

    def _press(self, event: QKeyEvent) -> bool:
        key, keys = Qt.Key(event.key()), event.modifiers()
        if self._view.holding:
            return False
        if key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
            return self._walk(1 if key == Qt.Key.Key_Tab else -1)
        body = self.body
        if body is None:
            return False
        if key == Qt.Key.Key_Escape:
            self._hold(None)
        elif key in ENTER:
            self._view.clicked.emit(body.entry)
        elif key in ARROWS and body.handle is not None:
            shift, alt = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier
            self._nudge(body, pose_nudge.Nudge(*ARROWS[key], more=bool(keys & shift), free=bool(keys & alt)))
        else:
            return False
        return True

    def _walk(self, step: int) -> bool:
        """Hold the next body; past the last of them the keyboard goes on to what comes after the drawing."""
        names = [body.name for body in self._bodies()]
        at = (names.index(self._name) if self._name in names else (-1 if step > 0 else len(names))) + step
        self._hold(names[at] if 0 <= at < len(names) else None)
        return self._name is not None

    def _hold(self, name: str | None) -> None:
        if name == self._name:
            return
        self._name = name
        body = self.body
        self._view.hold_body(body)
        if body is not None:
            self._say(body.hint)

    def _nudge(self, body: Body, nudge: pose_nudge.Nudge) -> None:
        """One step, as one undo step."""
        document, handle = self._document, body.handle
        if handle is None:
            return
        start, before = document.pose, document.verdict.placed
        pose = pose_nudge.nudged(document.job, start, handle, self._kind, nudge, document.units)
        if pose != start:
            document.set_pose(pose, gestures.undo_text(document.job, handle))
        figures = live_words.of_pose(document.job, handle, start, before, document.pose, document.verdict.placed)
        self._say(f"{body.name[:1].upper()}{body.name[1:]}, {figures}, {document.verdict.state}")
        self._view.hold_body(body)

    def _say(self, words: str) -> None:
        """What a reader is told, and what stands in the view's corner."""
        self._view.setAccessibleDescription(words)
        self._view.say_live(words)
