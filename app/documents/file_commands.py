"""Files of one window: new, open, save, and every question before work is lost or a file is written over.

A file that cannot be read never replaces what is open. A damaged file is refused with the place of the damage, which
can be shown: reading only its good half would put a verdict on a rig that nobody entered.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import QObject, QSettings, Qt, QUrl, Signal
from PySide6.QtWidgets import QFileDialog, QMenu, QWidget

from app.documents import files, recent
from app.documents.document import Document
from app.documents.file_questions import KEEP_WORKING, TRY_AGAIN, FileQuestions, Leaving
from app.documents.file_watch import FileWatch
from app.documents.files import SAMPLES, sample_rig
from app.documents.json_locator import SourceSheet
from app.documents.recovery import Recovery
from app.look import dialogs
from engine.base.errors import TailweightError
from engine.base.file_fault import FileFault
from engine.explain import refusals
from engine.schema import rig_file
from engine.schema.migration import WRITTEN_ANEW
from engine.schema.model import Job

FILE_FILTER = "Rig files (*.rig.json);;All files (*)"
NOT_OPENED = "This file was not opened; what was open still is."
OLDER_FILE = "This file is of an older version."
NAMES_LEFT_OUT = "Sizes as typed no longer fit this file."
NOT_RELOADED = "The changed file cannot be read; what was open still is."

MENU_S = 0.3
"""Longest wait for the files in a menu."""


class Elsewhere(Protocol):
    """The other windows of the program."""

    def show_holder(self, path: Path, asking: QWidget) -> bool:
        """Bring the other window that has this file open to the front; False if there is none."""
        ...

    def open(self, document: Document) -> object:
        """Open a window on a document."""
        ...

    def quit(self) -> None:
        """Close every window, unless one of them refuses."""
        ...


class FileCommands(QObject):
    """Opens and saves the document of one window; says every failure and loses nothing of what is open."""

    opened = Signal()
    """The document holds another job now."""

    told = Signal(str)
    """A sentence to show over the drawing."""

    def __init__(
        self, document: Document, settings: QSettings, window: QWidget, elsewhere: Elsewhere | None = None
    ) -> None:
        super().__init__(window)
        self._document, self._settings, self._window = document, settings, window
        self.elsewhere = elsewhere
        self.recovery = Recovery(document)
        self.recovery.failed.connect(self.told)
        self.questions = FileQuestions(window, document, self.recovery)
        self.watch = FileWatch(document)
        self.watch.changed.connect(self._file_changed)
        self.watch.gone.connect(self._file_gone)

    # -------------------------------------------------------- opening

    def new_window(self) -> None:
        """Open the plainest sample rig in a window of its own."""
        if self.elsewhere is not None:
            self.elsewhere.open(Document(sample_rig(next(iter(SAMPLES)))))

    def open_sample(self, name: str) -> None:
        """Open a sample rig without a file, so that saving never writes over the sample."""
        self.put(sample_rig(name))

    def ask_open(self) -> None:
        """Ask for a rig file and open it."""
        name, _ = QFileDialog.getOpenFileName(self._window, "Open a rig", self._folder(), FILE_FILTER)
        if name:
            self.open(Path(name))

    def open(self, path: Path) -> bool:
        """Open a rig file; returns whether it is open now. A bad file leaves what is open as it is."""
        if self._held_elsewhere(path):
            return True
        try:
            job, stamp = files.read(path)
        except FileFault as fault:
            self._ask_what_to_open(fault)
            return False
        except TailweightError as error:
            extra = [("Show where", partial(self.show_where, path, error))] if files.stamp_of(path) else []
            self.complain(NOT_OPENED, self._words_of(path, error), extra)
            return False
        if not self.put(job, path, stamp):
            return False
        self._opened_or_saved(path)
        self.told.emit("")
        if self._document.path == path:
            self.tell_changes()
        return True

    def _ask_what_to_open(self, fault: FileFault) -> None:
        self.told.emit(f"{NOT_OPENED} {fault.words}")
        answers = [
            ("Open another...", self.ask_open),
            (TRY_AGAIN, partial(self.open, fault.path)),
            (KEEP_WORKING, dialogs.keep),
        ]
        self.questions.ask(NOT_OPENED, fault.words, answers)

    def tell_changes(self) -> None:
        """Say what opening the file changed to bring it up to the present format."""
        changes = files.changes_of(self._document.path) if self._document.path is not None else ()
        if changes:
            title = OLDER_FILE if WRITTEN_ANEW in changes else NAMES_LEFT_OUT
            dialogs.ask(self._window, title, "\n".join(changes), [("Close", dialogs.keep)])

    def put_made(self, job: Job) -> bool:
        """Open a rig that was just made: it is in no file, so it is unsaved from its first moment."""
        return self.put(job, made=True)

    def put(self, job: Job, path: Path | None = None, stamp: str | None = None, *, made: bool = False) -> bool:
        """Open a job in this window, or in one of its own if this one holds unsaved work or another file.

        Returns whether it is open now.
        """
        document = self._document
        other_file = document.path is not None and (path is None or not files.same_file(path, document.path))
        if self.elsewhere is not None and (document.unsaved or other_file):
            opened = Document(job, path, stamp)
            if made:
                opened.mark_unsaved()
            self.elsewhere.open(opened)
            return True
        if not self.may_leave():
            return False
        document.replace(job, path, stamp)
        self.watch.begin()
        if made:
            document.mark_unsaved()
        self.opened.emit()
        return True

    def show_where(self, path: Path, error: TailweightError) -> None:
        """Show a file's text with the line of the fault marked."""
        sheet = SourceSheet(path, error, self._words_of(path, error), self._window)
        sheet.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        sheet.open()

    def dropped(self, urls: Sequence[QUrl]) -> None:
        """Open what was dropped on the window."""
        for url in urls:
            if url.isLocalFile():
                self.open(Path(url.toLocalFile()))
            else:
                self.complain(
                    "This was not opened.", f"Only files on this computer can be opened, not {url.toString()}."
                )

    def fill_recent(self, menu: QMenu) -> None:
        """List the files opened last; one that is missing or cannot be reached says so."""
        menu.clear()
        paths = recent.recent(self._settings)
        for number, (path, fault) in enumerate(zip(paths, files.faults_at(paths, MENU_S), strict=True), 1):
            state = "" if fault is None else "  (not there any more)" if fault.gone else "  (cannot be reached now)"
            name = f"{path.name}{state}  -  {path.parent}".replace("&", "&&")
            menu.addAction(f"&{number % 10}  {name}").triggered.connect(
                lambda _checked=False, p=path: self.open_recent(p)
            )
        if menu.isEmpty():
            menu.addAction("none yet").setEnabled(False)

    def open_recent(self, path: Path) -> None:
        """Open one of the files opened last; a missing one is taken off the list."""
        fault = files.fault_at(path)
        if fault is None or not fault.gone:
            self.open(path)
            return
        recent.forget(self._settings, path)
        self.complain(
            "This file is not there any more.", f"{path} was removed, renamed, or is on a drive that is not there."
        )

    # -------------------------------------------------------- saving

    def save(self) -> bool:
        """Save to the document's file, or ask for one; returns whether it is saved."""
        document = self._document
        document.look_at_file()
        if document.path is None:
            return self.ask_save()
        if document.read_only:
            self.told.emit(f"{document.path.name} is read-only and stays as it is. Choose another name or folder.")
            return self.ask_save()
        return self.save_to(document.path)

    def ask_save(self) -> bool:
        """Ask for a file and save there; returns whether it is saved."""
        path = self._ask_where()
        return path is not None and self.save_to(path)

    def _ask_where(self) -> Path | None:
        name, _ = QFileDialog.getSaveFileName(self._window, "Save the rig as", self._folder(), FILE_FILTER)
        if not name:
            return None
        path = Path(name)
        if path.name.endswith(".json"):
            return path
        path = path.with_name(path.name + rig_file.SUFFIX)
        free = files.fault_at(path) is not None
        return path if free or self._may_write_over(path, "There is a file of this name already.") else None

    def save_to(self, path: Path) -> bool:
        """Save to a file; returns whether it is saved. A failure is asked about, and the edit stays open."""
        why = self._write(path)
        if why:
            headline = f"{path.name} was NOT saved."
            self.told.emit(f"{headline} {why}")
            if path == self._document.path:
                self.watch.asked_about()
            self.questions.ask_what_now(headline, why, elsewhere=self.ask_save, again=partial(self.save_to, path))
        return why == ""

    def _write(self, path: Path) -> str | None:
        """Save to a file; returns why that was not possible, empty when it is saved, None when it shall not be."""
        document = self._document
        own = document.path is not None and files.same_file(path, document.path)
        if not own and self._held_elsewhere(path):
            self.complain("The rig was NOT saved.", f"{path.name} is open in another window. Choose another name.")
            return None
        if own and self._was_changed_elsewhere(path):
            self.watch.asked_about()
            if not self._may_write_over(path, "It was changed by something else since it was opened here."):
                return None
        if files.is_read_only(path):
            return f"{path} is read-only."
        try:
            document.save(path)
        except FileFault as fault:
            if own and files.stamp_of(path) != document.stamp:
                document.mark_unsaved()
            return fault.words
        except TailweightError as error:
            why = refusals.sentence(error, document.units)
            self.complain("The rig was NOT saved.", f"{why} Your changes are still here.")
            return None
        self._opened_or_saved(path)
        self.told.emit("")
        return ""

    def _was_changed_elsewhere(self, path: Path) -> bool:
        """Whether the document's file holds something that this window never read or wrote."""
        now = files.stamp_of(path)
        return now is not None and now != self._document.stamp

    def _may_write_over(self, path: Path, why: str) -> bool:
        answers = ("Write over it", "Save as...", "Cancel")
        answer = dialogs.choose(
            self._window, f"{path.name} would be written over.", f"{why} What it holds now would be lost.", answers
        )
        if answer == 1:
            self.ask_save()
        return answer == 0

    # -------------------------------------------------------- something else changes the file

    def _file_changed(self, path: Path) -> None:
        document = self._document
        try:
            job, stamp = files.read(path)
        except TailweightError:
            job = stamp = None
        if job is not None and job == document.finished.job:
            document.stamp = stamp  # written again with the same content: nothing to ask
            return
        document.mark_unsaved()
        state = "Your changes are not saved." if document.undo_stack.canUndo() else "Here it is still as it was opened."
        self.questions.ask(
            f"{path.name} was changed by something else.",
            f"{state} Loading the changed file can be undone.",
            [("Load the changed file", self.reload), ("Save mine as...", self.ask_save), ("Keep mine", dialogs.keep)],
        )

    def reload(self) -> None:
        """Take what the file holds now; what was here is one undo away."""
        document, path = self._document, self._document.path
        if path is None:
            return
        try:
            job, stamp = files.read(path)
        except FileFault as fault:
            self.told.emit(f"{NOT_RELOADED} {fault.words}")
            self.watch.asked_about()
            self.questions.ask_what_now(NOT_RELOADED, fault.words, elsewhere=self.ask_save, again=self.reload)
            return
        except TailweightError as error:
            self.complain(
                NOT_RELOADED, self._words_of(path, error), [("Show where", partial(self.show_where, path, error))]
            )
            return
        document.reload(job, stamp)
        self.watch.begin()

    def _file_gone(self, fault: FileFault) -> None:
        self._document.mark_unsaved()
        what = "is not there any more" if fault.gone else "cannot be reached any more"
        headline = f"{fault.path.name} {what}."
        self.told.emit(f"{headline} {fault.words}")
        again = partial(self.save_to, fault.path)
        self.questions.ask_what_now(headline, fault.words, elsewhere=self.ask_save, again=again)

    # -------------------------------------------------------- leaving

    def may_leave(self) -> bool:
        """Whether the open rig may be left: it is saved, or the user says so.

        A file that cannot be reached never holds the window: then the question is where else to save.
        """
        document = self._document
        self.questions.close()
        why: str | None = self._why_not_there()
        while document.unsaved:
            answer = self.questions.ask_leaving(why or "")
            if answer is not Leaving.SAVE:
                return answer is Leaving.DISCARD
            document.look_at_file()
            path = self._ask_where() if why or document.path is None or document.read_only else document.path
            why = self._write(path) if path is not None else None
            if why is None:
                break
        return not document.unsaved

    def _why_not_there(self) -> str:
        """Why the document's file cannot be reached; empty when it can, or when there is none."""
        path = self._document.path
        seen = files.look_at(path) if path is not None else ""
        return seen.words if isinstance(seen, FileFault) else ""

    def quit(self) -> None:
        """Close every window."""
        if self.elsewhere is None:
            self._window.close()
        else:
            self.elsewhere.quit()

    def close(self) -> None:
        """The window closes: watch the file no more, and let the recovery record go."""
        self.watch.stop()
        self.recovery.close()

    # -------------------------------------------------------- helpers

    def _words_of(self, path: Path, error: TailweightError) -> str:
        """What is wrong in a file, in the units shown: it would have opened in them."""
        return f"{path.name}: {refusals.sentence(error, self._document.units)}"

    def _held_elsewhere(self, path: Path) -> bool:
        return self.elsewhere is not None and self.elsewhere.show_holder(path, self._window)

    def _opened_or_saved(self, path: Path) -> None:
        self._settings.setValue("folder", str(path.parent))
        recent.remember(self._settings, path)
        self.watch.begin()

    def _folder(self) -> str:
        """Folder to begin in: the last one, if it can be reached."""
        last = str(self._settings.value("folder", str(Path.home())))
        return last if files.fault_at(Path(last)) is None else str(Path.home())

    def complain(self, headline: str, words: str, extra: Sequence[dialogs.Answer] = ()) -> None:
        """Say something in a box, and the same words over the drawing."""
        self.told.emit(f"{headline} {words}")
        dialogs.tell(self._window, headline, words, extra)
