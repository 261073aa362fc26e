"""The panels beside the drawing, in their order: a table of what makes and fills each.

A panel's module is loaded and the panel made when it is first asked for: most of them are not looked at in a sitting,
and only one is on the first paint.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any, Generic, NamedTuple, Protocol, TypeVar, cast, runtime_checkable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget

from app.look.theme import LIGHT, Palette
from app.panels.tab_strip import TabStrip
from engine.base.lazy import lazy

if TYPE_CHECKING:
    from app.documents.document import Document
    from app.panels import (
        as_built,
        chart,
        forms,
        go_to_point,
        handling,
        limits_list,
        measure,
        moment_balance,
        move,
        pose,
        rack,
        surroundings,
        why,
        worst_case,
    )
    from app.workers.background import Background
    from app.workers.reason import Reason
else:
    as_built, chart, forms = lazy("app.panels.as_built"), lazy("app.panels.chart"), lazy("app.panels.forms")
    go_to_point, handling = lazy("app.panels.go_to_point"), lazy("app.panels.handling")
    limits_list, measure = lazy("app.panels.limits_list"), lazy("app.panels.measure")
    moment_balance, move, pose = lazy("app.panels.moment_balance"), lazy("app.panels.move"), lazy("app.panels.pose")
    rack, surroundings = lazy("app.panels.rack"), lazy("app.panels.surroundings")
    why, worst_case = lazy("app.panels.why"), lazy("app.panels.worst_case")

P = TypeVar("P", bound=QWidget)


class ShowsDocument(Protocol):
    """A panel that fills itself from the document."""

    def show_document(self, document: Document) -> None: ...


@runtime_checkable
class Themed(Protocol):
    """A panel that paints in colours of its own."""

    def set_theme(self, colours: Palette) -> None: ...


@runtime_checkable
class Asking(Protocol):
    """A panel that asks questions of a background process."""

    background: Background


class Tab(NamedTuple, Generic[P]):
    """One panel: its name on the strip, what makes it, and what fills it."""

    name: str
    make: Callable[[Panels], P]
    fill: Callable[[P, Document], None]
    scrolls: bool = True
    """The strip puts it into a scroll area; a panel that scrolls by itself does without."""


class Panels(TabStrip):
    """The panels of one window. ``panels[MOVE]`` is the move panel, made now if nobody has asked for it before."""

    told = Signal(str)
    """A sentence of a panel to show over the drawing."""

    check_chosen = Signal(object)
    """A check to show on the drawing, or None."""

    entry_chosen = Signal(str)
    """Path of an entry of the truck to show on the drawing."""

    rig_made = Signal(object)
    """A new job."""

    def __init__(self, document: Document, reason: Callable[[], Reason]) -> None:
        super().__init__()
        self.document, self.reason = document, reason
        self._colours = LIGHT
        self._made: dict[Tab[Any], QWidget] = {}
        self.setAccessibleName("panels")
        for tab in TABS:
            self.add(tab.name, partial(self._make, tab))

    def _make(self, tab: Tab[Any]) -> QWidget:
        panel: QWidget = tab.make(self)
        self._made[tab] = panel
        for signal in ("told", "refused"):
            if hasattr(panel, signal):
                getattr(panel, signal).connect(self.told)
        if isinstance(panel, Themed):
            panel.set_theme(self._colours)
        return _scrolling(panel) if tab.scrolls else panel

    def __getitem__(self, tab: Tab[P]) -> P:
        self.widget(TABS.index(tab))
        return cast("P", self._made[tab])

    @property
    def shown(self) -> Tab[Any]:
        """The tab at the front."""
        return TABS[self.currentIndex()]

    def bring(self, tab: Tab[P]) -> P:
        """Bring a panel to the front."""
        self.setCurrentIndex(TABS.index(tab))
        return self[tab]

    def fill_shown(self) -> None:
        """Fill the panel at the front; the others are filled when they come there."""
        tab = self.shown
        tab.fill(self[tab], self.document)

    def shown_asks(self) -> bool:
        """Whether the panel at the front asks questions of a background process."""
        return isinstance(self[self.shown], Asking)

    def set_theme(self, colours: Palette) -> None:
        """Colours of the panels made so far, and of those still to be made."""
        self._colours = colours
        for panel in self._made.values():
            if isinstance(panel, Themed):
                panel.set_theme(colours)

    def end_questions(self) -> None:
        """The window closes, and with it the background processes of the panels."""
        for panel in self._made.values():
            if isinstance(panel, Asking):
                panel.background.close()


def _scrolling(panel: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setWidget(panel)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return area


# ---------------------------------------------------------------- the table


def _show_document(panel: ShowsDocument, document: Document) -> None:
    panel.show_document(document)


def _limits_panel(panels: Panels) -> limits_list.LimitsPanel:
    panel = limits_list.LimitsPanel()
    panel.chosen.connect(panels.check_chosen)
    return panel


def _truck_form(panels: Panels) -> forms.Form:
    form = forms.Form(panels.document, ("truck",))
    form.entered_path.connect(panels.entry_chosen)
    return form


def _rack_panel(panels: Panels) -> rack.RackPanel:
    panel = rack.RackPanel(panels.document)
    panel.rig_chosen.connect(panels.rig_made)
    return panel


POSE = Tab("Pose", lambda panels: pose.PosePanel(panels.document), _show_document)
LIMITS = Tab(
    "Limits",
    _limits_panel,
    lambda panel, document: panel.show_verdict(document.job, document.verdict),
    scrolls=False,
)
MOMENT_BALANCE = Tab("Weigh-up", lambda _panels: moment_balance.MomentBalancePanel(), _show_document)
WHY = Tab("Why", lambda panels: why.WhyPanel(panels.reason()), _show_document)
WORST_CASE = Tab(
    "Doubt",
    lambda _panels: worst_case.WorstCasePanel(),
    lambda panel, document: panel.show_verdict(document.job, document.verdict),
)
CHART = Tab("Chart", lambda panels: chart.ChartPanel(panels.document), _show_document)
MOVE = Tab("Move", lambda panels: move.MovePanel(panels.document), _show_document)
LOAD = Tab("Load", lambda panels: forms.Form(panels.document, ("load", "floors", "policy")), _show_document)
TRUCK = Tab("Truck", _truck_form, _show_document)
RIG = Tab("Rig", lambda panels: forms.Form(panels.document, ("rig",)), _show_document)
MEASURE = Tab("Measure", lambda panels: measure.MeasurePanel(panels.document), _show_document)
SURROUNDINGS = Tab("Around", lambda panels: surroundings.SurroundingsPanel(panels.document), _show_document)
AS_BUILT = Tab("As built", lambda panels: as_built.AsBuiltPanel(panels.document), _show_document)
HANDLING = Tab("Handling", lambda panels: handling.HandlingPanel(panels.document), _show_document)
GO_TO_POINT = Tab("Aim", lambda panels: go_to_point.GoToPointPanel(panels.document), _show_document)
RACK = Tab("Rack", _rack_panel, _show_document)

TABS: tuple[Tab[Any], ...] = (
    POSE,
    LIMITS,
    MOMENT_BALANCE,
    WHY,
    WORST_CASE,
    CHART,
    MOVE,
    LOAD,
    TRUCK,
    RIG,
    MEASURE,
    SURROUNDINGS,
    AS_BUILT,
    HANDLING,
    GO_TO_POINT,
    RACK,
)
"""In the order of the strip."""
