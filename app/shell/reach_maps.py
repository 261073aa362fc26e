"""Keeps the reach maps behind both views up to date: in ever smaller cells, and never in the middle of a drag.

Maps from before the last change stay until new ones come, but turn grey once those are waited for. After a stop what
has come stays, and the bar under the drawing says that not everything was tried.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from functools import partial

from PySide6.QtCore import QObject, QTimer, Signal

from app.canvas.reach_layer import washes, words_at
from app.canvas.view import DrawingView
from app.documents.document import Document
from app.look.theme import Palette
from app.panels.waiting import Waiting
from app.shell.linked_views import LinkedViews
from app.workers import worker_tasks
from app.workers.background import MARK_MS, Background, Step
from app.workers.working_process import WorkingProcess
from engine.planning.reach import COARSE_M, FINE_M, FINEST_M, ReachMap

CELLS_M = COARSE_M, FINE_M, FINEST_M
OLD = "Before the last change:"


class ReachMaps(QObject):
    """Side map and plan map of one window, shown while they are wanted."""

    shown = Signal()
    """New maps are shown behind the drawing."""

    told = Signal(str)
    """A sentence to show under the drawing."""

    def __init__(self, document: Document, views: LinkedViews, process: WorkingProcess, parent: QObject) -> None:
        super().__init__(parent)
        self._document, self._views = document, (views.side_view, views.plan_view)
        for view in self._views:
            view.words_at = partial(self.words_at, view)
        self._colours: Palette | None = None
        self._maps: tuple[ReachMap | None, ReachMap | None] = (None, None)
        self._asked: tuple[object, ...] = ()
        self.wanted = False
        self.background = Background(self, process)
        self.background.partly.connect(self._take)
        self.background.answered.connect(self._take)
        self.background.failed.connect(
            lambda why: self.told.emit(f"Where the hook may be could not be worked out: {why}")
        )
        self.waiting = Waiting(
            self.background, "Where the hook may be", has_answer=lambda: any(self._maps), again=self._ask, low=True
        )
        views.strip.put_on_bar(self.waiting)
        self._are_old = False
        self._until_grey = QTimer(self, singleShot=True, interval=MARK_MS)
        self._until_grey.timeout.connect(lambda: self._put(self._maps, are_old=True))

    @property
    def maps(self) -> tuple[ReachMap | None, ReachMap | None]:
        """Side map and plan map shown now."""
        return self._maps

    def set_wanted(self, wanted: bool) -> None:
        """Show the maps, or take them away."""
        self.wanted = wanted
        if wanted:
            self.follow()
        else:
            self.background.forget()
            self.waiting.clear()
            self._asked = ()
            self._until_grey.stop()
            self._put((None, None))

    def set_theme(self, colours: Palette) -> None:
        """Colours of the maps."""
        self._colours = colours
        self._put(self._maps, self._are_old)

    def follow(self) -> None:
        """Ask for maps of the document as it is now, if they are wanted and not asked for already."""
        job, pose = self._document.job, self._document.pose
        asked = (job.truck, job.rig, job.load, job.floors, job.policy, job.approval, job.answers, pose)
        if not self.wanted or asked == self._asked:
            return
        self._asked = asked
        if any(self._maps) and not self._until_grey.isActive():
            self._until_grey.start()
        self._ask()

    def _ask(self) -> None:
        """Ask for maps in ever smaller cells, each to take the place of the one before."""
        job, pose = self._document.job, self._document.pose
        self.background.ask_in_steps(
            tuple(
                Step(worker_tasks.reach, (job, pose, ("side", "plan"), cell_m), work=1.0 / cell_m**2)
                for cell_m in CELLS_M
            )
        )

    def _take(self, maps: tuple[ReachMap, ReachMap]) -> None:
        self._until_grey.stop()
        self._put(maps)
        self.shown.emit()

    @contextlib.contextmanager
    def only_whole_ones(self) -> Iterator[None]:
        """Meanwhile no map is shown that is old or of which not everything was tried: none goes into a picture."""
        if not (self._are_old or self.background.asks or self.waiting.was_stopped):
            yield
            return
        maps, said = self._maps, not self.waiting.isHidden()
        self.waiting.hide()
        self._put((None, None), self._are_old)
        try:
            yield
        finally:
            self._put(maps, self._are_old)
            self.waiting.setVisible(said)

    def _put(self, maps: tuple[ReachMap | None, ReachMap | None], are_old: bool = False) -> None:
        self._maps, self._are_old = maps, are_old
        if self._colours is not None:
            for view, reach_map in zip(self._views, maps, strict=True):
                view.set_backdrop(washes(reach_map, self._colours, are_old))

    def words_at(self, view: DrawingView, x_m: float, across_m: float) -> str:
        """What holds with the hook at a place of one view (m), in words; empty where no map says."""
        words = words_at(self._maps[self._views.index(view)], self._document.job, x_m, across_m)
        return f"{OLD} {words}" if words and self._are_old else words
