"""Papers of one window, always of the pose shown: into a PDF file or onto a printer; and what goes on record."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QSettings, Qt, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialog, QFileDialog, QMessageBox, QWidget

from app.documents import files
from app.documents.document import Document
from app.documents.file_questions import ask_where_else
from app.panels.record import ApprovalDialog, LogDialog
from app.papers.titles import CARD_TITLE, TITLES
from engine.base.errors import TailweightError
from engine.base.file_fault import FileFault
from engine.base.lazy import lazy
from engine.explain import refusals
from engine.schema.model import Job
from engine.shop import edits

if TYPE_CHECKING:
    from PySide6 import QtPrintSupport

    from app.papers import output, page_marks, phone_card
    from app.papers.layout import Sheet
    from app.shell import print_dialog
    from app.shell.picture_pages import PicturePages
else:
    # Most sittings make no paper, and fewer print one.
    QtPrintSupport, output = lazy("PySide6.QtPrintSupport"), lazy("app.papers.output")
    phone_card = lazy("app.papers.phone_card")
    page_marks, print_dialog = lazy("app.papers.page_marks"), lazy("app.shell.print_dialog")

PAGES = (("A&4", "a4"), ("US &Letter", "letter"))
SLOW = frozenset({"placard", "approval"})
"""Papers that hold a load chart, which takes seconds; a pick sheet does where there is a move on it."""

PDF_FILTER, HTML_FILTER = "PDF files (*.pdf);;All files (*)", "HTML files (*.html);;All files (*)"


class PaperCommands(QObject):
    """Makes papers; says every failure and changes nothing then."""

    told = Signal(str)
    """A sentence on what went wrong, to show under the drawing."""

    done = Signal(str)
    """A sentence on what was done."""

    def __init__(self, document: Document, settings: QSettings, window: QWidget) -> None:
        super().__init__(window)
        self._document, self._settings, self._window = document, settings, window

    @property
    def page(self) -> str:
        """Page size: the one chosen, else the usual one for the units."""
        usual = "letter" if self._document.units == "us" else "a4"
        chosen = str(self._settings.value("page", usual))
        return chosen if chosen in {value for _, value in PAGES} else usual

    def set_page(self, page: str) -> None:
        """Choose a page size."""
        self._settings.setValue("page", page)

    def made(self, kind: str) -> Sheet:
        """Lay out one paper of the pose shown."""
        document = self._document
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            return output.make(kind, document.job, document.pose, self.page)
        finally:
            QGuiApplication.restoreOverrideCursor()

    def ask_print(self, pages: PicturePages) -> print_dialog.PrintDialog:
        """Offer every paper and the drawing with a preview, to be printed or written."""
        document = self._document
        slow = SLOW | ({"pick"} if document.job.moves else set())
        dialog = print_dialog.PrintDialog(
            self._window, self.made, pages, self.page, document.units, slow=frozenset(slow)
        )
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.page_chosen.connect(self.set_page)
        dialog.wanted.connect(self._take)
        dialog.open()
        return dialog

    def _take(self, kind: str, how: str, sheet: Sheet | None) -> None:
        (self.print if how == "print" else self.ask_pdf)(kind, sheet)

    def ask_pdf(self, kind: str, sheet: Sheet | None = None) -> None:
        """Ask for a file and write a paper there, the one of the pose shown unless it is laid out already."""
        title = TITLES[kind]
        folder = Path(str(self._settings.value("folder", str(Path.home()))))
        name, _ = QFileDialog.getSaveFileName(
            self._window, f"{title} as PDF", str(folder / f"{title.lower()}.pdf"), PDF_FILTER
        )
        if name:
            path = Path(name)
            self.write(kind, path if path.suffix else path.with_suffix(".pdf"), sheet)

    def write(self, kind: str, path: Path, sheet: Sheet | None = None) -> bool:
        """Write a paper into a PDF file; returns whether it was written."""
        try:
            output.write_pdf(sheet or self.made(kind), path)
        except FileFault as fault:
            headline, again = f"{TITLES[kind]}: the paper was NOT written.", partial(self.write, kind, path, sheet)
            self.told.emit(f"{headline} {fault.words}")
            elsewhere = partial(self.ask_pdf, kind, sheet)
            ask_where_else(self._window, headline, fault.words, elsewhere=elsewhere, again=again)
            return False
        except TailweightError as error:
            self._complain(refusals.sentence(error, self._document.units))
            return False
        self.done.emit(f"{TITLES[kind]} written: {path}")
        return True

    def ask_card(self) -> None:
        """Ask for a file and write the phone card of all poses there, its picture and loads of the pose shown."""
        folder = Path(str(self._settings.value("folder", str(Path.home()))))
        name, _ = QFileDialog.getSaveFileName(
            self._window, f"{CARD_TITLE} as HTML", str(folder / "phone card.html"), HTML_FILTER
        )
        if name:
            path = Path(name)
            self.write_card(path if path.suffix else path.with_suffix(".html"))

    def write_card(self, path: Path) -> bool:
        """Write the phone card; returns whether it was written."""
        document = self._document
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            files.write_out(path, phone_card.phone_card(document.job, document.pose, output.today()))
        except FileFault as fault:
            headline, again = f"{CARD_TITLE}: NOT written.", partial(self.write_card, path)
            self.told.emit(f"{headline} {fault.words}")
            ask_where_else(self._window, headline, fault.words, elsewhere=self.ask_card, again=again)
            return False
        finally:
            QGuiApplication.restoreOverrideCursor()
        self.done.emit(f"{CARD_TITLE} written: {path}")
        return True

    def print(self, kind: str, sheet: Sheet | None = None) -> None:
        """Ask for a printer and print a paper, the one of the pose shown unless it is laid out already."""
        printer = QtPrintSupport.QPrinter(QtPrintSupport.QPrinter.PrinterMode.HighResolution)
        # Pens of the drawing are one dot wide, for dots of half a point; vectors and text stay as fine as the printer.
        printer.setResolution(round(page_marks.UNITS_PER_INCH))
        dialog = QtPrintSupport.QPrintDialog(printer, self._window)
        dialog.setWindowTitle(f"Print: {TITLES[kind]}")
        try:
            if dialog.exec() == QDialog.DialogCode.Accepted and not output.print_on(sheet or self.made(kind), printer):
                self._complain("The printer did not take the paper.")
        except TailweightError as error:
            self._complain(refusals.sentence(error, self._document.units))
        dialog.deleteLater()

    # -------------------------------------------------------- what goes on record

    def ask_approval(self) -> None:
        """Ask for the maker's approval; one undo step."""
        document = self._document
        dialog = ApprovalDialog(self._window, document.units, document.job.approval)
        if dialog.exec() == QDialog.DialogCode.Accepted:
            self._edit(lambda: edits.with_approval(document.committed_job, dialog.approval), "Enter the approval")
        dialog.deleteLater()

    def ask_log_entry(self) -> None:
        """Ask for a line of the rig's log; one undo step."""
        document = self._document
        dialog = LogDialog(self._window, document.units, document.pose.name)
        if dialog.exec() == QDialog.DialogCode.Accepted:
            self._edit(lambda: edits.with_log_entry(document.committed_job, dialog.entry), "Add to the log")
        dialog.deleteLater()

    def _edit(self, edited: Callable[[], Job], text: str) -> None:
        try:
            self._document.set_job(edited(), text)
        except TailweightError as error:
            self.told.emit(refusals.sentence(error, self._document.units))

    def _complain(self, words: str) -> None:
        """Say in a box that there is no paper, and why."""
        box = QMessageBox(
            QMessageBox.Icon.Warning,
            "Tailweight",
            "The paper was NOT made.",
            QMessageBox.StandardButton.Ok,
            self._window,
        )
        box.setInformativeText(words)
        box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        box.open()
