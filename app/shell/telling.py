"""What the window shows to explain a pose: weigh-up, why not, ghosts, stay-clear outline, helper view.

It follows the document through the window, which calls ``show`` after its own drawings have followed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QPainterPath

from app.canvas import ghosts
from app.canvas.plan import PlanDrawing
from app.canvas.side import SideDrawing
from app.canvas.style import Ink
from app.documents.document import Document
from app.panels.margin import MarginPanel
from app.panels.tab_strip import TabStrip
from app.panels.why import words_of
from app.workers.background import Background
from engine.base.lazy import lazy
from engine.explain.overturn import Overturn, overturning
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import Verdict

if TYPE_CHECKING:
    from app.panels.limits_list import LimitsPanel
    from app.panels.moment_balance import MomentBalancePanel
    from app.panels.why import WhyPanel
    from app.shell.helper import HelperView
    from engine.explain.why import Statement, Why
    from engine.planning.remedy import Advice

helping, worker_tasks, reasons = lazy("app.shell.helper"), lazy("app.workers.worker_tasks"), lazy("engine.explain.why")


class ExplanationHost(Protocol):
    """What is explained in; the main window is one."""

    document: Document
    tabs: TabStrip
    margin: MarginPanel
    parts_panel: LimitsPanel
    side_drawing: SideDrawing
    plan_drawing: PlanDrawing
    ink: Ink

    def fit(self) -> None: ...
    def panel(self, name: str) -> object: ...
    def tell(self, words: str) -> None: ...


class Reason(QObject):
    """Cause, order and remedy, worked out once for each job and pose; a remedy comes later, from a process of its own."""

    found = Signal()
    """A remedy has come for what was asked last."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._asked: tuple[Job, Pose, Verdict] | None = None
        self._answer: Why | None = None
        self.background = Background(self)
        self.background.answered.connect(self._take)
        self.background.failed.connect(self._fail)

    def __call__(self, document: Document) -> Why:
        asked = (document.job, document.pose, document.verdict)
        if self._answer is None or any(a is not b for a, b in zip(asked, self._asked, strict=True)):
            self._asked, self._answer = asked, reasons.why(*asked)
            if self._answer.remedy is None:
                self.background.ask(worker_tasks.remedy, document.job, document.pose)
            else:
                self.background.forget()
        return self._answer

    def _fail(self, _why: str) -> None:
        self._answered(reasons.Statement(words=FAILED))

    def _take(self, advice: Advice) -> None:
        self._answered(reasons.remedy_of(advice) or reasons.Statement(words=FAILED))

    def _answered(self, remedy: Statement) -> None:
        self._answer = reasons.why(*self._asked, remedy)
        self.found.emit()


FAILED = "No remedy could be worked out; this pick is not to be made like this."


class Telling:
    """Explains the document of one window."""

    def __init__(self, window: ExplanationHost) -> None:
        self._window = window
        self.reason = Reason(window)
        self.reason.found.connect(self._remedy_found)
        window.margin.why.clicked.connect(self.ask_why)
        self.held: ghosts.Held | None = None
        self.over: Overturn | None = None
        self.stay_clear = False
        self.helper: HelperView | None = None

    @property
    def weigh_up(self) -> MomentBalancePanel:
        """The see-saw."""
        return self._window.panel("Weigh-up")

    @property
    def why_panel(self) -> WhyPanel:
        """Cause, order and remedy."""
        return self._window.panel("Why")

    # -------------------------------------------------------- showing

    def show(self, document: Document) -> None:
        """Follow the document: ghosts, button, helper view."""
        window = self._window
        words = words_of(document.verdict.state)
        if words != window.margin.why.text():
            window.margin.why.setText(words)
        for drawing in (window.side_drawing, window.plan_drawing):
            if drawing.stay_clear_wanted != self.stay_clear:
                drawing.stay_clear_wanted = self.stay_clear
                drawing.show(document.job, document.pose, document.verdict)
        self._show_held()
        self._show_over(document)
        if self.helper is not None:
            self.helper.show_document()

    def _show_held(self) -> None:
        held, empty = self.held, QPainterPath()
        side, plan = self._window.side_drawing, self._window.plan_drawing
        side.show_held(held.side if held else empty, f"held: {held.name}" if held else "")
        plan.show_held(held.plan if held else empty)

    def _show_over(self, document: Document) -> None:
        window, verdict = self._window, document.verdict
        self.over = overturning(document.job, verdict)
        sides = plans = QPainterPath()
        over = self.over
        if over is not None:
            if over.line.name in ("front", "rear"):
                sides = ghosts.over_end(window.side_drawing, over, verdict)
            else:
                plans = ghosts.over_side(document.job, over, document.pose, verdict)
        window.side_drawing.show_over(sides, over)
        window.plan_drawing.show_over(plans, None if plans.isEmpty() else over)

    # -------------------------------------------------------- commands

    def _remedy_found(self) -> None:
        if self._window.tabs.tabText(self._window.tabs.currentIndex()) == "Why":
            self.why_panel.show_document(self._window.document)
        if self.helper is not None:
            self.helper.show_document()

    def ask_why(self) -> None:
        """Bring the three sentences to the front."""
        tabs = self._window.tabs
        names = [tabs.tabText(index) for index in range(tabs.count())]
        tabs.setCurrentIndex(names.index("Why"))
        self.why_panel.sentences["Cause"].setFocus()

    def hold(self) -> None:
        """Keep the pose and rig shown as a ghost to compare with."""
        document, window = self._window.document, self._window
        self.held = ghosts.hold(document.job, document.pose, document.verdict, window.ink)
        self._follow_held()

    def let_go(self) -> None:
        """Drop the ghost."""
        self.held = None
        self._follow_held()

    def _follow_held(self) -> None:
        document = self._window.document
        self._window.parts_panel.hold(self.held)
        self._window.parts_panel.show_verdict(document.job, document.verdict)
        self.show(document)

    def set_stay_clear(self, wanted: bool) -> None:
        """Show or hide the outline nobody stands in, and fit the drawing to it."""
        self.stay_clear = wanted
        self.show(self._window.document)
        self._window.fit()

    def open_helper(self) -> HelperView:
        """Open the helper view over the whole screen; closing it leaves everything as it was."""
        if self.helper is None:
            window = self._window
            self.helper = helping.HelperView(window.document, window.ink.colours, self.reason)
            self.helper.left.connect(self._helper_left)
            self.helper.showFullScreen()
        return self.helper

    def _helper_left(self) -> None:
        helper, self.helper = self.helper, None
        if helper is not None:
            helper.deleteLater()

    def close(self) -> None:
        """The window goes, and with it the helper view."""
        self.reason.background.close()
        if self.helper is not None:
            self.helper.close()
