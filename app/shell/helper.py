"""Helper view: the whole screen, to be read from two metres by somebody who has never seen the program.

It shows three dials of what is left, the drawings, one sentence at a time, and the outline nobody may stand in. Arrow
keys step through what holds, what tips, what is left and what would make it hold; Esc leaves.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QCloseEvent,
    QColor,
    QFont,
    QKeyEvent,
    QPainterPath,
    QResizeEvent,
    QShowEvent,
)
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.canvas import ghosts
from app.canvas.plan import PlanDrawing
from app.canvas.sheet import Sheet
from app.canvas.side import SideDrawing
from app.canvas.style import Ink
from app.documents.document import Document
from app.look import hints
from app.look.theme import Palette, style_sheet
from app.panels.banner import Banner
from app.panels.state_word import StateWord
from app.panels.why import filled
from app.shell.dial_face import DialFace
from app.shell.pane_widths import Content, pane_widths
from engine.explain.dials import dials
from engine.explain.helper_steps import HelperStep, cautions, helper_steps
from engine.explain.overturn import overturning
from engine.explain.why import Why

SENTENCE_SHARE, FIGURE_SHARE = 1.0 / 18.0, 1.0 / 24.0
"""Size of the sentence's letters, and of every figure, as a share of the screen's height: read from two metres."""

NO_BREAK = "\u00a0"

BANNER_SHARE, CAUTIONS_SHARE, BUTTON_SHARE = 1.0 / 56.0, 1.0 / 48.0, 1.0 / 40.0


def _content(bounds: QRectF, room_px: tuple[float, float, float, float], least_px: float = 0.0) -> Content:
    left, top, right, bottom = room_px
    return Content(bounds.width() / max(bounds.height(), 1.0), left + right, top + bottom, least_px)


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
        self._gauges = QWidget()
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
            hints.name(button, name)
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
        gauges = QVBoxLayout(self._gauges)
        gauges.setContentsMargins(0, 0, 0, 0)
        for face in self.faces:
            gauges.addWidget(face, 1)
        self._panes = QHBoxLayout()
        for pane in (self.side_sheet, self.plan_sheet, self._gauges):
            pane.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Expanding)
            self._panes.addWidget(pane, 1)
        self.word.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._sentence.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        foot = QHBoxLayout()
        foot.addWidget(self.word)
        foot.addSpacing(12)
        foot.addWidget(self._title, 1)
        for button in (self._back, self._on, self._leave):
            foot.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 6)
        column.setSpacing(4)
        column.addWidget(self.banner)
        body = QVBoxLayout()
        body.setContentsMargins(14, 2, 14, 0)
        body.addLayout(self._panes, 1)
        body.addLayout(foot)
        body.addWidget(self._sentence)
        body.addWidget(self._cautions)
        column.addLayout(body, 1)

    # -------------------------------------------------------- showing

    @property
    def sentence(self) -> str:
        return self._sentence.text().replace(NO_BREAK, " ")

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
        self._gauges.setVisible(bool(readings))
        self._cautions.setText(" ".join(cautions(document.pose, document.verdict)))
        self._show_step()

    def step(self, by: int) -> None:
        """Go on by so many steps (back if negative), no further than the first and the last."""
        self.index = min(max(self.index + by, 0), len(self._steps) - 1)
        self._show_step()

    def _show_step(self) -> None:
        step = self._steps[self.index]
        self._title.setText(f"{self.index + 1} of {len(self._steps)}: {step.title}")
        self._sentence.setText(self._words(step))
        self._back.setEnabled(self.index > 0)
        self._on.setEnabled(self.index < len(self._steps) - 1)
        self._draw(step)
        self._refit.start()

    def _words(self, step: HelperStep) -> str:
        """A step's sentence, with no line break between a number and its unit."""
        return re.sub(r"(?<=\d) (?=\S)", NO_BREAK, filled(step.statement, self._document))

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
        over_end = over is not None and over.line.name in ("front", "rear")
        over_side = over is not None and not over_end
        path = ghosts.over_end(self._side, over, verdict) if over is not None and over_end else QPainterPath()
        self._side.show_over(path, over if over_end else None)
        path = QPainterPath()
        if over is not None and over_side:
            path = ghosts.over_side(self._plan, job, over, pose, verdict)
        self._plan.show_over(path, over if over_side else None)

    def _fit(self) -> None:
        """Share the width out among the panes, and fit each drawing into its own."""
        if not self._text_px:
            return
        self._hold_sentences()
        self._share_width()
        scale = self.side_sheet.fit(self._side.bounds(), self._side.margins_px())
        self._side.set_scale(scale, self.side_sheet.mapToScene(self.side_sheet.viewport().rect()).boundingRect())
        scale = self.plan_sheet.fit(self._plan.bounds(), self._plan.plain_margins_px())
        self._plan.set_scale(scale, self.plan_sheet.mapToScene(self.plan_sheet.viewport().rect()).boundingRect())
        self._draw(self._steps[self.index])  # again, as tags keep their size on the screen

    def settle(self) -> None:
        """Lay everything out now instead of once events are done: nobody sees the view, it is rendered."""
        self._refit.stop()
        self._fit()

    def _hold_sentences(self) -> None:
        """Keep room for the longest sentence, so that the drawings stand still from step to step."""
        width, text = self._sentence.width(), self._sentence.text()
        self._sentence.setMinimumHeight(0)  # a label's height for a width is never under its least
        tallest = 0
        for step in self._steps:
            self._sentence.setText(self._words(step))
            tallest = max(tallest, self._sentence.heightForWidth(width))
        self._sentence.setText(text)
        self._sentence.setMinimumHeight(tallest)
        self._activate()

    def _share_width(self) -> None:
        contents = [
            _content(self._side.bounds(), self._side.margins_px()),
            _content(self._plan.bounds(), self._plan.plain_margins_px(), self._plan.least_px),
        ]
        dials_px = 0 if self._gauges.isHidden() else max(face.needed_px() for face in self.faces)
        gaps = self._panes.spacing() * (2 if dials_px else 1)
        width = self._panes.geometry().width() - gaps
        for at, pane_px in enumerate(pane_widths(width, self._panes.geometry().height(), contents, dials_px)):
            self._panes.setStretch(at, round(pane_px))
        self._activate()

    def _activate(self) -> None:
        layout = self.layout()
        if layout is not None:
            layout.invalidate()
            layout.activate()

    # -------------------------------------------------------- size

    def _set_text(self, height: int) -> None:
        """Take letters as tall as a screen of this height (px) needs."""
        points_per_px = 72.0 / max(self.logicalDpiY(), 1)

        def font(share: float, least_px: float, bold: bool = False) -> QFont:
            letters = QFont(self.font())
            letters.setPointSizeF(max(height * share, least_px) * points_per_px)
            letters.setBold(bold)
            return letters

        figures, small = font(FIGURE_SHARE, 14.0), font(BANNER_SHARE, 11.0)
        for widgets, letters in (
            ((self._title,), font(FIGURE_SHARE, 14.0, bold=True)),
            ((self._sentence,), font(SENTENCE_SHARE, 16.0)),
            ((self._cautions,), font(CAUTIONS_SHARE, 11.0)),
            (self.faces, figures),
            ((self.word, self._back, self._on, self._leave), font(BUTTON_SHARE, 12.0)),
            ((self.banner, *self.banner.findChildren(QLabel)), small),
        ):
            for widget in widgets:
                widget.setFont(letters)
        ink = Ink(self._colours, figures)
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
