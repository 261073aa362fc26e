"""Two bars of the verdict block: how much rig and truck use of what their limits allow, and the room there is."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPaintEvent, QPen, QPolygonF, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look.text_metrics import TextMetrics
from app.look.theme import Look
from app.panels.painted import PaintedFigures
from app.panels.state_word import NO_VERDICT_YET

FULL = 1.25
"""End of the scale; a use past it is a number and an arrow."""

THIN_PX, THICK_PX = 6, 12
"""Height of a bar, and of the one that gives first."""

HEAD = "Used in the worst case; the larger gives first"

LINE = "100 %"

GIVES_FIRST = "gives first"

LIMIT_SHARE = 0.4
"""Least share of the line for the bar's own limit where another gives first."""

MOST_LINES = 2
"""Lines that words may take where one cuts them."""


class Bar(NamedTuple):
    """One bar: ``RIG`` or ``TRUCK``, its most used limit, its use in the worst case and as entered."""

    side: str
    limit: str
    use: float
    as_entered: float
    shown: str
    state: str
    first: str
    """Why it is the larger: `GIVES_FIRST`, or what gives first where that is not the most used limit; else empty."""
    first_shown: str = ""
    """Use of what gives first, where that is not the most used limit."""

    @property
    def lines(self) -> tuple[str, ...]:
        """The limit and, where that is another, what gives first: whole, then with ever fewer words."""
        if not self.first_shown:
            return self.limit, part_of(self.limit)
        first = self.first.removeprefix(f"{GIVES_FIRST}: ")
        shorter = ((self.limit, first), (self.limit, part_of(first)), (part_of(self.limit), part_of(first)))
        return tuple(f"{limit} ({GIVES_FIRST}: {name}, {self.first_shown})" for limit, name in shorter)

    @property
    def words(self) -> str:
        """What a reader is told."""
        first = "".join(f", {words}" for words in (self.first, self.first_shown) if words)
        return f"{self.side.capitalize()}, {self.limit}, {self.shown} of allowed in the worst case{first}"

    @property
    def governs(self) -> bool:
        """Whether rig or truck, whichever this is, gives first."""
        return bool(self.first)


