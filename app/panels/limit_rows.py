"""Limits in rows, each a bar, a number and a word, the one chosen with its sum; in the panels and on the rail.

The list is as high as all its rows and never scrolls: the page that it stands on does, and follows the row chosen.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, QPoint, QRect, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QBrush, QColor, QKeyEvent, QPainter, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import (
    QFrame,
    QListView,
    QListWidget,
    QListWidgetItem,
    QScrollArea,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
)

from app.look import hints
from app.look.theme import Palette
from app.panels.widgets import copyable_sentence
from engine.base.formatting import System, fill, show
from engine.rig.check import Check
from engine.schema.model import Job

_USE = int(Qt.ItemDataRole.UserRole) + 1
_LEAVES_UNPROVEN = _USE + 1
_WRAPPED = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap)


def word_of(use: float, leaves_unproven: bool = False) -> str:
    """What a use means, in a word."""
    if not use <= 1.0:
        return "not covered" if leaves_unproven else "OVER"
    return "near" if use > 0.9 else "within"


BAR_PX, AIR_PX = 14, 6
"""Height of a row beside its text: the bar with its air; and round the sum under it."""

PAGE_KEYS = {Qt.Key.Key_PageDown: 1, Qt.Key.Key_PageUp: -1}

LAYOUT_ROUNDS = 3
"""Turns of the event loop until pages round a row that has grown have their heights."""

MOST_HEIGHTS = 500

_STATE_OF_WORD = {"within": "WITHIN", "near": "WITHIN", "not covered": "NOT PROVEN", "OVER": "OVER"}
"""The state whose colours a row has."""


class _BarDelegate(QStyledItemDelegate):
    """A row: bar of the use under its text, and room for the sum under that of the row chosen."""

    def __init__(self, rows: LimitRows) -> None:
        super().__init__(rows)
        self._rows = rows
        self._heights: dict[tuple[str, int, int, int], int] = {}
        self.colours: Palette | None = None

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        more = self._rows.sum_height if index.row() == self._rows.currentRow() else 0
        return QSize(120, self.text_height(option, index) + BAR_PX + more)

    def text_height(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> int:
        """Height of a row's own words."""
        words, metrics = index.data(Qt.ItemDataRole.DisplayRole) or "", option.fontMetrics
        width = max(self._rows.viewport().width() - 6, 40)
        key = words, width, metrics.height(), metrics.averageCharWidth()
        if key not in self._heights:
            if len(self._heights) > MOST_HEIGHTS:
                self._heights.clear()
            self._heights[key] = metrics.boundingRect(QRect(0, 0, width, 10_000), _WRAPPED, words).height()
        return self._heights[key]

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        use, text = index.data(_USE), index.data(Qt.ItemDataRole.DisplayRole)
        whole: QRect = option.rect
        box, colours = whole.adjusted(3, 1, -3, -2), self.colours
        if colours is None:
            return
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.fillRect(whole, QColor(colours.grid_strong if chosen else colours.field))
        if index.row() == self._rows.currentRow():
            box.setBottom(box.bottom() - self._rows.sum_height)
        look = colours.states[_STATE_OF_WORD[word_of(use, bool(index.data(_LEAVES_UNPROVEN)))]]
        line = QRect(box.left(), box.bottom() - 6, box.width(), 6)
        painter.fillRect(line, QColor(colours.grid))
        share = min(max(use if math.isfinite(use) else 1.0, 0.0), 1.0)
        filled = QRect(line.left(), line.top(), int(line.width() * share), line.height())
        painter.fillRect(filled, QColor(look.ground))
        if look.hatch is not Qt.BrushStyle.NoBrush:
            painter.fillRect(filled, QBrush(QColor(look.text), look.hatch))
        painter.setPen(QColor(colours.ink))
        painter.setFont(option.font)
        room = box.adjusted(0, 0, 0, -8)
        painter.drawText(room, _WRAPPED, text)


