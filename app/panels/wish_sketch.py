"""The drawing beside the questions for a new rig: what is wished so far, or the rig that was sized for it.

Seen from the side, with its hook to pull; and from above once the rig has arms, so that the hook's side is seen.
"""

from __future__ import annotations

from typing import Generic, TypeVar

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from app.canvas.plan import PlanDrawing
from app.canvas.sheet import Sheet
from app.canvas.side import SideDrawing
from app.canvas.style import Ink
from app.canvas.transform import distance, metres, side
from app.look.theme import Palette
from engine.rig.kinematics import Placed, drawn
from engine.schema.model import Job

LEAST_EMS, LEAST_PLAN_EMS = (16, 7), (16, 3)
"""Least width and height in lines of text."""

GRAB_PX = 22.0
"""The hook is under the pointer within this distance, and so is the load where it is drawn."""

ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}


D = TypeVar("D", SideDrawing, PlanDrawing)


class _JobSheet(Sheet, Generic[D]):
    """A drawing of the first pose of a job."""

    drawing: D

    def __init__(self, name: str, colours: Palette, least_ems: tuple[int, int], parent: QWidget | None) -> None:
        super().__init__(name, parent)
        self.setBackgroundBrush(QColor(colours.sheet))
        self._least_ems = least_ems
        self._shown: Job | None = None

    def _fit(self, job: Job) -> None:
        self._draw(job, apart=False)  # for its extent only
        scale = self.fit(self.drawing.bounds(), self._margins_px())
        self.drawing.set_scale(scale, self.mapToScene(self.viewport().rect()).boundingRect())
        self._draw(job)  # again, as tags keep their size on the screen

    def _draw(self, job: Job, *, apart: bool = True) -> None:
        pose = job.poses[0]
        placed = drawn(job, pose)
        self.drawing.show_placed(job, pose, placed, apart=apart)
        self.drawing.hide_handles()
        self._mark(placed)

    def _margins_px(self) -> tuple[float, float, float, float]:
        """Screen room at left, top, right and bottom."""
        raise NotImplementedError

    def _mark(self, placed: Placed) -> None:
        """Show what else is wanted of what was placed."""

    def sizeHint(self) -> QSize:
        return self.minimumSizeHint()

    def minimumSizeHint(self) -> QSize:
        wide, tall = self._least_ems
        line_px = self.fontMetrics().height()
        return QSize(wide * line_px, tall * line_px)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._shown is not None and self._may_fit:
            self._fit(self._shown)

    @property
    def _may_fit(self) -> bool:
        return True


class WishPlan(_JobSheet[PlanDrawing]):
    """The rig from above: to which side of the truck's middle its hook hangs."""

    def __init__(self, colours: Palette, font: QFont, parent: QWidget | None = None) -> None:
        super().__init__("sketch of the rig, from above", colours, LEAST_PLAN_EMS, parent)
        self.drawing = PlanDrawing(self.scene(), Ink(colours, font), plain=True)

    def _margins_px(self) -> tuple[float, float, float, float]:
        return self.drawing.plain_margins_px()

    def show_job(self, job: Job | None) -> None:
        """Draw a job with arms; anything else hides the sheet."""
        self._shown = job if job is not None and job.rig.arms else None
        self.setVisible(self._shown is not None)
        if self._shown is not None:
            self._fit(self._shown)


class WishSketch(_JobSheet[SideDrawing]):
    """A side view of the first pose of a job, whose hook can be pulled with the mouse or the arrow keys."""

    pulled = Signal(float, float)
    """Reach from the fork face and height (m) to which the hook was pulled."""

    stepped = Signal(int, int)
    """Steps ahead and up that the arrow keys ask for."""

    def __init__(self, colours: Palette, font: QFont, parent: QWidget | None = None) -> None:
        super().__init__("sketch of the rig, side view: pull the hook", colours, LEAST_EMS, parent)
        self.drawing = self._new_drawing(Ink(colours, font))
        self.job: Job | None = None
        """What is drawn; None while it is only an example."""
        self._hook = QPointF()
        self.side_m = 0.0
        """The hook's place left of the truck's middle."""
        self._face_mm = 0.0
        self._held: QPointF | None = None
        """From the pointer to the hook, while it is held."""
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.viewport().setMouseTracking(True)
        self.setToolTip("Pull the hook or the load, or move it with the arrow keys: reach and height follow")

    def _margins_px(self) -> tuple[float, float, float, float]:
        return self.drawing.margins_px()

    def _new_drawing(self, ink: Ink) -> SideDrawing:
        drawing = SideDrawing(self.scene(), ink, plain=True)
        drawing.reach_from_forks = True
        return drawing

    def show_job(self, job: Job | None, example: Job | None = None) -> None:
        """Draw a job, or an example in its place, faint; neither leaves the sheet empty."""
        self.job = job
        self._shown = job or example
        if self._shown is None:
            self.scene().clear()
            self.drawing = self._new_drawing(self.drawing.ink)
            return
        for item in self.scene().items():
            item.setOpacity(1.0)
        if self._may_fit:
            self._fit(self._shown)
        else:
            self._draw(self._shown)
        self._fade(faint=job is None)

    def _fade(self, *, faint: bool) -> None:
        """An example is faint, all but the hook that waits to be pulled."""
        if faint:
            for item in self.scene().items():
                if item.parentItem() is None and item is not self.drawing.handles["hook"]:
                    item.setOpacity(FAINT)

    def _mark(self, placed: Placed) -> None:
        self.side_m = float(placed.hook_m.y)
        self._hook, self._face_mm = side(placed.hook_m), side(placed.frames["forks"].origin).x()
        self.drawing.handles["hook"].setVisible(True)

    @property
    def hook_px(self) -> QPointF:
        """Where the hook stands in the viewport."""
        return QPointF(self.mapFromScene(self._hook))

    # -------------------------------------------------------- pulling

    @property
    def _may_fit(self) -> bool:
        """Not in a pull: what is under the pointer stays there."""
        return self._held is None

    def _is_over_hook(self, at: QPointF) -> bool:
        if self._shown is None:
            return False
        load = self.drawing.part("load")
        return distance(at, self.hook_px) <= GRAB_PX or (
            load.isVisible() and load.contains(load.mapFromScene(self.mapToScene(at.toPoint())))
        )

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        if event.button() == Qt.MouseButton.LeftButton and self._is_over_hook(at):
            self._held = self._hook - self.mapToScene(at.toPoint())
            self.drawing.handles["hook"].set_held(True)
            self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held is None:
            over = self._is_over_hook(event.position())
            self.viewport().setCursor(Qt.CursorShape.OpenHandCursor if over else Qt.CursorShape.ArrowCursor)
            return
        self._pull(event.position())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._held is None or event.button() != Qt.MouseButton.LeftButton:
            return
        self._held = None
        self.drawing.handles["hook"].set_held(False)
        self.viewport().setCursor(Qt.CursorShape.OpenHandCursor)
        if self._shown is not None:
            self._fit(self._shown)
            self._fade(faint=self.job is None)

    def _pull(self, at: QPointF) -> None:
        assert self._held is not None
        ahead_m, up_m = metres(self.mapToScene(at.toPoint()) + self._held - QPointF(self._face_mm, 0.0))
        self.pulled.emit(ahead_m, up_m)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = ARROWS.get(Qt.Key(event.key()))
        if steps is None or self._shown is None:
            super().keyPressEvent(event)
            return
        many = 10 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
        self.stepped.emit(many * steps[0], many * steps[1])


FAINT = 0.35
"""How much of an example is seen."""
