"""Helper view: the whole screen, to be read from two metres by somebody who has never seen the program.

Three dials that all count what is left, the drawing by the same painters, one sentence at a time, and the outline
nobody stands in.  Arrow keys walk through what holds, what tips, what is left and what would make it hold; Esc leaves.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QBrush,
    QCloseEvent,
    QColor,
    QFont,
    QFontMetricsF,
    QKeyEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QShowEvent,
)
from PySide6.QtWidgets import (
    QGraphicsScene,
    QGraphicsView,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.canvas import ghosts
from app.canvas.plan import PlanDrawing
from app.canvas.side import SideDrawing
from app.canvas.style import Ink
from app.documents.document import Document
from app.look.theme import Palette, style_sheet
from app.panels.banner import Banner
from app.panels.margin import StateWord
from app.panels.why import filled
from engine.base.formatting import System, show
from engine.explain.dials import Dial, dials
from engine.explain.helper_steps import HelperStep, cautions, helper_steps
from engine.explain.overturn import overturning
from engine.explain.why import Why

TEXT_SHARE = 1.0 / 34.0
"""Height of the sentence's letters, with their line, as a share of the screen: read from two metres on a laptop."""

SMALL_SHARE = 1.0 / 46.0
NUMBER_SIZE = 1.4
"""A dial's number beside the words around it."""

DIAL_FROM_DEG, DIAL_SPAN_DEG = 210.0, 240.0
"""A bathroom scale's dial: zero at the lower left, full at the lower right."""


