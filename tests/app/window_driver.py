"""The whole program with its window, edited by real key presses until it is killed; logs each edit before and after."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from kill_driver import Log
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.__main__ import _parser
from app.shell.panel_registry import POSE
from app.shell.window import Window
from app.start import run

EVERY_EDITS_ONE_SAVE = 5


def main(rig: str, log_path: str) -> int:
    """Start as a person starts it, then type a new fork height again and again."""
    application = QApplication([sys.argv[0]])
    log = Log(Path(log_path))
    count = 0

    def edit() -> None:
        nonlocal count
        window = next(widget for widget in application.topLevelWidgets() if isinstance(widget, Window))
        count += 1
        height = f"{0.5 + (count % 90) / 100:.2f}"
        field = window.panels[POSE].fields["lift"]
        log.say("editing", height)
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, f"{height} m")
        QTest.keyClick(field, Qt.Key.Key_Return)
        log.say("edited", f"{window.document.pose.lift_m:.2f}")
        if count % EVERY_EDITS_ONE_SAVE == 0:
            log.say("saving", height)
            window.commands.files.save()
            log.say("saved", height)

    timer = QTimer()
    timer.timeout.connect(edit)
    timer.start(15)
    return run.window(application, _parser().parse_args([rig]))


if __name__ == "__main__":
    os._exit(main(*sys.argv[1:]))
