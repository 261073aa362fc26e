"""Cyclic garbage is collected on the main thread only, between events.

Left to itself Python collects on whichever thread happens to make an object, and some threads hand questions to the
background processes. The garbage may be parts of a closed window. Qt's objects must be deleted on the thread they
belong to; deleted on another one, their timers fire into freed memory and the program crashes.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

EVERY_MS = 500


class Collector(QObject):
    """Collects in place of Python's own timing, at Python's own thresholds."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        gc.disable()
        self._timer = QTimer(self, interval=EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    @staticmethod
    def look() -> None:
        """Collect the oldest generation that is due."""
        due = [count > threshold for count, threshold in zip(gc.get_count(), gc.get_threshold(), strict=True)]
        if due[0]:
            gc.collect(2 if due[1] and due[2] else 1 if due[1] else 0)
