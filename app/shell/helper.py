"""Helper view: the whole screen, to be read from two metres by somebody who has never seen the program.

It shows three dials of what is left, the drawings, one sentence at a time, and the outline nobody may stand in. Arrow
keys step through what holds, what tips, what is left and what would make it hold; Esc leaves.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QCloseEvent,
    QColor,
    QFont,
    QKeyEvent,
    QPainter,
    QPainterPath,
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
from app.panels.state_word import StateWord
from app.panels.why import filled
from app.shell.dial_face import DialFace
from engine.explain.dials import dials
from engine.explain.helper_steps import HelperStep, cautions, helper_steps
from engine.explain.overturn import overturning
from engine.explain.why import Why

TEXT_SHARE = 1.0 / 34.0
"""Height of the sentence's letters, with their line, as a share of the screen: read from two metres on a laptop."""

SMALL_SHARE = 1.0 / 46.0


class Sheet(QGraphicsView):
    """A drawing to look at: it fits itself and has no handles."""

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
        """Show a scene rectangle with room at left, top, right and bottom; returns the scale (px per mm)."""
        left, top, right, bottom = room_px
        width = max(self.viewport().width() - left - right, 40.0)
        height = max(self.viewport().height() - top - bottom, 40.0)
        scale = min(width / max(bounds.width(), 1.0), height / max(bounds.height(), 1.0))
        self.resetTransform()
        self.scale(scale, scale)
        self.centerOn(bounds.center() + QPointF(right - left, bottom - top) / 2.0 / scale)
        return scale


class HelperView(QWidget):
    """Explains one document to somebody else; it follows the document and changes nothing."""

    left = Signal()
    """The view was closed."""

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
        """Follow the document; the step shown stays while there is one of its number."""
        document = self._document
        self._steps = helper_steps(document.job, document.pose, document.verdict, self._reason(document))
        self.index = min(self.index, len(self._steps) - 1)
        self.word.set(document.verdict.state)
        self.banner.set_approval(document.job.approval)
        readings = dials(document.job, document.verdict)
        for face, reading in zip(self.faces, readings, strict=False):
            face.set(reading, document.units, self._colours)
        for face in self.faces:
            face.setVisible(bool(readings))
        self._cautions.setText(" ".join(cautions(document.pose, document.verdict)))
        self._show_step()

    def step(self, by: int) -> None:
        """Go on by so many steps (back if negative), no further than the first and the last."""
        self.index = min(max(self.index + by, 0), len(self._steps) - 1)
        self._show_step()

    def _show_step(self) -> None:
        step = self._steps[self.index]
        self._title.setText(f"{self.index + 1} of {len(self._steps)}: {step.title}")
        self._sentence.setText(filled(step.statement, self._document))
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
            # Tags keep their size on the screen, so the drawing is drawn again at the scale it fits at.
            scale = self.side_sheet.fit(self._side.bounds(), self._side.margins_px())
            self._side.set_scale(scale, self.side_sheet.mapToScene(self.side_sheet.viewport().rect()).boundingRect())
            self._side.show(document.job, document.pose, document.verdict)
        self._draw(self._steps[self.index])
        room = self._plan.margin_px()
        scale = self.plan_sheet.fit(self._plan.bounds(), (room, room, room, room))
        self._plan.set_scale(scale, self.plan_sheet.mapToScene(self.plan_sheet.viewport().rect()).boundingRect())

    # -------------------------------------------------------- size

    def _set_text(self, height: int) -> None:
        """Take letters as tall as a screen of this height (px) needs."""
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
        """Let arrow keys step even while a button has the focus; Qt would move along the buttons."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            steps = _STEPS.get(event.key(), 0)
            if steps and event.key() != Qt.Key.Key_Space:
                self.step(steps)
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


_STEPS: dict[int, int] = {
    Qt.Key.Key_Right: 1,
    Qt.Key.Key_Down: 1,
    Qt.Key.Key_Space: 1,
    Qt.Key.Key_PageDown: 1,
    Qt.Key.Key_Left: -1,
    Qt.Key.Key_Up: -1,
    Qt.Key.Key_PageUp: -1,
}
