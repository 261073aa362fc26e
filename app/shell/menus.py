"""Menus of the main window: every command with its key, in one place."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple, TypeVar

from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu, QWidget

from app.documents.document import Document
from app.documents.file_commands import FileCommands
from app.documents.files import SAMPLES
from app.look.appearance import Appearance
from app.panels.pose import PosePanel
from app.panels.stage_bar import STAGES
from app.papers.titles import TITLES
from app.shell.explanations import Explanations
from app.shell.linked_views import LinkedViews
from app.shell.missing_walk import MissingWalk
from app.shell.panel_registry import CHART, Panels
from app.shell.paper_commands import PAGES, PaperCommands
from app.shell.picture_commands import PictureCommands
from app.shell.reach_maps import ReachMaps
from app.shell.regions import Regions
from app.shell.shop_files import ShopFiles
from engine.base.formatting import System

TEXT_SIZES = (100, 125, 150, 200)
LOOKS = (("Follow the s&ystem", "system"), ("&Light", "light"), ("&Dark", "dark"))
UNITS: tuple[tuple[str, System], ...] = (("&Metric", "metric"), ("&US (feet, inches, pounds)", "us"))

V = TypeVar("V", bound=str)


class Helps(NamedTuple):
    """What the help menu opens."""

    guide: Callable[[], object]
    keys: Callable[[], object]
    hint: Callable[[], object]
    about: Callable[[], object]


Keys = QKeySequence | QKeySequence.StandardKey


def fill_file_menu(
    menu: QMenu,
    window: QWidget,
    files: FileCommands,
    new_rig: Callable[[], object],
    pictures: PictureCommands,
    ask_print: Callable[[], object],
) -> None:
    """New, open, save, pictures, print, leave."""
    add(menu, "&New rig...", QKeySequence.StandardKey.New, new_rig)
    add(menu, "New &window", QKeySequence("Ctrl+Shift+N"), files.new_window)
    add(menu, "&Open...", QKeySequence.StandardKey.Open, files.ask_open)
    recent = menu.addMenu("Open &recent")
    menu.aboutToShow.connect(lambda: files.fill_recent(recent))
    samples = menu.addMenu("Open a sa&mple rig")
    for name, title in SAMPLES.items():
        add(samples, title, None, lambda n=name: files.open_sample(n))
    menu.addSeparator()
    add(menu, "&Save", QKeySequence.StandardKey.Save, files.save)
    add(menu, "Save &as...", QKeySequence("Ctrl+Shift+S"), files.ask_save)
    add(menu, "Save a p&icture...", None, pictures.ask)
    add(menu, "&Print...", QKeySequence.StandardKey.Print, ask_print)
    menu.addSeparator()
    add(menu, "&Close window", QKeySequence.StandardKey.Close, window.close)
    add(menu, "&Quit", QKeySequence("Ctrl+Q"), files.quit)


def fill_edit_menu(
    menu: QMenu,
    document: Document,
    views: LinkedViews,
    pictures: PictureCommands,
    ask_other_truck: Callable[[], object],
) -> None:
    """Undo, redo, what a drag changes, another truck."""
    stack = document.undo_stack
    undo, redo = stack.createUndoAction(menu, "&Undo"), stack.createRedoAction(menu, "&Redo")
    undo.setShortcut(QKeySequence.StandardKey.Undo)
    redo.setShortcuts([QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y")])
    menu.addActions([undo, redo])
    add(menu, "&Copy a picture", QKeySequence("Ctrl+Shift+C"), pictures.copy)
    menu.addSeparator()
    add_switch(menu, "Drag si&zes of parts", QKeySequence("Ctrl+L"), views.set_sizes)
    add(menu, "Put the rig on another &truck...", None, ask_other_truck)


def fill_pick_menu(menu: QMenu, document: Document, panel: PosePanel) -> None:
    """Named poses, and the boom by pin holes."""
    add(menu, "&Next pose", QKeySequence("Ctrl+PgDown"), lambda: document.step_pose(1))
    add(menu, "&Previous pose", QKeySequence("Ctrl+PgUp"), lambda: document.step_pose(-1))
    menu.addSeparator()
    add(menu, "&Add a pose like this one...", QKeySequence("Ctrl+D"), panel.named_poses.add)
    add(menu, "&Rename this pose...", None, panel.named_poses.rename)
    add(menu, "Re&move this pose", None, panel.named_poses.remove)
    menu.addSeparator()
    for text, holes, keys in (("Boom &in one hole", 1, "Ctrl+Left"), ("Boom &out one hole", -1, "Ctrl+Right")):
        add(menu, text, QKeySequence(keys), lambda h=holes: panel.step_holes(h))


def fill_help_menu(menu: QMenu, explanations: Explanations, helps: Helps) -> None:
    """What explains the pose and the program."""
    add(menu, "How &to", QKeySequence(QKeySequence.StandardKey.HelpContents), helps.guide)
    add(menu, "&Why not?", QKeySequence("F3"), explanations.ask_why)
    add(menu, "&Helper view", QKeySequence("F11"), explanations.open_helper)
    menu.addSeparator()
    add(menu, "&Keys...", QKeySequence("Ctrl+K"), helps.keys)
    add(menu, "Show the h&int again", None, helps.hint)
    add(menu, "&About Tailweight...", None, helps.about)


def fill_papers_menu(menu: QMenu, papers: PaperCommands, shop_files: ShopFiles) -> None:
    """Every paper of the pose shown, as a PDF file or on a printer; files for the shop and its machines."""
    printing = QMenu("&Print", menu)
    for kind, title in TITLES.items():
        add(menu, f"{title}...", None, lambda k=kind: papers.ask_pdf(k))
        add(printing, f"{title}...", None, lambda k=kind: papers.print(k))
    menu.addSeparator()
    menu.addMenu(printing)
    menu.addSeparator()
    add(menu, "Phone &card of all poses (HTML)...", None, papers.ask_card)
    add(menu, "Cutting d&rawings of plate (DXF)...", None, lambda: shop_files.ask("dxf"))
    add(menu, "Lists of parts, c&uts, holes, welds (CSV)...", None, lambda: shop_files.ask("csv"))
    menu.addSeparator()
    add_choices(menu, PAGES, papers.page, papers.set_page)
    menu.addSeparator()
    add(menu, "Enter the maker's &approval...", None, papers.ask_approval)
    add(menu, "Add to the lo&g...", None, papers.ask_log_entry)


def fill_stage_commands(menu: QMenu, panels: Panels, missing: MissingWalk, regions: Regions) -> None:
    """The stages of the job, and the entries that are missing."""
    menu.addSeparator()
    stages = menu.addMenu("&Stage of the job")
    for number, stage in enumerate(STAGES):
        add(stages, f"&{number + 1} {stage}", QKeySequence(f"Ctrl+{number + 1}"), lambda n=number: panels.show_group(n))
    add(menu, "Next &missing entry", QKeySequence("F4"), lambda: missing.go(1))
    add(menu, "&Previous missing entry", QKeySequence("Shift+F4"), lambda: missing.go(-1))
    add(menu, "Keyboard to the ne&xt region", QKeySequence("F6"), lambda: regions.go(1))
    add(menu, "Keyboard to the region &before", QKeySequence("Shift+F6"), lambda: regions.go(-1))


def fill_view_menu(
    menu: QMenu, views: LinkedViews, panels: Panels, reach_maps: ReachMaps, explanations: Explanations
) -> QAction:
    """Scale of the drawing and what is drawn; returns the switch of the stay-clear outline."""
    view = views.side_view
    add(menu, "&Fit the drawing", QKeySequence("Ctrl+0"), views.fit)
    add(menu, "Zoom &in", QKeySequence.StandardKey.ZoomIn, lambda: view.zoom(1.2))
    add(menu, "Zoom &out", QKeySequence.StandardKey.ZoomOut, lambda: view.zoom(1.0 / 1.2))
    add_switch(menu, "Where the &hook may be", QKeySequence("Ctrl+R"), reach_maps.set_wanted)
    stay_clear = add_switch(menu, "Stay-&clear outline", QKeySequence("Ctrl+Shift+L"), explanations.set_stay_clear)
    chart = add(menu, "Load char&t over the drawing", None, lambda: _grow_chart(views, panels))
    chart.setShortcuts([QKeySequence("Ctrl+Return"), QKeySequence("Ctrl+Enter")])
    add(menu, "Hold this as a &ghost", QKeySequence("Ctrl+G"), explanations.hold)
    add(menu, "Clear c&omparison", QKeySequence("Ctrl+Shift+G"), explanations.let_go)
    return stay_clear


def _grow_chart(views: LinkedViews, panels: Panels) -> None:
    """Give the load chart the whole of the drawing's place, or take it back."""
    panels.bring(CHART)
    views.strip.grow()


