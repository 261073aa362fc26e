"""The small side view beside the questions for a new rig: what is wished so far, or the rig that was sized for it."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtGui import QColor, QFont, QResizeEvent
from PySide6.QtWidgets import QWidget

from app.canvas.sheet import Sheet
from app.canvas.side import SideDrawing
from app.canvas.style import Ink
from app.look.theme import Palette
from engine.rig.kinematics import drawn
from engine.schema.model import Job

LEAST_EMS = (16, 11)
"""Least width and height in lines of text."""


class WishSketch(Sheet):
    """A side view of the first pose of a job, in the window's own drawing."""

    def __init__(self, colours: Palette, font: QFont, parent: QWidget | None = None) -> None:
        super().__init__("sketch of the rig, side view", parent)
        self.setBackgroundBrush(QColor(colours.sheet))
        self.drawing = SideDrawing(self.scene(), Ink(colours, font), plain=True)
        self.job: Job | None = None
        """What is drawn."""

    def show_job(self, job: Job | None) -> None:
        """Draw a job; None leaves the sheet empty."""
        self.job = job
        if job is None:
            self.scene().clear()
            self.drawing = SideDrawing(self.scene(), self.drawing.ink, plain=True)
        else:
            self._fit(job)

    def _fit(self, job: Job) -> None:
        self._draw(job)
        scale = self.fit(self.drawing.bounds(), self.drawing.margins_px())
        self.drawing.set_scale(scale, self.mapToScene(self.viewport().rect()).boundingRect())
        self._draw(job)  # again, as tags keep their size on the screen

    def _draw(self, job: Job) -> None:
        pose = job.poses[0]
        self.drawing.show_placed(job, pose, drawn(job, pose))
        self.drawing.hide_handles()

    def sizeHint(self) -> QSize:
        return self.minimumSizeHint()

    def minimumSizeHint(self) -> QSize:
        wide, tall = LEAST_EMS
        line_px = self.fontMetrics().height()
        return QSize(wide * line_px, tall * line_px)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self.job is not None:
            self._fit(self.job)
