"""Menus of the main window: every command with its key, in one place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu, QMenuBar

from app.canvas.view import DrawingView
from app.documents.document import Document
from app.documents.file_commands import FileCommands
from app.documents.files import SAMPLES
from app.panels.pose import PosePanel
from app.papers.titles import TITLES
from app.shell.paper_commands import PAGES, PaperCommands
from app.shell.reach_maps import ReachMaps
from app.shell.telling import Telling

TEXT_SIZES = (100, 125, 150, 200)
LOOKS = (("Follow the s&ystem", "system"), ("&Light", "light"), ("&Dark", "dark"))
UNITS = (("&Metric", "metric"), ("&US (feet, inches, pounds)", "us"))


class MenuHost(Protocol):
    """What the menus command; the main window is one."""

    document: Document
    filing: FileCommands
    pose_panel: PosePanel
    reach_maps: ReachMaps
    side_view: DrawingView
    telling: Telling
    papering: PaperCommands
    menu_heads: dict[str, QMenu]
    look: str
    text_size: int

    def menuBar(self) -> QMenuBar: ...
    def close(self) -> bool: ...
    def fit(self) -> None: ...
    def new_rig(self) -> None: ...
    def show_keys(self) -> None: ...
    def set_lengths(self, wanted: bool) -> None: ...
    def step_pose(self, steps: int) -> None: ...
    def step_holes(self, steps: int) -> None: ...
    def set_units(self, units: str) -> None: ...
    def set_look(self, look: str) -> None: ...
    def set_text_size(self, percent: int) -> None: ...


def build(window: MenuHost) -> dict[str, QAction]:
    """Fill the menus whose heads stand on the window's bar; returns the actions of the units switch by name."""
    heads = window.menu_heads
    _file_menu(window, heads["&File"])
    _edit_menu(window, heads["&Edit"])
    _pose_menu(window, heads["&Pose"])
    _tell_menu(window, heads["&Tell"])
    _papers_menu(window, heads["Pape&rs"])
    return _view_menu(window, heads["&View"])


def _file_menu(window: MenuHost, menu: QMenu) -> None:
    filing = window.filing
    add(window, menu, "&New rig...", QKeySequence.StandardKey.New, window.new_rig)
    add(window, menu, "New &window", QKeySequence("Ctrl+Shift+N"), filing.new_window)
    add(window, menu, "&Open...", QKeySequence.StandardKey.Open, filing.ask_open)
    recent = menu.addMenu("Open &recent")
    menu.aboutToShow.connect(lambda: filing.fill_recent(recent))
    samples = menu.addMenu("Open a sa&mple rig")
    for name, title in SAMPLES.items():
        add(window, samples, title, None, lambda n=name: filing.open_sample(n))
    menu.addSeparator()
    add(window, menu, "&Save", QKeySequence.StandardKey.Save, filing.save)
    add(window, menu, "Save &as...", QKeySequence("Ctrl+Shift+S"), filing.ask_save)
    menu.addSeparator()
    add(window, menu, "&Close window", QKeySequence.StandardKey.Close, window.close)
    add(window, menu, "&Quit", QKeySequence("Ctrl+Q"), filing.quit)


