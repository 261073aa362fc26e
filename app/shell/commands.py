"""What a window does once it is painted: files, papers, explanations, reach maps, menus.

Nothing here is on the first paint; the window loads this module when it completes itself.
"""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QSettings, Qt
from PySide6.QtWidgets import QMainWindow, QMenu, QPushButton, QWidget

from app.canvas.view import DrawingView
from app.documents.document import Document
from app.documents.file_commands import Elsewhere, FileCommands
from app.look.appearance import Appearance
from app.panels.fields import QuantityField
from app.panels.figure_editor import FigureField
from app.panels.keys import KeysSheet
from app.panels.stage_bar import StageBar
from app.shell import first_rig, menus, preferences
from app.shell.explanations import Explanations
from app.shell.first_hint import FirstHint
from app.shell.linked_views import LinkedViews
from app.shell.missing_walk import MissingWalk
from app.shell.notice import Notice
from app.shell.panel_registry import FLOORS, LOAD, POSE, Panels
from app.shell.paper_commands import PaperCommands
from app.shell.picture_commands import PictureCommands
from app.shell.picture_pages import PicturePages
from app.shell.reach_maps import ReachMaps
from app.shell.regions import Regions
from app.shell.shop_files import ShopFiles
from app.workers.warm_up import WarmUp
from engine.base.formatting import System
from engine.base.lazy import lazy

if TYPE_CHECKING:
    from app.panels import about, guide, guide_pages
    from app.shell import other_truck
else:
    other_truck = lazy("app.shell.other_truck")
    about, guide, guide_pages = lazy("app.panels.about"), lazy("app.panels.guide"), lazy("app.panels.guide_pages")


