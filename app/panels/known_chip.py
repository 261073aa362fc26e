"""The chip beside a number: how it is known in one word; a click opens its least and most and what a shop could do."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QGridLayout, QToolButton, QWidget

from app.panels.fields import QuantityField
from app.panels.widgets import add_row, caption, cell_of
from engine.base import typed
from engine.base.formatting import System, show
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import QuantityKind, low_high, shop_low_high

MISSING, NOT_KNOWN = "missing!", "not known"

KNOWN_WORDS = {
    "weighed": "weighed",
    "weighbridge": "weighbridge",
    "plate": "plate",
    "papers": "papers",
    "measured": "measured",
    "worked_out": "worked out",
    "similar": "like another",
    "typical": "typical",
    "guess": "guess",
}
"""In the order a choice offers them, the surest first."""

HOW_TO: dict[QuantityKind, str] = {
    "mass": "weighed",
    "centre": "axle weighed level and raised",
    "length": "taped",
    "fall": "long level and feeler gauge",
}
"""How a shop comes to know a number best."""


def known_words(known: str, quantity: QuantityKind) -> str:
    """How a number is known, in one word or two; what is measured of a length is taped."""
    return "taped" if known == "measured" and quantity == "length" else KNOWN_WORDS[known]


class KnownChip(QToolButton):
    """How a number is known; pressed while what stands under it is open."""

    def __init__(self, label: str) -> None:
        super().__init__()
        self._label = label
        self.setObjectName("chip")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def say(self, words: str, tip: str) -> None:
        """Show these words; ``tip`` is what a click does."""
        if words == self.text() and tip == self.toolTip():
            return
        self.setText(words)
        self.setToolTip(tip)
        self.setAccessibleName(f"how {self._label} is known: {words}")
        missing = words == MISSING
        if missing != bool(self.property("missing")):
            self.setProperty("missing", missing)
            self.style().unpolish(self)
            self.style().polish(self)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)


ROOM_FOR = "00 ft 00-00/00 in "
"""What a field must have room for to stand beside its chip."""


class Chipped(QWidget):
    """A field with its chip beside it, or under it where that leaves the field too little: what goes into a row."""

    def __init__(self, field: QWidget, chip: KnownChip) -> None:
        super().__init__()
        self.setFocusProxy(field)
        self._chip = chip
        row = self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        row.addWidget(cell_of(field), 1)
        row.addWidget(chip, 0, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)

    def minimumSizeHint(self) -> QSize:
        """As narrow as the chip alone, which goes under the field then."""
        return QSize(self._chip.sizeHint().width(), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        needed = self.fontMetrics().horizontalAdvance(ROOM_FOR) + self._chip.sizeHint().width() + self._row.spacing()
        beside = event.size().width() >= needed
        way = QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom
        if way != self._row.direction():
            self._row.setDirection(way)
            self.updateGeometry()


class EstimateDetails(QWidget):
    """What a chip opens: how the number is known, its least and most, and the band a shop could bring it to."""

    opened = Signal(bool)

    def __init__(
        self, chip: KnownChip, quantity: QuantityKind, known: QWidget, low: QuantityField, high: QuantityField
    ) -> None:
        super().__init__()
        self._chip = chip
        self._quantity: QuantityKind = quantity
        self._shown: tuple[Estimate[float], System] | None = None
        self.known, self.low, self.high = known, low, high
        grid = QGridLayout(self)
        grid.setContentsMargins(12, 0, 0, 4)
        grid.setColumnStretch(1, 1)
        for words, field in (("how known", known), ("least", low), ("most", high)):
            add_row(grid, words, field)
        self.shop = caption("")
        grid.addWidget(self.shop, grid.rowCount(), 0, 1, 2)
        self.setVisible(False)
        chip.setCheckable(True)
        chip.clicked.connect(self._clicked)

    def show_estimate(self, estimate: Estimate[float], units: System) -> None:
        """Follow the number: its chip, and what its least and most come to."""
        if (estimate, units) == self._shown:
            return
        self._shown = estimate, units
        words = known_words(estimate.known, self._quantity)
        self._chip.say(words, "How it is known. A click shows its least and most.")

        for field, value in zip((self.low, self.high), low_high(estimate, self._quantity), strict=True):
            field.set_empty_words(typed.number_text(value, field.kind, units))
            field.setToolTip("worked out from how it is known, until a value is typed")
        least, most = shop_low_high(estimate.best, self._quantity)
        down, up = ("kg_down", "kg_up") if self._quantity == "mass" else (self.low.kind, self.low.kind)
        band = f"{show(least, down, units)} to {show(most, up, units)}"
        self.shop.setText(f"As good as a shop can ({HOW_TO[self._quantity]}): {band}")

    def open(self, wanted: bool) -> None:
        """Open or close it."""
        self._chip.setChecked(wanted)
        self.setVisible(wanted)

    def _clicked(self, wanted: bool) -> None:
        self.opened.emit(wanted)
        if wanted:
            self.known.setFocus(Qt.FocusReason.OtherFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.opened.emit(False)
            self._chip.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            super().keyPressEvent(event)
