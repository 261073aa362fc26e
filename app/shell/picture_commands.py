"""Copies a picture of what the window shows, and saves pictures of views, chart or helper view."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QDate, QObject, QSettings, Qt, Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from app.documents.document import Document
from app.documents.file_questions import ask_where_else
from app.look.theme import Palette
from app.shell.picture_export import DrawingPicture
from app.shell.picture_pages import Choice, NotYetError, PicturePages
from engine.base.errors import TailweightError
from engine.base.file_fault import FileFault
from engine.base.lazy import lazy
from engine.explain import refusals

if TYPE_CHECKING:
    from app.papers import output
    from app.shell import picture_dialog
else:
    # Most sittings save no picture.
    output, picture_dialog = lazy("app.papers.output"), lazy("app.shell.picture_dialog")

FILTERS = {"pdf": "PDF file (*.pdf)", "svg": "SVG drawing (*.svg)", "png": "PNG picture (*.png)"}


class PictureCommands(QObject):
    """Pictures that always carry caution, verdict and loads."""

    told = Signal(str)
    """A sentence on what went wrong, to show under the drawing."""

    done = Signal(str)
    """A sentence on what was done."""

    def __init__(
        self,
        document: Document,
        settings: QSettings,
        window: QWidget,
        parts: tuple[QWidget, ...],
        colours: Callable[[], Palette],
        pages: PicturePages,
        prepared: Callable[[], AbstractContextManager[None]],
    ) -> None:
        """``parts`` of the window that a copied picture shows, from the top, ``prepared`` while it is made."""
        super().__init__(window)
        self._document, self._settings, self._window = document, settings, window
        self._parts, self._colours, self._pages, self._prepared = parts, colours, pages, prepared

    @property
    def picture(self) -> DrawingPicture:
        """What the window shows now."""
        document = self._document
        file = document.path.name if document.path else "not saved yet"
        date = QDate.currentDate().toString(Qt.DateFormat.ISODate)
        foot = f"{document.job.name}, {document.pose.name}. {file}, {date}. Planning help only."
        return DrawingPicture(self._parts, foot, self._colours())

    @property
    def page(self) -> str:
        """The usual paper for the units."""
        return "letter" if self._document.units == "us" else "a4"

    def copy(self) -> None:
        """Put a picture on the clipboard."""
        with self._prepared():
            self.picture.copy()
        self.done.emit("A picture is on the clipboard.")

    def ask(self) -> picture_dialog.PictureDialog:
        """Ask what to save, and then where."""
        dialog = picture_dialog.PictureDialog(self._window, self._pages, self.page, self._document.units)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.wanted.connect(self.ask_where)
        dialog.open()
        return dialog

    def ask_where(self, choice: Choice, form: str) -> None:
        """Ask for a file and write a picture there; ``form`` is one of `picture_dialog.FORMS`."""
        kind, _, fineness = form.partition(" ")
        folder = Path(str(self._settings.value("folder", str(Path.home()))))
        name, _ = QFileDialog.getSaveFileName(
            self._window, "Save a picture", str(folder / f"rig.{kind}"), FILTERS[kind]
        )
        if name:
            path = Path(name)
            self.write(path if path.suffix else path.with_suffix(f".{kind}"), int(fineness or 1), choice)

    def write(self, path: Path, fineness: int = 1, choice: Choice | None = None) -> bool:
        """Write a picture into a file, by the name's ending; returns whether it was written."""
        choice = Choice(page=self.page) if choice is None else choice
        try:
            with self._prepared():
                output.write_page(self._pages.sheet(choice), path, fineness)
        except FileFault as fault:
            headline = "The picture was NOT written."
            self.told.emit(f"{headline} {fault.words}")
            elsewhere = partial(self.ask_where, choice, f"{path.suffix[1:].lower()} {fineness}")
            again = partial(self.write, path, fineness, choice)
            ask_where_else(self._window, headline, fault.words, elsewhere=elsewhere, again=again)
            return False
        except NotYetError as error:
            self.told.emit(str(error))
            return False
        except TailweightError as error:
            self.told.emit(refusals.sentence(error, self._document.units))
            return False
        self.done.emit(f"Picture written: {path}")
        return True
