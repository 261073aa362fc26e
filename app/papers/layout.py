"""Laying out a paper: text, tables, boxes and drawings flowed down pages, then painted on PDF or printer alike.

One unit is half a point, so that a type size is a whole number of units and the drawing's own marks, made for a screen,
come out at their usual size.  A paper is first laid out (every mark with the rectangle it needs, on a page), then
painted; so pages can be counted before the first is painted, and a test can ask of every mark whether it lies inside
its page.  The head and foot of each page carry what every paper must: what it is, rig and revision, date, units, the
caution, and whether anybody has approved it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from PySide6.QtCore import QMarginsF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetricsF,
    QGuiApplication,
    QPagedPaintDevice,
    QPageLayout,
    QPageSize,
    QPainter,
    QPen,
    QTextLayout,
    QTextOption,
)

UNITS_PER_INCH = 144.0
MM = UNITS_PER_INCH / 25.4
"""Units in a millimetre of paper."""

PAGE_SIZES = {"a4": QPageSize.PageSizeId.A4, "letter": QPageSize.PageSizeId.Letter}
MARGIN = 12.0 * MM
GAP = 1.6 * MM
RULE, HEAVY = 0.8, 2.0
"""Widths of a thin and a heavy rule, in units."""

BODY, SMALL, LARGE, TITLE, HUGE = 17, 14, 22, 30, 56
"""Type sizes in half points."""

INK, FAINT, SHADE, GHOST = QColor("#000000"), QColor("#505050"), QColor("#e8e8e8"), QColor("#e4e4e4")


class Head(NamedTuple):
    """What every page of a paper says of itself."""

    paper: str
    job: str
    rig: str
    truck: str
    date: str
    units: str
    caution: str
    approval: str
    approved: bool


class Mark(NamedTuple):
    """One thing on a page: what it is, the rectangle it needs, its words, and how it is painted."""

    kind: str
    box: QRectF
    words: str
    paint: Callable[[QPainter], None]


class Column(NamedTuple):
    """A column of a table: heading, share of the width, and alignment."""

    title: str
    share: float
    align: str = "left"


_ALIGN = {
    "left": Qt.AlignmentFlag.AlignLeft,
    "right": Qt.AlignmentFlag.AlignRight,
    "middle": Qt.AlignmentFlag.AlignHCenter,
}


def font(size: int, bold: bool = False) -> QFont:
    """The program's own typeface at a size in half points, unhinted so that screen and paper measure alike."""
    made = QFont(QGuiApplication.font())
    made.setPixelSize(size)
    made.setBold(bold)
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    made.setFeature(QFont.Tag("liga"), 0)  # so that words can be searched for and copied letter by letter
    return made


class Words:
    """A piece of text set to a width: what it needs, and how to paint it at a place."""

    def __init__(
        self,
        text: str,
        width: float,
        size: int = BODY,
        *,
        bold: bool = False,
        align: str = "left",
        colour: QColor = INK,
    ) -> None:
        self.text, self.colour = text, colour
        self._layout = QTextLayout(text, font(size, bold))
        option = QTextOption(_ALIGN[align])
        option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        self._layout.setTextOption(option)
        self._layout.setCacheEnabled(True)
        self._layout.beginLayout()
        self.height, self.natural = 0.0, QRectF()
        while (line := self._layout.createLine()).isValid():
            line.setLineWidth(width)
            line.setPosition(QPointF(0.0, self.height))
            self.height += line.height()
            self.natural |= line.naturalTextRect()
        self._layout.endLayout()

    def mark(self, at: QPointF) -> Mark:
        """This text at a place on the page."""
        return Mark("text", self.natural.translated(at), self.text, lambda painter: self._paint(painter, at))

    def _paint(self, painter: QPainter, at: QPointF) -> None:
        painter.setPen(self.colour)
        self._layout.draw(painter, at)


