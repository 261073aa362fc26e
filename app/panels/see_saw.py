"""The see-saw and the bars of the moment balance: weights over a tipping line, painted."""

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
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import hints
from app.look.theme import LIGHT, Palette
from engine.base.formatting import System, show
from engine.explain.shown import GROUP_WORDS, group_mass_text
from engine.handling.moment_balance import MomentBalance, Weight, grouped_weights

MOST_TILT_DEG = 5.0
"""How far the beam goes down at either end."""


class SeeSaw(QWidget):
    """Truck, rig and load as blocks on a beam over the tipping line, distances to scale."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._blocks: tuple[Weight, ...] = ()
        self._use, self._lost_m = 0.0, math.inf
        self._units: System = "metric"
        self._colours = LIGHT
        hints.name(self, "see-saw")
        self.setToolTip("What holds the truck down, and what tips it, over the line it would tip on")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(220, round(self.fontMetrics().height() * 8.6) + 18)

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.update()

    def set(self, balance: MomentBalance | None, use: float, units: System) -> None:
        """Show the weights over a line that is used so far, or nothing."""
        self._blocks = grouped_weights(balance) if balance is not None else ()
        self._lost_m = float(balance.lost_at_m) if balance is not None else math.inf
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
        """Edge of each block: its area goes with the weight."""
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
            mass = group_mass_text(block.group, float(block.mass_kg), self._units)
            distance = show(abs(float(block.distance_m)), "mm", self._units)
            lines = (GROUP_WORDS[block.name], mass, distance)
            width = max(metrics.horizontalAdvance(line) for line in lines) + 6.0
            top = turn.map(QPointF(-float(block.distance_m) * px_per_m, -6.0 - size[block.name]))
            left = min(max(top.x() - width / 2.0, 1.0), self.width() - width - 1.0)
            rect = QRectF(left, top.y() - 3.0 * text, width, 3.0 * text)
            for other in used:
                if rect.intersects(other):
                    rect.moveLeft(min(max(rect.left(), other.right() + 2.0), self.width() - width - 1.0))
            if any(rect.intersects(other) for other in used):
                rect.moveBottom(min(other.top() for other in used if other.intersects(rect)))
            used.append(rect)
            painter.drawText(rect, int(Qt.AlignmentFlag.AlignCenter), "\n".join(lines))


class MomentBars(QWidget):
    """Every weight as a bar left (holds) or right (tips) of the fulcrum line, the greatest first."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._weights: list[Weight] = []
        self._units: System = "metric"
        self._colours = LIGHT
        hints.name(self, "weights over the line")
        self.setToolTip("Moment of every weight about the tipping line: holds or tips")
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

    def set(self, balance: MomentBalance | None, units: System) -> None:
        """Show the weights over a line, or nothing; those that weigh nothing are left out."""
        weights = [weight for weight in balance.weights if float(weight.mass_kg) > 0.0] if balance is not None else []
        before = self.sizeHint()
        self._weights, self._units = sorted(weights, key=lambda weight: -abs(float(weight.moment_Nm))), units
        self.setAccessibleDescription("; ".join(self.rows))
        if self.sizeHint() != before:
            self.updateGeometry()
        self.update()

    @property
    def rows(self) -> list[str]:
        """The rows in words."""
        return [
            f"{weight.name}: {distance_words(weight, self._units)} {_holds_or_tips(weight)}" for weight in self._weights
        ]

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


def distance_words(weight: Weight, units: System) -> str:
    """A weight times its distance, as a person writes it."""
    mass = group_mass_text(weight.group, float(weight.mass_kg), units)
    return f"{mass} × {show(abs(float(weight.distance_m)), 'mm', units)}"


def _holds_or_tips(weight: Weight) -> str:
    return "holds" if float(weight.moment_Nm) > 0.0 else "tips"
