"""The main window: puts drawing, verdict block, panels and commands together and computes nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QEvent, QSettings, Qt, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QResizeEvent
from PySide6.QtWidgets import QMainWindow, QSplitter

from app.look.appearance import Appearance
from app.panels.banner import Banner
from app.panels.page import Page
from app.panels.stage_bar import StageBar
from app.panels.verdict_block import VerdictBlock
from app.shell import preferences
from app.shell.drag_pace import DragPace
from app.shell.first_hint import FirstHint
from app.shell.linked_views import LinkedViews
from app.shell.notice import Notice
from app.shell.panel_registry import Panels
from app.shell.regions import Region, Regions
from app.shell.start_up import StartUp
from engine.base.lazy import lazy

if TYPE_CHECKING:
    from app.documents.document import Document
    from app.documents.file_commands import Elsewhere
    from app.panels import rail
    from app.shell import commands, rail_paper
    from app.workers.reason import Reason
else:
    commands = lazy("app.shell.commands")  # not on the first paint
    rail, rail_paper = lazy("app.panels.rail"), lazy("app.shell.rail_paper")

MENUS = ("&File", "&Edit", "&View", "&Pick", "Pape&rs", "&Help")

PANEL_CHARACTERS = 56
PANEL_SHARE = 0.39
"""The panels never take more of the window than this to start with; the drawing comes first."""

RAIL_FROM_PX, RAIL_PX = 1600, 440
"""Width at 100 % text from which a window has a rail beside its panels, and the rail's own."""


