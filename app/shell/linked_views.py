"""Side view over plan strip with their rulers, both at one scale and over one x, as projected views on a drawing."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Literal

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QGraphicsScene, QGridLayout, QLabel, QWidget

from app.canvas import bodies, size_handles
from app.canvas.bodies import Body
from app.canvas.drawing import Drawing
from app.canvas.key_hold import KeyHold
from app.canvas.plan import PlanDrawing
from app.canvas.ruler import Ruler
from app.canvas.side import SideDrawing
from app.canvas.style import Ink
from app.canvas.transform import side
from app.canvas.view import DrawingView
from app.shell.strip import Strip
from engine.base.formatting import System
from engine.base.lazy import lazy
from engine.rig.kinematics import drawn
from engine.schema.joints import View

if TYPE_CHECKING:
    from app.canvas import gestures, measures
    from app.documents.document import Document
    from app.look.theme import Palette
    from engine.handling import arm_drift
    from engine.rig.check import Check
else:
    # None of these is on the first paint.
    gestures, measures = lazy("app.canvas.gestures"), lazy("app.canvas.measures")
    arm_drift = lazy("engine.handling.arm_drift")

EDGE = 0.05
"""How far inside the view boom, hook and load are brought that would leave it, as a share of its smaller side."""

HEADROOM = 0.06
"""Share of the view's height left free over the rig, so that a small pull upwards does not move the sheet."""

LEAST_PX = 60.0
"""A drawing is fitted as if its view were at least this wide and high."""


