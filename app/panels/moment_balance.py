"""Weigh-up: the see-saw.  What holds left of the fulcrum, what tips right of it, each weight times its distance.

The beam comes level as balance is lost and goes down on the right once it is.  Everything follows the document, in a
drag some sixteen times a second.
"""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFontMetricsF,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
    QResizeEvent,
    QTransform,
)
from PySide6.QtWidgets import QLabel, QSizePolicy, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look.theme import LIGHT, Palette
from app.panels.fields import ChoiceField
from app.panels.widgets import caption
from engine.base.formatting import System, show
from engine.handling.moment_balance import MomentBalance, Weight, grouped_weights, moment_balance, most_used_line
from engine.limits.balance import TipLine

MOST_TILT_DEG = 5.0
MOST_USED = "the most used"
LINES = ("front", "left side", "right side", "rear")


def distance_words(weight: Weight, units: System) -> str:
    """A weight times its distance, as a person writes it."""
    return f"{show(float(weight.mass_kg), 'kg', units)} × {show(abs(float(weight.distance_m)), 'm', units)}"


class SeeSaw(QWidget):
    """Truck, rig and load as blocks on a beam over the tipping line, distances to scale."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._blocks: tuple[Weight, ...] = ()
        self._use, self._lost_m, self._units, self._colours = 0.0, math.inf, "metric", LIGHT
        self.setAccessibleName("see-saw")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(220, round(self.fontMetrics().height() * 8.6) + 18)

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.update()

    def set(self, found: MomentBalance | None, use: float, units: System) -> None:
        """Show a weigh-up, or nothing."""
        self._blocks = grouped_weights(found) if found is not None else ()
        self._lost_m = float(found.lost_at_m) if found is not None else math.inf
        self._use, self._units = use, units
        self.update()

    @property
    def tilt_deg(self) -> float:
        """How far the beam is down on its tipping side: level when balance is lost."""
        return MOST_TILT_DEG * (min(max(self._use, 0.0), 2.0) - 1.0)

    def paintEvent(self, _event: QPaintEvent) -> None:
        if not self._blocks:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        text = QFontMetricsF(self.font()).height()
        size = self._sizes(text)
        held, tipped = self._ends(size)
        px_per_m = (self.width() - 8.0) / (held + tipped)
        pivot = QPointF(4.0 + held * px_per_m, self.height() - 2.2 * text)
        self._ground(painter, pivot, text)
        turn = QTransform().translate(pivot.x(), pivot.y()).rotate(self.tilt_deg)
        painter.setTransform(turn)
        painter.setPen(QPen(QColor(self._colours.steel_edge), 1))
        painter.setBrush(QColor(self._colours.steel))
        painter.drawRect(QRectF(-held * px_per_m, -5.0, (held + tipped) * px_per_m, 5.0))
        for block in self._blocks:
            self._block(painter, block, size[block.name], px_per_m)
        if 0.0 < self._lost_m < tipped:
            painter.setPen(QPen(QColor(self._colours.tipping), 1, Qt.PenStyle.DashLine))
            painter.drawLine(QPointF(self._lost_m * px_per_m, -2.2 * text), QPointF(self._lost_m * px_per_m, 0.0))
        painter.resetTransform()
        self._labels(painter, turn, size, px_per_m, text)

    def _sizes(self, text: float) -> dict[str, float]:
        heaviest = max(float(block.mass_kg) for block in self._blocks)
        return {block.name: max(2.8 * text * math.sqrt(float(block.mass_kg) / heaviest), 7.0) for block in self._blocks}

    def _ends(self, size: dict[str, float]) -> tuple[float, float]:
        """Metres of beam either side of the fulcrum, with room for the blocks' halves and the loss mark."""
        far = [float(block.distance_m) for block in self._blocks]
        held, tipped = max(0.4, *far), max(0.4, *(-metres for metres in far))
        if math.isfinite(self._lost_m) and self._lost_m < 1.6 * tipped:
            tipped = max(tipped, self._lost_m)
        widest = max(size.values()) / max(self.width() - 8.0, 1.0)
        room = (held + tipped) * widest * 0.75
        return held + room, tipped + room

    def _ground(self, painter: QPainter, pivot: QPointF, text: float) -> None:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(self._colours.tipping))
        half, foot = 0.5 * text, pivot.y() + 0.95 * text
        painter.drawPolygon(QPolygonF([pivot, QPointF(pivot.x() + half, foot), QPointF(pivot.x() - half, foot)]))
        painter.setPen(QPen(QColor(self._colours.line), 1))
        painter.drawLine(QPointF(0.0, foot), QPointF(self.width(), foot))
        painter.setPen(QColor(self._colours.faint_ink))
        under = QRectF(0.0, foot + 1.0, self.width(), 1.15 * text)
        painter.drawText(
            under.adjusted(4, 0, 0, 0), int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop), "◂ holds"
        )
        painter.drawText(
            under.adjusted(0, 0, -4, 0), int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop), "tips ▸"
        )

    def _fill(self, group: str) -> QBrush:
        colours = self._colours
        return QBrush(QColor({"truck": colours.truck_dark, "rig": colours.arm, "load": colours.load}[group]))

    def _block(self, painter: QPainter, block: Weight, size: float, px_per_m: float) -> None:
        painter.setPen(QPen(QColor(self._colours.ink), 1))
        painter.setBrush(self._fill(block.group))
        at = -float(block.distance_m) * px_per_m
        painter.drawRect(QRectF(at - size / 2.0, -5.0 - size, size, size))

    def _labels(
        self, painter: QPainter, turn: QTransform, size: dict[str, float], px_per_m: float, text: float
    ) -> None:
        """Name and figures over each block; a label that would lie on another stands a step higher."""
        painter.setPen(QColor(self._colours.ink))
        metrics, used = QFontMetricsF(self.font()), []
        for block in sorted(self._blocks, key=lambda block: -float(block.distance_m)):
            words = f"{block.name}\n{show(float(block.mass_kg), 'kg', self._units)}\n{show(abs(float(block.distance_m)), 'm', self._units)}"
            width = max(metrics.horizontalAdvance(line) for line in words.split("\n")) + 6.0
            top = turn.map(QPointF(-float(block.distance_m) * px_per_m, -6.0 - size[block.name]))
            left = min(max(top.x() - width / 2.0, 1.0), self.width() - width - 1.0)
            rect = QRectF(left, top.y() - 3.0 * text, width, 3.0 * text)
            for other in used:
                if rect.intersects(other):
                    rect.moveLeft(min(max(rect.left(), other.right() + 2.0), self.width() - width - 1.0))
            if any(rect.intersects(other) for other in used):
                rect.moveBottom(min(other.top() for other in used if other.intersects(rect)))
            used.append(rect)
            painter.drawText(rect, int(Qt.AlignmentFlag.AlignCenter), words)


