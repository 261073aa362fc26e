"""The sections beside the drawing, by the stages of the job: a table of what makes and fills each.

A section's module is loaded and its panel made when it is first asked for: most of them are not looked at in a sitting,
and only one is on the first paint.
"""

from __future__ import annotations

from collections.abc import Callable, Container
from functools import partial
from typing import TYPE_CHECKING, Any, Generic, NamedTuple, Protocol, TypeVar, cast, runtime_checkable

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget

from app.look.theme import LIGHT, Palette
from app.panels.section_stack import SectionStack
from app.panels.stage_bar import STAGES
from app.papers.titles import TITLES
from app.workers.working_process import WorkingProcess
from engine.base.lazy import lazy
from engine.shop.edits import is_under

if TYPE_CHECKING:
    from app.documents.document import Document
    from app.panels import (
        as_built,
        chart,
        doubt,
        forms,
        go_to_point,
        handling,
        limits_list,
        make_it_pass,
        measure,
        moment_balance,
        move,
        papers_list,
        part_form,
        part_pictures,
        pose,
        rack,
        record_panels,
        section_lines,
        stay_clear,
        surroundings,
        tipping,
        why,
    )
    from app.panels.strip_part import StripPart
    from app.workers.background import Background
    from app.workers.reason import Reason
    from engine.schema.model import Job
else:
    as_built, chart, forms = lazy("app.panels.as_built"), lazy("app.panels.chart"), lazy("app.panels.forms")
    go_to_point, handling = lazy("app.panels.go_to_point"), lazy("app.panels.handling")
    limits_list, measure = lazy("app.panels.limits_list"), lazy("app.panels.measure")
    make_it_pass = lazy("app.panels.make_it_pass")
    moment_balance, move, pose = lazy("app.panels.moment_balance"), lazy("app.panels.move"), lazy("app.panels.pose")
    rack, surroundings = lazy("app.panels.rack"), lazy("app.panels.surroundings")
    part_form, part_pictures = lazy("app.panels.part_form"), lazy("app.panels.part_pictures")
    papers_list, record_panels = lazy("app.panels.papers_list"), lazy("app.panels.record_panels")
    section_lines, stay_clear = lazy("app.panels.section_lines"), lazy("app.panels.stay_clear")
    why, doubt, tipping = lazy("app.panels.why"), lazy("app.panels.doubt"), lazy("app.panels.tipping")

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


@runtime_checkable
class HasStripPart(Protocol):
    """A panel with a part that stands in the plan strip's place while its section is open."""

    strip: StripPart


@runtime_checkable
class HasEntries(Protocol):
    """A panel with fields for entries of the job."""

    def entry_field(self, path: str) -> QWidget | None: ...


class Tab(NamedTuple, Generic[P]):
    """One section: its title, stage, what it is for in a sentence, what makes its panel, and what fills it."""

    name: str
    stage: str
    about: str
    make: Callable[[Panels], P]
    fill: Callable[[P, Document], None]
    line: str
    """Function of `app.panels.section_lines` that says in a line what is in it, while it is closed."""
    entries: tuple[str, ...] = ()
    """Paths of the job whose entries have their fields here."""
    is_part: bool = False
    """The entries are those of a part of the rig, which has sizes and limits of its own."""

    @property
    def parts(self) -> tuple[str, ...]:
        """Paths of the part of the rig that is open here; none where that is no part."""
        return self.entries if self.is_part else ()


