"""Keeps the reach maps behind both views up to date: coarse first, then fine, and never in the middle of a drag.

Maps from before the last change stay until new ones come, but turn grey once those are waited for.
"""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QObject, QTimer, Signal

from app.canvas.reach_layer import washes, words_at
from app.canvas.view import DrawingView
from app.documents.document import Document
from app.look.theme import Palette
from app.workers import worker_tasks
from app.workers.background import MARK_MS, Background
from engine.planning.reach import COARSE_M, FINE_M, ReachMap

OLD = "Before the last change:"


class ReachMaps(QObject):
    """Side map and plan map of one window, shown while they are wanted."""

    shown = Signal()
    """New maps are shown behind the drawing."""

    def __init__(self, document: Document, side: DrawingView, plan: DrawingView, parent: QObject) -> None:
        super().__init__(parent)
        self._document, self._views = document, (side, plan)
        for view in self._views:
            view.words_at = partial(self.words_at, view)
        self._colours: Palette | None = None
        self._maps: tuple[ReachMap | None, ReachMap | None] = (None, None)
        self._asked: tuple[object, ...] = ()
        self._cell_m = COARSE_M
        self.wanted = False
        self.background = Background(self)
        self.background.answered.connect(self._take)
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
        self._ask(COARSE_M)

    def _ask(self, cell_m: float) -> None:
        self._cell_m = cell_m
        self.background.ask(worker_tasks.reach, self._document.job, self._document.pose, ("side", "plan"), cell_m)

    def _take(self, maps: tuple[ReachMap, ReachMap]) -> None:
        if not self.wanted:
            return
        self._until_grey.stop()
        self._put(maps)
        self.shown.emit()
        if self._cell_m == COARSE_M:
            self._ask(FINE_M)

    def _put(self, maps: tuple[ReachMap | None, ReachMap | None], are_old: bool = False) -> None:
        self._maps, self._are_old = maps, are_old
        if self._colours is not None:
            for view, reach_map in zip(self._views, maps, strict=True):
                view.set_backdrop(washes(reach_map, self._colours, are_old))

    def words_at(self, view: DrawingView, x_m: float, across_m: float) -> str:
        """What holds with the hook at a place of one view (m), in words; empty where no map says."""
        words = words_at(self._maps[self._views.index(view)], self._document.job, x_m, across_m)
        return f"{OLD} {words}" if words and self._are_old else words
