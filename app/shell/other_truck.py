"""Dialog: the rig on another truck, by a rig file's truck or a class; what has to fit, and every pose on both trucks.

The figures are worked out in the background; one button puts the rig on the truck, as one undo step.
"""

from __future__ import annotations

from pathlib import Path
from typing import cast

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.documents import files
from app.documents.document import Document
from app.documents.file_commands import FILE_FILTER
from app.look import hints
from app.panels.fields import ChoiceField
from app.panels.waiting import Waiting
from app.panels.widgets import add_button, caption, copyable_sentence, heading, sentence
from app.panels.words_table import WordsTable
from app.shell.two_charts import TwoChartsPart
from app.workers import worker_tasks
from app.workers.background import Background
from app.workers.working_process import WorkingProcess
from engine.base.caution import CAUTION, SIGNAL_WORD
from engine.base.errors import TailweightError
from engine.base.formatting import fill
from engine.explain import refusals
from engine.explain.truck_words import cells, differences, fit_words, pose_words
from engine.planning.two_trucks import Keeps, SideBySide, put_on, what_fits
from engine.schema.model import Truck
from engine.shop.another_truck import left_behind
from engine.shop.truck_classes import OFFERED, typical_truck

TITLE = "Put the rig on another truck"
WIDE, LINES = 108, 42
"""Size of the dialog in characters and lines, where the screen has room."""

NAME_LETTERS = 18
"""Letters of a class's name that its field shows."""

CHOOSE = "choose a class"
WHAT = (
    "Every pose on this truck and on the other, in the worst case. A class stands for no truck: read the plate and "
    "enter the weights before you lift."
)
KEEPS: dict[Keeps, str] = {"hook_height": "the height of its hook", "fork_height": "its fork height"}
"""What of a pose stays, in words."""

NOT_YET = "Choose the other truck: a class, or a rig file in which it is entered."