class LinkedViews(QWidget):
    """Both views on one document; a look moved in one of them moves in the other."""

    gesture_begins = Signal()
    """A handle is about to be taken hold of."""

    body_clicked = Signal(str)
    """A body of the drawing was clicked: the path of its entry."""

    typed_on = Signal(DrawingView, str, QPointF)
    """A figure was double-clicked: the view, the entry the figure stands for, and where (viewport)."""

    def __init__(self, document: Document, colours: Palette, font: QFont) -> None:
        super().__init__()
        self._document = document
        self._shows_verdict = self._linking = False
        self._refit = QTimer(self, singleShot=True, interval=0)
        self._refit.timeout.connect(self._fit_unless_by_hand)
        self.side_view = self._new_view("Side view", "side")
        self.plan_view = self._new_view("Plan strip", "plan")
        self.rulers = (Ruler(self.side_view, True), Ruler(self.side_view, False), Ruler(self.plan_view, True))
        self._lay_out()
        self.sizes_wanted = False
        self._away = QLabel(self.side_view)
        self._away.setObjectName("away")
        self._away.setAccessibleName("what is out of view")
        self._away.setVisible(False)
        self.take_look(colours, font)

    def _new_view(self, name: str, kind: View) -> DrawingView:
        view = DrawingView(QGraphicsScene(self), name)
        view.begin_gesture = partial(self._new_gesture, kind)
        view.fit_wanted = self.fit
        view.looked.connect(partial(self._link, view))
        view.resized.connect(self._refit.start)
        view.typed_on.connect(partial(self.typed_on.emit, view))
        view.body_at = partial(self._body_at, kind)
        view.mark_body = partial(self._mark_body, kind)
        view.clicked.connect(self.body_clicked)
        KeyHold(self._document, view, kind)
        view.setAcceptDrops(False)  # a file dropped on the drawing is the window's to open
        return view

    def _lay_out(self) -> None:
        grid = self._grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(0)
        upright, along, plan_upright = self.rulers
        grid.addWidget(upright, 0, 0)
        grid.addWidget(self.side_view, 0, 1)
        self._unit_corner = QLabel()
        self._unit_corner.setObjectName("caption")
        self._unit_corner.setAlignment(Qt.AlignmentFlag.AlignCenter)
        grid.addWidget(self._unit_corner, 1, 0)
        grid.addWidget(along, 1, 1)
        self.strip = Strip(
            grid,
            over=(upright, self.side_view, self._unit_corner, along),
            plan=(plan_upright, self.plan_view),
        )
        self.strip.changed.connect(self._refit.start)
        grid.setColumnStretch(1, 1)

    @property
    def painted(self) -> tuple[QWidget, ...]:
        """What is painted, in its order."""
        return self.side_view.viewport(), self.plan_view.viewport()

    def minimumSizeHint(self) -> QSize:
        """As high as without a part in the strip: for one that needs more the window does not grow."""
        least = super().minimumSizeHint()
        return QSize(least.width(), least.height() - self.strip.part_height_px)

    # -------------------------------------------------------- look

    def take_look(self, colours: Palette, font: QFont) -> None:
        """Make both drawings anew in these colours and with text in this font; they show nothing yet."""
        self.ink = Ink(colours, font)
        self.side_drawing = SideDrawing(self.side_view.scene(), self.ink)
        self.side_drawing.sizes_wanted = self.sizes_wanted
        self.plan_drawing = PlanDrawing(self.plan_view.scene(), self.ink)
        for drawing in (self.side_drawing, self.plan_drawing):
            drawing.painted_often = True
        self._take_scale()  # a sheet moved by hand is not fitted anew
        self.take_units()

    def take_units(self) -> None:
        """Show grid and rulers in the document's units."""
        self.units: System = self._document.units
        for part in (self.side_view, self.plan_view, *self.rulers):
            part.set_ink(self.ink, self.units)
        self._unit_corner.setText("ft in" if self.units == "us" else "m")

    # -------------------------------------------------------- showing

    def show_placed(self) -> None:
        """Draw the pose shown while there is no verdict on it."""
        job, pose = self._document.job, self._document.pose
        placed = drawn(job, pose)
        for drawing in (self.side_drawing, self.plan_drawing):
            drawing.show_placed(job, pose, placed)
        self._take_handles()

    def show_verdict(self) -> None:
        """Draw the pose shown with what its verdict says."""
        self._shows_verdict = True
        job, pose, verdict = self._document.job, self._document.pose, self._document.verdict
        self.side_drawing.show(job, pose, verdict)
        self.plan_drawing.show(job, pose, verdict)
        self._take_handles()
        self._follow()

    def _take_handles(self) -> None:
        self.side_view.handles = self.side_drawing.handles
        self.plan_view.handles = self.plan_drawing.handles

    def show_drift(self) -> None:
        """Draw how the arms drift in the pose shown."""
        self.plan_drawing.show_drift(arm_drift.arm_drifts(self._document.job, self._document.pose))

    def show_measure(self, path: str) -> str:
        """Draw the distance that an entry of the truck asks to be measured; returns what it is, in words."""
        measure = measures.measure_of(path, self._document.job.truck)
        self.side_drawing.show_measure(measure if measure and measure.view == "side" else None)
        self.plan_drawing.show_measure(measure if measure and measure.view == "plan" else None)
        return f"{measure.words[:1].upper()}{measure.words[1:]}." if measure else ""

    def point_at(self, check: Check | None) -> None:
        """Ring the place of a check."""
        if check is not None:
            self.side_drawing.point_at(side(check.place_m), check.part)

    # -------------------------------------------------------- hands

    def set_sizes(self, wanted: bool) -> None:
        """Let the handles of the side view change sizes of parts, or the pose again."""
        self.sizes_wanted = self.side_drawing.sizes_wanted = wanted
        self.show_verdict()

    def _drawing(self, view: View) -> Drawing:
        return self.side_drawing if view == "side" else self.plan_drawing

    def _body_at(self, view: View, at: QPointF) -> Body | None:
        """The body at a scene point; none while handles change sizes."""
        if self.sizes_wanted and view == "side":
            return None
        return self._drawing(view).body_at(bodies.bodies(self._document.job, view), at)

    def _mark_body(self, view: View, body: Body | None) -> None:
        self._drawing(view).mark_body(body)

    def _new_gesture(
        self, view: Literal["side", "plan"], handle: str, at: tuple[float, float]
    ) -> gestures.Gesture | gestures.SizeGesture:
        self.gesture_begins.emit()
        if handle.startswith(size_handles.PREFIX):
            return gestures.SizeGesture(self._document, handle, at)
        return gestures.Gesture(self._document, handle, view, at)

    @property
    def holding(self) -> bool:
        """A drag is going on."""
        return self.side_view.holding or self.plan_view.holding

    # -------------------------------------------------------- scale and place

    def fit(self) -> None:
        """Show truck, rig and load whole."""
        self._take_scale()  # the view may be lower now, with less written on it
        bounds = self.side_drawing.bounds()
        left, above, right, under = self.side_drawing.margins_px()
        view = self.side_view.viewport().rect()
        above += HEADROOM * view.height()
        width, height = max(view.width() - left - right, LEAST_PX), max(view.height() - above - under, LEAST_PX)
        scale = min(width / bounds.width(), height / bounds.height())
        if self.strip.shows_plan:
            plan_height = max(self.plan_view.viewport().height() - 2.0 * self.plan_drawing.margin_px(), LEAST_PX)
            scale = min(scale, plan_height / self.plan_drawing.bounds().height())
        middle = QPointF(
            bounds.center().x() + (right - left) / 2.0 / scale, bounds.center().y() + (under - above) / 2.0 / scale
        )
        self.side_view.look_at(middle, scale)
        self.side_view.by_hand = self.plan_view.by_hand = False

    def _follow(self) -> None:
        """Take the view along with what leaves it; where somebody chose what to see, only say that it is gone."""
        moving, seen = self.side_drawing.moving_bounds(), self.side_view.seen()
        by_hand, gone = self.side_view.by_hand or self.plan_view.by_hand, not seen.contains(moving)
        self._tell_away(_whereabouts(moving, seen) if gone and by_hand else "")
        edge = EDGE * min(seen.width(), seen.height())
        room = seen.adjusted(edge, edge, -edge, -edge)
        if by_hand or not gone or room.isEmpty():
            return
        shrink = min(room.width() / moving.width(), room.height() / moving.height(), 1.0)
        room = QRectF(QPointF(), room.size() / shrink)
        room.moveCenter(seen.center())
        right = min(moving.left() - room.left(), 0.0) or max(moving.right() - room.right(), 0.0)
        down = min(moving.top() - room.top(), 0.0) or max(moving.bottom() - room.bottom(), 0.0)
        self.side_view.look_at(seen.center() + QPointF(right, down), self.side_view.px_per_mm * shrink)

    def _tell_away(self, words: str) -> None:
        if words != self._away.text():
            self._away.setText(words)
            self._away.adjustSize()
        self._away.setVisible(bool(words))
        if words:
            self._away.move((self.side_view.width() - self._away.width()) // 2, 4)

    def _fit_unless_by_hand(self) -> None:
        if not (self.side_view.by_hand or self.plan_view.by_hand or self.holding):
            self.fit()

    def stop(self) -> None:
        """The window closes: fit no more."""
        self._refit.stop()

    def _link(self, moved: DrawingView) -> None:
        """Give the other view the scale and the x of the one that was moved, and draw both for that scale."""
        if self._linking:
            return
        self._linking = True
        other = self.plan_view if moved is self.side_view else self.side_view
        middle = other.scene_centre().y() if other is self.side_view else self._plan_middle()
        other.look_at(QPointF(moved.scene_centre().x(), middle), moved.px_per_mm)
        self._linking = False
        self._take_scale()
        if self._shows_verdict:
            self.side_drawing.show(self._document.job, self._document.pose, self._document.verdict)
        else:
            self.show_placed()

    def _take_scale(self) -> None:
        self.side_drawing.set_scale(self.side_view.px_per_mm, self.side_view.seen())
        self.plan_drawing.set_scale(self.plan_view.px_per_mm, self.plan_view.seen())

    def _plan_middle(self) -> float:
        top, bottom = self.plan_drawing.extent_y()
        return (top + bottom) / 2.0


def _whereabouts(moving: QRectF, seen: QRectF) -> str:
    """On which side of what is seen the rig goes on."""
    sides = (
        (moving.top() < seen.top(), "above"),
        (moving.bottom() > seen.bottom(), "below"),
        (moving.right() > seen.right(), "to the right"),
        (moving.left() < seen.left(), "to the left"),
    )
    words = " and ".join(word for gone, word in sides if gone)
    return f"The rig goes on {words}: F fits it" if words else ""
