"""A part of a panel that stands in the plan strip's place, over the drawing's whole width, while its section is open.

Where the plan is folded away there is no such place, and the part stands in its panel.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget


class StripPart(QWidget):
    """Holds what is lent; `go_home` takes it back into the panel."""

    filled = Signal()
    """There is something to show now, or nothing any more."""

    lent = Signal(bool)
    """It stands in the strip, which is low, or at home again."""

    def __init__(
        self, title: str, about: str, home: Callable[[QWidget], object], *, grows: bool = False, lines: int = 0
    ) -> None:
        """A part that nothing has been put into yet.

        Parameters
        ----------
        title : str
            Its name on the bar over the strip.
        about : str
            What it shows, for the bar's hint.
        home
            Puts it back where it belongs in its panel.
        grows
            Whether it may take the side view's place as well.
        lines
            Least height in its panel, in lines of text.
        """
        super().__init__()
        self.title, self.about, self.grows = title, about, grows
        self._home, self._lines, self._is_lent = home, lines, False
        self._is_filled = True
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.setAccessibleName(title)
        self.go_home()

    def put(self, widget: QWidget) -> None:
        """Put in what is shown, which takes the keyboard for it."""
        self._column.addWidget(widget, 1)
        self.setFocusProxy(widget)

    @property
    def is_filled(self) -> bool:
        """Whether there is something to show."""
        return self._is_filled

    def set_filled(self, *, filled: bool) -> None:
        """Say whether there is something to show; the plan keeps its place until there is."""
        if filled != self._is_filled:
            self._is_filled = filled
            self.filled.emit()

    def go_home(self) -> None:
        """Stand in the panel again."""
        self._is_lent = False
        self._take_height()
        self.lent.emit(False)
        self._home(self)
        self.show()

    def go_out(self) -> None:
        """Be as low as the strip asks."""
        self._is_lent = True
        self._take_height()
        self.lent.emit(True)

    def _take_height(self) -> None:
        self.setMinimumHeight(0 if self._is_lent else self._lines * self.fontMetrics().height())

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._take_height()