class Commands:
    """The commands of one window."""

    def __init__(
        self,
        window: QMainWindow,
        document: Document,
        settings: QSettings,
        elsewhere: Elsewhere | None,
        *,
        views: LinkedViews,
        panels: Panels,
        notice: Notice,
        why_button: QPushButton,
        stages: StageBar,
        hint: FirstHint,
        pictured: tuple[QWidget, ...],
        regions: Regions,
    ) -> None:
        self._window, self._document, self._settings = window, document, settings
        self._views, self._panels, self._hint = views, panels, hint
        self._guide: guide.Guide | None = None
        self.regions = regions
        self.files = FileCommands(document, settings, window, elsewhere)
        self.files.opened.connect(views.fit)
        self.papers = PaperCommands(document, settings, window)
        self.shop_files = ShopFiles(document, settings, window)
        self.explanations = Explanations(document, views, panels, why_button)
        self.pages = PicturePages(document, panels, self.explanations, window)
        self.pictures = PictureCommands(
            document,
            settings,
            window,
            pictured,
            lambda: views.ink.colours,
            self.pages,
            prepared=self.only_whole_maps,
        )
        self.reach_maps = ReachMaps(document, views, panels.process, window)
        self.reach_maps.set_theme(views.ink.colours)
        for commands in (self.files, self.papers, self.shop_files, self.pictures, self.reach_maps):
            commands.told.connect(notice.tell)
        for makers in (self.papers, self.shop_files, self.pictures):
            makers.done.connect(notice.report)
        self.missing = MissingWalk(document, stages, panels, notice)
        self.figure_field = FigureField()
        self._warm_up = WarmUp(document, window)
        panels.rig_made.connect(self.files.put_made)
        panels.paper_wanted.connect(self._make_paper)
        panels.approval_wanted.connect(self.papers.ask_approval)
        panels.log_wanted.connect(self.papers.ask_log_entry)
        panels.stay_clear_wanted.connect(self._set_stay_clear)
        views.typed_on.connect(self._type_on)

    def fill_menus(self, heads: dict[str, QMenu], appearance: Appearance) -> None:
        """Put every command under the head of its menu."""
        menus.fill_file_menu(heads["&File"], self._window, self.files, self.new_rig, self.pictures, self.ask_print)
        menus.fill_edit_menu(heads["&Edit"], self._document, self._views, self.pictures, self.ask_other_truck)
        self.stay_clear_action = menus.fill_view_menu(
            heads["&View"], self._views, self._panels, self.reach_maps, self.explanations
        )
        menus.fill_stage_commands(heads["&View"], self._panels, self.missing, self.regions)
        menus.fill_pick_menu(heads["&Pick"], self._document, self._panels[POSE])
        menus.fill_papers_menu(heads["Pape&rs"], self.papers, self.shop_files)
        helps = menus.Helps(self.show_guide, self.show_keys, self._hint.show_again, self.show_about)
        menus.fill_help_menu(heads["&Help"], self.explanations, helps)
        self.unit_actions = menus.add_preferences(heads["&View"], self._document.units, self._set_units, appearance)

    def only_whole_maps(self) -> AbstractContextManager[None]:
        """Meanwhile the drawing shows no reach map that is old or not whole."""
        return self.reach_maps.only_whole_ones()

    def _set_units(self, units: System) -> None:
        """For this window, and for the person from now on."""
        self._settings.setValue(preferences.UNITS, units)
        self._document.set_units(units)

    def _make_paper(self, kind: str, how: str) -> None:
        (self.papers.print if how == "print" else self.papers.ask_pdf)(kind)

    def ask_print(self) -> None:
        """Offer every paper and the drawing with a preview."""
        self.print_dialog = self.papers.ask_print(self.pages)

    def _set_stay_clear(self, wanted: bool) -> None:
        """As the switch in the menu does, which follows."""
        action = self.stay_clear_action
        if action.isChecked() != wanted:
            action.trigger()

    def new_rig(self) -> None:
        """Ask for a few wishes and draw a whole rig from them."""
        document, ink = self._document, self._views.ink
        look = (ink.colours, ink.font)
        process = self._panels.process
        self.first_rig = first_rig.ask(
            self._window, document.units, document.job.truck, look, process, self.files.put_made
        )

    def ask_other_truck(self) -> None:
        """Show the rig on another truck, and put it there."""
        self.other_truck = other_truck.ask(self._window, self._document, self._panels.process)

    def show_guide(self) -> None:
        """Open the guide at the page of the stage shown."""
        if self._guide is None:
            self._guide = guide.Guide(self._window)
        self._guide.open_at(guide_pages.page_for(self._panels.shown.stage))

    def show_about(self) -> None:
        """Say what the program is, and what it does not do."""
        sheet = about.AboutSheet(self._window)
        sheet.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        sheet.open()

    def show_keys(self) -> None:
        """List every key in one place."""
        self.keys = KeysSheet(self._window.menuBar(), self._window)
        self.keys.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.keys.open()

    def _type_on(self, view: DrawingView, entry: str, at: QPointF) -> None:
        """Open a field over a figure on the drawing."""
        self.figure_field.open(self._field_for(entry, view.viewport()), view.viewport(), at)

    def _field_for(self, entry: str, parent: QWidget) -> QuantityField:
        """A field for an entry of the pose, by the name of its field, or of the load or the floor, by its path."""
        if entry == "floor":
            floors, form = self._document.job.floors, self._panels[FLOORS]
            at = next(at for at, floor in enumerate(floors) if floor.name == self._document.pose.floor)
            form.show_document(self._document)
            return form.another_field(form.number_path(f"floors[{at}].fall_along"), parent)
        if "." in entry:
            form = self._panels[LOAD]
            form.show_document(self._document)
            return form.another_field(entry, parent)
        panel = self._panels[POSE]
        panel.show_document(self._document)
        return panel.field_for(entry, parent)

    def close(self) -> None:
        """The window closes: keep what is to be kept, and end what runs in the background."""
        self.files.close()
        self.reach_maps.background.close()
        self.explanations.close()
        self._warm_up.close()