class DialFace(QWidget):
    """One dial: a needle at what is left at worst, a tick at best values, zero and the limit marked."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._dial: Dial | None = None
        self._colours: Palette | None = None
        self._units: System = "metric"
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        return QSize(self.fontMetrics().averageCharWidth() * 24, self.fontMetrics().height() * 8)

    def set(self, dial: Dial, units: System, colours: Palette) -> None:
        """Show a dial."""
        self._dial, self._units, self._colours = dial, units, colours
        self.setAccessibleName(dial.name)
        self.setAccessibleDescription(f"{self.number} {dial.words}; zero: {dial.zero_words}")
        self.update()

    @property
    def number(self) -> str:
        """What the dial reads."""
        return show(self._dial.left, self._dial.unit, self._units).replace(" ", "\u00a0") if self._dial else ""

    def turn_deg(self, value: float) -> float:
        """Where a value stands, clockwise from straight up; past either end the needle rests on its stop."""
        share = min(max(value / self._dial.full if self._dial.full > 0.0 else 0.0, -0.06), 1.04)
        return DIAL_SPAN_DEG * (share - 0.5)

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._dial is None or self._colours is None:
            return
        painter, colours, dial = QPainter(self), self._colours, self._dial
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        text = QFontMetricsF(self.font()).height()
        painter.setPen(QPen(QColor(colours.line), 1))
        painter.setBrush(QColor(colours.sheet))
        painter.drawRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5))
        radius = max(min(0.25 * self.width(), (self.height() - 0.8 * text) / 1.55), 10.0)
        centre = QPointF(0.4 * text + radius, (self.height() - 1.5 * radius) / 2.0 + radius)
        self._scale(painter, centre, radius)
        self._needle(painter, centre, radius, dial.best, QPen(QColor(colours.faint_ink), 2, Qt.PenStyle.DashLine))
        short = dial.left < dial.limit
        self._needle(painter, centre, radius, dial.left, QPen(QColor(colours.tipping if short else colours.ink), 4))
        painter.setBrush(QColor(colours.ink))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawEllipse(centre, 0.28 * text, 0.28 * text)
        self._texts(painter, centre, radius, text)

    def _scale(self, painter: QPainter, centre: QPointF, radius: float) -> None:
        colours, dial = self._colours, self._dial
        around = QRectF(centre.x() - radius, centre.y() - radius, 2.0 * radius, 2.0 * radius)
        limit = DIAL_SPAN_DEG * min(max(dial.limit / dial.full if dial.full > 0.0 else 0.0, 0.0), 1.0)
        over = colours.states["OVER"]
        if limit > 0.0:
            painter.setPen(Qt.PenStyle.NoPen)
            for brush in (QBrush(QColor(over.ground)), QBrush(QColor(over.text), over.hatch)):
                painter.setBrush(brush)
                painter.drawPie(around, round(DIAL_FROM_DEG * 16), round(-limit * 16))
            painter.setBrush(QColor(colours.sheet))
            inner = around.adjusted(*(radius * side * 0.16 for side in (1.0, 1.0, -1.0, -1.0)))
            painter.drawEllipse(inner)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(colours.ink), 2))
        painter.drawArc(around, round(DIAL_FROM_DEG * 16), round(-DIAL_SPAN_DEG * 16))
        for tenth in range(11):
            painter.save()
            painter.translate(centre)
            painter.rotate(DIAL_SPAN_DEG * (tenth / 10.0 - 0.5))
            long = 0.16 if tenth in (0, 5, 10) else 0.09
            painter.setPen(QPen(QColor(colours.tipping if tenth == 0 else colours.ink), 4 if tenth == 0 else 1))
            painter.drawLine(QPointF(0.0, -radius), QPointF(0.0, -radius * (1.0 - long)))
            painter.restore()

    def _needle(self, painter: QPainter, centre: QPointF, radius: float, value: float, line: QPen) -> None:
        painter.save()
        painter.translate(centre)
        painter.rotate(self.turn_deg(value))
        painter.setPen(line)
        painter.drawLine(QPointF(0.0, 0.1 * radius), QPointF(0.0, -0.86 * radius))
        painter.restore()

    def _texts(self, painter: QPainter, centre: QPointF, radius: float, text: float) -> None:
        """Name, number and zero beside the dial, from the top down."""
        dial, colours = self._dial, self._colours
        bold = QFont(self.font())
        bold.setBold(True)
        bold.setPointSizeF(self.font().pointSizeF() * NUMBER_SIZE)
        left = centre.x() + radius + 0.6 * text
        width, flags = self.width() - left - 0.3 * text, int(Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
        lines = (
            (self.font(), colours.ink, dial.name),
            (bold, colours.tipping if dial.left < dial.limit else colours.ink, self.number),
            (self.font(), colours.faint_ink, f"left at worst; zero: {dial.zero_words}"),
        )
        room = QRectF(left, 0.0, width, 1000.0)
        heights = [QFontMetricsF(font).boundingRect(room, flags, words).height() for font, _, words in lines]
        top = max((self.height() - sum(heights)) / 2.0, 1.0)
        for (font, colour, words), height in zip(lines, heights, strict=True):
            painter.setFont(font)
            painter.setPen(QColor(colour))
            painter.drawText(QRectF(left, top, width, height + 1.0), flags, words)
            top += height


class Sheet(QGraphicsView):
    """A drawing to look at: it fits itself and takes no hold of anything."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setScene(QGraphicsScene(self))
        self.setAccessibleName(name)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setInteractive(False)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSceneRect(QRectF(-60_000, -60_000, 120_000, 120_000))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def fit(self, bounds: QRectF, room_px: tuple[float, float, float, float] = (12.0, 12.0, 12.0, 12.0)) -> float:
        """Show a scene rectangle with room at left, top, right, bottom; the scale it takes (px per mm)."""
        left, top, right, bottom = room_px
        width = max(self.viewport().width() - left - right, 40.0)
        height = max(self.viewport().height() - top - bottom, 40.0)
        scale = min(width / max(bounds.width(), 1.0), height / max(bounds.height(), 1.0))
        self.resetTransform()
        self.scale(scale, scale)
        self.centerOn(bounds.center() + QPointF(right - left, bottom - top) / 2.0 / scale)
        return scale


