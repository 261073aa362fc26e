"""The stages of the job in one row, each with a mark of what it still lacks, and the next thing to enter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF, QResizeEvent
from PySide6.QtWidgets import QButtonGroup, QFrame, QHBoxLayout, QPushButton

from app.look.text_metrics import text_metrics
from app.look.theme import Palette
from app.panels.painted import PaintedButton

if TYPE_CHECKING:
    from engine.explain.stages import StageMark

STAGES = ("Truck", "Build", "Place", "Pick", "Why", "Papers")
QUESTIONS = (
    "What holds it down?",
    "What is it made of?",
    "Where does it stand?",
    "What is lifted, and how does it stand?",
    "What gives first, and what would help?",
    "What do I print, sign, send?",
)

NOTHING_NEXT = "Next thing to enter: none"
PADDING = 8


class StageButton(PaintedButton):
    """A stage: its number and name, and its mark, told apart by shape and word, never by colour alone."""

    def __init__(self, number: int, name: str, question: str) -> None:
        super().__init__(f"{number} {name}")
        self._mark: StageMark | None = None
        self._question = question
        self._tell()

    @property
    def mark(self) -> StageMark | None:
        """What the stage lacks, once there is a verdict."""
        return self._mark

    @property
    def mark_words(self) -> str:
        """The mark as it stands on the button."""
        mark = self._mark
        if mark is None:
            return ""
        if mark.cannot_be:
            return "!"
        if mark.stands_out:
            return ""
        return str(mark.missing) if mark.missing else f"~{mark.guessed}" if mark.guessed else "✓"

    def set_mark(self, mark: StageMark | None) -> None:
        """Show another mark."""
        if mark != self._mark:
            self._mark = mark
            self._tell()
            self.updateGeometry()
            self.update()

    def _tell(self) -> None:
        name = self.text().partition(" ")[2]
        words = "" if self._mark is None else f", {self._mark.words}"
        self.setAccessibleName(f"{name}{words}")
        self.setToolTip(f"{self._question} (Ctrl+{self.text()[0]}){words.replace(', ', chr(10), 1)}")

    # -------------------------------------------------------- size and paint

    def sizeHint(self) -> QSize:
        text = text_metrics(self.font(), True)
        width = text.size(self.text())[0] + text.size("~00 ")[0] + text.line_px * 0.4
        return QSize(round(width) + 2 * PADDING, round(text.line_px) + PADDING)

    def minimumSizeHint(self) -> QSize:
        return QSize(self.sizeHint().width() - PADDING, self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, box = QPainter(self), QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ground, ink = self.inks()
        painter.fillRect(box, QColor(ground))
        painter.setPen(self.outline())
        painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5) if self.hasFocus() else box)
        text = text_metrics(self.font(), self.isChecked())
        y = (self.height() - text.line_px) / 2.0
        x = text.paint(painter, self.text(), PADDING, y, ink) + text.space_px * 1.5
        self._paint_mark(painter, x, y, ink, ground)

    def _paint_mark(self, painter: QPainter, x: float, y: float, ink: str, ground: str) -> None:
        text, mark = text_metrics(self.font(), True), self._mark
        if mark is None or mark.stands_out:
            return
        side = text.line_px * 0.9
        box = QRectF(x, y + 0.05 * text.line_px, max(side, text.size(self.mark_words)[0] + 6.0), side)
        pen = QPen(QColor(ink), 1.6)
        if mark.cannot_be:
            top = QPointF(box.left() + side / 2.0, box.top())
            painter.setPen(pen)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawPolygon(QPolygonF([top, QPointF(box.left() + side, box.bottom()), box.bottomLeft()]))
            bang = text.size("!")[0]
            text.paint(painter, "!", box.left() + (side - bang) / 2.0, y + 0.08 * text.line_px, ink)
        elif mark.missing:
            painter.fillRect(box, QColor(ink))
            width = text.size(self.mark_words)[0]
            text.paint(painter, self.mark_words, box.left() + (box.width() - width) / 2.0, y, ground)
        elif mark.guessed:
            text_metrics(self.font()).paint(painter, self.mark_words, x, y, ink)
        else:
            painter.setPen(pen)
            painter.drawPolyline(
                [
                    QPointF(box.left() + 0.1 * side, box.top() + 0.55 * side),
                    QPointF(box.left() + 0.4 * side, box.top() + 0.85 * side),
                    QPointF(box.left() + 0.9 * side, box.top() + 0.15 * side),
                ]
            )


class StageBar(QFrame):
    """Six stages, and a button for the next entry that is missing."""

    chosen = Signal(int)
    """Number of a stage, from 0."""

    next_wanted = Signal()
    """The next entry that is missing is to be shown."""

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("ruled")
        self.setAccessibleName("stages of the job")
        row = self._row = QHBoxLayout(self)
        row.setContentsMargins(2, 2, 2, 2)
        row.setSpacing(2)
        self._group = QButtonGroup(self)
        self.buttons: list[StageButton] = []
        for index, (name, question) in enumerate(zip(STAGES, QUESTIONS, strict=True)):
            button = StageButton(index + 1, name, question)
            self._group.addButton(button, index)
            self.buttons.append(button)
            row.addWidget(button)
        self._group.idClicked.connect(self.chosen)
        row.addStretch(1)
        self.next = QPushButton()
        self.next.setObjectName("link")
        self.next.clicked.connect(self.next_wanted)
        row.addWidget(self.next)
        self.set_next("")

    def set_stage(self, index: int) -> None:
        """Show which stage is open."""
        self.buttons[index].setChecked(True)

    def set_marks(self, marks: list[StageMark]) -> None:
        """Show what each stage lacks."""
        for button, mark in zip(self.buttons, marks, strict=True):
            button.set_mark(mark)

    def set_next(self, words: str) -> None:
        """Show the next entry that is missing; nothing when none is."""
        self._next = words
        self._show_next()

    def _show_next(self) -> None:
        """In full where there is room; else in fewer words."""
        words = self._next
        long = f"Next thing to enter: {words} (F4)" if words else NOTHING_NEXT
        short = "Next (F4)" if words else "Complete"
        metrics = self.next.fontMetrics()
        free = self.width() - sum(button.sizeHint().width() + 2 for button in self.buttons) - 40
        text = long if metrics.horizontalAdvance(long) < free else short
        self.next.setEnabled(bool(words))
        if text != self.next.text():
            self.next.setText(text)
        self.next.setAccessibleName(long)
        self.next.setToolTip(long)

    def set_theme(self, colours: Palette) -> None:
        for button in self.buttons:
            button.set_theme(colours)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._show_next()

    def minimumSizeHint(self) -> QSize:
        """The stages without the words beside them."""
        margins = self._row.contentsMargins()
        width = sum(button.minimumSizeHint().width() + 2 for button in self.buttons)
        width += self.next.fontMetrics().horizontalAdvance("Next (F4)") + 40
        height = max(part.sizeHint().height() for part in (*self.buttons, self.next))
        return QSize(width, height + margins.top() + margins.bottom())
