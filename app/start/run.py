"""What ``tailweight`` does once Qt is loaded: open the window, draw a picture or write a paper."""

from __future__ import annotations

import argparse
import os
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QDeadlineTimer, QEventLoop, QSettings, QSize, QStandardPaths, QTimer
from PySide6.QtGui import QImage, QImageWriter
from PySide6.QtWidgets import QApplication, QWidget

from app.documents import files
from app.documents.document import Document
from app.documents.files import SAMPLES, sample_rig
from app.papers.titles import CARD
from app.shell import crash_reports
from app.shell.window import Window
from app.shell.windows import Windows
from app.start.collector import Collector
from engine.base.errors import RigFileError, TailweightError
from engine.base.lazy import lazy
from engine.explain import refusals
from engine.schema.model import Job, find_pose

if TYPE_CHECKING:
    from app.papers import output, phone_card
    from app.shell import shop_files as made_files
    from app.workers.background import Background
    from engine.jit import code_files
    from engine.shop import edits
    from engine.worst_case import evaluator
else:
    # None of these is on the first paint.
    phone_card = lazy("app.papers.phone_card")
    output, edits, evaluator = lazy("app.papers.output"), lazy("engine.shop.edits"), lazy("engine.worst_case.evaluator")
    code_files, made_files = lazy("engine.jit.code_files"), lazy("app.shell.shop_files")

EXIT_OK, EXIT_BAD_INPUT = 0, 2

A_PICTURE = "a picture file that can be written, such as out.png"

ANSWER_MS = 20_000
"""A picture waits no longer for an answer; by then the bar says how far it has come."""


def window(application: QApplication, options: argparse.Namespace) -> int:
    """Open the window and stay until the last one is closed; returns the exit status."""
    try:
        document = opened(options)
    except TailweightError as error:
        print(f"tailweight: {refusals.with_place(error)}", file=sys.stderr)
        return EXIT_BAD_INPUT
    Collector(application)
    windows = Windows()
    crash_reports.watch(windows.all)
    first = windows.open(document, options.units)

    def go_on() -> None:
        keep_code()
        evaluator.record_ahead_only()
        windows.offer_recovery(first)

    first.start_up.completed.connect(go_on)
    return application.exec()


def keep_code() -> None:
    """Keep machine code in the system's cache folder, for this program and the processes that it starts."""
    cache = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.CacheLocation)
    if cache:
        os.environ.setdefault(code_files.FOLDER, str(Path(cache) / "code"))


def picture(application: QApplication, options: argparse.Namespace) -> int:
    """Draw the window into a picture file; returns the exit status."""
    try:
        document = opened(options)
        size = _size(options.size)
        _refuse_picture(options.picture)  # a picture takes seconds
        image = grabbed(application, document, size, options.look or "light", options.text or 100, options.show)
        # A file manager may want a thumbnail under a name without an ending.
        written = image.save(str(options.picture)) if options.picture.suffix else _save_png(image, options.picture)
        if not written:
            raise RigFileError(str(options.picture), A_PICTURE, "one that cannot")
    except TailweightError as error:
        print(f"tailweight: {refusals.with_place(error)}", file=sys.stderr)
        return EXIT_BAD_INPUT
    return EXIT_OK


def _refuse_picture(path: Path) -> None:
    """Refuse a picture that could not be written: its folder, its name or its ending.

    Raises
    ------
    TailweightError
    """
    files.refuse_place(path)
    kind = path.suffix.removeprefix(".").lower()
    if path.is_dir() or (kind and kind not in _kinds()):
        raise RigFileError(str(path), A_PICTURE, "a folder" if path.is_dir() else f"a name that ends in {path.suffix}")


def _kinds() -> tuple[str, ...]:
    """Endings of the picture files that can be written."""
    return tuple(bytes(kind.data()).decode("ascii") for kind in QImageWriter.supportedImageFormats())


def _save_png(image: QImage, path: Path) -> bool:
    writer = QImageWriter(str(path), QByteArray(b"png"))
    return writer.write(image)


def paper(options: argparse.Namespace) -> int:
    """Write one paper of one pose into a PDF file, or the phone card; returns the exit status."""
    try:
        document = opened(options)
        files.refuse_place(options.out)  # a paper takes seconds
        if options.paper == CARD:
            card = phone_card.phone_card(document.job, document.pose, output.today())
            files.write_out(options.out, card)
        else:
            output.write_pdf(output.make(options.paper, document.job, document.pose, options.page), options.out)
    except TailweightError as error:
        print(f"tailweight: {refusals.with_place(error)}", file=sys.stderr)
        return EXIT_BAD_INPUT
    return EXIT_OK