class OtherTruckDialog(QDialog):
    """What it takes to put the rig on another truck."""

    def __init__(self, document: Document, process: WorkingProcess, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(TITLE)
        self._document = document
        self.truck: Truck | None = None
        self.rows: tuple[SideBySide, ...] = ()
        self.background = Background(self, process)
        self.background.answered.connect(self._take)
        self.background.failed.connect(lambda why: self.said.setText(f"The poses could not be worked out: {why}"))
        column = QVBoxLayout(self)
        column.addWidget(caption(f"{SIGNAL_WORD}  {CAUTION}"))
        column.addWidget(caption(WHAT))
        self._build_choice(column)
        page = QWidget()
        self._page = QVBoxLayout(page)
        self.said = copyable_sentence("what the other truck changes")
        self.fits = copyable_sentence("what has to fit")
        self.left = copyable_sentence("what does not go along")
        self.table = WordsTable("figures of every pose on both trucks")
        self.charts = TwoChartsPart(document, process)
        self.waiting = Waiting(self.background, "Every pose on both trucks", has_answer=lambda: bool(self.rows))
        self._titles = [heading(words) for words in ("What has to fit", "Every pose", "Load charts", "Left behind")]
        for title, widget in zip(self._titles, (self.fits, self.said, self.charts, self.left), strict=True):
            self._page.addWidget(title)
            self._page.addWidget(widget)
            if widget is self.said:
                self._page.addWidget(self.waiting)
                self._page.addWidget(self.table)
        self._page.addStretch(1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setWidget(page)
        column.addWidget(area, 1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        self.put_button = buttons.addButton("&Put the rig on it", QDialogButtonBox.ButtonRole.AcceptRole)
        hints.name(self.put_button, "put the rig on the other truck; undo takes it back")
        self.put_button.clicked.connect(self.put)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)
        letters = self.fontMetrics().averageCharWidth()
        screen = self.screen().availableGeometry()
        self.resize(
            min(WIDE * letters, screen.width() - 40), min(42 * self.fontMetrics().height(), screen.height() - 60)
        )
        self._show()

    def _build_choice(self, column: QVBoxLayout) -> None:
        row = QHBoxLayout()
        label = QLabel("Other truck")
        row.addWidget(label)
        self.choice = ChoiceField("class of the other truck", (CHOOSE, *OFFERED[self._document.units]), words=str)
        self.choice.setMinimumContentsLength(NAME_LETTERS)
        label.setBuddy(self.choice)
        self.choice.entered.connect(self._chosen)
        row.addWidget(self.choice)
        self.file_button: QPushButton = add_button(
            row, "From a rig &file...", "take the truck out of another rig file", self.ask_file
        )
        row.addStretch(1)
        column.addLayout(row)
        row = QHBoxLayout()
        label = QLabel("Each pose keeps")
        row.addWidget(label)
        self.keeps = ChoiceField("what each pose keeps on the other truck", tuple(KEEPS), words=_keeps_words)
        self.keeps.setMinimumContentsLength(NAME_LETTERS)
        label.setBuddy(self.keeps)
        self.keeps.entered.connect(lambda _keeps: self.ask())
        row.addWidget(self.keeps)
        row.addStretch(1)
        column.addLayout(row)
        self.name = sentence("the other truck")
        column.addWidget(self.name)

    # -------------------------------------------------------- the truck

    def _chosen(self, name: object) -> None:
        self.compare(None if name == CHOOSE else typical_truck(str(name)))

    def ask_file(self) -> None:
        """Ask for a rig file and take its truck."""
        name, _ = QFileDialog.getOpenFileName(self, "A rig file with the other truck", "", FILE_FILTER)
        if not name:
            return
        try:
            job, _ = files.read(Path(name))
        except TailweightError as error:
            self.name.setText(f"{Path(name).name}: {refusals.sentence(error, self._document.units)}")
            return
        self.choice.set_value(CHOOSE)
        self.compare(job.truck)

    def compare(self, truck: Truck | None) -> None:
        """Put this truck beside the document's."""
        self.truck = truck
        self.ask()
        self.charts.compare(truck)

    def ask(self) -> None:
        """Ask for every pose on the truck chosen."""
        self.rows = ()
        self.background.forget()
        self._show()
        if self.truck is not None:
            self.background.ask(worker_tasks.two_trucks, self._document.job, self.truck, self.kept)

    @property
    def kept(self) -> Keeps:
        """What each pose keeps on the other truck."""
        return cast("Keeps", self.keeps.currentData())

    def _take(self, rows: tuple[SideBySide, ...] | None) -> None:
        if rows is not None:
            self.rows = rows
            self._show()

    # -------------------------------------------------------- showing

    def _show(self) -> None:
        job, units, truck = self._document.job, self._document.units, self.truck
        self.put_button.setEnabled(truck is not None)
        for part in (*self._titles, self.fits, self.left, self.said, self.charts):
            part.setVisible(truck is not None)
        self.table.setVisible(bool(self.rows))
        if truck is None:
            self.name.setText(NOT_YET)
            return
        self.name.setText(f"{truck.name} instead of {job.truck.name}.")
        self.fits.setText("\n".join(fit_words(line, units) for line in what_fits(job, truck, self.rows)))
        self.left.setText("\n".join(left_behind(job)))
        said = [pose_words(row, units) for row in self.rows]
        self.said.setText("\n".join(fill(words.words, words.numbers, units) for words in said))
        self._fill_table()

    def _fill_table(self) -> None:
        """Three columns for each pose, this truck, the other and the difference; one row for each figure."""
        units = self._document.units
        columns = [
            column
            for row in self.rows
            for column in (cells(row.old, units), cells(row.new, units), differences(row, units))
        ]
        names = list(dict.fromkeys(name for column in columns for name in column))
        heads = [f"{row.pose}\n{which}" for row in self.rows for which in ("this truck", "other truck", "difference")]
        self.table.show_words(heads, names, [[column.get(name, "-") for column in columns] for name in names])

    # -------------------------------------------------------- putting it there

    def put(self) -> None:
        """Put the rig on the truck, as one undo step."""
        if self.truck is not None:
            document = self._document
            document.set_job(put_on(document.job, self.truck, self.kept), "Put the rig on another truck")
            self.accept()

    def done(self, result: int) -> None:
        """The dialog closes: nobody waits for figures any more."""
        self.background.close()
        self.charts.close_down()
        super().done(result)


def _keeps_words(keeps: str | int) -> str:
    return KEEPS[cast("Keeps", keeps)]


def ask(window: QWidget, document: Document, process: WorkingProcess) -> OtherTruckDialog:
    """Open the dialog over a window."""
    dialog = OtherTruckDialog(document, process, window)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()
    return dialog
