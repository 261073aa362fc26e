"""Files of one window: new, open, save, and the guard before unsaved changes are left."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, QSettings, Signal
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.document import Document
from app.files import SAMPLES, sample_rig
from engine import rigfile
from engine.errors import TailweightError

FILE_FILTER = "Rig files (*.rig.json);;All files (*)"


class Filing(QObject):
    """Opens and saves the document of one window; every failure is told and nothing in hand is lost."""

    opened = Signal()
    """Another job stands in the document now."""

    told = Signal(str)
    """A sentence to show over the drawing."""

    def __init__(self, document: Document, settings: QSettings, window: QWidget) -> None:
        super().__init__(window)
        self._document, self._settings, self._window = document, settings, window

    def new(self) -> None:
        """Start from the plainest sample rig, without a file."""
        if self.may_leave():
            self._document.replace(sample_rig(next(iter(SAMPLES))), None)
            self.opened.emit()

    def open_sample(self, name: str) -> None:
        """Open a copy of a sample rig, without a file, so that saving never writes over the sample."""
        if self.may_leave():
            self._document.replace(sample_rig(name), None)
            self.opened.emit()

    def ask_open(self) -> None:
        """Ask for a rig file and open it."""
        name, _ = QFileDialog.getOpenFileName(self._window, "Open a rig", self._folder(), FILE_FILTER)
        if name:
            self.open(Path(name))

    def open(self, path: Path) -> bool:
        """Open a rig file; a bad one is told of and leaves what is open as it is."""
        try:
            job = rigfile.read(path)
        except TailweightError as error:
            self.complain("This file was not opened; what was open still is.", str(error))
            return False
        if not self.may_leave():
            return False
        self._document.replace(job, path)
        self._settings.setValue("folder", str(path.parent))
        self.told.emit("")
        self.opened.emit()
        return True

    def save(self) -> bool:
        """Save to the document's file, or ask for one."""
        return self.save_to(self._document.path) if self._document.path else self.ask_save()

    def ask_save(self) -> bool:
        """Ask for a file and save there."""
        name, _ = QFileDialog.getSaveFileName(self._window, "Save the rig as", self._folder(), FILE_FILTER)
        if not name:
            return False
        path = Path(name)
        return self.save_to(path if path.name.endswith(".json") else path.with_name(path.name + rigfile.SUFFIX))

    def save_to(self, path: Path) -> bool:
        """Save to a file; when that fails it is told loudly and the edit stays in hand."""
        try:
            self._document.save(path)
        except TailweightError as error:
            self.complain("The rig was NOT saved.", str(error))
            return False
        self._settings.setValue("folder", str(path.parent))
        return True

    def _folder(self) -> str:
        return str(self._settings.value("folder", str(Path.home())))

    def complain(self, headline: str, words: str) -> None:
        """A message nobody can overlook, and the same words over the drawing."""
        self.told.emit(f"{headline} {words}")
        box = QMessageBox(QMessageBox.Icon.Warning, "Tailweight", headline, QMessageBox.StandardButton.Ok, self._window)
        box.setInformativeText(words)
        box.open()

    def may_leave(self) -> bool:
        """Whether the open rig may be left: it is saved, or the person says so."""
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
            "There are changes that are not saved. Save them first?",
            buttons.Save | buttons.Discard | buttons.Cancel,
            buttons.Save,
        )