def _edit_menu(window: MenuHost, menu: QMenu) -> None:
    stack = window.document.undo_stack
    undo, redo = stack.createUndoAction(window, "&Undo"), stack.createRedoAction(window, "&Redo")
    undo.setShortcut(QKeySequence.StandardKey.Undo)
    redo.setShortcuts([QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y")])
    menu.addActions([undo, redo])
    menu.addSeparator()
    lengths = add(
        window, menu, "Drag &lengths of parts", QKeySequence("Ctrl+L"), lambda: window.set_lengths(lengths.isChecked())
    )
    lengths.setCheckable(True)


def _pose_menu(window: MenuHost, menu: QMenu) -> None:
    panel = window.pose_panel
    add(window, menu, "&Next pose", QKeySequence("Ctrl+PgDown"), lambda: window.step_pose(1))
    add(window, menu, "&Previous pose", QKeySequence("Ctrl+PgUp"), lambda: window.step_pose(-1))
    menu.addSeparator()
    add(window, menu, "&Add a pose like this one...", QKeySequence("Ctrl+D"), panel.add_pose)
    add(window, menu, "&Rename this pose...", None, panel.rename_pose)
    add(window, menu, "Re&move this pose", None, panel.remove_pose)
    menu.addSeparator()
    for text, steps, keys in (("Boom &in one hole", 1, "Ctrl+Left"), ("Boom &out one hole", -1, "Ctrl+Right")):
        add(window, menu, text, QKeySequence(keys), lambda s=steps: window.step_holes(s))


def _tell_menu(window: MenuHost, menu: QMenu) -> None:
    telling = window.telling
    add(window, menu, "&Why not?", QKeySequence("F1"), telling.ask_why)
    add(window, menu, "&Helper view", QKeySequence("F11"), telling.open_helper)
    menu.addSeparator()
    add(window, menu, "&Keys...", QKeySequence("Ctrl+K"), window.show_keys)


def _papers_menu(window: MenuHost, menu: QMenu) -> None:
    """Every paper of the pose shown, as a PDF file or on a printer."""
    papering = window.papering
    printing = QMenu("&Print", menu)
    for kind, title in TITLES.items():
        add(
            window,
            menu,
            f"{title}...",
            QKeySequence.StandardKey.Print if kind == "pick" else None,
            lambda k=kind: papering.ask_pdf(k),
        )
        add(window, printing, f"{title}...", None, lambda k=kind: papering.print(k))
    menu.addSeparator()
    menu.addMenu(printing)
    menu.addSeparator()
    choices(window, menu, PAGES, papering.page, papering.set_page)
    menu.addSeparator()
    add(window, menu, "Enter the maker's &approval...", None, papering.ask_approval)
    add(window, menu, "Add to the lo&g...", None, papering.ask_log_entry)


def _view_menu(window: MenuHost, menu: QMenu) -> dict[str, QAction]:
    view = window.side_view
    add(window, menu, "&Fit the drawing", QKeySequence("Ctrl+0"), window.fit)
    add(window, menu, "Zoom &in", QKeySequence.StandardKey.ZoomIn, lambda: view.zoom(1.2))
    add(window, menu, "Zoom &out", QKeySequence.StandardKey.ZoomOut, lambda: view.zoom(1.0 / 1.2))
    reach = add(
        window,
        menu,
        "Where the &hook may be",
        QKeySequence("Ctrl+R"),
        lambda: window.reach_maps.set_wanted(reach.isChecked()),
    )
    reach.setCheckable(True)
    outline = add(
        window,
        menu,
        "&Stay-clear outline",
        QKeySequence("Ctrl+Shift+L"),
        lambda: window.telling.set_stay_clear(outline.isChecked()),
    )
    outline.setCheckable(True)
    add(window, menu, "Hold this as a &ghost", QKeySequence("Ctrl+G"), window.telling.hold)
    add(window, menu, "&Let the ghost go", QKeySequence("Ctrl+Shift+G"), window.telling.let_go)
    menu.addSeparator()
    units = choices(window, menu, UNITS, window.document.units, window.set_units)
    menu.addSeparator()
    looks = choices(window, menu, LOOKS, window.look, window.set_look)
    menu.addSeparator()
    names = tuple((f"Text {size} %", str(size)) for size in TEXT_SIZES)
    sizes = choices(window, menu, names, str(window.text_size), lambda size: window.set_text_size(int(size)))

    def follow_other_windows() -> None:
        for actions, chosen in ((looks, window.look), (sizes, str(window.text_size))):
            if chosen in actions:
                actions[chosen].setChecked(True)

    menu.aboutToShow.connect(follow_other_windows)
    return units


def add(window: MenuHost, menu: QMenu, text: str, keys: object, act: Callable[[], object]) -> QAction:
    """One command."""
    action = QAction(text, window)
    if keys is not None:
        action.setShortcut(keys)
    action.triggered.connect(lambda _checked=False: act())
    menu.addAction(action)
    return action


def choices(
    window: MenuHost, menu: QMenu, options: tuple[tuple[str, str], ...], chosen: str, act: Callable[[str], None]
) -> dict[str, QAction]:
    """One of several, as checkable commands."""
    group, found = QActionGroup(window), {}
    for text, value in options:
        action = add(window, menu, text, None, lambda v=value: act(v))
        action.setCheckable(True)
        action.setChecked(value == chosen)
        group.addAction(action)
        found[value] = action
    return found