class Panels(SectionStack):
    """The sections of one window. ``panels[MOVE]`` is the move panel, made now if nobody has asked for it before."""

    told = Signal(str)
    """A sentence of a panel to show over the drawing."""

    check_chosen = Signal(object)
    """A check to show on the drawing, or None."""

    entry_chosen = Signal(str)
    """Path of an entry of the truck to show on the drawing."""

    rig_made = Signal(object)
    """A new job."""

    paper_wanted = Signal(str, str)
    """A paper, and "pdf" or "print"."""

    paper_chosen = Signal(str)
    """A paper that somebody looks at."""

    approval_wanted, log_wanted = Signal(), Signal()
    """Somebody wants to enter the maker's approval, or a line of the log."""

    stay_clear_wanted = Signal(bool)
    """The outline nobody stands in is to be shown, or hidden."""

    def __init__(self, document: Document, reason: Callable[[], Reason]) -> None:
        super().__init__()
        self.document, self.reason = document, reason
        self._colours = LIGHT
        self._made: dict[Tab[Any], QWidget] = {}
        self.process = WorkingProcess(self)
        """Answers all that is asked in the window, but for the search of the rack: that may take minutes."""
        self.setAccessibleName("sections")
        for tab in TABS:
            self.add(
                tab.name, tab.about, STAGES.index(tab.stage), partial(self._make, tab), unasked=tab not in _LONG_ANSWERS
            )
        self.start_with(TABS.index(POSE))

    def _make(self, tab: Tab[Any]) -> QWidget:
        panel: QWidget = tab.make(self)
        self._made[tab] = panel
        for signal in ("told", "refused"):
            if hasattr(panel, signal):
                getattr(panel, signal).connect(self.told)
        if isinstance(panel, Asking) and tab is not RACK:
            panel.background.share_process(self.process)
        if isinstance(panel, Themed):
            panel.set_theme(self._colours)
        return _scrolling(panel)

    def __getitem__(self, tab: Tab[P]) -> P:
        self.widget(TABS.index(tab))
        return cast("P", self._made[tab])

    @property
    def shown(self) -> Tab[Any]:
        """The section that is open."""
        return TABS[self.currentIndex()]

    def bring(self, tab: Tab[P]) -> P:
        """Open a section."""
        self.setCurrentIndex(TABS.index(tab))
        return self[tab]

    def show_entry(self, path: str) -> QWidget | None:
        """Open the section of an entry and bring its field into view; returns the field, if there is one."""
        tab = tab_of(path)
        panel = self.bring(tab)
        tab.fill(panel, self.document)
        field = panel.entry_field(path) if isinstance(panel, HasEntries) else None
        if field is not None:
            self._bring_into_view(field, LAYOUT_ROUNDS)
        return field

    def _bring_into_view(self, field: QWidget, rounds: int) -> None:
        """Scroll to a field now and once what was just built is laid out."""
        if self.isAncestorOf(field):
            self.scroll_to(field)
        if rounds:
            QTimer.singleShot(0, field, lambda: self._bring_into_view(field, rounds - 1))

    def open_entry(self, path: str, words: str = "") -> QWidget | None:
        """Open the section of an entry, bring its field into view and put the keyboard there.

        Parameters
        ----------
        path : str
            Of an entry of the job, or of what holds it.
        words : str
            Why it is wanted: stands under the field until there is another value.
        """
        field = self.show_entry(path)
        if field is None:
            return None
        field.setFocus(Qt.FocusReason.ShortcutFocusReason)
        if hasattr(field, "selectAll"):
            field.selectAll()  # type: ignore[attr-defined]
        if words and hasattr(field, "ask"):
            field.ask(words)  # type: ignore[attr-defined]
        return field

    def fill_shown(self) -> None:
        """Fill the section that is open, and the lines of those closed beside it; the others when they come there."""
        tab = self.shown
        tab.fill(self[tab], self.document)

    def fill_second(self) -> None:
        """Fill the section that is open beside the current one, if there is one."""
        if self.second_index is not None:
            tab = TABS[self.second_index]
            tab.fill(self[tab], self.document)

    def tell_lines(self) -> None:
        """Say in a line what is in each closed section of the stage shown."""
        for index, head in self.heads:
            if index not in (self.currentIndex(), self.second_index):
                head.set_line(getattr(section_lines, TABS[index].line)(self.document))

    @property
    def strip_part(self) -> StripPart | None:
        """What the section that is open has for the plan strip's place."""
        panel = self[self.shown]
        return panel.strip if isinstance(panel, HasStripPart) else None

    def shown_asks(self) -> bool:
        """Whether the section that is open asks questions of a background process."""
        return isinstance(self[self.shown], Asking)

    def set_theme(self, colours: Palette) -> None:
        """Colours of the panels made so far, and of those still to be made."""
        self._colours = colours
        self.set_head_theme(colours)
        for panel in self._made.values():
            if isinstance(panel, Themed):
                panel.set_theme(colours)

    def end_questions(self) -> None:
        """The window closes, and with it its working processes."""
        for panel in self._made.values():
            if isinstance(panel, Asking):
                panel.background.close()
        self.process.close()


LAYOUT_ROUNDS = 8
"""Turns of the event loop until a form just built has its size."""


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