def add_preferences(
    menu: QMenu, units_now: System, set_units: Callable[[System], None], appearance: Appearance
) -> dict[System, QAction]:
    """Add units, look and text size; returns the actions of the units by name."""
    menu.addSeparator()
    units = add_choices(menu, UNITS, units_now, set_units)
    menu.addSeparator()
    looks = add_choices(menu, LOOKS, appearance.look, appearance.set_look)
    menu.addSeparator()
    texts = [(f"Text {size} %", str(size)) for size in TEXT_SIZES]
    sizes = add_choices(menu, texts, str(appearance.text_size), lambda size: appearance.set_text_size(int(size)))

    def follow_other_windows() -> None:
        for actions, chosen in ((looks, appearance.look), (sizes, str(appearance.text_size))):
            if chosen in actions:
                actions[chosen].setChecked(True)

    menu.aboutToShow.connect(follow_other_windows)
    return units


def add(menu: QMenu, text: str, keys: Keys | None, act: Callable[[], object]) -> QAction:
    """Add one command."""
    action = QAction(text, menu)
    if keys is not None:
        action.setShortcut(keys)
    action.triggered.connect(lambda _checked=False: act())
    menu.addAction(action)
    return action


def add_switch(menu: QMenu, text: str, keys: Keys, act: Callable[[bool], object]) -> QAction:
    """Add one command that is on or off."""
    action = add(menu, text, keys, lambda: act(action.isChecked()))
    action.setCheckable(True)
    return action


def add_choices(menu: QMenu, options: Iterable[tuple[str, V]], chosen: V, act: Callable[[V], None]) -> dict[V, QAction]:
    """Add one command for each of several values, one of them checked."""
    group = QActionGroup(menu)
    actions: dict[V, QAction] = {}
    for text, value in options:
        action = actions[value] = add(menu, text, None, lambda v=value: act(v))
        action.setCheckable(True)
        action.setChecked(value == chosen)
        group.addAction(action)
    return actions
