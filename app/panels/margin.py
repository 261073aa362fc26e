"""Margin block: state, tipping bar, rear weight, light front wheel, what gives first, allowed load.

Set like the title block of a drawing: ruled boxes, a small caption over each figure.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.look.theme import Palette
from app.panels.figure import Figure
from app.panels.widgets import caption
from app.panels.worst_uses import worst_uses
from engine.base.formatting import fill, show
from engine.base.lazy import lazy
from engine.schema.model import Job

if TYPE_CHECKING:
    from engine.rig.check import Check
    from engine.worst_case.verdict import Verdict

judging = lazy("engine.worst_case.verdict")

RECKONED = "being reckoned"
"""Stands wherever a verdict will, until there is one."""


class TippingBar(QWidget):
    """Worst-case tipping use as a filled bar up to the point of going over, with the allowed line.

    The whisker runs back from the bar's end to the use with best values: its length is the doubt.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._use, self._allowed, self._whisker = math.nan, math.nan, math.nan
        self._state, self._colours = "", None
        self.setToolTip(f"Tipping use: {RECKONED}")
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName("tipping use")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(160, self.fontMetrics().height() + 8)

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.update()

    def set(self, use: float, allowed: float, whisker: float, state: str, words: str) -> None:
        """Shares of the restoring moment: used at worst, allowed, and used with best values (NaN: not known)."""
        if (use, allowed, whisker, state) != (self._use, self._allowed, self._whisker, self._state):
            self._use, self._allowed, self._whisker, self._state = use, allowed, whisker, state
            self.update()
        if words != self.toolTip():
            self.setAccessibleDescription(words)
            self.setToolTip(words)

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._colours is None:
            return
        painter = QPainter(self)
        box = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        painter.fillRect(self.rect(), QColor(self._colours.field))
        look = self._colours.states.get(self._state, self._colours.no_verdict)
        if math.isfinite(self._use):
            filled = QRectF(box)
            filled.setWidth(box.width() * min(max(self._use, 0.0), 1.0))
            painter.fillRect(filled, QColor(look.ground))
            if look.hatch is not Qt.BrushStyle.NoBrush:
                painter.fillRect(filled, QBrush(QColor(look.text), look.hatch))
        painter.setPen(QPen(QColor(self._colours.ink), 1))
        painter.drawRect(box)
        if math.isfinite(self._whisker):
            best, worst = (box.left() + box.width() * min(max(share, 0.0), 1.0) for share in (self._whisker, self._use))
            middle = box.center().y()
            painter.setPen(QPen(QColor(look.text), 1))
            painter.drawLine(round(best), round(middle), round(worst), round(middle))
            painter.drawLine(round(best), round(middle - 5), round(best), round(middle + 5))
        if math.isfinite(self._allowed):
            x = round(box.left() + box.width() * self._allowed)
            painter.setPen(QPen(QColor(self._colours.tipping), 3))
            painter.drawLine(x, round(box.top()), x, round(box.bottom()))


class StateWord(QWidget):
    """The state: its word on its colour, with its hatch beside the word."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state, self._colours = "", None
        self.setAccessibleName(f"state: {RECKONED}")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        font = self.font()
        font.setBold(True)
        return QSize(self.fontMetrics().horizontalAdvance("NOT PROVEN") * 2, int(self.fontMetrics().height() * 1.7))

    def minimumSizeHint(self) -> QSize:
        return QSize(int(self.fontMetrics().horizontalAdvance("NOT PROVEN") * 1.45) + 20, self.sizeHint().height())

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.update()

    def set(self, state: str) -> None:
        if state != self._state:
            self._state = state
            self.setAccessibleName(f"state: {state}")
            self.update()

    @property
    def state(self) -> str:
        """The state's word; empty until there is a verdict."""
        return self._state

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._colours is None:
            return
        painter = QPainter(self)
        look, word = self._colours.states.get(self._state, self._colours.no_verdict), self._state or "RECKONING"
        box = QRectF(self.rect())
        painter.fillRect(box, QColor(look.ground))
        font = self.font()
        font.setBold(True)
        font.setPointSizeF(font.pointSizeF() * 1.25)
        painter.setFont(font)
        width = painter.fontMetrics().horizontalAdvance(word) + 16
        if look.hatch is not Qt.BrushStyle.NoBrush:
            painter.fillRect(box.adjusted(width, 0, 0, 0), QBrush(QColor(look.text), look.hatch))
        painter.setPen(QColor(look.text))
        painter.drawText(
            box.adjusted(8, 0, 0, 0), int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), word
        )