class UseBars(PaintedFigures):
    """Bars on one scale."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bars: tuple[Bar, ...] = ()
        self._room, self._room_short, self._brief_room = "", False, ""
        self._more: frozenset[str] = frozenset()
        """Rows whose words take a line more: ``RIG``, ``TRUCK``, ``ROOM``."""
        self.setAccessibleName("use of rig and truck")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        bars = 2.0 * (self._bold.line_px + 3.0) + THIN_PX + THICK_PX
        text = self._small.line_px + self._plain.line_px + len(self._more) * self._small.line_px
        return QSize(round(self._bold.size("n")[0] * 48), math.ceil(bars + text))

    @property
    def names_px(self) -> int:
        """Width in which names of limits stand whole beside other boxes."""
        return round(self._bold.size("n")[0] * 60)

    def minimumSizeHint(self) -> QSize:
        return QSize(round(self._bold.size("n")[0] * 26), self.sizeHint().height())

    @property
    def bars(self) -> tuple[Bar, ...]:
        """What is shown."""
        return self._bars

    @property
    def room(self) -> str:
        """What is said of the room."""
        return self._room

    def set(
        self,
        bars: tuple[Bar, ...],
        room: str,
        *,
        room_short: bool,
        brief_room: str = "",
        at_once: bool = False,
    ) -> None:
        """Show other bars, and in words the gap that leaves least room.

        ``at_once`` they keep their height: a row that is too long for it is said in fewer words (of the room
        ``brief_room``), and in full under the pointer.
        """
        if (bars, room, room_short) == (self._bars, self._room, self._room_short):
            if not at_once:
                self._take_lines()
            return
        self._bars, self._room, self._room_short, self._brief_room = bars, room, room_short, brief_room or room
        self.setAccessibleDescription(". ".join(self.sentences))
        if at_once:
            self.setToolTip("\n".join(self.sentences))
        if not at_once:
            self._take_lines()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._take_lines()

    def _take_lines(self) -> None:
        """Take a line more for each row whose words one line would cut."""
        small = self._small
        rows = {bar.side for bar in self._bars if small.size(bar.lines[0])[0] > self._limit_px(bar)}
        if self._room and small.size(self._room)[0] > self.width() - self._words_x("ROOM"):
            rows.add("ROOM")
        if rows != self._more:
            self._more = frozenset(rows)
            self.updateGeometry()

    def _words_x(self, row: str) -> float:
        """Where the words of a row begin."""
        return self._bold.size(row)[0] + 2.0 * self._bold.space_px

    def _limit_px(self, bar: Bar) -> float:
        """Width for the words of a bar, before its number."""
        number_px = self._bold.size(bar.shown)[0]
        return self.width() - number_px - self._words_x(bar.side) - 2.0 * self._plain.space_px

    @property
    def sentences(self) -> tuple[str, ...]:
        """All that is shown, each bar and the room in full."""
        return (*(bar.words for bar in self._bars), *((f"Room: {self._room}",) if self._room else ()))

    # -------------------------------------------------------- painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._colours is None:
            return
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._colours.sheet))
        y = self._paint_head(painter)
        for bar in self._bars:
            y = self._paint_bar(painter, bar, y)
        if not self._bars:
            self._plain.paint(painter, NO_VERDICT_YET, 0.0, y, self._colours.ink)
        if self._room:
            first = self._bold if self._room_short else self._plain
            ink = self._colours.error if self._room_short else self._colours.ink
            self._bold.paint(painter, "ROOM", 0.0, y, self._colours.ink)
            x = self._words_x("ROOM")
            if "ROOM" in self._more:
                lines = self._small.lines(self._room, self.width() - x)
                self._paint_lines(painter, lines, x, y, self.width() - x, ink)
                return

            cut = partial(_room_line, self._brief_room)
            self._paint_whole(painter, (self._room, self._brief_room), cut, first, x, y, self.width() - x, ink)

    def _x(self, use: float) -> float:
        return min(max(use, 0.0), FULL) / FULL * (self.width() - 1.0)

    def _paint_head(self, painter: QPainter) -> float:
        assert self._colours is not None
        text, ink = self._small, self._colours.faint_ink
        half_px = text.size(LINE)[0] / 2.0
        text.paint(painter, text.elided(HEAD, self._x(1.0) - half_px - text.space_px), 0.0, 0.0, ink)
        text.paint(painter, LINE, self._x(1.0) - half_px, 0.0, ink)
        return text.line_px

    def _paint_bar(self, painter: QPainter, bar: Bar, y: float) -> float:
        colours = self._colours
        assert colours is not None
        text = self._bold if bar.governs else self._plain
        self._bold.paint(painter, bar.shown, self.width() - self._bold.size(bar.shown)[0], y, colours.ink)
        self._bold.paint(painter, bar.side, 0.0, y, colours.ink)
        x, room_px = self._words_x(bar.side), self._limit_px(bar)
        if bar.side in self._more:
            self._paint_lines(painter, self._limit_lines(bar, room_px), x, y, room_px, colours.ink)
            y += self._small.line_px
        else:
            self._paint_whole(painter, bar.lines, partial(_limits, bar), text, x, y, room_px, colours.ink)
        y += text.line_px
        height = THICK_PX if bar.governs else THIN_PX
        look = colours.states.get(bar.state, colours.no_verdict)
        self._paint_scale(painter, QRectF(0.5, round(y) + 0.5, self.width() - 1.0, height), bar, look)
        return y + height + 3.0

    def _limit_lines(self, bar: Bar, width_px: float) -> list[str]:
        """The bar's limit and, on a line of its own, what gives first where that is another."""
        if bar.first_shown:
            name, after = bar.first.removeprefix(f"{GIVES_FIRST}: "), f", {bar.first_shown}"
            before = f"{GIVES_FIRST}: "
            return [
                bar.limit,
                before + self._small.elided(name, width_px - self._small.size(before + after)[0]) + after,
            ]
        return self._small.lines(bar.limit, width_px)

    def _paint_lines(
        self, painter: QPainter, lines: Sequence[str], x: float, y: float, width_px: float, ink: str
    ) -> None:
        """Paint words in as many lines as they may take, in small print; what is left over is cut."""
        small = self._small
        y += self._bold.ascent_px - small.ascent_px
        for line in (*lines[: MOST_LINES - 1], " ".join(lines[MOST_LINES - 1 :])):
            small.paint(painter, small.elided(line, width_px), x, y, ink)
            y += small.line_px

    def _paint_whole(
        self,
        painter: QPainter,
        lines: Sequence[str],
        cut: Callable[[TextMetrics, float], str],
        first: TextMetrics,
        x: float,
        y: float,
        room_px: float,
        ink: str,
    ) -> None:
        """Paint the first of some lines that fits: in the first face, else plain, else small; else cut, in small."""
        faces = (first, self._plain, self._small)
        ways = ((face, words) for words in lines for face in faces if face.size(words)[0] <= room_px)
        face, words = next(ways, (self._small, cut(self._small, room_px)))
        face.paint(painter, words, x, y + first.ascent_px - face.ascent_px, ink)

    def _paint_scale(self, painter: QPainter, box: QRectF, bar: Bar, look: Look) -> None:
        colours = self._colours
        assert colours is not None
        painter.fillRect(box, QColor(colours.field))
        filled = QRectF(box)
        filled.setWidth(self._x(bar.use if math.isfinite(bar.use) else FULL))
        painter.fillRect(filled, QColor(look.ground))
        if look.hatch is not Qt.BrushStyle.NoBrush:
            painter.fillRect(filled, QBrush(QColor(look.text), look.hatch))
        painter.setPen(QPen(QColor(colours.ink), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box)
        if math.isfinite(bar.as_entered) and bar.as_entered <= FULL:
            x = self._x(bar.as_entered)
            painter.setPen(QPen(QColor(look.text), 3))
            painter.drawLine(QPointF(x, box.top() + 1.0), QPointF(x, box.bottom() - 1.0))
            painter.setPen(QPen(QColor(colours.ink), 1))
            painter.drawLine(QPointF(x, box.top()), QPointF(x, box.bottom()))
        x = self._x(1.0)
        painter.setPen(QPen(QColor(colours.tipping), 2))
        painter.drawLine(QPointF(x, box.top() - 2.0), QPointF(x, box.bottom() + 2.0))
        if not bar.use <= FULL:
            middle, right, half = box.center().y(), box.right() - 2.0, box.height() / 2.0 - 1.0
            left = right - 2.0 * half
            arrow = QPolygonF([QPointF(left, middle - half), QPointF(right, middle), QPointF(left, middle + half)])
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(look.text))
            painter.drawPolygon(arrow)


def part_of(limit: str) -> str:
    """The part that a limit's name begins with: as much as a short line says of it."""
    return limit.partition(": ")[0]


def _room_line(room: str, text: TextMetrics, width_px: float) -> str:
    """The gap of least room within a width: its names are cut, never the figures after them."""
    names, colon, figures = room.rpartition(": ")
    cut = text.elided(names, width_px - text.size(colon + figures)[0]) if names else ""
    return f"{cut}{colon}{figures}" if cut else text.elided(room, width_px)


def _limits(bar: Bar, text: TextMetrics, width_px: float) -> str:
    """The bar's limit and, where that is another, what gives first: both cut so that they end before a width."""
    limit = part_of(bar.limit)
    if not bar.first_shown:
        return text.elided(limit, width_px)
    before, after = f" ({GIVES_FIRST}: ", f", {bar.first_shown})"
    name = part_of(bar.first.removeprefix(f"{GIVES_FIRST}: "))
    whole_px = text.size(before + name + after)[0]
    limit = text.elided(limit, max(width_px - whole_px, LIMIT_SHARE * width_px))
    cut = text.elided(name, width_px - text.size(limit + before + after)[0])
    return f"{limit}{before}{cut}{after}" if cut else text.elided(limit, width_px)
