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
from PySide6.QtWidgets import QFileDialog, QMenu, QMessageBox, QWidget

from app.documents import files, recent
from app.documents.document import Document
from app.documents.file_watch import FileWatch
from app.documents.files import SAMPLES, sample_rig
from app.documents.json_locator import SourceSheet
from app.documents.recovery import Recovery
from app.look import dialogs
from engine.base.errors import TailweightError
from engine.schema import rig_file
from engine.schema.model import Job

FILE_FILTER = "Rig files (*.rig.json);;All files (*)"


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
        self._box: QMessageBox | None = None
        self.recovery = Recovery(document)
        self.recovery.failed.connect(self.told)
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
        except TailweightError as error:
            extra = [("Show where", partial(self.show_where, path, error))] if path.is_file() else []
            self.complain("This file was not opened; what was open still is.", str(error), extra)
            return False
        if not self.put(job, path, stamp):
            return False
        self._opened_or_saved(path)
        self.told.emit("")
        if self._document.path == path:
            self.tell_changes()
        return True

    def tell_changes(self) -> None:
        """Say what opening the file changed to bring it up to the present format."""
        changes = files.changes_of(self._document.path) if self._document.path is not None else ()
        if changes:
            dialogs.ask(
                self._window, "This file is of an older version.", "\n".join(changes), [("Close", dialogs.keep)]
            )

    def put(self, job: Job, path: Path | None = None, stamp: str | None = None) -> bool:
        """Open a job in this window, or in one of its own if this one holds unsaved work or another file.

        Returns whether it is open now.
        """
        document = self._document
        other_file = document.path is not None and (path is None or not files.same_file(path, document.path))
        if self.elsewhere is not None and (document.unsaved or other_file):
            self.elsewhere.open(Document(job, path, stamp))
            return True
        if not self.may_leave():
            return False
        document.replace(job, path, stamp)
        self.opened.emit()
        return True

    def show_where(self, path: Path, error: TailweightError) -> None:
        """Show a file's text with the line of the fault marked."""
        sheet = SourceSheet(path, error, self._window)
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
        """List the files opened last; one that is missing says so."""
        menu.clear()
        for number, path in enumerate(recent.recent(self._settings), 1):
            gone = "" if path.exists() else "  (not there any more)"
            name = f"{path.name}{gone}  -  {path.parent}".replace("&", "&&")
            menu.addAction(f"&{number % 10}  {name}").triggered.connect(
                lambda _checked=False, p=path: self.open_recent(p)
            )
        if menu.isEmpty():
            menu.addAction("none yet").setEnabled(False)

    def open_recent(self, path: Path) -> None:
        """Open one of the files opened last; a missing one is taken off the list."""
        if path.exists():
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
        name, _ = QFileDialog.getSaveFileName(self._window, "Save the rig as", self._folder(), FILE_FILTER)
        if not name:
            return False
        path = Path(name)
        if not path.name.endswith(".json"):
            path = path.with_name(path.name + rig_file.SUFFIX)
            if path.exists() and not self._may_write_over(path, "There is a file of this name already."):
                return False
        return self.save_to(path)

    def save_to(self, path: Path) -> bool:
        """Save to a file; returns whether it is saved. A failure is said in a box, and the edit stays open."""
        document = self._document
        own = document.path is not None and files.same_file(path, document.path)
        if not own and self._held_elsewhere(path):
            self.complain("The rig was NOT saved.", f"{path.name} is open in another window. Choose another name.")
            return False
        if (
            own
            and self._was_changed_elsewhere(path)
            and not self._may_write_over(path, "It was changed by something else since it was opened here.")
        ):
            return False
        if files.is_read_only(path):
            self.complain("The rig was NOT saved.", f"{path} is read-only.")
            return False
        try:
            document.save(path)
        except TailweightError as error:
            self.complain("The rig was NOT saved.", f"{error} Your changes are still here.")
            return False
        self._opened_or_saved(path)
        self.told.emit("")
        return True

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
        document.no_longer_on_disk()
        state = "Your changes are not saved." if document.undo_stack.canUndo() else "Here it is still as it was opened."
        self._ask_once(
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
        except TailweightError as error:
            extra = [("Show where", partial(self.show_where, path, error))]
            self.complain("The changed file cannot be read; what was open still is.", str(error), extra)
            return
        document.reload(job, stamp)

    def _file_gone(self, path: Path) -> None:
        self._document.no_longer_on_disk()
        self._ask_once(
            f"{path.name} is not there any more.",
            f"It was removed or renamed, or its drive is gone ({path.parent}). "
            "The rig is still here, in this window only.",
            [("Save it again", self.save), ("Save as...", self.ask_save), ("Not now", dialogs.keep)],
        )

    def _ask_once(self, headline: str, words: str, answers: Sequence[dialogs.Answer]) -> None:
        """Ask one such question at a time: a newer one takes the place of the one before."""
        if self._box is not None:
            self._box.close()
        box = self._box = dialogs.ask(self._window, headline, words, answers)
        box.finished.connect(lambda _result: self._forget(box))

    def _forget(self, box: QMessageBox) -> None:
        if self._box is box:
            self._box = None

    # -------------------------------------------------------- leaving

    def may_leave(self) -> bool:
        """Whether the open rig may be left: it is saved, or the user says so."""
        if not self._document.unsaved:
            return True
        answer = self.ask_unsaved()
        if answer == QMessageBox.StandardButton.Save:
            return self.save()
        return answer == QMessageBox.StandardButton.Discard

    def ask_unsaved(self) -> QMessageBox.StandardButton:
        """Ask what to do with changes that are not saved."""
        buttons = QMessageBox.StandardButton
        return QMessageBox.question(
            self._window,
            "Tailweight",
            f"There are changes to {self._document.job.name} that are not saved. Save them first?",
            buttons.Save | buttons.Discard | buttons.Cancel,
            buttons.Save,
        )

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

    def _held_elsewhere(self, path: Path) -> bool:
        return self.elsewhere is not None and self.elsewhere.show_holder(path, self._window)

    def _opened_or_saved(self, path: Path) -> None:
        self._settings.setValue("folder", str(path.parent))
        recent.remember(self._settings, path)

    def _folder(self) -> str:
        return str(self._settings.value("folder", str(Path.home())))

    def complain(self, headline: str, words: str, extra: Sequence[dialogs.Answer] = ()) -> None:
        """Say something in a box, and the same words over the drawing."""
        self.told.emit(f"{headline} {words}")
        dialogs.tell(self._window, headline, words, extra)
