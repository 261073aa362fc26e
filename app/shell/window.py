"""The main window: drawing, margin block, panels, menus; puts the parts together and computes nothing.

It is painted before there is a verdict: drawing, caution and a margin block that says the verdict is being reckoned.  Once
that is on the screen, ``complete`` brings the verdict and all that nobody has seen yet; whatever is asked for sooner (a
menu's command, a gesture, a part of the window by its name) completes it at once.
"""

from __future__ import annotations

from functools import cached_property
from time import perf_counter
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QEvent, QObject, QPointF, QSettings, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QFont, QGuiApplication
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QGraphicsScene,
    QGridLayout,
    QLabel,
    QMainWindow,
    QScrollArea,
    QSplitter,
    QWidget,
)

from app.canvas.plan import PlanDrawing
from app.canvas.side import SideDrawing
from app.canvas.style import Ink
from app.canvas.transform import side
from app.canvas.view import DrawingView, Ruler
from app.documents.document import Document
from app.look import theme
from app.panels.banner import Banner
from app.panels.margin import MarginPanel
from app.panels.page import Page
from app.panels.tab_strip import TabStrip
from app.shell import panel_registry
from engine.base.formatting import fill
from engine.base.lazy import lazy
from engine.rig.kinematics import drawn
from engine.schema.model import Job

if TYPE_CHECKING:
    from app.canvas.gestures import Gesture, LengthGesture
    from app.documents.file_commands import Elsewhere
    from engine.rig.check import Check

# None of these is on the first paint.
surroundings, arm_drift = lazy("app.panels.surroundings"), lazy("engine.handling.arm_drift")
edits, pose_edits = lazy("engine.shop.edits"), lazy("engine.shop.pose_edits")
file_commands, paper_commands, telling = (
    lazy("app.documents.file_commands"),
    lazy("app.shell.paper_commands"),
    lazy("app.shell.telling"),
)
gestures, measures, typing_on = (
    lazy("app.canvas.gestures"),
    lazy("app.canvas.measures"),
    lazy("app.panels.figure_editor"),
)
first_rig, keys, menus = lazy("app.shell.first_rig"), lazy("app.panels.keys"), lazy("app.shell.menus")
reach_maps, warm_up = lazy("app.shell.reach_maps"), lazy("app.workers.warm_up")

MENUS = ("&File", "&Edit", "&Pose", "&Tell", "Pape&rs", "&View")

PANEL_CHARACTERS = 56
PANEL_SHARE = 0.38
"""The panels never take more of the window than this to start with; the drawing comes first."""

MOST_DRAWN_TEXT = 1.5
"""Text on the drawing grows to this; beyond it figures would hide the rig, and the panels repeat them all."""

PANEL_LAG_MS = 60
"""The panel beside the drawing follows a drag this often and no more, so that it does not cost every step its time."""

REST_MS = 150
"""What takes its time (a slow panel, reach maps) follows a drag once the hand has rested so long, and at its end."""

QUICK_S = 0.004
"""A panel that took longer to fill is slow."""


