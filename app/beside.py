"""The panels beside the drawing, in their order: each is loaded and made when it is first asked for.

Most of them are not looked at in a sitting, and only one is on the first paint.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from PySide6.QtWidgets import QWidget

from engine.later import later
from engine.model import Job

if TYPE_CHECKING:
    from app.document import Document
    from app.telling import Telling
    from engine.checks import Check

aim, around, asbuilt, chart = (later("app.panels.aim"), later("app.panels.around"), later("app.panels.asbuilt"), later("app.panels.chart"))
doubt, forms, handling, measure = (later("app.panels.doubt"), later("app.panels.forms"), later("app.panels.handling"), later("app.panels.measure"))
move, parts, pose, rack = (later("app.panels.move"), later("app.panels.parts"), later("app.panels.pose"), later("app.panels.rack"))
weighup, why = later("app.panels.weighup"), later("app.panels.why")


class Window(Protocol):
    """What the panels stand in; the main window is one."""

    document: Document
    telling: Telling

    def tell(self, words: str) -> None: ...
    def take_new(self, job: Job) -> None: ...
    def point_at(self, check: Check | None) -> None: ...
    def show_measure(self, path: str) -> None: ...


def _parts(window: Window) -> QWidget:
    panel = parts.PartsPanel()
    panel.chosen.connect(window.point_at)
    return panel


def _truck(window: Window) -> QWidget:
    form = forms.Form(window.document, ("truck",))
    form.entered_path.connect(window.show_measure)
    return form


def _rack(window: Window) -> QWidget:
    panel = rack.RackPanel(window.document)
    panel.made.connect(window.take_new)
    return panel


PANELS: dict[str, Callable[[Window], QWidget]] = {
    "Pose": lambda window: pose.PosePanel(window.document),
    "Limits": _parts,
    "Weigh-up": lambda window: weighup.WeighUpPanel(),
    "Why": lambda window: why.WhyPanel(window.telling.reason),
    "Doubt": lambda window: doubt.DoubtPanel(),
    "Chart": lambda window: chart.ChartPanel(window.document),
    "Move": lambda window: move.MovePanel(window.document),
    "Load": lambda window: forms.Form(window.document, ("load", "floors", "policy")),
    "Truck": _truck,
    "Rig": lambda window: forms.Form(window.document, ("rig",)),
    "Measure": lambda window: measure.MeasurePanel(window.document),
    "Around": lambda window: around.AroundPanel(window.document),
    "As built": lambda window: asbuilt.AsBuiltPanel(window.document),
    "Handling": lambda window: handling.HandlingPanel(window.document),
    "Aim": lambda window: aim.AimPanel(window.document),
    "Rack": _rack,
}
"""The name on the register and what makes the panel."""

NAMES = {
    "pose_panel": "Pose",
    "parts_panel": "Limits",
    "doubt_panel": "Doubt",
    "chart_panel": "Chart",
    "move_panel": "Move",
    "measure_panel": "Measure",
    "around_panel": "Around",
    "asbuilt_panel": "As built",
    "handling_panel": "Handling",
    "aim_panel": "Aim",
    "rack_panel": "Rack",
}
"""What a window calls those panels that others ask it for."""

FORMS = ("Load", "Truck", "Rig")
NO_SCROLLING = ("Limits",)
"""It scrolls by itself."""


def make(name: str, window: Window) -> QWidget:
    """A panel, whose sentences the window shows."""
    panel = PANELS[name](window)
    for signal in ("told", "refused"):
        if hasattr(panel, signal):
            getattr(panel, signal).connect(window.tell)
    return panel