def _form(*paths: str, only: Container[str] | None = None) -> Callable[[Panels], forms.Form]:
    return lambda panels: forms.Form(panels.document, paths, only=only)


def _part_form(path: str, picture: str) -> Callable[[Panels], part_form.PartForm]:
    """A form under a picture of `app.panels.part_pictures`."""

    def make(panels: Panels) -> part_form.PartForm:
        return part_form.PartForm(panels.document, (path,), _one_picture(picture))

    return make


def _one_picture(name: str) -> part_form.Pictures:
    return lambda job: (("", getattr(part_pictures, name)(job)),)


def _arms_form(panels: Panels) -> part_form.PartForm:
    def pictures(job: Job) -> tuple[tuple[str, part_pictures.Picture], ...]:
        return tuple((arm.name, part_pictures.arm(index)(job)) for index, arm in enumerate(job.rig.arms))

    return part_form.PartForm(panels.document, ("rig.arms",), pictures)


def _truck_form(*paths: str, only: Container[str] | None = None, picture: str = "") -> Callable[[Panels], forms.Form]:
    def make(panels: Panels) -> forms.Form:
        form = (
            part_form.PartForm(panels.document, paths, _one_picture(picture), only=only)
            if picture
            else forms.Form(panels.document, paths, only=only)
        )
        form.entered_path.connect(panels.entry_chosen)
        return form

    return make


def _why_panel(panels: Panels) -> why.WhyPanel:
    panel = why.WhyPanel(panels.reason())
    panel.entry_wanted.connect(panels.open_entry)
    return panel


def _rack_panel(panels: Panels) -> rack.RackPanel:
    panel = rack.RackPanel(panels.document)
    panel.rig_chosen.connect(panels.rig_made)
    return panel


def _papers_panel(panels: Panels) -> papers_list.PapersPanel:
    panel = papers_list.PapersPanel(TITLES)
    panel.wanted.connect(panels.paper_wanted)
    panel.looked_at.connect(panels.paper_chosen)
    panel.entry_wanted.connect(panels.open_entry)
    return panel


def _approval_panel(panels: Panels) -> record_panels.ApprovalPanel:
    panel = record_panels.ApprovalPanel(panels.document)
    panel.wanted.connect(panels.approval_wanted)
    return panel


def _log_panel(panels: Panels) -> record_panels.LogPanel:
    panel = record_panels.LogPanel()
    panel.wanted.connect(panels.log_wanted)
    return panel


def _stay_clear_panel(panels: Panels) -> stay_clear.StayClearPanel:
    panel = stay_clear.StayClearPanel()
    panel.wanted.connect(panels.stay_clear_wanted)
    return panel


_ON_THE_PLATE = frozenset({"plate"})
_ABOARD = frozenset({"aboard"})
_TAPED = frozenset({
    "name", "serial", "typical", "front_axle_kg", "rear_axle_kg", "cg_height_m", "weighed_lift_m", "wheelbase_m",
    "front_overhang_m", "front_track_m", "rear_track_m", "pivot_height_m", "front_tyre_radius_m", "rear_tyre_radius_m",
    "steer_axle_kg", "tyres", "carriage_kg", "width_m", "rear_overhang_m", "guard_height_m", "turning_radius_m",
    "has_guard", "has_crosshead", "has_backrest", "solids",
})  # fmt: skip