def shop_files(options: argparse.Namespace) -> int:
    """Write cutting drawings or lists of one rig into folders; returns the exit status."""
    folders: dict[made_files.Kind, Path | None] = {"dxf": options.dxf, "csv": options.csv}
    try:
        document = opened(options)
        for kind, folder in folders.items():
            if folder is not None:
                files.write_folder(folder, made_files.made(kind, document.job, document.pose))
    except TailweightError as error:
        print(f"tailweight: {refusals.with_place(error)}", file=sys.stderr)
        return EXIT_BAD_INPUT
    return EXIT_OK


def grabbed(
    application: QApplication, document: Document, size: QSize, look: str, text: int, show: str = "drawing"
) -> QImage:
    """A picture of the window: its drawing alone, with one of its panels, or its helper view.

    Raises
    ------
    TailweightError
        When ``show`` is neither ``drawing``, ``helper`` nor the name of a section, or part of one.
    """
    settings = QSettings("Tailweight", "picture")
    settings.clear()
    settings.setValue("look", look)
    settings.setValue("text_size", text)
    shown = Window(document, settings)
    shown.start_up.complete()
    names = [shown.panels.tabText(index) for index in range(shown.panels.count())]
    if show not in ("drawing", "helper"):
        meant = [name for name in names if show.lower() in name.lower()]
        if show not in names and len(meant) != 1:
            raise RigFileError("--show", f"drawing, helper or a section ({'; '.join(names)})", repr(show))
        show = show if show in names else meant[0]
    shown.menuBar().hide()
    if show in names:
        shown.panels.setCurrentIndex(names.index(show))
    else:
        shown.panels.hide()
    pictured: QWidget = shown
    if show == "helper":
        pictured = shown.commands.explanations.open_helper()
        pictured.showNormal()
    pictured.resize(size)
    pictured.show()
    for _ in range(3):
        application.processEvents()
    if show == "drawing" and shown.rail is not None:
        shown.rail.hide()
    shown.views.fit()
    application.processEvents()
    wait_for_answer(shown, show)
    image = pictured.grab().toImage()
    pictured.hide()
    shown.end_questions()
    shown.commands.explanations.reason.background.close()
    return image


def wait_for_answer(shown: Window, show: str) -> None:
    """Give what is pictured the time to be worked out; after `ANSWER_MS` the picture shows how far that has come."""
    until = QDeadlineTimer(ANSWER_MS)
    while (asked := _asked_for(shown, show)) and not until.hasExpired():
        loop = QEventLoop()
        asked[0].ended.connect(loop.quit)
        QTimer.singleShot(until.remainingTime(), loop, loop.quit)
        loop.exec()


def _asked_for(shown: Window, show: str) -> list[Background]:
    """What is being worked out for what is pictured."""
    if show == "drawing":
        return []
    if show == "helper":
        return [background for background in (shown.commands.explanations.reason.background,) if background.asks]
    panel = [shown.panels[shown.panels.shown].background] if shown.panels.shown_asks() else []
    return [*(background for background in panel if background.asks), *(shown.rail.asking if shown.rail else ())]


def opened(options: argparse.Namespace) -> Document:
    """The document of the rig named on the command line, or the plainest sample rig.

    Raises
    ------
    TailweightError
        When the rig cannot be read or has no pose of that name.
    """
    job, path, stamp = _read(options.rig)
    if options.units:
        job = edits.REPLACE(job, units=options.units)
    pose = find_pose(job, options.pose)
    return Document(job, path, stamp, job.poses.index(pose))


def _read(rig: str | None) -> tuple[Job, Path | None, str | None]:
    if rig is None:
        return sample_rig(next(iter(SAMPLES))), None, None
    if rig in SAMPLES and not Path(rig).exists():
        return sample_rig(rig), None, None
    path = Path(rig).absolute()  # the folder the program was started in may go while it runs
    job, stamp = files.read(path)
    return job, path, stamp


def _size(text: str) -> QSize:
    typed = re.fullmatch("([0-9]{3,4})x([0-9]{3,4})", text)  # other scripts' digits are no size here
    width, height = (int(typed[1]), int(typed[2])) if typed else (0, 0)
    if not (320 <= width <= 8000 and 240 <= height <= 8000):
        raise RigFileError("--size", "WxH from 320x240 to 8000x8000", repr(text))
    return QSize(width, height)
