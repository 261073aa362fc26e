"""What a page with a picture shows, on which paper and at which scale."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFormLayout, QWidget

from app.panels.fields import ChoiceField
from app.papers.titles import BIG_PAGES
from app.shell.picture_pages import Choice, PicturePages
from engine.base.formatting import System
from engine.base.lazy import lazy

if TYPE_CHECKING:
    from app.papers import drawing_sheet
else:
    drawing_sheet = lazy("app.papers.drawing_sheet")


class PageOptions(QWidget):
    """Three choices; the scales offered are those that fit the paper."""

    changed = Signal()

    def __init__(self, pages: PicturePages, shown: Mapping[str, str], page: str, units: System) -> None:
        """``shown`` are the things a page may show by their names; ``page`` is the paper at first."""
        super().__init__()
        self._pages = pages
        self._units: System = units
        self._scales: tuple[int, ...] = ()
        self.shows, self.page = ChoiceField("what is shown", ()), ChoiceField("paper", ())
        self.scale = ChoiceField("drawing scale", ())
        for field, choices in ((self.shows, shown), (self.page, BIG_PAGES)):
            for name, words in choices.items():
                field.addItem(words, name)
            field.entered.connect(self._refit)
        self.scale.entered.connect(lambda _scale: self.changed.emit())
        self.shows.set_value("both")
        self.page.set_value(page)
        self.form = QFormLayout(self)
        self.form.setContentsMargins(0, 0, 0, 0)
        self.form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        for words, field in (("&Show", self.shows), ("P&aper", self.page), ("S&cale", self.scale)):
            self.form.addRow(words, field)
        self._offer_scales()

    @property
    def choice(self) -> Choice:
        """What is chosen."""
        return Choice(str(self.shows.currentData()), str(self.page.currentData()), self.scale.currentData())

    def _refit(self) -> None:
        self._offer_scales()
        self.changed.emit()

    def _offer_scales(self) -> None:
        """Offer the scales that fit; the one chosen stays if it does."""
        kept = self.scale.currentData()
        fitting = self._pages.scales(self.choice)
        blocked = self.scale.blockSignals(True)
        self.scale.clear()
        if fitting:
            self.scale.addItem(f"Largest that fits: {drawing_sheet.scale_words(fitting[0], self._units)}", None)
        else:
            self.scale.addItem("None: it fills the page", None)
        for scale in fitting:
            self.scale.addItem(drawing_sheet.scale_words(scale, self._units), scale)
        self.scale.setCurrentIndex(max(self.scale.findData(kept), 0) if kept is not None else 0)
        self.scale.setEnabled(bool(fitting))
        self.scale.blockSignals(blocked)