PLATE = Tab(
    "Plate as stamped",
    "Truck",
    "Rated load, load centre and lift height of each row of the truck's plate.",
    _truck_form("truck", only=_ON_THE_PLATE),
    _show_document,
    "plate",
    ("truck.plate",),
)
MEASURE = Tab(
    "Weigh and tape",
    "Truck",
    "Ways of knowing the truck better: axle by axle, raised, with a known weight on the forks, by trial lifts.",
    lambda panels: measure.MeasurePanel(panels.document),
    _show_document,
    "measured",
    ("trial_lifts",),
)
TRUCK = Tab(
    "Weights and dimensions",
    "Truck",
    "What the bare truck weighs and measures, and how each number is known.",
    _truck_form("truck", only=_TAPED, picture="truck"),
    _show_document,
    "dimensions",
    ("truck",),
)
UPRIGHT = Tab(
    "Upright and tilt",
    "Truck",
    "Weights of the upright's parts, how far it lifts and tilts.",
    _truck_form("truck.upright"),
    _show_document,
    "upright",
    ("truck.upright",),
)
FORKS = Tab(
    "Forks and their wear",
    "Truck",
    "Section, length, spread, wear and stamp of the fork arms.",
    _truck_form("truck.forks", picture="forks"),
    _show_document,
    "forks",
    ("truck.forks",),
)
ABOARD = Tab(
    "Who and what is aboard",
    "Truck",
    "Driver, gas bottle and tools: counted only where somebody says so.",
    _truck_form("truck", only=_ABOARD),
    _show_document,
    "aboard",
    ("truck.aboard",),
)
RIG = Tab(
    "Name and marks of the rig",
    "Build",
    "What the rig is called, its number, and which revision of it this is.",
    _form("rig", only=frozenset({"name", "serial", "revision"})),
    _show_document,
    "rig",
    ("rig",),
)
SLEEVES = Tab(
    "Sleeves and cross-member",
    "Build",
    "What goes over the forks, and what holds its heels down.",
    _part_form("rig.sleeves", "sleeves"),
    _show_document,
    "sleeves",
    ("rig.sleeves",),
    is_part=True,
)
JIB_MAST = Tab(
    "Jib mast",
    "Build",
    "The tube that stands on the cross-member, its foot weld and gussets.",
    _part_form("rig.jib_mast", "jib_mast"),
    _show_document,
    "jib_mast",
    ("rig.jib_mast",),
    is_part=True,
)
SADDLES = Tab(
    "Saddles and bed",
    "Build",
    "The straps that the boom slides in, and what they stand on.",
    _part_form("rig.saddles", "saddles"),
    _show_document,
    "saddles",
    ("rig.saddles",),
    is_part=True,
)
BOOM = Tab(
    "Boom and its pin",
    "Build",
    "The tube that slides in the saddles, its holes and its pin.",
    _part_form("rig.boom", "boom"),
    _show_document,
    "boom",
    ("rig.boom",),
    is_part=True,
)
ARMS = Tab(
    "Arms and hinges",
    "Build",
    "The arms at the boom's end, each with its hinge.",
    _arms_form,
    _show_document,
    "arms",
    ("rig.arms",),
    is_part=True,
)
HOOK = Tab(
    "Hook and gear",
    "Build",
    "The hook, what holds it, and bought gear between rig and load.",
    _form("rig.hook"),
    _show_document,
    "rig_hook",
    ("rig.hook",),
    is_part=True,
)
RACK = Tab(
    "Steel to hand",
    "Build",
    "The steel on the rack, and the lightest rig that can be built from it.",
    _rack_panel,
    _show_document,
    "rack",
    ("stock", "wanted", "kerf_m"),
)
AS_BUILT = Tab(
    "As built",
    "Build",
    "What was built against what was drawn.",
    lambda panels: as_built.AsBuiltPanel(panels.document),
    _show_document,
    "built",
    ("drawn",),
)
FLOORS = Tab(
    "Floor at each spot",
    "Place",
    "Slope and side slope of every spot the truck stands on, and what it is made of.",
    _form("floors"),
    _show_document,
    "floors",
    ("floors",),
)
SURROUNDINGS = Tab(
    "What stands round",
    "Place",
    "Ceiling, beams, doors, benches and lines that rig and load must keep clear of.",
    lambda panels: surroundings.SurroundingsPanel(panels.document),
    _show_document,
    "surroundings",
    ("surroundings",),
)
STAY_CLEAR = Tab(
    "Stay-clear circle",
    "Place",
    "How far everybody keeps away from this pick.",
    _stay_clear_panel,
    _show_document,
    "stay_clear",
)
LOAD = Tab(
    "Load and rigging",
    "Pick",
    "What is lifted, how heavy and how large it is, and what it hangs by.",
    _part_form("load", "load"),
    _show_document,
    "load",
    ("load",),
)
POSE = Tab(
    "Stance",
    "Pick",
    "How truck and rig stand: forks, tilt, pin hole, arms, hook.",
    lambda panels: pose.PosePanel(panels.document),
    _show_document,
    "stance",
    ("pose", "poses"),
)
GO_TO_POINT = Tab(
    "Hook to a point",
    "Pick",
    "Ways to bring the hook to a point, the best first.",
    lambda panels: go_to_point.GoToPointPanel(panels.document),
    _show_document,
    "hook",
)
MOVE = Tab(
    "Move A to B",
    "Pick",
    "Named poses joined one motion at a time, and the worst point on the way.",
    lambda panels: move.MovePanel(panels.document),
    _show_document,
    "moves",
    ("moves",),
)
HANDLING = Tab(
    "By hand",
    "Pick",
    "What arms do when let go, what one person can push, sag, and stopping with the load hung.",
    lambda panels: handling.HandlingPanel(panels.document),
    _show_document,
    "by_hand",
)
WHY = Tab(
    "Cause, order, remedy",
    "Why",
    "What gives first, in which order, and what would help.",
    _why_panel,
    _show_document,
    "cause",
)
MAKE_IT_PASS = Tab(
    "Make it pass",
    "Why",
    "The smallest changes of parts that make a pose, every pin hole or a move hold; the longest reach with a load.",
    lambda panels: make_it_pass.MakeItPassPanel(panels.document),
    _show_document,
    "cures",
)
LIMITS = Tab(
    "Every limit",
    "Why",
    "All limits of this pose at their worst case, the most used first, each with its sum.",
    _limits_panel,
    lambda panel, document: panel.show_verdict(document.job, document.verdict),
    "limits",
)
MOMENT_BALANCE = Tab(
    "Weigh-up",
    "Why",
    "Truck against rig and load, as on a see-saw.",
    lambda _panels: moment_balance.MomentBalancePanel(),
    _show_document,
    "balance",
)
TIPPING = Tab(
    "Rear wheels and tip-up",
    "Why",
    "What more load leaves on the rear wheels, and why a truck that starts to tip goes so fast.",
    lambda _panels: tipping.TippingPanel(),
    _show_document,
    "tipping",
)
WORST_CASE = Tab(
    "Doubt",
    "Why",
    "What each uncertain number costs, and what measuring it would buy.",
    lambda _panels: doubt.DoubtPanel(),
    _show_document,
    "doubt",
)
CHART = Tab(
    "Load chart",
    "Why",
    "Allowed load at every pin hole and hook height.",
    lambda panels: chart.ChartPanel(panels.document),
    _show_document,
    "chart",
)
RULES = Tab(
    "Rules used",
    "Why",
    "Allowances and shares that every verdict rests on, each with its reason.",
    _form("policy"),
    _show_document,
    "rules",
    ("policy", "answers"),
)
PAPERS = Tab(
    "Papers of this pose",
    "Papers",
    "Every paper, what it still lacks, as a PDF file or on a printer.",
    _papers_panel,
    _show_document,
    "papers",
)
APPROVAL = Tab(
    "The maker's approval",
    "Papers",
    "What the truck maker has approved in writing.",
    _approval_panel,
    _show_document,
    "approval",
    ("approval",),
)
LOG = Tab(
    "Log and due dates",
    "Papers",
    "What was tested, inspected, repaired and lifted, and when it is due again.",
    _log_panel,
    _show_document,
    "log",
    ("log",),
)