class Window(QMainWindow):
    """One window on one document."""

    closed = Signal()
    """The window is closed for good."""

    completed = Signal()
    """There is a verdict, and the window has all its parts."""

    look_chosen = Signal()
    """Light, dark or text size were chosen here."""

    def __init__(self, document: Document, settings: QSettings | None = None) -> None:
        super().__init__()
        self.document = document
        self._settings = settings or QSettings("Tailweight", "Tailweight")
        self._base_font = _base_font()
        self._colours = theme.LIGHT
        self.setAccessibleName("Tailweight")
        self.setAcceptDrops(True)
        self._take_look()  # before there is anything in the window: all that comes after takes it up when it is first shown
        self.elsewhere: Elsewhere | None = None
        """The other windows, if there can be any."""
        self._build_drawing()
        self._build_panels()
        self._build_page()
        self.menu_heads = {head: self.menuBar().addMenu(head) for head in MENUS}
        for head in self.menu_heads.values():
            head.aboutToShow.connect(self.complete)
        self._lag = QTimer(self, singleShot=True, interval=PANEL_LAG_MS)
        self._lag.timeout.connect(self._follow_drag)
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self._show_side_panels)
        document.changed.connect(self._show)
        document.filed.connect(self._show_title)
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._follow_system_look)
        self.resize(1280, 800)
        self._draw_anew()
        self._show_title()
        self.plan_view.viewport().installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Once both views have been painted for the first time, what was put off for it comes."""
        if event.type() == QEvent.Type.Paint:
            watched.removeEventFilter(self)
            QTimer.singleShot(0, self, self.complete)
        return False

    def complete(self) -> None:
        """Work the first verdict out, if that is still to be done, and put in what the first paint did not wait for."""
        if self._complete or self._closed:
            return
        self._complete = True
        document = self.document
        self.filing = file_commands.FileCommands(document, self._settings, self)
        self.filing.elsewhere = self.elsewhere
        self.filing.opened.connect(self.fit)
        self.filing.told.connect(self.tell)
        self.papering = paper_commands.PaperCommands(document, self._settings, self)
        self.papering.told.connect(self.tell)
        self.telling = telling.Telling(self)
        self.reach_maps = reach_maps.ReachMaps(document, self.side_view, self.plan_view, self)
        self.reach_maps.set_theme(self._colours)
        self.figure_field = typing_on.FigureField()
        self.unit_actions = menus.build(self)
        self._readying = warm_up.WarmUp(document, self)
        self._show(document)
        self.filing.watch.look()  # the file may have changed since it was read: it was not watched until now
        self.completed.emit()

    def __getattr__(self, name: str) -> Any:
        """What there is not yet: a panel is made now, the other parts complete the window."""
        if name in panel_registry.NAMES:
            return self.panel(panel_registry.NAMES[name])
        if name in _PUT_OFF and not (self._complete or self._closed):
            self.complete()
            return getattr(self, name)
        raise AttributeError(name)

    # -------------------------------------------------------- building

    def _build_drawing(self) -> None:
        self._refit = QTimer(self, singleShot=True, interval=0)
        self._refit.timeout.connect(self._fit_unless_by_hand)
        self.side_view = DrawingView(QGraphicsScene(self), "Side view")
        self.plan_view = DrawingView(QGraphicsScene(self), "Plan strip")
        for view, name in ((self.side_view, "side"), (self.plan_view, "plan")):
            view.begin_gesture = lambda handle, at, n=name: self._gesture(handle, n, at)
            view.fit_wanted = self.fit
            view.looked.connect(lambda v=view: self._link(v))
            view.resized.connect(self._refit.start)
            view.typed_on.connect(lambda entry, at, v=view: self._type_on(v, entry, at))
            view.setAcceptDrops(False)  # a file dropped on the drawing is the window's to open
        self._linking = False
        for view in (self.side_view, self.plan_view):
            view.words_at = lambda x_m, across_m, v=view: self.reach_maps.words_at(v, x_m, across_m)
        self.rulers = (Ruler(self.side_view, True), Ruler(self.side_view, False), Ruler(self.plan_view, True))

    def _build_panels(self) -> None:
        self.banner, self.margin = Banner(), MarginPanel()
        self.notice = QLabel()
        self.notice.setObjectName("wrong")
        self.notice.setWordWrap(True)
        self.notice.setAccessibleName("notice")
        self.notice.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.tabs = TabStrip()
        self.tabs.setAccessibleName("panels")
        for name in panel_registry.PANELS:
            self.tabs.add(name, lambda n=name: self._made(n))
        self.tabs.currentChanged.connect(lambda _index: self._show_side_panels())
        for view in (self.side_view, self.plan_view):
            view.grabbed.connect(lambda _handle: self.tell(""))

    def _made(self, name: str) -> QWidget:
        """The panel of a name, new, as it stands beside the drawing."""
        panel = panel_registry.make(name, self)
        if hasattr(panel, "set_theme"):
            panel.set_theme(self._colours)
        return panel if name in panel_registry.NO_SCROLLING else _scrolling(panel)

    def panel(self, name: str) -> QWidget:
        """The panel of a name, made now if nobody has asked for it before."""
        return _inside(self.tabs.widget(list(panel_registry.PANELS).index(name)))

    @cached_property
    def forms(self) -> dict[str, QWidget]:
        """The forms made from the model's types, by name."""
        return {name: self.panel(name) for name in panel_registry.FORMS}

    def _build_page(self) -> None:
        left = QWidget()
        grid = QGridLayout(left)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(0)
        upright, along, plan_upright = self.rulers
        grid.addWidget(upright, 2, 0)
        grid.addWidget(self.side_view, 2, 1)
        self._unit_corner = QLabel()
        self._unit_corner.setObjectName("caption")
        self._unit_corner.setAlignment(Qt.AlignmentFlag.AlignCenter)
        grid.addWidget(self._unit_corner, 3, 0)
        grid.addWidget(along, 3, 1)
        grid.addWidget(plan_upright, 4, 0)
        grid.addWidget(self.plan_view, 4, 1)
        grid.addWidget(self.notice, 5, 0, 1, 2)
        grid.setRowStretch(2, 5)
        grid.setRowStretch(4, 3)
        grid.setColumnStretch(1, 1)
        self._split = QSplitter(Qt.Orientation.Horizontal)
        self._split.addWidget(left)
        self._split.addWidget(self.tabs)
        self._split.setStretchFactor(0, 1)
        self._split.setStretchFactor(1, 0)
        self._split.setCollapsible(0, False)
        self.setCentralWidget(Page(self.banner, self.margin, self._split))

    # -------------------------------------------------------- look

    def set_look(self, look: str) -> None:
        """Light, dark, or as the system has it."""
        self._settings.setValue("look", look)
        self.apply_look()
        self.look_chosen.emit()

    def set_text_size(self, percent: int) -> None:
        """Scale all text of the program."""
        self._settings.setValue("text_size", percent)
        self.apply_look()
        self.look_chosen.emit()

    @property
    def look(self) -> str:
        """Light, dark or system."""
        return str(self._settings.value("look", "system"))

    @property
    def text_size(self) -> int:
        """Text size in per cent."""
        try:
            return int(self._settings.value("text_size", 100))
        except (TypeError, ValueError):
            return 100

    def _follow_system_look(self, _scheme: Qt.ColorScheme) -> None:
        self.apply_look()

    def apply_look(self) -> None:
        """Take up light or dark and the text size as the settings have them."""
        self._take_look()
        self._draw_anew()

    def _take_look(self) -> None:
        look = self.look
        dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark if look == "system" else look == "dark"
        self._colours = theme.DARK if dark else theme.LIGHT
        font = QFont(self._base_font)
        font.setPointSizeF(self._base_font.pointSizeF() * self.text_size / 100.0)
        QApplication.setFont(font)
        self.setFont(font)
        QApplication.setPalette(theme.qt_palette(self._colours))
        self.setStyleSheet(theme.style_sheet(self._colours))

    def _draw_anew(self) -> None:
        """Drawings and panels in the look taken up."""
        small = QFont(self.font())
        small.setPointSizeF(self._base_font.pointSizeF() * min(self.text_size / 100.0, MOST_DRAWN_TEXT) * 0.92)
        self.ink = Ink(self._colours, small)
        self.side_drawing = SideDrawing(self.side_view.scene(), self.ink)
        self.side_drawing.lengths_wanted = self._lengths_wanted
        self.plan_drawing = PlanDrawing(self.plan_view.scene(), self.ink)
        for drawing, view in ((self.side_drawing, self.side_view), (self.plan_drawing, self.plan_view)):
            drawing.painted_often = True
            drawing.set_scale(view.px_per_mm, view.seen())  # a sheet moved by hand is not fitted anew below
        themed = [
            self.banner,
            self.margin,
            *(_inside(page) for page in self.tabs.made()),
            *([self.reach_maps] if self._complete else []),
        ]
        for part in themed:
            if hasattr(part, "set_theme"):
                part.set_theme(self._colours)
        self._apply_units()
        metrics = self.fontMetrics()
        panel = min(metrics.averageCharWidth() * PANEL_CHARACTERS, int(self.width() * PANEL_SHARE))
        self._split.setSizes([self.width() - panel, panel])
        self.notice.setMinimumHeight(metrics.height() + 6)
        self._show(self.document) if self._complete else self._show_placed()

    def _apply_units(self) -> None:
        for part in (self.side_view, self.plan_view, *self.rulers):
            part.set_ink(self.ink, self.document.units)
        self._unit_corner.setText("ft in" if self.document.units == "us" else "m")

    def set_units(self, units: str) -> None:
        """Metric or US, everywhere at once; kept in the rig file as a preference."""
        document = self.document
        if units != document.units:
            document.set_job(edits.REPLACE(document.committed_job, units=units), "Switch units")

    # -------------------------------------------------------- showing

    def _show_placed(self) -> None:
        """The drawing alone, while there is no verdict."""
        job, pose = self.document.job, self.document.pose
        placed = drawn(job, pose)
        for drawing, view in ((self.side_drawing, self.side_view), (self.plan_drawing, self.plan_view)):
            drawing.show_placed(job, pose, placed)
            view.handles = drawing.handles
        self.banner.set_approval(job.approval)

    def _show(self, document: Document) -> None:
        if not self._complete:
            self.complete()  # which shows it
            return
        job, pose, verdict = document.job, document.pose, document.verdict
        self.side_drawing.show(job, pose, verdict)
        self.plan_drawing.show(job, pose, verdict)
        self.side_view.handles = self.side_drawing.handles
        self.plan_view.handles = self.plan_drawing.handles
        self.margin.show_verdict(job, verdict)
        self.banner.set_approval(job.approval)
        self.telling.show(document)
        if self.rulers[0].units != document.units:
            self._apply_units()
            self.unit_actions[document.units].setChecked(True)
        self._show_problems()
        if self.side_view.holding or self.plan_view.holding:
            self._one_paint = True
            self._rest.start()
            if not self._lag.isActive():
                self._lag.start()
        else:
            self._lag.stop()
            self._rest.stop()
            self._show_side_panels()
            self._show_title()

    def _show_side_panels(self) -> None:
        """Everything that does not follow a drag step by step."""
        if not self._complete:
            return  # all of it comes with the verdict
        self.reach_maps.follow()
        self._show_beside()
        self._show_panel()

    def _follow_drag(self) -> None:
        self._show_beside()
        # A question asked at every step would only be given up at the next.
        if self._panel_took_s <= QUICK_S and not hasattr(self._panel, "background"):
            self._show_panel()

    def _show_beside(self) -> None:
        self._show_collisions()
        self.plan_drawing.show_drift(arm_drift.arm_drifts(self.document.job, self.document.pose))

    def _show_panel(self) -> None:
        """Fill the panel that is shown; the others are filled when they are."""
        document, panel, began_s = self.document, self._panel, perf_counter()
        name = self.tabs.tabText(self.tabs.currentIndex())
        if name == "Limits":
            panel.show_verdict(document.job, document.verdict)
        elif name == "Doubt":
            panel.show_verdict(document.job, document.pose, document.verdict)
        else:
            panel.show_document(document)
        self._panel_took_s = perf_counter() - began_s

    _panel_took_s = 0.0

    @property
    def _panel(self) -> QWidget:
        """The panel that is shown."""
        return _inside(self.tabs.currentWidget())

    def _show_collisions(self) -> None:
        """Name what the shown pose runs into; a clear pose takes the sentence away again."""
        self._collision = surroundings.collision_words(self.document)
        self._tell_standing()

    def _show_problems(self) -> None:
        verdict = self.document.verdict
        first = verdict.problems[0] if verdict.problems else None
        self._problem = fill(first.words, first.numbers, self.document.units) if first is not None else ""
        self._tell_standing()

    def _tell_standing(self) -> None:
        """What stands as long as the shown pose does: why there is no verdict, and what the rig runs into."""
        words = " ".join(filter(None, (self._problem, self._collision)))
        if words or self._standing:
            self.tell(words)
        self._standing = words

    _collision, _problem, _standing = "", "", ""

    def _show_title(self) -> None:
        document = self.document
        name = document.path.name if document.path else "not saved yet"
        name += ", read-only" if document.read_only else ""
        caution = "" if document.job.approval else " - NOT APPROVED: planning only"
        self.setWindowTitle(f"[*]{document.job.name} ({name}){caution} - Tailweight")
        self.setWindowModified(document.unsaved)

    def tell(self, words: str) -> None:
        """Show one sentence over the drawing; an empty one takes it away."""
        self.notice.setText(words)

    def _gesture(self, handle: str, view: str, at: tuple[float, float]) -> Gesture | LengthGesture:
        self.complete()
        if handle.startswith(gestures.LENGTH):
            return gestures.LengthGesture(self.document, handle, at)
        return gestures.Gesture(self.document, handle, view, at)

    def set_lengths(self, wanted: bool) -> None:
        """Let the handles of the side view change lengths of parts, or the pose again."""
        self._lengths_wanted = wanted
        self.side_drawing.lengths_wanted = wanted
        self._show(self.document)

    _lengths_wanted = False

    def _type_on(self, view: DrawingView, entry: str, at: QPointF) -> None:
        """Open a field over a figure on the drawing."""
        self.pose_panel.show_document(self.document)
        self.figure_field.open(self.pose_panel.field_for(entry, view.viewport()), view.viewport(), at)

    def show_measure(self, path: str) -> None:
        """Show on the drawing what an entry of the truck asks to be measured."""
        found = measures.measure_of(path, self.document.job.truck)
        self.side_drawing.show_measure(found if found and found.view == "side" else None)
        self.plan_drawing.show_measure(found if found and found.view == "plan" else None)
        self.tell(f"{found.words[:1].upper()}{found.words[1:]}." if found else "")

    def point_at(self, check: Check | None) -> None:
        """Ring the place of a check on the drawing."""
        if check is not None:
            self.side_drawing.point_at(side(check.place_m), check.part)

    # -------------------------------------------------------- looking

    def fit(self) -> None:
        """Show truck, rig and load whole."""
        bounds = self.side_drawing.bounds()
        left, above, right, under = self.side_drawing.margins_px()
        view = self.side_view.viewport().rect()
        width, height = max(view.width() - left - right, 60.0), max(view.height() - above - under, 60.0)
        plan_height = max(self.plan_view.viewport().height() - 2.0 * self.plan_drawing.margin_px(), 60.0)
        scale = min(width / bounds.width(), height / bounds.height(), plan_height / self.plan_drawing.bounds().height())
        middle = QPointF(
            bounds.center().x() + (right - left) / 2.0 / scale, bounds.center().y() + (under - above) / 2.0 / scale
        )
        self.side_view.look_at(middle, scale)
        self.side_view.by_hand = self.plan_view.by_hand = False

    def _fit_unless_by_hand(self) -> None:
        if not (self.side_view.by_hand or self.plan_view.by_hand or self.side_view.holding or self.plan_view.holding):
            self.fit()

    def _link(self, moved: DrawingView) -> None:
        """Keep both views at one scale and one x, as projected views on a drawing."""
        if self._linking:
            return
        self._linking = True
        other = self.plan_view if moved is self.side_view else self.side_view
        middle = other.scene_centre().y() if other is self.side_view else self._plan_middle()
        other.look_at(QPointF(moved.scene_centre().x(), middle), moved.px_per_mm)
        self._linking = False
        self.side_drawing.set_scale(self.side_view.px_per_mm, self.side_view.seen())
        self.plan_drawing.set_scale(self.plan_view.px_per_mm, self.plan_view.seen())
        if self._complete:
            self.side_drawing.show(self.document.job, self.document.pose, self.document.verdict)
        else:
            self._show_placed()

    def _plan_middle(self) -> float:
        top, bottom = self.plan_drawing.extent_y()
        return (top + bottom) / 2.0

    # -------------------------------------------------------- poses

    def step_pose(self, steps: int) -> None:
        """Show the named pose so many further on."""
        document = self.document
        document.show_pose((document.index + steps) % len(document.job.poses))

    def step_holes(self, steps: int) -> None:
        """Pull the boom in by so many pin holes (out if negative)."""
        document = self.document
        document.set_pose(pose_edits.boom_by_holes(document.job, document.pose, steps), "Slide the boom")

    def show_keys(self) -> None:
        """List every key in one place."""
        self.complete()
        self.keys = keys.KeysSheet(self.menuBar(), self)
        self.keys.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.keys.open()

    # -------------------------------------------------------- new and leaving

    def new_rig(self) -> None:
        """Ask for a few wishes and draw a whole rig from them."""
        self.guided = first_rig.ask(self, self.document.units, self.document.job.truck, self.take_new)

    def take_new(self, job: Job) -> None:
        """Put a new job in place of the open one if that may be left, else into a window of its own."""
        self.filing.put(job)

    def closeEvent(self, event: QCloseEvent) -> None:
        if self._complete and not self.filing.may_leave():
            event.ignore()
            return
        self._lag.stop()
        self._rest.stop()
        self._refit.stop()
        if self._complete and not self._closed:
            self._close_parts()
        self._closed = True
        self.document.changed.disconnect(self._show)
        self.document.filed.disconnect(self._show_title)
        self.document.close()
        event.accept()
        self.closed.emit()

    def _close_parts(self) -> None:
        self.filing.close()
        for asking in (self.reach_maps, *(_inside(page) for page in self.tabs.made())):
            if hasattr(asking, "background"):
                asking.background.close()
        self.telling.close()
        self._readying.close()

    _closed = False

    # -------------------------------------------------------- files from outside

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        event.acceptProposedAction()
        self.filing.dropped(event.mimeData().urls())

    _complete, _one_paint = False, False

    def event(self, event: QEvent) -> bool:
        """Paint both views at once: each scene asks for a paint of its own, the first of which would come too soon."""
        if self._one_paint and event.type() == QEvent.Type.UpdateRequest:
            self._one_paint = False
            QApplication.postEvent(self, QEvent(QEvent.Type.UpdateRequest), Qt.EventPriority.LowEventPriority.value)
            return True
        return super().event(event)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and self.isActiveWindow() and self._complete:
            self.filing.watch.look()


def _base_font() -> QFont:
    """The font the program started with, before any text size was chosen."""
    application = QApplication.instance()
    if application.property("base_font") is None:
        application.setProperty("base_font", QFont(QApplication.font()))
    return QFont(application.property("base_font"))


_PUT_OFF = frozenset({"filing", "papering", "telling", "reach_maps", "figure_field", "unit_actions"})


def _inside(page: QWidget) -> QWidget:
    """The panel of a page, which may scroll."""
    return page.widget() if isinstance(page, QScrollArea) else page


def _scrolling(widget: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setWidget(widget)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return area
