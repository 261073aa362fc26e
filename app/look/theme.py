"""Colours of the sheet, light and dark, and the look of each state.

Text colours keep WCAG AA contrast on their grounds (a test computes it). State colours follow the roles of ISO 3864:
green for a safe condition, yellow for caution, red for stop, blue for an action that must come first. Each state has a
word and a hatch of its own, so that nothing depends on colour alone.
"""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPalette


class Look(NamedTuple):
    """One state's ground, text and hatch."""

    ground: str
    text: str
    hatch: Qt.BrushStyle


class Palette(NamedTuple):
    """Every colour of one theme, as hex."""

    name: str
    paper: str
    sheet: str
    ink: str
    faint_ink: str
    grid: str
    grid_strong: str
    line: str
    held: str
    truck: str
    truck_dark: str
    steel: str
    steel_edge: str
    arm: str
    load: str
    handle: str
    handle_ground: str
    tipping: str
    gravity: str
    accent: str
    focus: str
    field: str
    error: str
    warning_ground: str
    warning_text: str
    states: dict[str, Look]
    no_verdict: Look
    """While there is no verdict yet: none of the states' colours."""


LIGHT = Palette(
    name="light",
    paper="#f6f2e7",
    sheet="#fdfbf4",
    ink="#1d2730",
    faint_ink="#55606a",
    grid="#e9e3d3",
    grid_strong="#d9d1bc",
    line="#8d8a7e",
    held="#8d8a7e",
    truck="#e3dccb",
    truck_dark="#c9c0aa",
    steel="#cfdbe4",
    steel_edge="#27465f",
    arm="#b9cddc",
    load="#ead7b8",
    handle="#8a3b12",
    handle_ground="#fdfbf4",
    tipping="#8c1d1d",
    gravity="#3b3178",
    accent="#27465f",
    focus="#8a3b12",
    field="#ffffff",
    error="#9b2423",
    warning_ground="#d05d29",
    warning_text="#000000",
    states={
        "WITHIN": Look("#237f52", "#ffffff", Qt.BrushStyle.NoBrush),
        "NOT PROVEN": Look("#f9a800", "#000000", Qt.BrushStyle.FDiagPattern),
        "OVER": Look("#9b2423", "#ffffff", Qt.BrushStyle.DiagCrossPattern),
        "REFUSED": Look("#005387", "#ffffff", Qt.BrushStyle.VerPattern),
    },
    no_verdict=Look("#d9d1bc", "#1d2730", Qt.BrushStyle.NoBrush),
)

DARK = Palette(
    name="dark",
    paper="#1a2024",
    sheet="#20282d",
    ink="#ece6d8",
    faint_ink="#a9b2b6",
    grid="#2a343a",
    grid_strong="#37434a",
    line="#6d7a80",
    held="#7d8b92",
    truck="#3b3f3e",
    truck_dark="#515654",
    steel="#35516a",
    steel_edge="#a9cbe6",
    arm="#41617c",
    load="#5a4a30",
    handle="#ffb27d",
    handle_ground="#20282d",
    tipping="#ff9d94",
    gravity="#c3b6ff",
    accent="#a9cbe6",
    focus="#ffb27d",
    field="#151a1d",
    error="#ff9d94",
    warning_ground="#d05d29",
    warning_text="#000000",
    states=LIGHT.states,
    no_verdict=Look("#37434a", "#ece6d8", Qt.BrushStyle.NoBrush),
)


def greyed(colours: Palette) -> Palette:
    """The theme with one grey for everything that is drawn: what is shown is old, and no state of now."""
    faint = dict.fromkeys(
        ("ink", "steel_edge", "handle", "tipping", "gravity", "accent", "focus", "error"), colours.faint_ink
    )
    flat = dict.fromkeys(("steel", "arm", "load", "truck", "truck_dark"), colours.no_verdict.ground)
    return colours._replace(**faint, **flat, states=dict.fromkeys(colours.states, colours.no_verdict))


def qt_palette(colours: Palette) -> QPalette:
    """The Qt palette of a theme, for stock widgets."""
    roles = QPalette.ColorRole
    palette = QPalette()
    for role, colour in (
        (roles.Window, colours.paper),
        (roles.WindowText, colours.ink),
        (roles.Base, colours.field),
        (roles.AlternateBase, colours.sheet),
        (roles.Text, colours.ink),
        (roles.Button, colours.sheet),
        (roles.ButtonText, colours.ink),
        (roles.ToolTipBase, colours.sheet),
        (roles.ToolTipText, colours.ink),
        (roles.PlaceholderText, colours.faint_ink),
        (roles.Highlight, colours.accent),
        (roles.HighlightedText, colours.sheet),
        (roles.BrightText, colours.error),
        (roles.Link, colours.accent),
    ):
        palette.setColor(role, QColor(colour))
    for role in (roles.WindowText, roles.Text, roles.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(colours.faint_ink))
    return palette


