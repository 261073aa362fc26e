"""Every kind of paper by its name, and the two ways out of the program: a PDF file or a printer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from PySide6 import QtSvg
from PySide6.QtCore import QBuffer, QByteArray, QDate, QIODevice, QMarginsF, QPoint, QRect, QSize, Qt
from PySide6.QtGui import QImage, QImageWriter, QPagedPaintDevice, QPageLayout, QPageSize, QPainter, QPdfWriter

from app.documents import files
from app.papers import (
    approval_request,
    build_sheet,
    drawing_sheet,
    hand_check,
    helper_card,
    load_placard,
    log_list,
    pick_sheet,
    proof_sheet,
)
from app.papers.layout import Sheet
from app.papers.page_marks import UNITS_PER_INCH, Mark
from app.papers.subject import Subject, subject_of
from engine.base.errors import RigFileError
from engine.base.formatting import M_PER_IN
from engine.schema.model import Job, Pose

OTHER_ENDING = "A picture's name ends in .png, .svg or .pdf. Give it one of these endings."

SCREEN_DOTS_PER_INCH = 96.0


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
    "drawing": Paper(drawing_sheet.TITLE, drawing_sheet.build),
    "log": Paper(log_list.TITLE, log_list.build),
}


def make(kind: str, job: Job, pose: Pose, page: str = "a4", date: str | None = None) -> Sheet:
    """One paper, laid out; dated today unless told otherwise."""
    return PAPERS[kind].build(subject_of(job, pose, today() if date is None else date), page)


def today() -> str:
    """The date that papers made now carry."""
    return QDate.currentDate().toString(Qt.DateFormat.ISODate)


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


def write_page(sheet: Sheet, path: Path, fineness: int = 1) -> None:
    """Write a paper of one page into a PDF, SVG or PNG file, by the name's ending; all of them print to scale.

    ``fineness`` is for PNG: so many times as fine as a screen.

    Raises
    ------
    FileFault
        When the file cannot be written; what was there before stays.
    RigFileError
        When the name's ending is none of these.
    """
    kind = path.suffix.lower()
    if kind == ".pdf":
        write_pdf(sheet, path)
    elif kind == ".svg":
        files.write_out(path, _svg(sheet))
    elif kind == ".png":
        files.write_out(path, _png(sheet, fineness))
    else:
        raise RigFileError(str(path), "a name that ends in .pdf, .svg or .png", kind or "no ending", plain=OTHER_ENDING)


def _svg(sheet: Sheet) -> bytes:
    buffer, generator = QBuffer(), QtSvg.QSvgGenerator(QtSvg.QSvgGenerator.SvgVersion.Svg11)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    generator.setOutputDevice(buffer)
    size = QSize(round(sheet.width), round(sheet.height))
    generator.setResolution(round(UNITS_PER_INCH))
    generator.setSize(size)
    generator.setViewBox(QRect(QPoint(), size))
    generator.setTitle(f"{sheet.head.paper}: {sheet.head.job}")
    painter = QPainter(generator)
    _set_units(painter, sheet, 1.0)
    _paint(painter, sheet.pages[0])
    painter.end()
    return bytes(buffer.data().data())


def _png(sheet: Sheet, fineness: int) -> bytes:
    width_px = round(sheet.width * SCREEN_DOTS_PER_INCH / UNITS_PER_INCH)
    image = page_image(sheet, 0, width_px, fineness)
    for set_dots in (image.setDotsPerMeterX, image.setDotsPerMeterY):
        set_dots(round(SCREEN_DOTS_PER_INCH * fineness / M_PER_IN))
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, QByteArray(b"png")).write(image)
    return bytes(buffer.data().data())


def print_on(sheet: Sheet, device: QPagedPaintDevice) -> bool:
    """Paint every page on a PDF writer or printer; False when the device refuses."""
    turned = QPageLayout.Orientation.Landscape if sheet.landscape else QPageLayout.Orientation.Portrait
    device.setPageLayout(QPageLayout(QPageSize(sheet.size_id), turned, QMarginsF()))
    painter = QPainter()
    if not painter.begin(device):
        return False
    _set_units(painter, sheet, device.logicalDpiX() / UNITS_PER_INCH)
    for number, marks in enumerate(sheet.pages):
        if number and not device.newPage():
            painter.end()
            return False
        _paint(painter, marks)
    return painter.end()


def page_image(sheet: Sheet, number: int, width_px: int, fineness: float) -> QImage:
    """One page of a paper for a screen: so many pixels of the screen wide, each of so many dots a side."""
    dots = width_px * fineness / sheet.width
    image = QImage(round(sheet.width * dots), round(sheet.height * dots), QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _set_units(painter, sheet, dots)
    _paint(painter, sheet.pages[number])
    painter.end()
    image.setDevicePixelRatio(fineness)
    return image


def _set_units(painter: QPainter, sheet: Sheet, dots: float) -> None:
    """Let the painter count in half points; by a viewport, as marks that keep their size would not follow a scale."""
    painter.setWindow(0, 0, round(sheet.width), round(sheet.height))
    painter.setViewport(0, 0, round(round(sheet.width) * dots), round(round(sheet.height) * dots))


def _paint(painter: QPainter, marks: list[Mark]) -> None:
    for mark in marks:
        painter.save()
        mark.paint(painter)
        painter.restore()
