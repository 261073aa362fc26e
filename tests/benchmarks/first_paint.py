"""A process that ends at its first finished paint: ``python -m tests.benchmarks.first_paint program|bare``.

``program`` starts as a person starts it, on a sample rig.  ``bare`` shows an empty drawing view and has loaded numpy and
msgspec, without which no program could say anything about a rig.
"""

from __future__ import annotations

import os
import sys

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QApplication, QGraphicsScene, QGraphicsView


class EndAtPaint(QObject):
    """Ends the process once a drawing view has been painted."""

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint and isinstance(watched.parent(), QGraphicsView):
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
    end = EndAtPaint()
    started.installEventFilter(end)
    program() if sys.argv[1] == "program" else bare(started)
    sys.exit("ended without a paint")