def style_sheet(colours: Palette) -> str:
    """Rules for what the palette cannot say: ruled lines, focus ring, tabs."""
    return f"""
    QMainWindow, QWidget#page {{ background: {colours.paper}; }}
    QToolTip {{ background: {colours.sheet}; color: {colours.ink}; border: 1px solid {colours.line}; }}
    QGraphicsView {{ background: {colours.sheet}; border: 1px solid {colours.line}; }}
    QGraphicsView:focus {{ border: 1px solid {colours.focus}; }}
    QLineEdit, QComboBox {{
        background: {colours.field}; color: {colours.ink}; border: 1px solid {colours.line}; border-radius: 2px;
        padding: 2px 4px; min-height: 1.3em; }}
    QLineEdit:focus, QComboBox:focus {{ border: 2px solid {colours.focus}; padding: 1px 3px; }}
    QLineEdit[wrong="true"] {{ border: 2px solid {colours.error}; padding: 1px 3px; }}
    QPushButton, QToolButton {{
        background: {colours.sheet}; color: {colours.ink}; border: 1px solid {colours.line}; border-radius: 2px;
        padding: 3px 8px; }}
    QPushButton:focus, QToolButton:focus {{ border: 2px solid {colours.focus}; padding: 2px 7px; }}
    QPushButton:pressed, QToolButton:pressed, QToolButton:checked {{ background: {colours.grid_strong}; }}
    QPushButton:disabled {{ color: {colours.faint_ink}; }}
    QCheckBox:focus, QTabBar:focus {{ border: 1px solid {colours.focus}; }}
    QCheckBox {{ spacing: 6px; border: 1px solid transparent; }}
    QCheckBox::indicator:unchecked {{ border: 1px solid {colours.line}; background: {colours.field}; }}
    QTabBar QToolButton {{ padding: 0; }}
    QToolButton#fold {{ padding: 0; border: none; border-top: 1px solid {colours.line}; color: {colours.faint_ink}; }}
    QToolButton#register {{ padding: 3px 7px; }}
    QToolButton#register:checked {{ background: {colours.accent}; color: {colours.sheet}; }}
    QToolButton#register:focus {{ border: 2px solid {colours.focus}; padding: 2px 6px; }}
    QToolButton#chip {{ padding: 1px 6px; border-radius: 8px; color: {colours.accent}; }}
    QToolButton#chip:focus {{ border: 2px solid {colours.focus}; padding: 0 5px; }}
    QToolButton#chip[missing="true"] {{ border: 1px solid {colours.error}; color: {colours.error}; font-weight: bold; }}
    QTabWidget::pane {{ border: 1px solid {colours.line}; background: {colours.paper}; }}
    QTabBar::tab {{ background: {colours.paper}; color: {colours.ink}; border: 1px solid {colours.line};
        padding: 4px 9px; margin-right: -1px; }}
    QTabBar::tab:selected {{ background: {colours.sheet}; border-bottom: 2px solid {colours.accent}; }}
    QScrollArea, QScrollArea > QWidget > QWidget {{ background: {colours.paper}; border: none; }}
    QListWidget, QTreeWidget {{ background: {colours.field}; color: {colours.ink}; border: 1px solid {colours.line}; }}
    QListWidget:focus, QTreeWidget:focus {{ border: 2px solid {colours.focus}; }}
    QHeaderView {{ background: {colours.sheet}; }}
    QHeaderView::section, QTableCornerButton::section {{ background: {colours.sheet}; color: {colours.ink};
        padding: 0 1px; border: none;
        border-right: 1px solid {colours.line}; border-bottom: 1px solid {colours.line}; }}
    *[stale="true"] {{ color: {colours.faint_ink}; }}
    QProgressBar {{ background: {colours.field}; border: 1px solid {colours.line}; max-height: 0.6em; }}
    QProgressBar::chunk {{ background: {colours.accent}; }}
    QLabel#caption {{ color: {colours.faint_ink}; }}
    QLabel#wrong {{ color: {colours.error}; padding: 0 6px; }}
    QLabel#report {{ padding: 0 6px; }}
    QLabel#heading {{ color: {colours.accent}; font-weight: bold; }}
    QLabel#live {{ background: {colours.sheet}; color: {colours.handle}; border: 1px solid {colours.handle};
        padding: 1px 5px; font-weight: bold; }}
    QLabel#away {{ background: {colours.sheet}; color: {colours.tipping}; border: 1px solid {colours.tipping};
        padding: 2px 6px; }}
    QFrame#ruled {{ border: 1px solid {colours.line}; background: {colours.sheet}; }}
    QMenuBar, QMenu, QStatusBar {{ background: {colours.paper}; color: {colours.ink}; }}
    QMenuBar::item:selected, QMenu::item:selected {{ background: {colours.accent}; color: {colours.sheet}; }}
    QMenu::item:disabled {{ color: {colours.faint_ink}; }}
    QSplitter::handle {{ background: {colours.grid_strong}; }}
    """
