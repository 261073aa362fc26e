"""A plot on a sheet of paper: axes in ink; points are read by pointer or arrow keys, copied as picture and text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import pyqtgraph as pg
from PySide6.QtCore import QDynamicPropertyChangeEvent, QEvent, QMimeData, QObject, QPointF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QResizeEvent,
    QTextOption,
    QWheelEvent,
)
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.look import hints
from app.look.text_metrics import text_metrics
from app.look.theme import Palette, greyed
from app.panels import clipboard
from app.panels.cut_sentence import CutSentence
from engine.base.caution import CAUTION

pg.setConfigOption("exitCleanup", False)  # its clean-up at exit can crash after Qt has gone

NEAR_PX = 40.0
"""A point is read when the pointer is no further from it."""

AXIS_LINES = 2.7
"""Lines of text that an axis with its numbers and its label takes."""

UNDER_PX = 5
"""Free under the label at the bottom, which the library draws so much too low."""

VALUE_LINES = 2.0
"""Lines of text that the axis at the left takes besides its numbers."""

OLD = "before the last change"
"""Stands on a plot that is shown while another is worked out (`app.panels.waiting`)."""

STEPS = {
    Qt.Key.Key_Left: -1,
    Qt.Key.Key_Right: 1,
    Qt.Key.Key_Up: -1,
    Qt.Key.Key_Down: 1,
}


TICK_STEPS = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000, 10**6)
MOST_TICKS = 7.0


def round_ticks(top: float, unit: float, most: float = MOST_TICKS) -> Iterator[tuple[float, str]]:
    """Ticks from nothing to a top, at round numbers of a unit: both in SI, each with its text; no more than so many."""
    step = next((step for step in TICK_STEPS if top / unit / step <= most), TICK_STEPS[-1])
    for count in range(int(top / unit / step) + 1):
        yield count * step * unit, f"{count * step:,}".replace(",", "\u202f")


class Point(NamedTuple):
    """A place on a plot that can be read: where it is, what is said of it, and what it stands for."""

    x: float
    y: float
    words: str
    key: object = None


class PaperPlot(pg.PlotWidget):
    """The plot itself: no menu, no zoom, the wheel scrolls the panel round it."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.asked_px = 0
        """Height it asks for where it takes no more than it needs; 0 is as a plot asks by itself."""
        hints.name(self, name)
        self.setMenuEnabled(False)
        self.setMouseEnabled(x=False, y=False)
        self.hideButtons()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        sheet = self.plotItem.layout  # pyright: ignore[reportOptionalMemberAccess]
        sheet.setContentsMargins(1, 1, 1, UNDER_PX)  # pyright: ignore[reportAttributeAccessIssue]
        for side in ("left", "bottom", "top"):
            self.getAxis(side).enableAutoSIPrefix(False)

    def sizeHint(self) -> QSize:
        hint = super().sizeHint()
        return QSize(hint.width(), self.asked_px or hint.height())

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def ink(self, colours: Palette) -> None:
        """Paper and ink of the look."""
        self.setBackground(colours.sheet)
        for side in ("left", "bottom", "top"):
            axis = self.getAxis(side)
            axis.setPen(pg.mkPen(colours.faint_ink))
            axis.setTextPen(pg.mkPen(colours.ink))
            axis.setStyle(tickFont=self.font())
            axis.label.setFont(self.font())
        for side in ("bottom", "top"):
            self.getAxis(side).setHeight(AXIS_LINES * self.fontMetrics().height())


