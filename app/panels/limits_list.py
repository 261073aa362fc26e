"""Limits panel: every limit sorted by use, each a bar, a number and a word; the chosen one shows its sum."""

from __future__ import annotations

import math

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QListView,
    QListWidget,
    QListWidgetItem,
    QScrollArea,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app.canvas.ghosts import Held
from app.look import hints
from app.look.theme import Palette
from app.panels.widgets import caption, copyable_sentence
from app.panels.worst_uses import worst_uses_of_each
from engine.base.formatting import System, fill, show
from engine.planning.compare import LimitDifference, differences
from engine.rig.check import Check
from engine.rig.completeness import NOT_CHECKED, NOT_CHECKED_WORDS
from engine.schema.model import Job
from engine.worst_case.verdict import Verdict

HOW = "Every limit of this pose at its worst case, the most used first. Choose one to see its place and its sum."

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


class LimitsPanel(QWidget):
    """All checks of the shown pose."""

    chosen = Signal(object)
    """The check somebody wants to see on the drawing, or None."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._checks: list[Check] = []
        self._job: Job | None = None
        self._held: Held | None = None
        self._compared = caption("")
        self._compared.setVisible(False)
        self._list = QListWidget()
        hints.name(self._list, "limits by use")
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setResizeMode(QListView.ResizeMode.Adjust)
        # Always there, so that the rows have their width, and with it their heights, from the start.
        self._list.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self._list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self._delegate = _BarDelegate(self._list)
        self._list.setItemDelegate(self._delegate)
        self._list.currentRowChanged.connect(self._choose)
        self._sum = copyable_sentence("worked sum")
        column = QVBoxLayout(self)
        column.addWidget(caption(HOW))
        column.addWidget(self._compared)
        column.addWidget(self._list, 3)
        self._cautions = caption("")
        self._cautions.setAccessibleName("what is assumed or not checked")
        below = QWidget()
        sum_and_cautions = QVBoxLayout(below)
        sum_and_cautions.setContentsMargins(0, 0, 0, 0)
        sum_and_cautions.addWidget(self._sum)
        sum_and_cautions.addWidget(self._cautions)
        sum_and_cautions.addStretch(1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        hints.name(area, "worked sum and cautions")
        area.setWidget(below)
        column.addWidget(area, 2)

    def set_theme(self, colours: Palette) -> None:
        self._delegate.colours = colours
        self._list.viewport().update()

    def hold(self, held: Held | None) -> None:
        """Compare every limit with a held pose's from now on, or with nothing."""
        self._held = held

    def _differences(self, job: Job, verdict: Verdict) -> dict[tuple[str, str], str]:
        """What each limit was in the held pose, in words."""
        held = self._held
        self._compared.setVisible(held is not None)
        if held is None:
            return {}
        then, now = _allowed_words(held.verdict, job.units), _allowed_words(verdict, job.units)
        self._compared.setText(f"Held: {held.name} ({held.job.name}), allowed load {then}; now {now}.")
        return {
            (entry.part, entry.kind): _change_words(entry, job.units) for entry in differences(held.verdict, verdict)
        }

    def show_verdict(self, job: Job, verdict: Verdict) -> None:
        """List the verdict's checks; the chosen part stays chosen while it is there."""
        self._job = job
        kept = self._chosen_name()
        rows = sorted(worst_uses_of_each(verdict), key=_order)
        self._checks = [check for check, _ in rows]
        compared = self._differences(job, verdict)
        self._list.blockSignals(True)
        while self._list.count() > len(self._checks):
            self._list.takeItem(self._list.count() - 1)
        while self._list.count() < len(self._checks):
            self._list.addItem(QListWidgetItem())
        for row, (check, use) in enumerate(rows):
            item = self._list.item(row)
            text = _row_words(check, use, job.units) + compared.get((check.part, check.kind), "")
            if item.text() != text or item.data(_USE) != use:
                item.setText(text)
                item.setData(_USE, use)
                item.setData(_LEAVES_UNPROVEN, check.leaves_unproven)
        names = [check.name for check in self._checks]
        self._list.setCurrentRow(names.index(kept) if kept in names else -1)
        self._list.blockSignals(False)
        self._show_sum()
        notes = [fill(note.words, note.numbers, job.units) for note in (*verdict.not_entered, *verdict.cautions)]
        self._cautions.setText("\n".join([*notes, f"{NOT_CHECKED_WORDS} {'; '.join(NOT_CHECKED)}."]))

    def _chosen_name(self) -> str | None:
        check = self.chosen_check
        return check.name if check is not None else None

    @property
    def chosen_check(self) -> Check | None:
        """The check whose sum is shown."""
        row = self._list.currentRow()
        return self._checks[row] if 0 <= row < len(self._checks) else None

    @property
    def checks(self) -> list[Check]:
        """The listed checks, in their order."""
        return self._checks

    @property
    def rows(self) -> list[str]:
        """The listed limits as they read."""
        return [self._list.item(row).text() for row in range(self._list.count())]

    @property
    def cautions_text(self) -> str:
        """What is assumed or not checked, as shown."""
        return self._cautions.text()

    @property
    def sum_text(self) -> str:
        return self._sum.text()

    def choose(self, row: int) -> None:
        """Choose the limit in a row."""
        self._list.setCurrentRow(row)

    def _choose(self, _row: int) -> None:
        self._show_sum()
        self.chosen.emit(self.chosen_check)

    def _show_sum(self) -> None:
        check = self.chosen_check
        if check is None or self._job is None:
            self._sum.setText("")
            return
        units, limit_kg = self._job.units, float(check.allowed_load_kg)
        load = "This limit does not depend on the load"
        if check.of == "room":
            load = "Nothing may hang here until it is clear" if limit_kg == 0.0 else "Clear at any load"
        elif not math.isinf(limit_kg):
            load = f"Met at a load of {show(max(limit_kg, 0.0), 'kg_down', units)}"
        worked = fill(check.words, check.shown_numbers, units)
        self._sum.setText(f"{check.name}\n{worked}.\n{load}.\nSource: {check.source}.")


def _order(row: tuple[Check, float]) -> tuple[bool, float]:
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


def _allowed_words(verdict: Verdict, units: System) -> str:
    return "none given" if verdict.allowed_load_kg is None else show(verdict.allowed_load_kg, "kg_down", units)


def _change_words(entry: LimitDifference, units: System) -> str:
    """What a limit was in the held pose, and the change in points of use."""
    if entry.use_then is None:
        return ", held: not there"
    words = f", held {show(entry.use_then, 'use', units)}"
    if not math.isfinite(entry.change):
        return words
    points = round(100.0 * entry.change)
    return f"{words} ({points:+d} points)" if points else f"{words} (no change)"
