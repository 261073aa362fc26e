"""What explains the pose shown: why not, ghosts, stay-clear outline, helper view."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QPainterPath
from PySide6.QtWidgets import QPushButton

from app.canvas import ghosts
from app.documents.document import Document
from app.panels.why import question_words
from app.shell.linked_views import LinkedViews
from app.shell.panel_registry import LIMITS, WHY, Panels
from app.workers.reason import Reason
from engine.base.lazy import lazy
from engine.explain.overturn import Overturn, overturning

if TYPE_CHECKING:
    from app.shell import helper
else:
    helper = lazy("app.shell.helper")


class Explanations:
    """Explains the document of one window, which calls ``show`` once its own drawings show the change."""

    def __init__(self, document: Document, views: LinkedViews, panels: Panels, why_button: QPushButton) -> None:
        self._document, self._views, self._panels, self._why_button = document, views, panels, why_button
        self.reason = Reason(views, panels.process)
        self.reason.remedy_came.connect(self._show_remedy)
        why_button.clicked.connect(self.ask_why)
        self.held: ghosts.Held | None = None
        self.over: Overturn | None = None
        self.stay_clear = False
        self.helper: helper.HelperView | None = None

    # -------------------------------------------------------- showing

    def show(self) -> None:
        """Follow the document: ghosts, button, helper view."""
        document, button = self._document, self._why_button
        words = question_words(document.verdict.state)
        if words != button.text():
            button.setText(words)
        for drawing in (self._views.side_drawing, self._views.plan_drawing):
            if drawing.stay_clear_wanted != self.stay_clear:
                drawing.stay_clear_wanted = self.stay_clear
                drawing.show(document.job, document.pose, document.verdict)
        self._show_held()
        self._show_overturning()
        if self.helper is not None:
            self.helper.show_document()

    def _show_held(self) -> None:
        held, empty = self.held, QPainterPath()
        self._views.side_drawing.show_held(held.side if held else empty, f"held: {held.name}" if held else "")
        self._views.plan_drawing.show_held(held.plan if held else empty)

    def _show_overturning(self) -> None:
        document, side, plan = self._document, self._views.side_drawing, self._views.plan_drawing
        verdict = document.verdict
        over = self.over = overturning(document.job, verdict)
        side_path = plan_path = QPainterPath()
        if over is not None:
            if over.line.name in ("front", "rear"):
                side_path = ghosts.over_end(side, over, verdict)
            else:
                plan_path = ghosts.over_side(plan, document.job, over, document.pose, verdict)
        side.show_over(side_path, over)
        plan.show_over(plan_path, None if plan_path.isEmpty() else over)

    def _show_remedy(self) -> None:
        if self._panels.shown is WHY:
            self._panels[WHY].show_document(self._document)
        if self.helper is not None:
            self.helper.show_document()

    # -------------------------------------------------------- commands

    def ask_why(self) -> None:
        """Bring the three sentences to the front."""
        self._panels.bring(WHY).sentences["Cause"].setFocus()

    def hold(self) -> None:
        """Keep the pose and rig shown as a ghost to compare with."""
        document = self._document
        self._compare_with(ghosts.hold(document.job, document.pose, document.verdict, self._views.ink))

    def let_go(self) -> None:
        """Drop the ghost."""
        self._compare_with(None)

    def _compare_with(self, held: ghosts.Held | None) -> None:
        self.held = held
        limits = self._panels[LIMITS]
        limits.hold(held)
        limits.show_verdict(self._document.job, self._document.verdict)
        self.show()

    def set_stay_clear(self, wanted: bool) -> None:
        """Show or hide the outline nobody stands in, and fit the drawing to it."""
        self.stay_clear = wanted
        self.show()
        self._views.fit()

    def open_helper(self) -> helper.HelperView:
        """Open the helper view over the whole screen; closing it leaves everything as it was."""
        if self.helper is None:
            self.helper = helper.HelperView(self._document, self._views.ink.colours, self.reason)
            self.helper.left.connect(self._helper_left)
            self.helper.showFullScreen()
        return self.helper

    def _helper_left(self) -> None:
        left, self.helper = self.helper, None
        if left is not None:
            left.deleteLater()

    def close(self) -> None:
        """The window closes, and with it the helper view."""
        self.reason.background.close()
        if self.helper is not None:
            self.helper.close()
