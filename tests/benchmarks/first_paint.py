"""A process that ends at its first finished paint: ``python -m tests.benchmarks.first_paint program|verdict|bare``.

``program`` starts as a person starts it, on a sample rig; ``verdict`` is the same until the first paint that has a
verdict on it, where ``program`` ends at the drawing with the verdict said to be still coming.  ``bare`` shows an empty
drawing view and has loaded numpy and msgspec, without which no program could say anything about a rig.
"""

from __future__ import annotations

import os
import sys

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QApplication, QGraphicsScene, QGraphicsView


class EndAtPaint(QObject):
    """Ends the process once a drawing view has been painted, with a verdict beside it if one is waited for."""

    def __init__(self, judged: bool) -> None:
        super().__init__()
        self._judged = judged

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        painted = event.type() == QEvent.Type.Paint and isinstance(watched.parent(), QGraphicsView)
        if painted and (not self._judged or watched.window().block.word.state):
            QTimer.singleShot(0, lambda: os._exit(0))
        return False


def program() -> None:
    """The whole program."""
    # Only here, so that the bare window does not load it.
    from app.__main__ import main

    main(["cold_spring_vineyard"])


def bare(application: QApplication) -> None:
    """A drawing view with nothing on it."""
    # Only here, so that the program loads them when it does.
    import msgspec  # noqa: F401
    import numpy as np  # noqa: F401

    view = QGraphicsView(QGraphicsScene())
    view.resize(1280, 800)
    view.show()
    application.exec()


if __name__ == "__main__":
    started = QApplication(sys.argv[:1])
    end = EndAtPaint(judged=sys.argv[1] == "verdict")
    started.installEventFilter(end)
    bare(started) if sys.argv[1] == "bare" else program()
    sys.exit("ended without a paint")
