"""Every kind of paper by its name, and the ways one leaves the program: a PDF file or a printer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from PySide6.QtCore import QDate, QIODevice, QSaveFile, Qt
from PySide6.QtGui import QPagedPaintDevice, QPdfWriter

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
from app.papers.layout import UNITS_PER_INCH, Sheet
from app.papers.paper import Matter, matter
from engine.base.errors import RigFileError
from engine.schema.model import Job, Pose


class Paper(NamedTuple):
    """One kind of paper: its title and how it is built for a page size."""

    title: str
    build: Callable[[Matter, str], Sheet]


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
    return PAPERS[kind].build(matter(job, pose, day), page)


def write_pdf(sheet: Sheet, path: Path) -> None:
    """Write a paper into a PDF file; a file already there stays whole until the new one is.

    Raises
    ------
    RigFileError
        When the file cannot be written.
    """
    file = QSaveFile(str(path))
    wanted = "a PDF file that can be written, such as paper.pdf"
    if not file.open(QIODevice.OpenModeFlag.WriteOnly):
        raise RigFileError(str(path), wanted, file.errorString())
    writer = QPdfWriter(file)
    writer.setResolution(round(UNITS_PER_INCH))
    writer.setTitle(f"{sheet.head.paper}: {sheet.head.job}")
    writer.setCreator("Tailweight")
    if not sheet.paint(writer) or not file.commit():
        raise RigFileError(str(path), wanted, file.errorString())


def print_on(sheet: Sheet, printer: QPagedPaintDevice) -> bool:
    """Print a paper; false when the printer says no."""
    return sheet.paint(printer)