class Window(QMainWindow):
    """One window on one document."""

    closed = Signal()
    """The window is closed for good."""

    def __init__(
        self, document: Document, settings: QSettings | None = None, elsewhere: Elsewhere | None = None
    ) -> None:
        """``elsewhere`` are the other windows, if there can be any."""
        super().__init__()
        self.document = document
        self._settings = settings or QSettings("Tailweight", "Tailweight")
        self._elsewhere = elsewhere
        self._commands: commands.Commands | None = None
        self.rail: rail.Rail | None = None
        """What explains the pose, beside the panels of a wide window; made when the window is first so wide."""
        self._rail_paper: rail_paper.RailPaper | None = None
        self._closed = self._asked = self._split_kept = False
        self.setAccessibleName("Tailweight")
        self.setAcceptDrops(True)
        self.appearance = Appearance(self._settings, self)
        self.appearance.apply_to(self)  # before there is anything in the window: what comes after takes it up
        self.banner, self.stages, self.block, self.notice = Banner(), StageBar(), VerdictBlock(), Notice()
        self.hint = FirstHint(self._settings)
        self.views = LinkedViews(document, self.appearance.colours, self.appearance.drawing_font(self))
        self.panels = Panels(document, self._reason)
        self._lay_out()
        self.menu_heads = {head: self.menuBar().addMenu(head) for head in MENUS}
        self.start_up = StartUp(self.views.painted, self._make_the_rest, self)
        self.pace = DragPace(
            self,
            tell_beside=self._tell_beside,
            fill_panel=self._fill_panels,
            panel_asks=self.panels.shown_asks,
            follow_at_rest=self._follow_at_rest,
        )
        self._connect()
        self.resize(1280, 800)
        self._take_theme()
        self._take_arrangement()
        self.views.show_placed()
        self.banner.set_approval(document.job.approval)
        self._show_title()

    def _lay_out(self) -> None:
        self.views.strip.put_under(self.notice)
        self._split = QSplitter(Qt.Orientation.Horizontal)
        self._split.splitterMoved.connect(self._split_moved)
        self._split.addWidget(self.views)
        self._split.addWidget(self.panels)
        self._split.setStretchFactor(0, 1)
        self._split.setStretchFactor(1, 0)
        self._split.setCollapsible(0, False)
        self.setCentralWidget(Page(self.banner, self.stages, self.block, self.hint, self._split))

    def _connect(self) -> None:
        self.document.changed.connect(self._show)
        self.document.filed.connect(self._show_title)
        self.appearance.changed.connect(self.apply_look)
        for head in self.menu_heads.values():
            head.aboutToShow.connect(self.start_up.complete)
        self.views.gesture_begins.connect(self.start_up.complete)
        self.views.gesture_begins.connect(self.notice.clear)
        for view in (self.views.side_view, self.views.plan_view):
            view.grabbed.connect(self.hint.pulled)
        self.views.body_clicked.connect(self._show_body)
        self.block.narrowed.connect(lambda narrow: self.views.strip.fold(folded=narrow))
        self.panels.told.connect(self.notice.tell)
        self.panels.check_chosen.connect(self.views.point_at)
        self.panels.entry_chosen.connect(lambda path: self.notice.report(self.views.show_measure(path)))
        self.panels.currentChanged.connect(self._show_chosen_panel)
        self.stages.chosen.connect(self.panels.show_group)
        self.stages.next_wanted.connect(lambda: self.commands.missing.go(1))
        self.block.entry_wanted.connect(self._open_entry)
        self.stages.set_stage(self.panels.group)
        self.views.side_view.setFocus()

    # -------------------------------------------------------- what the first paint does not wait for

    @property
    def commands(self) -> commands.Commands:
        """Files, papers, explanations, reach maps, menus; whoever asks for them first completes the window."""
        self.start_up.complete()
        if self._commands is None:
            raise RuntimeError("the window was closed before it was complete")
        return self._commands

    def _make_the_rest(self) -> None:
        self._commands = made = commands.Commands(
            self,
            self.document,
            self._settings,
            self._elsewhere,
            views=self.views,
            panels=self.panels,
            notice=self.notice,
            why_button=self.block.why,
            stages=self.stages,
            hint=self.hint,
            pictured=(self.banner, self.block, self.views),
            regions=Regions(self._regions),
        )
        made.fill_menus(self.menu_heads, self.appearance)
        self._offer_rail()
        self._show()
        if self.document.unsaved:
            made.files.recovery.keep()  # a rig that was just made: whoever is told of failures listens only now
        made.files.watch.look()  # the file may have changed since it was read: it was not watched until now
        made.files.tell_changes()

    # -------------------------------------------------------- the rail of a wide window

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self.start_up.done:
            self._offer_rail()

    def _offer_rail(self) -> None:
        """Show the rail where the window is wide enough for it, or hide it."""
        wide = self.width() * 100 >= RAIL_FROM_PX * self.appearance.text_size
        if wide and self.rail is None:
            self.rail = made = self._new_rail()
            made.hide()
            self._split.addWidget(made)
            self._split.setStretchFactor(2, 0)
        if self.rail is None or wide is not self.rail.isHidden():
            return
        self.rail.setVisible(wide)
        self.panels.set_two_open(wide)
        self.panels.fill_second()
        if wide:
            self._point_rail()
            self.rail.show_document(self.document)
            drawing_px, panel_px, *_ = self._split.sizes()
            self._split.setSizes([drawing_px - self._rail_px, panel_px, self._rail_px])
        else:
            self.rail.forget()

    @property
    def _rail_px(self) -> int:
        """Width of the rail at the size of text."""
        return RAIL_PX * self.appearance.text_size // 100

    def _new_rail(self) -> rail.Rail:
        self._rail_paper = paper = rail_paper.RailPaper(lambda: self.commands.papers.page)
        made = rail.Rail(self.panels.process, paper)
        for part in (made, paper):
            part.set_theme(self.appearance.colours)
        made.check_chosen.connect(self.views.point_at)
        self.panels.check_chosen.connect(made.show_chosen)
        self.panels.paper_chosen.connect(paper.choose)
        return made

    def _point_rail(self) -> None:
        """Let the rail explain for the section that is open."""
        if self.rail is not None:
            tab = self.panels.shown
            self.rail.set_section(tab.stage, tab.name, tab.parts)

    def _fill_panels(self) -> None:
        self.panels.fill_shown()
        if not self.views.holding:
            self.panels.fill_second()
            if self.rail is not None and not self.rail.isHidden():
                self.rail.show_document(self.document)

    def _regions(self) -> list[Region]:
        views, panels, rail_there = self.views, self.panels, self.rail
        regions: list[Region] = [
            (self.stages, lambda: self.stages.buttons[panels.group]),
            (self.block, lambda: self.block.why),
            (views.side_view, lambda: views.side_view),
            (views.plan_view, lambda: views.plan_view),
            (views.strip.place, lambda: panels.strip_part or views.strip.place),
            (panels, lambda: panels.open_head),
        ]
        if rail_there is not None:
            regions.append((rail_there, lambda: rail_there.first_for_keyboard))
        return regions

    def _reason(self) -> Reason:
        return self.commands.explanations.reason

    # -------------------------------------------------------- look

    def apply_look(self) -> None:
        """Take up light or dark and the text size as the settings have them."""
        self.appearance.apply_to(self)
        self.views.take_look(self.appearance.colours, self.appearance.drawing_font(self))
        self._take_theme()
        if self._commands is not None:
            self._commands.reach_maps.set_theme(self.appearance.colours)
            self._show()
        else:
            self.views.show_placed()

    def _take_theme(self) -> None:
        for part in (self.banner, self.stages, self.block, self.panels):
            part.set_theme(self.appearance.colours)
        if self.rail is not None:
            for part in (self.rail, self._rail_paper):
                assert part is not None  # they are made together
                part.set_theme(self.appearance.colours)
            self._offer_rail()
        metrics = self.fontMetrics()
        panel_px = min(metrics.averageCharWidth() * PANEL_CHARACTERS, int(self.width() * PANEL_SHARE))
        if not self._split_kept:
            rail_px = 0 if self.rail is None or self.rail.isHidden() else self._rail_px
            self._split.setSizes([self.width() - panel_px - rail_px, panel_px, *([rail_px] if rail_px else [])])

    # -------------------------------------------------------- as it was left

    def _take_arrangement(self) -> None:
        """Panels as wide, the plan folded and the stage shown as when a window was last closed."""
        split, folded = self._settings.value("split"), self._settings.value("plan_folded")
        if isinstance(split, QByteArray):
            self._split_kept = self._split.restoreState(split)
        if folded is not None:
            self.views.strip.fold_by_hand(folded=str(folded) == "true")
        section = self.panels.index_of(str(self._settings.value("section", "")))
        if section is not None:
            self.panels.start_with(section)
            self.stages.set_stage(self.panels.group)

    def _keep_arrangement(self) -> None:
        preferences.keep(self, self._settings)
        self._settings.setValue("section", self.panels.tabText(self.panels.currentIndex()))
        if self._split_kept:
            if self.rail is not None and not self.rail.isHidden():  # a window is first shown without it
                drawing_px, panel_px, rail_px = self._split.sizes()
                self.rail.hide()
                self._split.setSizes([drawing_px + rail_px, panel_px])
            self._settings.setValue("split", self._split.saveState())
        if self.views.strip.folded_by_hand is not None:
            self._settings.setValue("plan_folded", "true" if self.views.strip.folded_by_hand else "false")

    def _split_moved(self) -> None:
        self._split_kept = True

    # -------------------------------------------------------- showing the document

    def _show(self) -> None:
        """Show the document after a change, everything of it or what follows a drag at every step."""
        if not self.start_up.done:
            self.start_up.complete()  # which shows it
            return
        document = self.document
        self.views.show_verdict()
        self.block.show_verdict(document.job, document.pose, document.verdict, at_once=self.views.holding)
        self.banner.set_approval(document.job.approval)
        self.commands.explanations.show()
        if self.views.units != document.units:
            self.views.take_units()
            self.commands.unit_actions[document.units].setChecked(True)
        self.notice.show_problem(document)
        if self.views.holding:
            if self.rail is not None:
                self.rail.forget()
            self.pace.step()
        else:
            self.pace.settle()
            self.commands.missing.show()
            self._show_title()

    def _follow_at_rest(self) -> None:
        self.commands.reach_maps.follow()

    def _tell_beside(self) -> None:
        self.notice.show_collisions(self.document)
        self.views.show_drift()

    def _show_chosen_panel(self) -> None:
        self.views.strip.offer(self.panels.strip_part)
        self.stages.set_stage(self.panels.group)
        self._point_rail()
        if self._commands is not None:  # else it comes with the verdict
            self.pace.catch_up()
            self.panels.tell_lines()

    def _show_body(self, path: str) -> None:
        """The fields of a body that was clicked; the keyboard stays on the drawing."""
        self.panels.show_entry(path)

    def _open_entry(self, path: str) -> None:
        self.commands.missing.open(path)

    def _show_title(self) -> None:
        document = self.document
        name = document.path.name if document.path else "not saved yet"
        name += ", read-only" if document.read_only else ""
        name += ", not saved" if document.unsaved and document.path else ""
        caution = "" if document.job.approval else " - NOT APPROVED: planning only"
        self.setWindowTitle(f"[*]{document.job.name} ({name}){caution} - Tailweight")
        self.setWindowModified(document.unsaved)

    # -------------------------------------------------------- what comes from outside

    def may_close(self) -> bool:
        """Whether the window may be closed: nothing in it is unsaved, or the person says so."""
        return not self.document.unsaved or self.commands.files.may_leave()

    def close_unasked(self) -> None:
        """Close the window of which the person has said what is to become of its work."""
        self._asked = True
        self.close()

    def closeEvent(self, event: QCloseEvent) -> None:
        if self._closed:
            return
        if not self._asked and not self.may_close():
            event.ignore()
            return
        self._closed = True
        self._keep_arrangement()
        self.start_up.give_up()
        self.pace.stop()
        self.views.stop()
        self.end_questions()
        if self._commands is not None:
            self._commands.close()
        self.document.changed.disconnect(self._show)
        self.document.filed.disconnect(self._show_title)
        self.document.close()
        event.accept()
        self.closed.emit()

    def end_questions(self) -> None:
        """The window is not looked at any more, and with it end its working processes."""
        self.panels.end_questions()
        if self._rail_paper is not None:
            self._rail_paper.close_process()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        event.acceptProposedAction()
        self.commands.files.dropped(event.mimeData().urls())

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and self.isActiveWindow() and self._commands is not None:
            self._commands.files.watch.look()
