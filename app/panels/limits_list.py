"""Parts panel: every limit sorted by use, each a bar, a number and a word; the chosen one shows its sum."""

from __future__ import annotations

import math

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QLabel,
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
from app.look.theme import Palette
from app.panels.widgets import caption
from app.panels.worst_uses import worst_uses
from engine.base.formatting import System, fill, show
from engine.planning.compare import LimitDifference, differences
from engine.rig.check import Check
from engine.schema.model import Job
from engine.worst_case.verdict import Verdict

_USE = int(Qt.ItemDataRole.UserRole) + 1
_WRAPPED = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap)


def word_of(use: float) -> str:
    """What a use means, in a word."""
    if not use <= 1.0:
        return "OVER"
    return "near" if use > 0.9 else "within"


class _BarDelegate(QStyledItemDelegate):
    """A row: bar of the use under its text."""

    def __init__(self, panel: LimitsPanel) -> None:
        super().__init__(panel)
        self.colours: Palette | None = None

    def sizeHint(self, option: QStyleOptionViewItem, index: object) -> QSize:
        width = option.widget.viewport().width() if option.widget is not None else 240
        room = QRect(0, 0, max(width - 6, 40), 10_000)
        text = option.fontMetrics.boundingRect(room, _WRAPPED, index.data(Qt.ItemDataRole.DisplayRole) or "")
        return QSize(120, text.height() + 14)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: object) -> None:
        use, text = index.data(_USE), index.data(Qt.ItemDataRole.DisplayRole)
        box: QRect = option.rect.adjusted(3, 1, -3, -2)
        colours = self.colours
        if colours is None:
            return
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.fillRect(option.rect, QColor(colours.grid_strong if chosen else colours.field))
        look = colours.states[
            "WITHIN" if word_of(use) == "within" else "NOT PROVEN" if word_of(use) == "near" else "OVER"
        ]
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
        self._list.setAccessibleName("limits by use")
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setResizeMode(QListView.ResizeMode.Adjust)
        # Always there, so that the rows have their width, and with it their heights, from the start.
        self._list.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self._list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self._delegate = _BarDelegate(self)
        self._list.setItemDelegate(self._delegate)
        self._list.currentRowChanged.connect(self._choose)
        self._sum = QLabel()
        self._sum.setWordWrap(True)
        self._sum.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self._sum.setAccessibleName("worked sum")
        self._sum.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        column = QVBoxLayout(self)
        column.addWidget(
            caption(
                "Every limit of this pose at its worst case, the most used first. Choose one to see its place and its sum."
            )
        )
        column.addWidget(self._compared)
        column.addWidget(self._list, 3)
        self._cautions = QLabel()
        self._cautions.setWordWrap(True)
        self._cautions.setObjectName("caption")
        self._cautions.setAccessibleName("what is assumed or not checked")
        below = QWidget()
        said = QVBoxLayout(below)
        said.setContentsMargins(0, 0, 0, 0)
        said.addWidget(self._sum)
        said.addWidget(self._cautions)
        said.addStretch(1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setAccessibleName("worked sum and cautions")
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
        then, now = (_allowed_words(one, job.units) for one in (held.verdict, verdict))
        self._compared.setText(f"Held: {held.name} ({held.job.name}), allowed load {then}; now {now}.")
        return {
            (entry.part, entry.kind): _change_words(entry, job.units) for entry in differences(held.verdict, verdict)
        }

    def show_verdict(self, job: Job, verdict: Verdict) -> None:
        """List the verdict's checks; the chosen part stays chosen while it is there."""
        self._job = job
        kept = self._chosen_name()
        rows = sorted(worst_uses(verdict), key=lambda pair: -pair[1])
        self._checks = [check for check, _ in rows]
        compared = self._differences(job, verdict)
        self._list.blockSignals(True)
        while self._list.count() > len(self._checks):
            self._list.takeItem(self._list.count() - 1)
        while self._list.count() < len(self._checks):
            self._list.addItem(QListWidgetItem())
        for row, (check, use) in enumerate(rows):
            item = self._list.item(row)
            text = f"{show(use, 'share', job.units)} {word_of(use)}: {check.name}"
            best = show(float(check.use), "share", job.units)
            if best != show(use, "share", job.units):
                text += f" (best values {best})"
            text += compared.get((check.part, check.kind), "")
            if item.text() != text or item.data(_USE) != use:
                item.setText(text)
                item.setData(_USE, use)
        names = [check.name for check in self._checks]
        self._list.setCurrentRow(names.index(kept) if kept in names else -1)
        self._list.blockSignals(False)
        self._show_sum()
        self._cautions.setText("\n".join(fill(one.words, one.numbers, job.units) for one in verdict.cautions))

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
        units = self._job.units
        limit = float(check.allowed_load_kg)
        load = (
            "this limit does not depend on the load"
            if math.isinf(limit)
            else f"met at a load of {show(max(limit, 0.0), 'kg_down', units)}"
        )
        self._sum.setText(
            f"{check.name}\n{fill(check.words, check.numbers, units)}.\n{load.capitalize()}.\nSource: {check.source}."
        )


def _allowed_words(verdict: Verdict, units: System) -> str:
    return "none given" if verdict.allowed_load_kg is None else show(verdict.allowed_load_kg, "kg_down", units)


def _change_words(entry: LimitDifference, units: System) -> str:
    """What a limit was in the held pose, and the change in points of use."""
    if entry.use_then is None:
        return ", held: not there"
    words = f", held {show(entry.use_then, 'share', units)}"
    points = round(100.0 * entry.change) if math.isfinite(entry.change) else None
    return words if points is None else f"{words} (no change)" if not points else f"{words} ({points:+d} points)"
