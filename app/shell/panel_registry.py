"""The panels beside the drawing, in their order: each is loaded and made when it is first asked for.

Most of them are not looked at in a sitting, and only one is on the first paint.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from PySide6.QtWidgets import QWidget

from engine.base.lazy import lazy
from engine.schema.model import Job

if TYPE_CHECKING:
    from app.documents.document import Document
    from app.shell.telling import Telling
    from engine.rig.check import Check

go_to_point, surroundings, as_built, chart = (
    lazy("app.panels.go_to_point"),
    lazy("app.panels.surroundings"),
    lazy("app.panels.as_built"),
    lazy("app.panels.chart"),
)
worst_case, forms, handling, measure = (
    lazy("app.panels.worst_case"),
    lazy("app.panels.forms"),
    lazy("app.panels.handling"),
    lazy("app.panels.measure"),
)
move, limits_list, pose, rack = (
    lazy("app.panels.move"),
    lazy("app.panels.limits_list"),
    lazy("app.panels.pose"),
    lazy("app.panels.rack"),
)
moment_balance, why = lazy("app.panels.moment_balance"), lazy("app.panels.why")


class PanelHost(Protocol):
    """What the panels stand in; the main window is one."""

    document: Document
    telling: Telling

    def tell(self, words: str) -> None: ...
    def take_new(self, job: Job) -> None: ...
    def point_at(self, check: Check | None) -> None: ...
    def show_measure(self, path: str) -> None: ...


def _parts(window: PanelHost) -> QWidget:
    panel = limits_list.LimitsPanel()
    panel.chosen.connect(window.point_at)
    return panel


def _truck(window: PanelHost) -> QWidget:
    form = forms.Form(window.document, ("truck",))
    form.entered_path.connect(window.show_measure)
    return form


def _rack(window: PanelHost) -> QWidget:
    panel = rack.RackPanel(window.document)
    panel.made.connect(window.take_new)
    return panel


PANELS: dict[str, Callable[[PanelHost], QWidget]] = {
    "Pose": lambda window: pose.PosePanel(window.document),
    "Limits": _parts,
    "Weigh-up": lambda window: moment_balance.MomentBalancePanel(),
    "Why": lambda window: why.WhyPanel(window.telling.reason),
    "Doubt": lambda window: worst_case.WorstCasePanel(),
    "Chart": lambda window: chart.ChartPanel(window.document),
    "Move": lambda window: move.MovePanel(window.document),
    "Load": lambda window: forms.Form(window.document, ("load", "floors", "policy")),
    "Truck": _truck,
    "Rig": lambda window: forms.Form(window.document, ("rig",)),
    "Measure": lambda window: measure.MeasurePanel(window.document),
    "Around": lambda window: surroundings.SurroundingsPanel(window.document),
    "As built": lambda window: as_built.AsBuiltPanel(window.document),
    "Handling": lambda window: handling.HandlingPanel(window.document),
    "Aim": lambda window: go_to_point.GoToPointPanel(window.document),
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


def make(name: str, window: PanelHost) -> QWidget:
    """A panel, whose sentences the window shows."""
    panel = PANELS[name](window)
    for signal in ("told", "refused"):
        if hasattr(panel, signal):
            getattr(panel, signal).connect(window.tell)
    return panel
