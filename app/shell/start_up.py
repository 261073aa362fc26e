"""Start-up of a window: paint first, then make the rest.

The first paint shows the drawing, the caution and a verdict block that says the verdict is being worked out. Everything
else (verdict, menus, the panel shown, watching the file) waits until that is on the screen, or until somebody asks for
it, whichever comes first.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QTimer, Signal
from PySide6.QtWidgets import QWidget


class StartUp(QObject):
    """Completes one window, once: after its first paint, or sooner when asked."""

    completed = Signal()
    """There is a verdict, and the window has all its parts."""

    def __init__(self, painted: tuple[QWidget, ...], make_the_rest: Callable[[], None], parent: QObject) -> None:
        """``painted`` are painted in this order, the last that is to be seen ends the window's first paint.

        ``make_the_rest`` is called once.
        """
        super().__init__(parent)
        self._painted = painted
        self._make_the_rest = make_the_rest
        self._given_up = False
        self.done = False
        """The rest is made, or is being made just now."""
        for widget in painted:
            widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Complete the window in the next turn of the event loop: this one puts the paint on the screen."""
        if event.type() == QEvent.Type.Paint and watched is [one for one in self._painted if one.isVisible()][-1]:
            for widget in self._painted:
                widget.removeEventFilter(self)
            QTimer.singleShot(0, self, self.complete)
        return False

    def complete(self) -> None:
        """Make the rest now, unless that is done or the window is closed."""
        if self.done or self._given_up:
            return
        self.done = True
        self._make_the_rest()
        self.completed.emit()

    def give_up(self) -> None:
        """The window is closed: make nothing any more."""
        self._given_up = True
