"""Limits in rows, each a bar, a number and a word, and the sum of the one chosen; in the panels and on the rail."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListView,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
)

from app.look import hints
from app.look.theme import Palette
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


_STATE_OF_WORD = {"within": "WITHIN", "near": "WITHIN", "not covered": "NOT PROVEN", "OVER": "OVER"}
"""The state whose colours a row has."""


class _BarDelegate(QStyledItemDelegate):
    """A row: bar of the use under its text."""

    def __init__(self, rows: QListWidget) -> None:
        super().__init__(rows)
        self._rows = rows
        self.colours: Palette | None = None

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        room = QRect(0, 0, max(self._rows.viewport().width() - 6, 40), 10_000)
        metrics = option.fontMetrics
        text = metrics.boundingRect(room, _WRAPPED, index.data(Qt.ItemDataRole.DisplayRole) or "")
        return QSize(120, text.height() + 14)

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
    """Limits in the order they are given; ``whole`` shows all of them and never scrolls."""

    chosen = Signal(object)
    """The check somebody has chosen, or None."""

    def __init__(self, name: str, *, whole: bool = False) -> None:
        super().__init__()
        self._checks: list[Check] = []
        self._job: Job | None = None
        self._whole = whole
        hints.name(self, name)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        # Always there or never, so that the rows have their width, and with it their heights, from the start.
        on, off = Qt.ScrollBarPolicy.ScrollBarAlwaysOn, Qt.ScrollBarPolicy.ScrollBarAlwaysOff
        self.setVerticalScrollBarPolicy(off if whole else on)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self._delegate = _BarDelegate(self)
        self.setItemDelegate(self._delegate)
        self.currentRowChanged.connect(lambda _row: self.chosen.emit(self.chosen_check))

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
        self._take_height()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._take_height()

    def _take_height(self) -> None:
        """As high as all rows, where none may be scrolled away."""
        if self._whole:
            height = sum(self.sizeHintForRow(row) for row in range(self.count())) + 2 * self.frameWidth()
            if height != self.minimumHeight() or height != self.maximumHeight():
                self.setFixedHeight(height)

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