class LimitRows(QListWidget):
    """Limits in the order they are given, the one chosen with its sum in its own row."""

    chosen = Signal(object)
    """The check somebody has chosen, or None."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._checks: list[Check] = []
        self._job: Job | None = None
        hints.name(self, name)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.sum = copyable_sentence("worked sum")
        self.sum.setParent(self.viewport())
        self.sum.hide()
        self._delegate = _BarDelegate(self)
        self.setItemDelegate(self._delegate)
        self.currentRowChanged.connect(lambda _row: self._choose())

    def set_theme(self, colours: Palette) -> None:
        """Colours of the bars."""
        self._delegate.colours = colours
        self.viewport().update()

    def show_rows(
        self, rows: Sequence[tuple[Check, float]], job: Job, after: Mapping[tuple[str, str], str] | None = None
    ) -> None:
        """Show limits with their uses; the chosen one stays chosen while it is there.  ``after`` are words to add."""
        kept, self._job = self.chosen_check, job
        self._checks = [check for check, _ in rows]
        self.blockSignals(True)
        while self.count() > len(self._checks):
            self.takeItem(self.count() - 1)
        while self.count() < len(self._checks):
            self.addItem(QListWidgetItem())
        for row, (check, use) in enumerate(rows):
            item = self.item(row)
            text = _row_words(check, use, job.units) + (after or {}).get((check.part, check.kind), "")
            if item.text() != text or item.data(_USE) != use:
                item.setText(text)
                item.setData(_USE, use)
                item.setData(_LEAVES_UNPROVEN, check.leaves_unproven)
        names = [check.name for check in self._checks]
        self.setCurrentRow(names.index(kept.name) if kept is not None and kept.name in names else -1)
        self.blockSignals(False)
        self._fit()

    # -------------------------------------------------------- heights

    @property
    def sum_height(self) -> int:
        """Height that the sum takes in the row chosen."""
        return self.sum.heightForWidth(self._sum_width) + AIR_PX if self.sum.text() else 0

    @property
    def _sum_width(self) -> int:
        return max(self.viewport().width() - 2 * AIR_PX, 40)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._fit()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            QTimer.singleShot(0, self, self._fit)

    def _fit(self) -> None:
        """Show the sum in the row chosen, and be as high as all rows."""
        self.sum.setText(self.sum_words)
        self.doItemsLayout()
        height = sum(self.sizeHintForRow(row) for row in range(self.count())) + 2 * self.frameWidth()
        if height != self.minimumHeight() or height != self.maximumHeight():
            self.setFixedHeight(height)
        self.sum.setVisible(bool(self.sum.text()))
        if self.sum.text():
            row = self.visualItemRect(self.currentItem())
            sum_px = self.sum_height
            self.sum.setGeometry(row.left() + AIR_PX, row.bottom() + 1 - sum_px, self._sum_width, sum_px - AIR_PX)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The page takes it: nothing scrolls in here."""
        event.ignore()

    # -------------------------------------------------------- choosing

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """A page is what is to be seen of the list, as high as it may be."""
        step = PAGE_KEYS.get(Qt.Key(event.key()))
        if step is None or not self.count():
            super().keyPressEvent(event)
            return
        seen_px, row = self.visibleRegion().boundingRect().height(), max(self.currentRow(), 0)
        for _ in range(self.count()):
            last = not 0 <= row + step < self.count()
            seen_px -= self.visualItemRect(self.item(row)).height()
            if last or seen_px < 0:
                break
            row += step
        self.setCurrentRow(row)

    def show_as_chosen(self, name: str) -> None:
        """Show the limit of a name as chosen, or none; nobody is told."""
        names = [check.name for check in self._checks]
        row = names.index(name) if name in names else -1
        if row != self.currentRow():
            self.blockSignals(True)
            self.setCurrentRow(row)
            self.blockSignals(False)
            self._fit()

    def _choose(self) -> None:
        self._fit()
        self.chosen.emit(self.chosen_check)
        self._bring_into_view(LAYOUT_ROUNDS)

    def _bring_into_view(self, rounds: int) -> None:
        """Scroll the pages that the list stands on to the row chosen, its head rather than its end."""
        item = self.currentItem()
        if item is None:
            return
        row, part = self.visualItemRect(item), self.parentWidget()
        while part is not None:
            page = part.widget() if isinstance(part, QScrollArea) else None
            if page is not None and isinstance(part, QScrollArea):
                for edge in (row.bottomLeft(), row.topLeft()):
                    part.ensureVisible(0, self.viewport().mapTo(page, QPoint(edge)).y(), 0, AIR_PX)
            part = part.parentWidget()
        if rounds:
            QTimer.singleShot(0, self, lambda: self._bring_into_view(rounds - 1))

    @property
    def checks(self) -> list[Check]:
        """The listed checks, in their order."""
        return self._checks

    @property
    def rows(self) -> list[str]:
        """The listed limits as they read."""
        return [self.item(row).text() for row in range(self.count())]

    @property
    def chosen_check(self) -> Check | None:
        """The check that is chosen."""
        row = self.currentRow()
        return self._checks[row] if 0 <= row < len(self._checks) else None

    @property
    def sum_words(self) -> str:
        """The sum of the chosen limit with its numbers put in, and its source; empty while none is chosen."""
        check = self.chosen_check
        if check is None or self._job is None:
            return ""
        units, limit_kg = self._job.units, float(check.allowed_load_kg)
        load = "This limit does not depend on the load"
        if check.of == "room":
            load = "Nothing may hang here until it is clear" if limit_kg == 0.0 else "Clear at any load"
        elif not math.isinf(limit_kg):
            load = f"Met at a load of {show(max(limit_kg, 0.0), 'kg_down', units)}"
        worked = fill(check.words, check.shown_numbers, units)
        return f"{check.name}\n{worked}.\n{load}.\nSource: {check.source}."


def most_used_first(row: tuple[Check, float]) -> tuple[bool, float]:
    """The most used first; room that is wide enough comes after every limit."""
    check, use = row
    return check.of == "room" and use <= 1.0, -use


def _row_words(check: Check, use: float, units: System) -> str:
    """One limit: its use in the worst case, what that means, and its use with best values if that shows otherwise."""
    if check.of == "room":
        return f"{word_of(use)}: {fill(check.words, check.shown_numbers, units)}"
    worst, nominal = show(use, "use", units), show(float(check.use), "use", units)
    words = f"{worst} {word_of(use, check.leaves_unproven)}: {check.name}"
    return words if nominal == worst else f"{words} (as entered {nominal})"
