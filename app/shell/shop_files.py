"""Files for the shop and its machines, always of the rig in the window: cutting drawings and lists, into a folder."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple

from PySide6.QtCore import QObject, QSettings, Qt, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QWidget

from app.documents import files
from app.documents.document import Document
from app.documents.file_questions import ask_where_else
from engine.base.errors import TailweightError
from engine.base.file_fault import FileFault
from engine.base.lazy import lazy
from engine.explain import refusals
from engine.schema.model import Job, Pose

if TYPE_CHECKING:
    from engine.exports import dxf, lists
else:
    # Most sittings write neither.
    dxf, lists = lazy("engine.exports.dxf"), lazy("engine.exports.lists")

Kind = Literal["dxf", "csv"]


class _Words(NamedTuple):
    ask: str
    not_written: str
    written: str


WORDS: dict[Kind, _Words] = {
    "dxf": _Words("A folder for the cutting drawings", "The cutting drawings were NOT written.", "cutting drawings"),
    "csv": _Words("A folder for the lists", "The lists were NOT written.", "lists"),
}


def made(kind: Kind, job: Job, pose: Pose) -> dict[str, bytes]:
    """The files of one kind, by name.

    Raises
    ------
    EditError
        Where parts of the rig do not fit together.
    """
    if kind == "dxf":
        return dxf.plate_drawings(job)
    return {**lists.shop_lists(job), "chart.csv": lists.chart_list(job, pose)}


class ShopFiles(QObject):
    """Writes files for the shop; says every failure."""

    told = Signal(str)
    """A sentence on what went wrong, to show under the drawing."""

    done = Signal(str)
    """A sentence on what was done."""

    def __init__(self, document: Document, settings: QSettings, window: QWidget) -> None:
        super().__init__(window)
        self._document, self._settings, self._window = document, settings, window

    def ask(self, kind: Kind) -> None:
        """Ask for a folder and write the files there."""
        folder = str(self._settings.value("folder", str(Path.home())))
        name = QFileDialog.getExistingDirectory(self._window, WORDS[kind].ask, folder)
        if name:
            self.write(kind, Path(name))

    def write(self, kind: Kind, folder: Path) -> bool:
        """Write the files into a folder; returns whether all of them were written."""
        document, words = self._document, WORDS[kind]
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            written = made(kind, document.job, document.pose)
            files.write_folder(folder, written)
        except FileFault as fault:
            self.told.emit(f"{words.not_written} {fault.words}")
            elsewhere, again = partial(self.ask, kind), partial(self.write, kind, folder)
            ask_where_else(self._window, words.not_written, fault.words, elsewhere=elsewhere, again=again)
            return False
        except TailweightError as error:
            self.told.emit(f"{words.not_written} {refusals.sentence(error, document.units)}")
            return False
        finally:
            QGuiApplication.restoreOverrideCursor()
        self.done.emit(f"{len(written)} {words.written} written into {folder}")
        return True