class Bars(QWidget):
    """Every weight as a bar left (holds) or right (tips) of the fulcrum line, the greatest first."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._weights: list[Weight] = []
        self._units, self._colours = "metric", LIGHT
        self.setAccessibleName("weights over the line")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(220, round(len(self._weights) * self._row_height() + 4))

    def _row_height(self) -> float:
        return (2.0 if self._two_lines() else 1.0) * self.fontMetrics().height() + 9.0

    def _two_lines(self) -> bool:
        """Whether some name and its figures do not fit beside each other."""
        metrics = self.fontMetrics()
        words = (
            metrics.horizontalAdvance(f"{weight.name}{distance_words(weight, self._units)}") for weight in self._weights
        )
        return max(words, default=0) > self.width() - 16

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.updateGeometry()

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.update()

    def set(self, found: MomentBalance | None, units: System) -> None:
        """Show the weights of a weigh-up; those that weigh nothing are left out."""
        weights = [weight for weight in found.weights if float(weight.mass_kg) > 0.0] if found is not None else []
        before = self.sizeHint()
        self._weights, self._units = sorted(weights, key=lambda weight: -abs(float(weight.moment_Nm))), units
        self.setAccessibleDescription("; ".join(self.rows))
        if self.sizeHint() != before:
            self.updateGeometry()
        self.update()

    @property
    def rows(self) -> list[str]:
        """The rows in words."""
        return [f"{weight.name}: {distance_words(weight, self._units)} {_way(weight)}" for weight in self._weights]

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        row, apart = self._row_height(), self._two_lines()
        half = (row - 9.0) / 2.0 if apart else 0.0
        middle, room = self.width() / 2.0, self.width() / 2.0 - 3.0
        largest = max((abs(float(weight.moment_Nm)) for weight in self._weights), default=0.0)
        for index, weight in enumerate(self._weights):
            top, moment = index * row, float(weight.moment_Nm)
            long = room * abs(moment) / largest if largest > 0.0 else 0.0
            bar = QRectF(middle - long if moment > 0.0 else middle, top + row - 8.0, long, 6.0)
            look = (
                self._colours.truck_dark
                if weight.group == "truck"
                else self._colours.arm
                if weight.group == "rig"
                else self._colours.load
            )
            painter.setPen(QPen(QColor(self._colours.ink), 1))
            painter.setBrush(QColor(look))
            painter.drawRect(bar)
            figures = distance_words(weight, self._units)
            line = QRectF(2.0, top, self.width() - 4.0, row - 8.0 - half)
            painter.drawText(line, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter), weight.name)
            painter.drawText(
                line.translated(0.0, half), int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter), figures
            )
            painter.setPen(QPen(QColor(self._colours.tipping), 1))
            painter.drawLine(QPointF(middle, top + row - 10.0), QPointF(middle, top + row))


def _way(weight: Weight) -> str:
    return "holds" if float(weight.moment_Nm) > 0.0 else "tips"


class MomentBalancePanel(QWidget):
    """The see-saw over the most used tipping line, or over the one chosen."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.line = ChoiceField("tipping line weighed", (MOST_USED, *LINES))
        self.line.entered.connect(lambda _name: self._document and self.show_document(self._document))
        self._document: Document | None = None
        self.see_saw, self.bars = SeeSaw(), Bars()
        self._title, self._sum = QLabel(), QLabel()
        self._title.setObjectName("heading")
        for label in (self._title, self._sum):
            label.setWordWrap(True)
        self._sum.setAccessibleName("sums of the weigh-up")
        column = QVBoxLayout(self)
        column.addWidget(caption("Tipping line", self.line))
        column.addWidget(self.line)
        column.addWidget(self._title)
        column.addWidget(self.see_saw)
        column.addWidget(self._sum)
        column.addWidget(self.bars)
        column.addWidget(
            caption("Plain statics, best values, no allowances. Distances are square to plumb, from the line.")
        )
        column.addStretch(1)

    @property
    def title(self) -> str:
        return self._title.text()

    @property
    def sum_text(self) -> str:
        return self._sum.text()

    def set_theme(self, colours: Palette) -> None:
        self.see_saw.set_theme(colours)
        self.bars.set_theme(colours)

    def show_document(self, document: Document) -> None:
        """Weigh up the pose shown."""
        self._document = document
        weighed, units = document.verdict.balance, document.units
        if weighed is None:
            self._title.setText("Nothing to weigh up")
            self._sum.setText(
                "There is no verdict on this pose: a fact is missing, or it cannot be. Put that right first."
            )
            self.see_saw.set(None, 0.0, units)
            self.bars.set(None, units)
            return
        line = self._chosen(most_used_line(weighed), weighed.lines)
        found = moment_balance(document.verdict.hanging, line)
        self.see_saw.set(found, float(line.use), units)
        self.bars.set(found, units)
        self._title.setText(f"Over the {line.name} line")
        self._sum.setText(_sum_words(found, units))
        self.see_saw.setAccessibleDescription(self._sum.text())

    def _chosen(self, used: TipLine, lines: tuple[TipLine, ...]) -> TipLine:
        return next((line for line in lines if line.name == self.line.currentData()), used)


def _sum_words(found: MomentBalance, units: System) -> str:
    holds, tips, left = (show(float(value), "Nm", units) for value in (found.holds_Nm, found.tips_Nm, found.left_Nm))
    words = f"Holds {holds}, tips {tips}: {left} left."
    if not float(found.left_Nm) > 0.0:
        words = f"Holds {holds}, tips {tips}: NOTHING LEFT, it would go over."
    if math.isfinite(float(found.lost_at_kg)):
        words += (
            f" Balance would be lost with {show(max(float(found.lost_at_kg), 0.0), 'kg_down', units)} on the hook here"
        )
        if math.isfinite(float(found.lost_at_m)) and float(found.lost_at_m) > 0.0:
            words += f", or with this load {show(float(found.lost_at_m), 'm', units)} past the line"
        words += "."
    else:
        words += " More load here does not tip over this line."
    if found.left_out:
        words += f" Not counted over this line: {', '.join(found.left_out)}."
    return words
