"""Parts panel: every limit sorted by use, each a bar, a number and a word; the chosen one shows its sum."""

from __future__ import annotations

import math

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import caption
from app.panels.worst import worst_uses
from app.theme import Palette
from engine.checks import Check
from engine.model import Job
from engine.report import name_of
from engine.shown import fill, show
from engine.verdict import Verdict

_USE = int(Qt.ItemDataRole.UserRole) + 1


def word_of(use: float) -> str:
    """What a use means, in a word."""
    if not use <= 1.0:
        return "OVER"
    return "near" if use > 0.9 else "within"


class _BarDelegate(QStyledItemDelegate):
    """A row: bar of the use under its text."""

    def __init__(self, panel: PartsPanel) -> None:
        super().__init__(panel)
        self.colours: Palette | None = None

    def sizeHint(self, option: QStyleOptionViewItem, index: object) -> QSize:
        return QSize(120, int(option.fontMetrics.height() * 2.5) + 8)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: object) -> None:
        use, text = index.data(_USE), index.data(Qt.ItemDataRole.DisplayRole)
        box: QRect = option.rect.adjusted(3, 1, -3, -2)
        colours = self.colours
        if colours is None:
            return
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.fillRect(option.rect, QColor(colours.grid_strong if chosen else colours.field))
        look = colours.states["WITHIN" if word_of(use) == "within" else "NOT PROVEN" if word_of(use) == "near" else "OVER"]
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
        painter.drawText(room, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap), text)


class PartsPanel(QWidget):
    """All checks of the shown pose."""

    chosen = Signal(object)
    """The check somebody wants to see on the drawing, or None."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._checks: list[Check] = []
        self._job: Job | None = None
        self._list = QListWidget()
        self._list.setAccessibleName("limits by use")
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self._delegate = _BarDelegate(self)
        self._list.setItemDelegate(self._delegate)
        self._list.currentRowChanged.connect(self._choose)
        self._sum = QLabel()
        self._sum.setWordWrap(True)
        self._sum.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard)
        self._sum.setAccessibleName("worked sum")
        self._sum.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        column = QVBoxLayout(self)
        column.addWidget(caption("Every limit of this pose at its worst case, the most used first. Choose one to see its place and its sum."))
        column.addWidget(self._list, 1)
        column.addWidget(self._sum)

    def set_theme(self, colours: Palette) -> None:
        self._delegate.colours = colours
        self._list.viewport().update()

    def show_verdict(self, job: Job, verdict: Verdict) -> None:
        """List the verdict's checks; the chosen part stays chosen while it is there."""
        self._job = job
        kept = self._chosen_name()
        rows = sorted(worst_uses(verdict), key=lambda pair: -pair[1])
        self._checks = [check for check, _ in rows]
        self._list.blockSignals(True)
        while self._list.count() > len(self._checks):
            self._list.takeItem(self._list.count() - 1)
        while self._list.count() < len(self._checks):
            self._list.addItem(QListWidgetItem())
        for row, (check, use) in enumerate(rows):
            item = self._list.item(row)
            text = f"{show(use, 'share', job.units)} {word_of(use)}: {name_of(check)}"
            best = show(float(check.use), "share", job.units)
            if best != show(use, "share", job.units):
                text += f" (best values {best})"
            if item.text() != text or item.data(_USE) != use:
                item.setText(text)
                item.setData(_USE, use)
        names = [name_of(check) for check in self._checks]
        self._list.setCurrentRow(names.index(kept) if kept in names else -1)
        self._list.blockSignals(False)
        self._show_sum()

    def _chosen_name(self) -> str | None:
        check = self.chosen_check
        return name_of(check) if check is not None else None

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
        units = self._job.units
        limit = float(check.allowed_load_kg)
        load = "this limit does not depend on the load" if math.isinf(limit) else f"met at a load of {show(max(limit, 0.0), 'kg_down', units)}"
        self._sum.setText(f"{name_of(check)}\n{fill(check.words, check.numbers, units)}.\n{load.capitalize()}.\nSource: {check.source}.")

