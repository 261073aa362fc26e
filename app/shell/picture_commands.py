"""Copies and saves pictures of what the window shows."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QDate, QObject, QSettings, Qt, Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from app.documents.document import Document
from app.documents.file_questions import ask_where_else
from app.look.theme import Palette
from app.shell.picture_export import FILTERS, FINENESS, DrawingPicture
from engine.base.errors import TailweightError
from engine.base.file_fault import FileFault
from engine.explain import refusals

ENDINGS = {FILTERS[3]: ".svg", FILTERS[4]: ".pdf"}


class PictureCommands(QObject):
    """Pictures of caution, verdict and drawing."""

    told = Signal(str)
    """A sentence to show over the drawing."""

    def __init__(
        self,
        document: Document,
        settings: QSettings,
        window: QWidget,
        parts: tuple[QWidget, ...],
        colours: Callable[[], Palette],
    ) -> None:
        """``parts`` of the window that a picture shows, from the top."""
        super().__init__(window)
        self._document, self._settings, self._window = document, settings, window
        self._parts, self._colours = parts, colours

    @property
    def picture(self) -> DrawingPicture:
        """What the window shows now."""
        document = self._document
        file = document.path.name if document.path else "not saved yet"
        date = QDate.currentDate().toString(Qt.DateFormat.ISODate)
        foot = f"{document.job.name}, {document.pose.name}. {file}, {date}. Planning help only."
        return DrawingPicture(self._parts, foot, self._colours())

    def copy(self) -> None:
        """Put a picture on the clipboard."""
        self.picture.copy()
        self.told.emit("A picture is on the clipboard.")

    def ask(self) -> None:
        """Ask for a file and write a picture there."""
        folder = Path(str(self._settings.value("folder", str(Path.home()))))
        name, chosen = QFileDialog.getSaveFileName(
            self._window, "Save a picture", str(folder / "rig.png"), ";;".join(FILTERS)
        )
        if name:
            path = Path(name)
            self.write(path if path.suffix else path.with_suffix(ENDINGS.get(chosen, ".png")), FINENESS.get(chosen, 1))

    def write(self, path: Path, fineness: int = 1) -> bool:
        """Write a picture into a file; returns whether it was written."""
        try:
            self.picture.write(path, fineness)
        except FileFault as fault:
            headline = "The picture was NOT written."
            self.told.emit(f"{headline} {fault.words}")
            again = partial(self.write, path, fineness)
            ask_where_else(self._window, headline, fault.words, elsewhere=self.ask, again=again)
            return False
        except TailweightError as error:
            self.told.emit(refusals.sentence(error, self._document.units))
            return False
        self.told.emit(f"Picture written: {path}")
        return True
