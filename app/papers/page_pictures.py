"""A paper's pages as pictures, drawn in a process that has no window; the question of the preview on the rail.

Laying a paper out takes up to seconds, and text can be measured only where Qt runs.  So the process that is asked this
question starts a Qt of its own, which needs no screen.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from PySide6.QtCore import QBuffer, QByteArray, QIODevice
from PySide6.QtGui import QImageWriter
from PySide6.QtWidgets import QApplication

from app.papers import output
from engine.schema.model import Job, Pose

if TYPE_CHECKING:
    from engine.planning.sweep import Stop

WIDTH_PX = 1000
"""Width of a picture; whoever shows it makes it smaller."""


def page_pictures(kind: str, job: Job, pose: Pose, page: str, stop: Stop) -> tuple[bytes, ...] | None:
    """Every page of a paper as a PNG file; None where another question has come meanwhile.

    Raises
    ------
    TailweightError
        When there cannot be such a paper.
    """
    _start_qt()
    if stop():
        return None
    sheet = output.make(kind, job, pose, page)
    return None if stop() else tuple(_picture(sheet, number) for number in range(len(sheet.pages)))


def _start_qt() -> None:
    if QApplication.instance() is None:
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
        _Own.application = QApplication(["tailweight"])


class _Own:
    """The process's own Qt, which lives as long as the process."""

    application: QApplication | None = None


def _picture(sheet: output.Sheet, number: int) -> bytes:
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, QByteArray(b"png")).write(output.page_image(sheet, number, WIDTH_PX, 1.0))
    return bytes(buffer.data().data())