class Sheet:
    """A paper being laid out: a cursor going down its pages."""

    def __init__(self, page: str, head: Head) -> None:
        size = QPageSize(PAGE_SIZES[page]).size(QPageSize.Unit.Point)
        self.size_id, self.head = PAGE_SIZES[page], head
        self.width, self.height = size.width() * 2.0, size.height() * 2.0
        self.pages: list[list[Mark]] = []
        self.left, self.right = MARGIN, self.width - MARGIN
        self._foot_height = 0.0
        self.y = 0.0
        self.new_page()

    # -------------------------------------------------------- pages

    @property
    def room(self) -> float:
        """Height left on this page."""
        return self.height - MARGIN - self._foot_height - self.y

    @property
    def column(self) -> float:
        """Width between the margins."""
        return self.right - self.left

    def new_page(self) -> None:
        """Begin a page with its head and foot."""
        self.pages.append([])
        if not self.head.approved:
            self._ghost()
        self._head()
        self._foot()

    def need(self, height: float) -> None:
        """Begin a page unless so much height is left."""
        if height > self.room:
            self.new_page()

    def add(self, mark: Mark) -> None:
        """Put a mark on this page."""
        self.pages[-1].append(mark)

    def _ghost(self) -> None:
        """The words nobody can cut off a paper that has not been approved."""
        words, face = self.head.approval, font(70, bold=True)
        length = QFontMetricsF(face).horizontalAdvance(words)
        box = QRectF(0.0, 0.0, self.width, self.height)

        def paint(painter: QPainter) -> None:
            painter.save()
            painter.setFont(face)
            painter.setPen(GHOST)
            painter.translate(box.center())
            painter.rotate(-52.0)
            painter.drawText(QPointF(-length / 2.0, 25.0), words)
            painter.restore()

        self.add(Mark("ghost", box, words, paint))

    def _head(self) -> None:
        head, top = self.head, MARGIN
        third = self.column / 3.0
        left = Words(head.paper, self.column * 0.56, TITLE, bold=True)
        state = Words(head.approval, self.column * 0.42, BODY + 1, bold=True, align="right")
        self.add(left.mark(QPointF(self.left, top)))
        self.add(state.mark(QPointF(self.right - self.column * 0.42, top + 5.0)))
        y = top + max(left.height, state.height + 5.0) + 2.0
        self.line(self.left, y, self.right, y, HEAVY)
        below = y
        for index, text in enumerate((f"{head.job}", head.rig, head.truck)):
            words = Words(text, third - 8.0, SMALL)
            self.add(words.mark(QPointF(self.left + index * third + (6.0 if index else 0.0), y + 3.0)))
            below = max(below, y + 3.0 + words.height)
        date = Words(f"{head.date}    {head.units}", self.column, SMALL, colour=FAINT)
        self.add(date.mark(QPointF(self.left, below)))
        below += date.height + 3.0
        self.line(self.left, below, self.right, below, RULE)
        self.y = below + GAP

    def _foot(self) -> None:
        words = Words(self.head.caution, self.column - 90.0, SMALL, bold=True)
        self._foot_height = words.height + 8.0
        top = self.height - MARGIN - words.height
        self.line(self.left, top - 3.0, self.right, top - 3.0, HEAVY)
        self.add(words.mark(QPointF(self.left, top)))
        number, page = len(self.pages), self.pages[-1]
        box = QRectF(self.right - 86.0, top, 86.0, words.height)

        def paint(painter: QPainter) -> None:
            Words(f"page {number} of {len(self.pages)}", box.width(), SMALL, align="right").mark(box.topLeft()).paint(
                painter
            )

        page.append(Mark("text", box, f"page {number}", paint))

    # -------------------------------------------------------- marks

    def line(self, x0: float, y0: float, x1: float, y1: float, width: float = RULE) -> None:
        """A rule."""
        pen = QPen(INK, width)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)

        def paint(painter: QPainter) -> None:
            painter.setPen(pen)
            painter.drawLine(QPointF(x0, y0), QPointF(x1, y1))

        self.add(Mark("line", QRectF(QPointF(x0, y0), QPointF(x1, y1)).normalized(), "", paint))

    def frame(self, box: QRectF, width: float = RULE, fill: QColor | None = None) -> None:
        """A ruled box, with a shade if asked for."""

        def paint(painter: QPainter) -> None:
            painter.setPen(QPen(INK, width) if width else Qt.PenStyle.NoPen)
            painter.setBrush(QBrush(fill) if fill is not None else Qt.BrushStyle.NoBrush)
            painter.drawRect(box)

        self.add(Mark("frame", box, "", paint))

    def picture(self, box: QRectF, words: str, paint: Callable[[QPainter], None]) -> None:
        """Anything painted inside a rectangle."""
        self.add(Mark("picture", box, words, paint))

    def take(self, height: float, width: float | None = None) -> QRectF:
        """A rectangle of the column for a picture; the cursor goes below it."""
        self.need(height)
        box = QRectF(self.left, self.y, self.column if width is None else width, height)
        self.y += height
        return box

    def panes(self, shares: Sequence[float], builders: Sequence[Callable[[], None]], height: float) -> None:
        """Columns side by side, each built as if it were the page; one under the other if they are taller than a page."""
        self.need(height)
        for fresh in (False, True):
            before = (len(self.pages), len(self.pages[-1]), self.y)
            if fresh:
                self.new_page()
            if self._side_by_side(shares, builders):
                return
            self._back_to(*before)
        for build in builders:
            build()

    def _side_by_side(self, shares: Sequence[float], builders: Sequence[Callable[[], None]]) -> bool:
        """Whether the columns fit on this page; if not, marks have been made that are not wanted."""
        left, right, top, lowest = self.left, self.right, self.y, self.y
        page, whole, x = len(self.pages), sum(shares), left
        for share, build in zip(shares, builders, strict=True):
            width = (right - left - GAP * 2.0 * (len(shares) - 1)) * share / whole
            self.left, self.right, self.y = x, x + width, top
            build()
            lowest = max(lowest, self.y)
            x += width + GAP * 2.0
        self.left, self.right, self.y = left, right, lowest
        return len(self.pages) == page

    def _back_to(self, pages: int, marks: int, y: float) -> None:
        """Take back what was laid out since."""
        del self.pages[pages:]
        del self.pages[-1][marks:]
        self.y = y

    # -------------------------------------------------------- flow

    def gap(self, height: float = GAP) -> None:
        """A little white."""
        self.y += height

    def heading(self, text: str, room: float = 40.0) -> None:
        """A heading, kept with what follows."""
        words = Words(text, self.column, LARGE - 2, bold=True)
        self.need(words.height + room)
        self.add(words.mark(QPointF(self.left, self.y)))
        self.y += words.height + 1.0

    def text(self, text: str, size: int = BODY, *, bold: bool = False, colour: QColor = INK) -> None:
        """A paragraph."""
        words = Words(text, self.column, size, bold=bold, colour=colour)
        self.need(words.height)
        self.add(words.mark(QPointF(self.left, self.y)))
        self.y += words.height + 2.0

    def points(self, items: Sequence[str], size: int = BODY, *, ticks: bool = False) -> None:
        """Sentences one under the other, each with a dash or a box to tick."""
        side = size * 0.8 if ticks else 0.0
        indent = side + 7.0 if ticks else 12.0
        for item in items:
            words = Words(item, self.column - indent, size)
            self.need(words.height)
            if ticks:
                self.frame(QRectF(self.left, self.y + (size * 1.2 - side) / 2.0, side, side), 1.2)
            else:
                self.add(Words("\u2013", indent, size).mark(QPointF(self.left, self.y)))
            self.add(words.mark(QPointF(self.left + indent, self.y)))
            self.y += words.height + (4.0 if ticks else 1.0)

    def points_height(self, items: Sequence[str], size: int) -> float:
        """Height those sentences would take, or a page's if they take more."""
        return min(sum(Words(item, self.column - 12.0, size).height + 1.0 for item in items), self.height / 2.0)

    def columns(self, lists: Sequence[tuple[str, Sequence[str]]], size: int = SMALL, *, ticks: bool = False) -> None:
        """Lists side by side, each under its heading; taken as one block."""
        width = (self.column - GAP * 2.0 * (len(lists) - 1)) / len(lists)
        side = size * 0.8 if ticks else 0.0
        indent = side + 6.0 if ticks else 10.0
        made = [
            (Words(title, width, BODY, bold=True), [Words(item, width - indent, size) for item in items])
            for title, items in lists
        ]
        spacing = 3.0 if ticks else 1.0
        tall = max(title.height + 2.0 + sum(words.height + spacing for words in items) for title, items in made)
        self.need(tall)
        for number, (title, items) in enumerate(made):
            x, y = self.left + number * (width + GAP * 2.0), self.y
            self.add(title.mark(QPointF(x, y)))
            y += title.height + 2.0
            for words in items:
                if ticks:
                    self.frame(QRectF(x, y + (size * 1.2 - side) / 2.0, side, side), 1.2)
                else:
                    self.add(Words("\u2013", indent, size).mark(QPointF(x, y)))
                self.add(words.mark(QPointF(x + indent, y)))
                y += words.height + spacing
        self.y += tall + 2.0

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        size: int = SMALL,
        *,
        strong: Sequence[int] = (),
        blank: float = 0.0,
    ) -> None:
        """A ruled table; its heading comes again on a new page.  ``strong`` rows are bold, ``blank`` is a least height."""
        whole = sum(column.share for column in columns)
        widths = [self.column * column.share / whole for column in columns]
        head = self._cells([column.title for column in columns], columns, widths, size, bold=True)
        first = True
        for number, row in enumerate(rows):
            cells = self._cells(row, columns, widths, size, bold=number in strong)
            tall = max(blank, max(words.height for words in cells)) + 4.0
            if first or tall > self.room:
                self.need(tall + max(words.height for words in head) + 4.0)
                self._row(head, widths, max(words.height for words in head) + 4.0, SHADE)
                first = False
            self._row(cells, widths, tall, None)
        self.y += 4.0

    def _cells(
        self, row: Sequence[str], columns: Sequence[Column], widths: Sequence[float], size: int, *, bold: bool
    ) -> list[Words]:
        return [
            Words(text, width - 6.0, size, bold=bold, align=column.align)
            for text, column, width in zip(row, columns, widths, strict=True)
        ]

    def _row(self, cells: Sequence[Words], widths: Sequence[float], tall: float, fill: QColor | None) -> None:
        x = self.left
        for words, width in zip(cells, widths, strict=True):
            self.frame(QRectF(x, self.y, width, tall), 0.6, fill)
            self.add(words.mark(QPointF(x + 3.0, self.y + 2.0)))
            x += width
        self.y += tall

    def boxes(self, titles: Sequence[str], tall: float = 34.0) -> None:
        """Empty boxes side by side to write in, each with a small title."""
        width = self.column / len(titles)
        made = [Words(title, width - 6.0, SMALL - 1, colour=FAINT) for title in titles]
        tall = max(tall, max(words.height for words in made) + 20.0)
        self.need(tall + 3.0)
        for number, words in enumerate(made):
            x = self.left + number * width
            self.frame(QRectF(x, self.y, width, tall))
            self.add(words.mark(QPointF(x + 3.0, self.y + 1.0)))
        self.y += tall + 3.0

    def strip(self, text: str, size: int = LARGE, fill: QColor | None = SHADE) -> None:
        """One sentence in a ruled box."""
        words = Words(text, self.column - 16.0, size, bold=True)
        self.need(words.height + 14.0)
        self.frame(QRectF(self.left, self.y, self.column, words.height + 10.0), HEAVY, fill)
        self.add(words.mark(QPointF(self.left + 8.0, self.y + 5.0)))
        self.y += words.height + 10.0 + GAP

    # -------------------------------------------------------- painting

    def paint(self, device: QPagedPaintDevice) -> bool:
        """Paint every page on a PDF writer or printer; false when the device says no."""
        device.setPageLayout(QPageLayout(QPageSize(self.size_id), QPageLayout.Orientation.Portrait, QMarginsF()))
        painter = QPainter()
        if not painter.begin(device):
            return False
        # A viewport, not a scale: marks that keep their size stay in units of half a point on any device.
        dots = device.logicalDpiX() / UNITS_PER_INCH
        painter.setWindow(0, 0, round(self.width), round(self.height))
        painter.setViewport(0, 0, round(round(self.width) * dots), round(round(self.height) * dots))
        for number, marks in enumerate(self.pages):
            if number and not device.newPage():
                painter.end()
                return False
            for mark in marks:
                painter.save()
                mark.paint(painter)
                painter.restore()
        return painter.end()

    def outside(self) -> list[Mark]:
        """Marks that do not lie inside their page; a sound paper has none."""
        page = QRectF(QPointF(), QSizeF(self.width, self.height))
        return [
            mark for marks in self.pages for mark in marks if not page.contains(mark.box) and not mark.box.isEmpty()
        ]