class Plot(QWidget):
    """A plot and the line under it that says what is read."""

    chosen = Signal(object)
    """What the point stands for that was clicked or entered."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        hints.name(self, name)
        self.view = PaperPlot(name)
        self.setFocusProxy(self.view)
        self.view.viewport().setMouseTracking(True)
        self.view.viewport().installEventFilter(self)
        self.view.installEventFilter(self)
        self.reading = CutSentence(f"reading of the {name}")
        self.colours: Palette | None = None
        self._points: tuple[Point, ...] = ()
        self._read: int | None = None
        self._old = QLabel(OLD, self.view)
        self._old.setObjectName("away")
        self._old.setVisible(False)
        self._mark = pg.ScatterPlotItem(symbol="o", size=15, brush=None)
        self._mark.setZValue(50)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.view, 1)
        column.addWidget(self.reading)

    @property
    def points(self) -> tuple[Point, ...]:
        """What can be read, in the order of the arrow keys."""
        return self._points

    def set_theme(self, colours: Palette) -> None:
        self.colours = colours
        self.view.ink(colours)
        self.draw()

    def draw(self) -> None:
        """Draw everything anew, grey where it is old; a plot of a kind overrides `fill`."""
        self.view.clear()
        if self.colours is None:
            return
        colours = greyed(self.colours) if self.is_old else self.colours
        self.set_points(self.fill(colours))
        self._tell_old()
        self._mark.setPen(pg.mkPen(colours.focus, width=2))
        self._mark.setData([], [])
        self.view.addItem(self._mark, ignoreBounds=True)  # pyright: ignore[reportCallIssue]  # handed on to the plot item
        # The library puts a label in the middle of its axis only when the plot's size changes.
        for side in ("left", "bottom", "top"):
            self.view.getAxis(side).resizeEvent()

    @property
    def is_old(self) -> bool:
        """Whether what is shown answers a question from before the last change."""
        return bool(self.property("stale"))

    def _tell_old(self) -> None:
        self._old.setVisible(self.is_old and bool(self._points))
        self._old.adjustSize()
        self._old.move((self.view.width() - self._old.width()) // 2, (self.view.height() - self._old.height()) // 2)

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QDynamicPropertyChangeEvent) and event.propertyName() == b"stale":
            self.draw()
        return super().event(event)

    def fill(self, colours: Palette) -> Sequence[Point]:
        """Put the items into the plot; returns what can be read."""
        raise NotImplementedError

    def write(self, words: str, x: float, y: float, anchor: tuple[float, float], ink: str, ground: str = "") -> None:
        """Words at a place of the plot; ``anchor`` is the part of them that stands there, from the top left."""
        label = pg.TextItem(words, color=ink, anchor=anchor, fill=pg.mkBrush(ground) if ground else None)
        label.setFont(self.font())
        label.setPos(x, y)
        self.view.addItem(label, ignoreBounds=True)  # pyright: ignore[reportCallIssue]  # handed on to the plot item

    def set_values(self, label: str, ticks: Sequence[tuple[float, str]]) -> None:
        """Label and ticks of the axis at the left, as wide as they need; a low axis has its label in more lines."""
        axis, metrics = self.view.getAxis("left"), self.fontMetrics()
        axis.setTicks([list(ticks)])
        lines = self._label_lines(label)
        axis.setLabel("<br>".join(lines))
        axis.label.setTextWidth(-1.0)
        document = axis.label.document()
        document.setDefaultTextOption(QTextOption(Qt.AlignmentFlag.AlignHCenter))
        axis.label.setTextWidth(document.idealWidth())
        widest_px = max((metrics.horizontalAdvance(words) for _, words in ticks), default=0)
        axis.setWidth(widest_px + (VALUE_LINES + len(lines) - 1) * metrics.height())

    def _label_lines(self, label: str) -> list[str]:
        """A label in lines no longer than the axis at the left; the first words go where the longest is too long."""
        self.settle_axes()
        text, words = text_metrics(self.font()), label.split(" ")
        room_px = self.view.getViewBox().height() - 2.0 * self.view.getAxis("left").label.document().documentMargin()
        while len(words) > 1 and max(text.size(word)[0] for word in words) > room_px:
            words.pop(0)
        return text.lines(" ".join(words), room_px)

    def settle_axes(self) -> None:
        """Let the axes take their room now, so that what is placed by pixels stands where it will be seen."""
        self.view.plotItem.layout.activate()  # pyright: ignore[reportOptionalMemberAccess, reportAttributeAccessIssue]

    def ticks_along(self, widest: str) -> float:
        """How many ticks the axis at the bottom has room for, the widest of them so many letters."""
        return max(self.view.getViewBox().width() / self.fontMetrics().horizontalAdvance(f"{widest}00"), 2.0)

    def set_points(self, points: Sequence[Point]) -> None:
        """What can be read."""
        self._points, self._read = tuple(points), None
        self.reading.setText(self.at_rest())

    def at_rest(self) -> str:
        """What the line under the plot says while nothing is read."""
        return ""

    def text(self) -> str:
        """The plot as words, a line for each point."""
        return "\n".join(point.words for point in self._points)

    def read(self, index: int | None) -> None:
        """Read a point, or none."""
        self._read = index
        shown = [] if index is None else [self._points[index]]
        self._mark.setData([point.x for point in shown], [point.y for point in shown])
        self.reading.setText(shown[0].words if shown else self.at_rest())

    def spot_of(self, point: Point) -> QPointF:
        """Where a point stands in the viewport (px)."""
        box = self.view.getViewBox()
        return QPointF(self.view.mapFromScene(box.mapViewToScene(QPointF(point.x, point.y))))

    # ---------------------------------------------------------------- hands

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            return self._key(event)
        if watched is self.view.viewport() and isinstance(event, QMouseEvent):
            if event.type() == QEvent.Type.MouseMove:
                self.read(self._nearest(event.position()))
            elif event.type() == QEvent.Type.MouseButtonRelease and event.button() == Qt.MouseButton.LeftButton:
                self.read(self._nearest(event.position()))
                self._choose()
        left = event.type() == QEvent.Type.Leave and watched is self.view.viewport()
        if left or (isinstance(event, QFocusEvent) and event.lostFocus()):
            self.read(None)
        return False

    def _key(self, event: QKeyEvent) -> bool:
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
        elif event.key() in STEPS and self._points:
            step = STEPS[Qt.Key(event.key())]
            first = 0 if step > 0 else len(self._points) - 1
            self.read(first if self._read is None else (self._read + step) % len(self._points))
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._choose()
        else:
            return False
        return True

    def _choose(self) -> None:
        if self._read is not None and self._points[self._read].key is not None:
            self.chosen.emit(self._points[self._read].key)

    def _nearest(self, spot: QPointF) -> int | None:
        """The point nearest to a spot of the viewport, if one is near."""
        apart = [(self.spot_of(point) - spot).manhattanLength() for point in self._points]
        if not apart or min(apart) > NEAR_PX:
            return None
        return apart.index(min(apart))

    def copy(self) -> None:
        """Put the plot on the clipboard as a picture, and its numbers as text with the caution."""
        data = QMimeData()
        data.setImageData(self.grab().toImage())
        data.setText(f"{self.accessibleName()}\n{self.text()}\n\n{CAUTION}")
        clipboard.put(data)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.draw()