class MarginPanel(QFrame):
    """The block over the drawing that is always there."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("ruled")
        self.setAccessibleName("margin")
        self.word, self.bar = StateWord(), TippingBar()
        self.why = QPushButton("Why?")
        self.why.setEnabled(False)
        self.why.setAccessibleName("why: cause, order and remedy")
        self.why.setToolTip("Cause, order and remedy in one sentence each (F1)")
        self._state_words = Figure(bold=False)
        self._figures = {name: (Figure(), Figure(bold=False)) for name in _BOXES}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(0)
        grid.addWidget(_boxed(self.word, self._state_words, self.bar), 0, 0)
        grid.setColumnStretch(0, 5)
        for column, (name, stretch) in enumerate(_BOXES.items(), start=1):
            big, small = self._figures[name]
            big.setAccessibleName(name)
            head = _beside(caption(name), self.why) if name == "Gives first" else caption(name)
            grid.addWidget(_boxed(head, big, small), 0, column)
            grid.setColumnStretch(column, stretch)
        # Two lines of small print, as most verdicts have: the drawing under the block stays where it is when one comes.
        self._state_words.setText("The limits are being worked out\n")
        for name in _BOXES:
            self._set(name, RECKONED, "\n")

    def text(self, box: str) -> str:
        """Shown figure and its small print, for reading aloud and for tests."""
        big, small = self._figures[box]
        return f"{big.text()} {small.text()}".strip()

    def set_theme(self, colours: Palette) -> None:
        figures = (figure for pair in self._figures.values() for figure in pair)
        for part in (self.word, self.bar, self._state_words, *figures):
            part.set_theme(colours)

    def show_verdict(self, job: Job, verdict: Verdict) -> None:
        """Put a verdict's figures in."""
        self.word.set(verdict.state)
        self.why.setEnabled(True)
        words = judging.STATE_WORDS[verdict.state].removeprefix(f"{verdict.state.capitalize()}: ")
        if verdict.cautions:
            words += f"; {ASSUMED}" if any("steel" in one.where for one in verdict.cautions) else ""
        self._state_words.setText(words[:1].upper() + words[1:])
        self._hint(self._state_words, "\n".join(fill(one.words, one.numbers, job.units) for one in verdict.cautions))
        uses = worst_uses(verdict)
        self._show_tipping(job, verdict, uses)
        self._show_weights(job, verdict)
        self._show_limit(job, verdict, uses)

    @staticmethod
    def _hint(widget: QWidget, words: str) -> None:
        if words != widget.toolTip():
            widget.setToolTip(words)

    def _show_tipping(self, job: Job, verdict: Verdict, uses: list[tuple[Check, float]]) -> None:
        tipping = [(check, worst) for check, worst in uses if check.kind.startswith("tipping")]
        if not tipping:
            self.bar.set(math.nan, math.nan, math.nan, verdict.state, "Tipping use is not known")
            return
        allowed, units = float(job.policy.allowed_tipping_use), job.units
        check, worst = max(tipping, key=lambda pair: pair[1])
        best = float(check.use) * allowed
        worst *= allowed
        words = (
            f"Tipping use {show(worst, 'share', units)} at worst, {show(best, 'share', units)} with best values "
            f"({check.kind}); allowed {show(allowed, 'share', units)}; at 100 % the truck goes over"
        )
        self.bar.set(worst, allowed, best, verdict.state, words)

    def _show_weights(self, job: Job, verdict: Verdict) -> None:
        weighed, units = verdict.balance, job.units
        if weighed is None:
            self._set("Rear weight left", "not known", "")
            self._set("Light front wheel", "not known", "")
            return
        rear, light = float(weighed.rear_kg), float(weighed.light_front_kg)
        bare_light = job.truck.front_axle_kg.best / 2.0
        of_bare = show(rear / job.truck.rear_axle_kg.best, "share", units)
        of_all = show(rear / float(weighed.normal_kg), "share", units)
        side = "left" if float(weighed.left_front_kg) <= float(weighed.right_front_kg) else "right"
        worst_rear, worst_light = "", ""
        if verdict.worst_case is not None:
            standing = verdict.worst_case.standing
            worst_rear = f"; at worst {show(standing.rear_weight_left_kg, 'kg', units)}"
            worst_light = f"; at worst {show(standing.light_front_wheel_kg, 'kg', units)}"
        self._set("Rear weight left", show(rear, "kg", units), f"{of_bare} of bare, {of_all} of all{worst_rear}")
        self._set(
            "Light front wheel",
            show(light, "kg", units),
            f"{side}, {show(light / bare_light, 'share', units)} of bare{worst_light}",
        )

    def _show_limit(self, job: Job, verdict: Verdict, uses: list[tuple[Check, float]]) -> None:
        if verdict.governing is None:
            self._set("Gives first", "not known", "")
            self._set("Allowed load here", "none given", "")
            return
        governing, units = verdict.governing, job.units
        worst = next(use for check, use in uses if check is governing)
        self._set("Gives first", governing.part, f"{governing.kind}, {show(worst, 'share', units)} used at worst")
        best = verdict.nominal_allowed_load_kg
        self._set(
            "Allowed load here",
            show(verdict.allowed_load_kg, "kg_down", units),
            f"plus {show(job.load.rigging_kg.best, 'kg', units)} rigging; with best values {show(best, 'kg_down', units)}",
        )
        self._hint(self._figures["Gives first"][0], governing.name)

    def _set(self, box: str, big: str, small: str) -> None:
        for label, text in zip(self._figures[box], (big, small), strict=True):
            label.setText(text)


ASSUMED = "steel of unknown grade, yield assumed"
"""Said beside the state wherever a part's steel is not known."""

_BOXES = {"Rear weight left": 4, "Light front wheel": 4, "Gives first": 5, "Allowed load here": 4}


def _beside(first: QWidget, second: QWidget) -> QWidget:
    both = QWidget()
    row = QHBoxLayout(both)
    row.setContentsMargins(0, 0, 0, 0)
    row.addWidget(first, 1)
    row.addWidget(second)
    return both


def _boxed(*widgets: QWidget) -> QFrame:
    frame = QFrame()
    frame.setObjectName("ruled")
    column = QVBoxLayout(frame)
    column.setContentsMargins(7, 3, 7, 4)
    column.setSpacing(1)
    for widget in widgets:
        column.addWidget(widget)
    column.addStretch(1)
    return frame
