"""Laying out a paper: text, tables, boxes and drawings flowed down pages.

A paper is first laid out (every mark with the rectangle it needs, on a page), then painted; so pages can be counted
before the first is painted, and a test can ask of every mark whether it lies inside its page.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPageSize, QPainter

from app.papers.head_and_foot import Head, foot_marks, ghost_mark, head_marks
from app.papers.page_marks import BODY, FAINT, HEAVY, INK, LARGE, MM, RULE, SHADE, SMALL, Mark, Words, frame

PAGE_SIZES = {
    "a4": QPageSize.PageSizeId.A4,
    "a3": QPageSize.PageSizeId.A3,
    "letter": QPageSize.PageSizeId.Letter,
    "tabloid": QPageSize.PageSizeId.Tabloid,
}
MARGIN = 12.0 * MM
GAP = 1.6 * MM


class Column(NamedTuple):
    """A column of a table: heading, share of the width, and alignment."""

    title: str
    share: float
    align: str = "left"


class Sheet:
    """A paper being laid out: a cursor going down its pages."""

    def __init__(self, page: str, head: Head, *, landscape: bool = False) -> None:
        size = QPageSize(PAGE_SIZES[page]).size(QPageSize.Unit.Point)
        if landscape:
            size = size.transposed()
        self.size_id, self.head, self.landscape = PAGE_SIZES[page], head, landscape
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
        marks: list[Mark] = []
        self.pages.append(marks)
        if not self.head.approved:
            marks.append(ghost_mark(self.head, self.width, self.height))
        head, head_bottom = head_marks(self.head, self.left, self.right, MARGIN)
        bottom, number = self.height - MARGIN, len(self.pages)
        foot, self._foot_height = foot_marks(self.head, self.left, self.right, bottom, number, lambda: len(self.pages))
        marks += [*head, *foot]
        self.y = head_bottom + GAP

    def ensure_room(self, height: float) -> None:
        """Begin a page unless so much height is left."""
        if height > self.room:
            self.new_page()

    def add(self, mark: Mark) -> None:
        """Put a mark on this page."""
        self.pages[-1].append(mark)

    def frame(self, box: QRectF, width: float = RULE, fill: QColor | None = None) -> None:
        """A ruled box, shaded if a fill is given."""
        self.add(frame(box, width, fill))

    def picture(self, box: QRectF, words: str, paint: Callable[[QPainter], None]) -> None:
        """Anything painted inside a rectangle."""
        self.add(Mark("picture", box, words, paint))

    def reserve(self, height: float, width: float | None = None) -> QRectF:
        """A rectangle of the column for a picture; the cursor goes below it."""
        self.ensure_room(height)
        box = QRectF(self.left, self.y, self.column if width is None else width, height)
        self.y += height
        return box

    def panes(self, shares: Sequence[float], builders: Sequence[Callable[[], None]], height: float) -> None:
        """Columns side by side, each built as if it were the page; one under the other if taller than a page.

        ``shares`` of the width, one for each of ``builders``; ``height`` is what they are expected to need.
        """
        self.ensure_room(height)
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
        """Lay the columns out; False if they do not fit on this page: the caller then takes the marks back."""
        left, right, top, lowest = self.left, self.right, self.y, self.y
        page, total, x = len(self.pages), sum(shares), left
        for share, build in zip(shares, builders, strict=True):
            width = (right - left - GAP * 2.0 * (len(shares) - 1)) * share / total
            self.left, self.right, self.y = x, x + width, top
            build()
            lowest = max(lowest, self.y)
            x += width + GAP * 2.0
        self.left, self.right, self.y = left, right, lowest
        return len(self.pages) == page

    def _back_to(self, pages: int, marks: int, y: float) -> None:
        """Take back everything laid out since."""
        del self.pages[pages:]
        del self.pages[-1][marks:]
        self.y = y

    # -------------------------------------------------------- flow

    def gap(self, height: float = GAP) -> None:
        """Leave so much white."""
        self.y += height

    def heading(self, text: str, room: float = 40.0) -> None:
        """A heading, kept with what follows."""
        words = Words(text, self.column, LARGE - 2, bold=True)
        self.ensure_room(words.height + room)
        self.add(words.mark(QPointF(self.left, self.y)))
        self.y += words.height + 1.0

    def text(self, text: str, size: int = BODY, *, bold: bool = False, colour: QColor = INK) -> None:
        """A paragraph."""
        words = Words(text, self.column, size, bold=bold, colour=colour)
        self.ensure_room(words.height)
        self.add(words.mark(QPointF(self.left, self.y)))
        self.y += words.height + 2.0

    def points(self, items: Sequence[str], size: int = BODY, *, ticks: bool = False) -> None:
        """Sentences one under the other, each with a dash or a box to tick."""
        side = size * 0.8 if ticks else 0.0
        indent = side + 7.0 if ticks else 12.0
        for item in items:
            words = Words(item, self.column - indent, size)
            self.ensure_room(words.height)
            if ticks:
                self.frame(QRectF(self.left, self.y + (size * 1.2 - side) / 2.0, side, side), 1.2)
            else:
                self.add(Words("\u2013", indent, size).mark(QPointF(self.left, self.y)))
            self.add(words.mark(QPointF(self.left + indent, self.y)))
            self.y += words.height + (4.0 if ticks else 1.0)

    def points_height(self, items: Sequence[str], size: int) -> float:
        """Height those sentences would take, at most half a page."""
        return min(sum(Words(item, self.column - 12.0, size).height + 1.0 for item in items), self.height / 2.0)

    def lists(self, lists: Sequence[tuple[str, Sequence[str]]], size: int = SMALL, *, ticks: bool = False) -> None:
        """Lists side by side, each under its title; kept on one page."""
        width = (self.column - GAP * 2.0 * (len(lists) - 1)) / len(lists)
        side = size * 0.8 if ticks else 0.0
        indent = side + 6.0 if ticks else 10.0
        columns = [
            (Words(title, width, BODY, bold=True), [Words(item, width - indent, size) for item in items])
            for title, items in lists
        ]
        spacing = 3.0 if ticks else 1.0
        height = max(title.height + 2.0 + sum(words.height + spacing for words in items) for title, items in columns)
        self.ensure_room(height)
        for number, (title, items) in enumerate(columns):
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
        self.y += height + 2.0

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        size: int = SMALL,
        *,
        strong: Sequence[int] = (),
        blank: float = 0.0,
    ) -> None:
        """A ruled table; its heading is repeated on a new page.

        ``strong`` rows are bold; ``blank`` is the least height of a row.
        """
        total = sum(column.share for column in columns)
        widths = [self.column * column.share / total for column in columns]
        head = self._cells([column.title for column in columns], columns, widths, size, bold=True)
        head_height = max(words.height for words in head) + 4.0
        first = True
        for number, row in enumerate(rows):
            cells = self._cells(row, columns, widths, size, bold=number in strong)
            height = max(blank, *(words.height for words in cells)) + 4.0
            if first or height > self.room:
                self.ensure_room(height + head_height)
                self._row(head, widths, head_height, SHADE)
                first = False
            self._row(cells, widths, height, None)
        self.y += 4.0

    def _cells(
        self, row: Sequence[str], columns: Sequence[Column], widths: Sequence[float], size: int, *, bold: bool
    ) -> list[Words]:
        return [
            Words(text, width - 6.0, size, bold=bold, align=column.align)
            for text, column, width in zip(row, columns, widths, strict=True)
        ]

    def _row(self, cells: Sequence[Words], widths: Sequence[float], height: float, fill: QColor | None) -> None:
        x = self.left
        for words, width in zip(cells, widths, strict=True):
            self.frame(QRectF(x, self.y, width, height), 0.6, fill)
            self.add(words.mark(QPointF(x + 3.0, self.y + 2.0)))
            x += width
        self.y += height

    def boxes(self, titles: Sequence[str], least_height: float = 34.0) -> None:
        """Empty boxes side by side to write in, each with a small title."""
        width = self.column / len(titles)
        small_titles = [Words(title, width - 6.0, SMALL - 1, colour=FAINT) for title in titles]
        height = max(least_height, max(words.height for words in small_titles) + 20.0)
        self.ensure_room(height + 3.0)
        for number, words in enumerate(small_titles):
            x = self.left + number * width
            self.frame(QRectF(x, self.y, width, height))
            self.add(words.mark(QPointF(x + 3.0, self.y + 1.0)))
        self.y += height + 3.0

    def boxed_sentence(self, text: str, size: int = LARGE, fill: QColor | None = SHADE) -> None:
        """One sentence in a ruled box."""
        words = Words(text, self.column - 16.0, size, bold=True)
        self.ensure_room(words.height + 14.0)
        self.frame(QRectF(self.left, self.y, self.column, words.height + 10.0), HEAVY, fill)
        self.add(words.mark(QPointF(self.left + 8.0, self.y + 5.0)))
        self.y += words.height + 10.0 + GAP
