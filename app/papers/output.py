"""Every kind of paper by its name, and the two ways out of the program: a PDF file or a printer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from PySide6.QtCore import QBuffer, QDate, QIODevice, QMarginsF, Qt
from PySide6.QtGui import QPagedPaintDevice, QPageLayout, QPageSize, QPainter, QPdfWriter

from app.documents import files
from app.papers import (
    approval_request,
    build_sheet,
    hand_check,
    helper_card,
    load_placard,
    log_list,
    pick_sheet,
    proof_sheet,
)
from app.papers.layout import Sheet
from app.papers.page_marks import UNITS_PER_INCH
from app.papers.subject import Subject, subject_of
from engine.base.errors import RigFileError
from engine.schema.model import Job, Pose


class Paper(NamedTuple):
    """One kind of paper: its title and how it is built for a page size."""

    title: str
    build: Callable[[Subject, str], Sheet]


PAPERS: dict[str, Paper] = {
    "helper": Paper(helper_card.TITLE, helper_card.build),
    "pick": Paper(pick_sheet.TITLE, pick_sheet.build),
    "placard": Paper(load_placard.TITLE, load_placard.build),
    "build": Paper(build_sheet.TITLE, build_sheet.build),
    "approval": Paper(approval_request.TITLE, approval_request.build),
    "proof": Paper(proof_sheet.TITLE, proof_sheet.build),
    "check": Paper(hand_check.TITLE, hand_check.build),
    "log": Paper(log_list.TITLE, log_list.build),
}


def make(kind: str, job: Job, pose: Pose, page: str = "a4", date: str | None = None) -> Sheet:
    """One paper, laid out; dated today unless told otherwise."""
    day = QDate.currentDate().toString(Qt.DateFormat.ISODate) if date is None else date
    return PAPERS[kind].build(subject_of(job, pose, day), page)


def write_pdf(sheet: Sheet, path: Path) -> None:
    """Write a paper into a PDF file; a file already there stays whole until the new one is.

    Raises
    ------
    FileFault
        When the file cannot be written.
    RigFileError
        When the paper cannot be painted.
    """
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(round(UNITS_PER_INCH))
    writer.setTitle(f"{sheet.head.paper}: {sheet.head.job}")
    writer.setCreator("Tailweight")
    if not print_on(sheet, writer):
        raise RigFileError(
            str(path), "a paper that can be painted", "one that cannot", plain="The paper cannot be painted."
        )
    files.write_out(path, bytes(buffer.data().data()))


def print_on(sheet: Sheet, device: QPagedPaintDevice) -> bool:
    """Paint every page on a PDF writer or printer; False when the device refuses."""
    device.setPageLayout(QPageLayout(QPageSize(sheet.size_id), QPageLayout.Orientation.Portrait, QMarginsF()))
    painter = QPainter()
    if not painter.begin(device):
        return False
    # A viewport, not a scale: marks that keep their size stay in units of half a point on any device.
    dots = device.logicalDpiX() / UNITS_PER_INCH
    painter.setWindow(0, 0, round(sheet.width), round(sheet.height))
    painter.setViewport(0, 0, round(round(sheet.width) * dots), round(round(sheet.height) * dots))
    for number, marks in enumerate(sheet.pages):
        if number and not device.newPage():
            painter.end()
            return False
        for mark in marks:
            painter.save()
            mark.paint(painter)
            painter.restore()
    return painter.end()
