"""Pages with a picture of the pose shown: views at a drawing scale, the load chart, the helper view."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QObject, QPoint, QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPicture, QRegion
from PySide6.QtWidgets import QAbstractScrollArea, QGraphicsPathItem, QGraphicsView, QWidget

from app.documents.document import Document
from app.look.theme import LIGHT, qt_palette, style_sheet
from app.papers.titles import VIEWS
from app.shell.explanations import Explanations
from app.shell.panel_registry import CHART, Panels
from engine.base.lazy import lazy

if TYPE_CHECKING:
    import pyqtgraph

    from app.panels import chart, chart_view
    from app.papers import drawing_sheet, output
    from app.papers.layout import Sheet
    from app.papers.subject import Subject
    from app.shell import helper
else:
    pyqtgraph = lazy("pyqtgraph")
    chart, chart_view = lazy("app.panels.chart"), lazy("app.panels.chart_view")
    helper = lazy("app.shell.helper")
    drawing_sheet, output = lazy("app.papers.drawing_sheet"), lazy("app.papers.output")

CHART_WORDS, HELPER_WORDS = "Load chart", "Helper view"
SHOWN = {**VIEWS, "chart": CHART_WORDS, "helper": HELPER_WORDS}
"""What a page may show, in words."""

LAYOUT_ROUNDS = 2
"""What a part shows may change the room that the parts beside it have."""

CHART_SIZE, HELPER_SIZE = QSize(1000, 1240), QSize(1400, 790)
"""Size in pixels at which a picture without a scale is laid out."""

TEXT_PX = 15


STOPPED = "The load chart was not worked out to the end. Open Why > Load chart to see why."


class NotYetError(Exception):
    """What is to be shown is not worked out yet."""


class Choice(NamedTuple):
    """What a page shows, on which paper, at which scale (None: the largest standard one that fits)."""

    shows: str = "both"
    page: str = "a4"
    scale: int | None = None


class PicturePages(QObject):
    """Makes pages of one window's document."""

    came = Signal()
    """What was not worked out yet may be there now."""

    def __init__(
        self, document: Document, panels: Panels, explanations: Explanations, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._panels, self._explanations = document, panels, explanations
        self._kept: tuple[tuple[object, ...], Subject] | None = None

    @property
    def subject(self) -> Subject:
        """The pose shown, as papers have it."""
        document = self._document
        asked = (document.job, document.pose)
        if self._kept is None or any(a is not b for a, b in zip(self._kept[0], asked, strict=True)):
            self._kept = asked, output.subject_of(document.job, document.pose, output.today())
        return self._kept[1]

    def scales(self, choice: Choice) -> tuple[int, ...]:
        """Standard scales that fit; none for what has no scale."""
        return drawing_sheet.scales_that_fit(self.subject, choice.shows, choice.page) if choice.shows in VIEWS else ()

    def sheet(self, choice: Choice) -> Sheet:
        """The page of a choice.

        Raises
        ------
        RigFileError
            When a drawing does not fit the page.
        NotYetError
            When the load chart is not worked out yet; `came` says when to try again.
        """
        file = self._document.path.name if self._document.path else ""
        if choice.shows in VIEWS:
            return drawing_sheet.drawing(self.subject, choice.shows, choice.page, choice.scale, file)
        shown, size = (self._chart(), CHART_SIZE) if choice.shows == "chart" else (self._helper(), HELPER_SIZE)

        def paint(painter: QPainter, box: QRectF) -> None:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.translate(box.topLeft())
            # The library plays a recording larger on a device of finer dots.
            device = painter.device()
            finer_x, finer_y = device.logicalDpiX() / shown.logicalDpiX(), device.logicalDpiY() / shown.logicalDpiY()
            painter.scale(box.width() / size.width() / finer_x, box.height() / size.height() / finer_y)
            painter.drawPicture(QPointF(), shown)

        shape = size.width() / size.height()
        return drawing_sheet.framed(self.subject, SHOWN[choice.shows], choice.page, shape, paint, file)

    def _chart(self) -> QPicture:
        panel = self._panels[CHART]
        panel.show_document(self._document)
        panel.background.ended.connect(self.came, Qt.ConnectionType.UniqueConnection)
        if not panel.is_ready or panel.chart is None:
            raise NotYetError(chart.WORKED_OUT if panel.background.asks else STOPPED)
        view = chart_view.ChartView(self._document)
        letters = view.font()
        letters.setPixelSize(TEXT_PX)
        view.setFont(letters)
        view.setPalette(qt_palette(LIGHT))
        view.setStyleSheet(style_sheet(LIGHT))
        view.set_theme(LIGHT)
        view.show_chart(panel.chart)
        view.choose_as(panel.view)
        view.write_choices()
        return recorded(view, CHART_SIZE)

    def _helper(self) -> QPicture:
        view = helper.HelperView(self._document, LIGHT, self._explanations.reason)
        return recorded(view, HELPER_SIZE, view.settle)


def recorded(widget: QWidget, size: QSize, settle: Callable[[], None] = lambda: None) -> QPicture:
    """What a widget nobody sees paints in that size: lines and letters, no dots; it is gone afterwards.

    ``settle`` does at once what the widget would do once it is shown.
    """
    widget.resize(size)
    for _ in range(LAYOUT_ROUNDS):
        widget.grab()  # gives every part of it its place
        settle()
    areas = [area for area in widget.findChildren(QAbstractScrollArea) if area.isVisibleTo(widget)]
    panes = [area.viewport() for area in areas]
    places = [QRect(pane.mapTo(widget, QPoint()), pane.size()) for pane in panes]
    beside = QRegion(widget.rect())
    for place in places:
        beside -= QRegion(place)
    picture = QPicture()
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    widget.render(painter, QPoint(), beside)
    for area, pane, place in zip(areas, panes, places, strict=True):
        _draw_no_dots(area)
        painter.save()
        painter.setClipRect(place)  # a recording knows nothing of the panes' own edges
        painter.translate(place.topLeft())
        pane.render(painter, QPoint())
        painter.restore()
    painter.end()
    widget.deleteLater()
    return picture


def _draw_no_dots(area: QAbstractScrollArea) -> None:
    """Let a view draw its ground and its marks anew, which it keeps as dots for the screen."""
    if not isinstance(area, QGraphicsView):
        return
    area.setCacheMode(QGraphicsView.CacheModeFlag.CacheNone)
    for item in area.scene().items():
        if isinstance(item, pyqtgraph.ScatterPlotItem):
            item.setExportMode(True)
        elif isinstance(item, QGraphicsPathItem) and item.path().isEmpty():
            item.setVisible(False)  # a path of nothing is no sound line of a PDF
