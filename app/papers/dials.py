"""A dial on paper: a half-round scale from zero to full, a needle at the worst case, the forbidden stretch hatched."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPolygonF

from app.papers.layout import Sheet
from app.papers.page_marks import BODY, INK, LARGE, SMALL, Mark, Words
from app.papers.subject import Subject
from engine.explain.dials import Dial

TICKS = 10
HALF_ROUND_DEG = 180.0


def share_of(dial: Dial, value: float) -> float:
    """How far round the scale a value stands, held inside it: the number beside it tells the truth."""
    return min(max(value / dial.full, 0.0), 1.0) if dial.full > 0.0 else 0.0


def add_dials(sheet: Sheet, subject: Subject, dials: tuple[Dial, ...]) -> None:
    """Put dials side by side, each with its numbers."""
    width = sheet.column / len(dials)
    texts = [_texts(subject, dial, width - 10.0) for dial in dials]
    radius = min(width * 0.36, 95.0)
    height = radius + 12.0 + max(sum(words.height for words in column) for column in texts) + 10.0
    row = sheet.reserve(height)
    for number, (dial, (title, *others)) in enumerate(zip(dials, texts, strict=True)):
        box = QRectF(row.left() + number * width, row.top(), width, height)
        sheet.frame(box)
        sheet.add(title.mark(QPointF(box.left() + 5.0, box.top() + 2.0)))
        top = box.top() + title.height + 8.0
        sheet.add(_face(dial, QPointF(box.center().x(), top + radius), radius))
        y = top + radius + 6.0
        for words in others:
            sheet.add(words.mark(QPointF(box.left() + 5.0, y)))
            y += words.height
    sheet.gap(4.0)


def _texts(subject: Subject, dial: Dial, width: float) -> list[Words]:
    """Title, the number, and what it means."""
    left, best = (
        subject.show_down(value) if dial.unit == "kg" else subject.show(value, f"{dial.unit}_down")
        for value in (dial.left, dial.best)
    )
    kept = subject.show_up(dial.limit) if dial.unit == "kg" else subject.show(dial.limit, f"{dial.unit}_up")
    limit = f"must keep {kept}" if dial.limit else "must stay over 0"
    best = f"worst case; as entered {best}; {limit}"
    return [
        Words(dial.name, width, BODY, bold=True, align="middle"),
        Words(left, width, LARGE + 8, bold=True, align="middle"),
        Words(dial.words, width, SMALL, align="middle"),
        Words(best, width, SMALL - 1, align="middle"),
        Words(f"0 = {dial.zero_words}", width, SMALL - 1, align="middle"),
    ]


def _face(dial: Dial, hub: QPointF, radius: float) -> Mark:
    box = QRectF(hub.x() - radius, hub.y() - radius, 2.0 * radius, radius)
    round_box = QRectF(hub.x() - radius, hub.y() - radius, 2.0 * radius, 2.0 * radius)

    def paint(painter: QPainter) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QBrush(QColor("#606060"), Qt.BrushStyle.BDiagPattern))
        painter.drawPie(round_box, 180 * 16, -round(HALF_ROUND_DEG * 16 * share_of(dial, dial.limit)))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(INK, 2.0))
        painter.drawArc(round_box, 0, 180 * 16)
        painter.drawLine(QPointF(hub.x() - radius, hub.y()), QPointF(hub.x() + radius, hub.y()))
        for tick in range(TICKS + 1):
            _turn_to(painter, hub, tick / TICKS)
            painter.setPen(QPen(INK, 1.0))
            painter.drawLine(QPointF(-radius, 0.0), QPointF(-radius * 0.9, 0.0))
            painter.restore()
        _turn_to(painter, hub, share_of(dial, dial.best))
        painter.setPen(QPen(INK, 1.0, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(-radius, 0.0), QPointF(-radius * 0.45, 0.0))
        painter.restore()
        _turn_to(painter, hub, share_of(dial, dial.left))
        painter.setPen(QPen(INK, 1.0))
        painter.setBrush(INK)
        painter.drawPolygon(QPolygonF([QPointF(-radius * 0.96, 0.0), QPointF(0.0, -4.0), QPointF(0.0, 4.0)]))
        painter.restore()
        painter.setBrush(INK)
        painter.drawEllipse(hub, 5.0, 5.0)

    return Mark("picture", box, dial.name, paint)


def _turn_to(painter: QPainter, hub: QPointF, share: float) -> None:
    """Turn the painter about the hub until left is a share of the scale; the caller restores it."""
    painter.save()
    painter.translate(hub)
    painter.rotate(HALF_ROUND_DEG * share)