class HelperView(QWidget):
    """The view somebody else reads; it follows the document and changes nothing."""

    left = Signal()
    """It was closed."""

    def __init__(self, document: Document, colours: Palette, reason: Callable[[Document], Why]) -> None:
        super().__init__()
        self.setObjectName("page")
        self.setWindowTitle("Tailweight: helper view")
        self.setAccessibleName("helper view")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._document, self._colours, self._reason = document, colours, reason
        self._steps: tuple[HelperStep, ...] = ()
        self.index = 0
        self.banner, self.word = Banner(), StateWord()
        self.faces = tuple(DialFace() for _ in range(3))
        self.side_sheet, self.plan_sheet = Sheet("side view"), Sheet("plan with the stay-clear outline")
        self._title, self._sentence, self._cautions = (QLabel() for _ in range(3))
        for label, name in ((self._title, "step"), (self._sentence, "sentence"), (self._cautions, "cautions")):
            label.setWordWrap(True)
            label.setAccessibleName(name)
        self._back, self._on, self._leave = (QPushButton(text) for text in ("◂ Back", "Next ▸", "Leave (Esc)"))
        for button, name in (
            (self._back, "step back"),
            (self._on, "next step"),
            (self._leave, "leave the helper view"),
        ):
            button.setAccessibleName(name)
            button.installEventFilter(self)
        self._back.clicked.connect(lambda: self.step(-1))
        self._on.clicked.connect(lambda: self.step(1))
        self._leave.clicked.connect(self.close)
        self._refit = QTimer(self, singleShot=True, interval=0)
        self._refit.timeout.connect(self._fit)
        self._lay_out()
        self.setStyleSheet(style_sheet(colours))
        self.banner.set_theme(colours)
        self.word.set_theme(colours)
        self._text_px = 0
        self.resize(1280, 800)

    def _lay_out(self) -> None:
        drawings = QHBoxLayout()
        drawings.addWidget(self.side_sheet, 11)
        drawings.addWidget(self.plan_sheet, 9)
        gauges = QVBoxLayout()
        gauges.addWidget(self.word)
        for face in self.faces:
            gauges.addWidget(face, 1)
        gauges.addStretch(0)
        middle = QHBoxLayout()
        middle.addLayout(drawings)
        middle.addLayout(gauges)
        middle.setStretch(0, 31)
        middle.setStretch(1, 10)
        foot = QHBoxLayout()
        foot.addWidget(self._title, 1)
        for button in (self._back, self._on, self._leave):
            foot.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 10)
        column.setSpacing(6)
        column.addWidget(self.banner)
        body = QVBoxLayout()
        body.setContentsMargins(14, 4, 14, 0)
        body.addLayout(middle, 1)
        body.addLayout(foot)
        body.addWidget(self._sentence)
        body.addWidget(self._cautions)
        column.addLayout(body, 1)

    # -------------------------------------------------------- showing

    @property
    def sentence(self) -> str:
        return self._sentence.text()

    @property
    def title(self) -> str:
        return self._title.text()

    def show_document(self) -> None:
        """Follow the document, staying on the step shown as far as it still is there."""
        document = self._document
        self._steps = helper_steps(document.job, document.pose, document.verdict, self._reason(document))
        self.index = min(self.index, len(self._steps) - 1)
        self.word.set(document.verdict.state)
        self.banner.set_approval(document.job.approval)
        found = dials(document.job, document.verdict)
        for face, dial in zip(self.faces, found, strict=False):
            face.set(dial, document.units, self._colours)
        for face in self.faces:
            face.setVisible(bool(found))
        self._cautions.setText(" ".join(cautions(document.pose, document.verdict)))
        self._show_step()

    def step(self, by: int) -> None:
        """Go on or back by so many steps, and no further than the ends."""
        self.index = min(max(self.index + by, 0), len(self._steps) - 1)
        self._show_step()

    def _show_step(self) -> None:
        step = self._steps[self.index]
        self._title.setText(f"{self.index + 1} of {len(self._steps)}: {step.title}")
        self._sentence.setText(filled(step.said, self._document))
        self._back.setEnabled(self.index > 0)
        self._on.setEnabled(self.index < len(self._steps) - 1)
        self._draw(step)
        self._refit.start()

    def _draw(self, step: HelperStep) -> None:
        if not self._text_px:
            return
        document = self._document
        job, pose, verdict = document.job, document.pose, document.verdict
        for drawing in (self._side, self._plan):
            drawing.show(job, pose, verdict)
            drawing.set_emphasis(step.groups)
            drawing.hide_handles()
        over = overturning(job, verdict)
        if over is not None:
            if over.line.name in ("front", "rear"):
                path = ghosts.over_end(self._side, over, verdict)
                self._side.show_over(path, over)
            else:
                self._side.show_over(QPainterPath(), over)
                self._plan.show_over(ghosts.over_side(job, over, pose, verdict), over)

    def _fit(self) -> None:
        if not self._text_px:
            return
        document = self._document
        for _ in range(2):
            # The drawing's tags keep their size on the screen, so it is drawn again at the scale it fits at.
            scale = self.side_sheet.fit(self._side.bounds(), self._side.margins_px())
            self._side.set_scale(scale, self.side_sheet.mapToScene(self.side_sheet.viewport().rect()).boundingRect())
            self._side.show(document.job, document.pose, document.verdict)
        self._draw(self._steps[self.index])
        room = self._plan.margin_px()
        scale = self.plan_sheet.fit(self._plan.bounds(), (room, room, room, room))
        self._plan.set_scale(scale, self.plan_sheet.mapToScene(self.plan_sheet.viewport().rect()).boundingRect())

    # -------------------------------------------------------- size

    def _set_text(self, height: int) -> None:
        """Letters as tall as the screen asks for."""
        large, small = QFont(self.font()), QFont(self.font())
        points_per_px = 72.0 / max(self.logicalDpiY(), 1)
        large.setPointSizeF(max(height * TEXT_SHARE, 12.0) * points_per_px)
        small.setPointSizeF(max(height * SMALL_SHARE, 11.0) * points_per_px)
        title = QFont(large)
        title.setBold(True)
        for widget, font in (
            (self._title, title),
            (self._sentence, large),
            (self._cautions, small),
            (self.word, large),
            (self.banner, small),
            *((face, small) for face in self.faces),
            *((button, small) for button in (self._back, self._on, self._leave)),
        ):
            widget.setFont(font)
        for label in self.banner.findChildren(QLabel):
            label.setFont(small)
        ink = Ink(self._colours, small)
        self._side = SideDrawing(self.side_sheet.scene(), ink, plain=True)
        self._plan = PlanDrawing(self.plan_sheet.scene(), ink, plain=True)
        self._plan.stay_clear_wanted = True
        for sheet in (self.side_sheet, self.plan_sheet):
            sheet.setBackgroundBrush(QColor(self._colours.sheet))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self.height() != self._text_px:
            self._text_px = self.height()
            self._set_text(self.height())
            self.show_document()
        self._refit.start()

    # -------------------------------------------------------- keys

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.setFocus()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Arrow keys step even while a button has the keyboard; Qt would only walk along the buttons."""
        if event.type() == QEvent.Type.KeyPress and event.key() != Qt.Key.Key_Space and event.key() in _STEPS:
            self.step(_STEPS[event.key()])
            return True
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key == Qt.Key.Key_Escape:
            self.close()
        elif key in _STEPS:
            self.step(_STEPS[key])
        else:
            super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        self._refit.stop()
        event.accept()
        self.left.emit()


_STEPS = {
    Qt.Key.Key_Right: 1,
    Qt.Key.Key_Down: 1,
    Qt.Key.Key_Space: 1,
    Qt.Key.Key_PageDown: 1,
    Qt.Key.Key_Left: -1,
    Qt.Key.Key_Up: -1,
    Qt.Key.Key_PageUp: -1,
}
