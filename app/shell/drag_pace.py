"""Pace of a drag: what follows every step, what follows now and then (a panel, if quick), and what waits for rest.

At every step the window itself shows the drawings and the verdict block, and both views are painted at once. A drag
must not pay at every step for what is read less often:

- every ``LAG_MS``: what is told beside the drawing (collisions, drift of the arms), and the panel shown if it is quick
  to fill and asks no question of the background process. A question asked at every step would only be given up at the
  next.
- ``REST_MS`` after the last step, and at the end of the drag: every panel, and the reach maps.
"""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtWidgets import QApplication, QWidget

LAG_MS = 60
REST_MS = 150

QUICK_S = 0.004
"""A panel that took longer to fill is slow."""


class DragPace(QObject):
    """Lets the slower parts of one window follow its document."""

    def __init__(
        self,
        window: QWidget,
        *,
        tell_beside: Callable[[], None],
        fill_panel: Callable[[], None],
        panel_asks: Callable[[], bool],
        follow_at_rest: Callable[[], None],
    ) -> None:
        """Take what follows now and then, the panel shown, whether it asks questions, and what follows at rest only."""
        super().__init__(window)
        self._tell_beside, self._fill_panel = tell_beside, fill_panel
        self._panel_asks, self._follow_at_rest = panel_asks, follow_at_rest
        self._panel_took_s = 0.0
        self._joins_paints = False
        self._lag = QTimer(self, singleShot=True, interval=LAG_MS)
        self._lag.timeout.connect(self._follow_now_and_then)
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self.catch_up)
        window.installEventFilter(self)

    def step(self) -> None:
        """The document changed in the middle of a drag."""
        self._joins_paints = True
        self._rest.start()
        if not self._lag.isActive():
            self._lag.start()

    def settle(self) -> None:
        """The document changed outside a drag, or at the end of one: everything follows at once."""
        self.stop()
        self.catch_up()

    def catch_up(self) -> None:
        """Let everything follow that does not follow a drag step by step."""
        self._follow_at_rest()
        self._tell_beside()
        self._fill()

    def stop(self) -> None:
        """Let nothing follow later."""
        self._lag.stop()
        self._rest.stop()

    def _follow_now_and_then(self) -> None:
        self._tell_beside()
        if self._panel_took_s <= QUICK_S and not self._panel_asks():
            self._fill()

    def _fill(self) -> None:
        began_s = perf_counter()
        self._fill_panel()
        self._panel_took_s = perf_counter() - began_s

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Paint both views at once: each scene asks for a paint of its own, the first of which would come too soon."""
        if self._joins_paints and event.type() == QEvent.Type.UpdateRequest:
            self._joins_paints = False
            QApplication.postEvent(watched, QEvent(QEvent.Type.UpdateRequest), Qt.EventPriority.LowEventPriority.value)
            return True
        return False