TABS: tuple[Tab[Any], ...] = (
    *(PLATE, MEASURE, TRUCK, UPRIGHT, FORKS, ABOARD),
    *(SLEEVES, JIB_MAST, SADDLES, BOOM, ARMS, HOOK, RIG, RACK, AS_BUILT),
    *(FLOORS, SURROUNDINGS, STAY_CLEAR),
    *(LOAD, POSE, GO_TO_POINT, MOVE, HANDLING),
    *(WHY, MAKE_IT_PASS, LIMITS, MOMENT_BALANCE, TIPPING, WORST_CASE, CHART, RULES),
    *(PAPERS, APPROVAL, LOG),
)
"""By stage, in the order of the job."""

_LONG_ANSWERS = (GO_TO_POINT, MOVE, HANDLING, MAKE_IT_PASS, CHART, RACK)
"""Sections whose answers take long: none of them opens unless somebody asks for it."""


def tab_of(path: str) -> Tab[Any]:
    """The section where an entry has its field.

    Raises
    ------
    KeyError
        For a path that belongs to no section.
    """
    best: Tab[Any] | None = None
    length = -1
    for tab in TABS:
        for root in tab.entries:
            if is_under(path, (root,)) and len(root) > length:
                best, length = tab, len(root)
    if best is None:
        raise KeyError(path)
    return best
