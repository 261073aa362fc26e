"""Save a picture: what it shows, in which form, with a preview of the page."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QHBoxLayout, QVBoxLayout, QWidget

from app.panels.fields import ChoiceField
from app.panels.widgets import caption
from app.shell.page_options import PageOptions
from app.shell.page_preview import PagePreview, size_dialog
from app.shell.picture_pages import SHOWN, Choice, NotYetError, PicturePages
from engine.base.errors import TailweightError
from engine.base.formatting import System

FORMS = {
    "pdf": "PDF, to be measured",
    "svg": "SVG, to be measured",
    "png": "PNG picture",
    "png 2": "PNG picture, twice as fine",
    "png 3": "PNG picture, three times as fine",
}
CARRIES = "Every picture carries the caution, the approval, the state, the load table, the date and the file's name."


class PictureDialog(QDialog):
    """Asks what to save; does not write it."""

    wanted = Signal(object, str)
    """What was chosen (a `Choice`), and the form, one of `FORMS`."""

    def __init__(self, parent: QWidget, pages: PicturePages, page: str, units: System) -> None:
        super().__init__(parent)
        self.setWindowTitle("Save a picture")
        self._pages = pages
        self.options = PageOptions(pages, SHOWN, page, units)
        self.file_form = ChoiceField("form of the file", ())
        for name, words in FORMS.items():
            self.file_form.addItem(words, name)
        self.options.form.addRow("&Form", self.file_form)
        self.preview = PagePreview()
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel)
        self.save = self.buttons.button(QDialogButtonBox.StandardButton.Save)
        self.save.setText("&Save...")
        self.buttons.accepted.connect(self._take)
        self.buttons.rejected.connect(self.reject)
        left = QVBoxLayout()
        left.addWidget(self.options)
        left.addWidget(caption(CARRIES))
        left.addStretch(1)
        body = QHBoxLayout()
        body.addLayout(left, 2)
        body.addWidget(self.preview, 3)
        column = QVBoxLayout(self)
        column.addLayout(body, 1)
        column.addWidget(self.buttons)
        size_dialog(self)
        self.options.changed.connect(self.refresh)
        pages.came.connect(self._came)
        self.refresh()

    @property
    def choice(self) -> Choice:
        """What is chosen."""
        return self.options.choice

    def refresh(self) -> None:
        """Show the page as it is chosen now, or why there is none."""
        try:
            self.preview.show_sheet(self._pages.sheet(self.choice))
        except (TailweightError, NotYetError) as error:
            self.preview.say(str(error))
            self.save.setEnabled(False)
            return
        self.save.setEnabled(True)

    def _came(self) -> None:
        if self.isVisible():
            self.refresh()

    def _take(self) -> None:
        self.accept()
        self.wanted.emit(self.choice, str(self.file_form.currentData()))
