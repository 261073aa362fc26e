"""The collector of cyclic garbage runs on the main thread only, between events.

Left to itself it runs on whichever thread happens to make an object: those that hand questions to working processes too.
What it finds there may be parts of a closed window, and Qt's objects must go on the thread they belong to; else their
timers fire into nothing and the program is gone.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

EVERY_MS = 500


class Collector(QObject):
    """Takes the place of the collector's own timing, with its own thresholds."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        gc.disable()
        self._timer = QTimer(self, interval=EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    @staticmethod
    def look() -> None:
        """Collect the oldest generation that is due."""
        due = [count > most for count, most in zip(gc.get_count(), gc.get_threshold(), strict=True)]
        if due[0]:
            gc.collect(2 if due[1] and due[2] else 1 if due[1] else 0)
