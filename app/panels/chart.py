"""Chart panel: allowed loads as curves and table, worked out aside; in a window of its own, as a CSV file."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QFileDialog, QVBoxLayout, QWidget

from app.documents import files
from app.documents.document import Document
from app.documents.file_questions import ask_where_else
from app.look.theme import Palette
from app.panels.chart_table import Spot, stand_at
from app.panels.chart_view import ChartView
from app.panels.flow_layout import FlowLayout
from app.panels.strip_part import StripPart
from app.panels.waiting import Waiting
from app.panels.widgets import add_button, caption
from app.workers import worker_tasks
from app.workers.background import Background
from engine.base.errors import TailweightError
from engine.base.file_fault import FileFault
from engine.explain import refusals
from engine.explain.load_chart_csv import load_chart_csv
from engine.planning.load_chart import Chart

HOW = "Allowed load at each pin hole and hook height, worst case, rounded down. Choose a mark or a cell to stand there."

WORKED_OUT = "The load chart is being worked out. It comes here when it is ready."

LINES = 14
"""Least height of the curves in the panel, in lines of text."""

OWN_WINDOW_EMS = (84, 46)
"""Size of the chart's own window in heights of a line."""

BUTTON_GAP_PX = 6

ROOM = 0.9
"""Most of the screen that it takes."""

REST_MS = 200
"""The chart's own window follows once nothing has changed for so long."""


class ChartPanel(QWidget):
    """Allowed loads; choosing a mark or a cell sets that pose."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._chart: Chart | None = None
        self._is_whole = False
        self._asked: tuple[object, ...] = ()
        self._colours: Palette | None = None
        self.own_window: ChartView | None = None
        self.background = Background(self)
        self.background.answered.connect(lambda chart: self._take(chart, is_whole=True))
        self.background.partly.connect(lambda chart: self._take(chart, is_whole=False))
        self.background.stopped.connect(self._stopped)
        self.background.failed.connect(self._fail)
        self._at_rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._at_rest.timeout.connect(self._follow)
        self.view = ChartView(document)
        self.view.stand.connect(self.set_pose_of)
        self.strip = StripPart("Chart", "allowed load against reach", self.view.put_curves, grows=True, lines=LINES)
        self.strip.put(self.view.plot)
        self.strip.lent.connect(self.view.plot.reading.set_cut)
        self.strip.set_filled(filled=False)
        self.waiting = Waiting(
            self.background,
            "Load chart",
            answers=(self.view.plot, self.view.table, self.view.state),
            has_answer=lambda: self._is_whole,
            again=self._ask,
        )
        buttons = QWidget()
        row = FlowLayout(buttons, BUTTON_GAP_PX)
        add_button(row, "In a window of its own", "show the chart in a window of its own", self.show_own_window)
        add_button(row, "Export as CSV...", "export the chart as CSV", self._ask_export)
        column = QVBoxLayout(self)
        column.addWidget(caption(HOW))
        column.addWidget(buttons)
        column.addWidget(self.waiting)
        column.addWidget(self.view, 1)

    @property
    def chart(self) -> Chart | None:
        """The chart shown."""
        return self._chart

    @property
    def is_ready(self) -> bool:
        """Whether the chart shown is whole and of the pose shown."""
        return self._chart is not None and self._is_whole and not self.background.asks

    @property
    def views(self) -> tuple[ChartView, ...]:
        """Where the chart is shown: here, and in its own window if there is one."""
        return (self.view,) if self.own_window is None else (self.view, self.own_window)

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        for view in self.views:
            view.set_theme(colours)

    def show_document(self, document: Document) -> None:
        """Ask for the chart of this job and pose, unless it is there already."""
        job, pose = document.job, document.pose
        asked = (
            job.truck,
            job.rig,
            job.policy,
            job.floors,
            job.load,
            job.approval,
            job.answers,
            job.units,
            pose.tilt_rad,
            pose.floor,
            round(float(document.verdict.placed.hook_m.z), 3),
            [named.arms for named in job.poses],
        )
        if asked == self._asked:
            for view in self.views:
                view.refresh()
            self._fill_strip()
            return
        self._asked = asked
        self._ask()

    def _ask(self) -> None:
        if not self._is_whole:
            self._chart = None  # part of an answer to another question is no old answer
            for view in self.views:
                view.show_nothing()
            self._fill_strip()
            self._tell_own_window()
        self.background.ask(worker_tasks.chart, self._document.job, self._document.pose)

    def _take(self, chart: Chart, is_whole: bool) -> None:
        self._chart, self._is_whole = chart, is_whole
        for view in self.views:
            view.show_chart(chart)
        self._fill_strip()

    def _fill_strip(self) -> None:
        """Until there are curves the plan keeps its place."""
        self.strip.set_filled(filled=self.view.is_filled)

    def _tell_own_window(self) -> None:
        """A window of its own has no line that says how far the work has come: it stands in the panel."""
        if self.own_window is not None and self._chart is None:
            self.own_window.say(WORKED_OUT)

    def _stopped(self) -> None:
        """What is shown is part of an answer, or answers another question: it is not to be written down."""
        self._is_whole = False

    def _fail(self, why: str) -> None:
        self._is_whole = False
        self._say(f"The chart could not be worked out: {why}")

    def _say(self, words: str) -> None:
        for view in self.views:
            view.say(words)

    def show_own_window(self) -> None:
        """The chart in a window of its own, curves and table beside each other; it follows the drawing."""
        if self.own_window is None:
            window = ChartView(self._document, self)
            window.setWindowFlag(Qt.WindowType.Window, on=True)
            window.setWindowTitle("Load chart")
            window.setAccessibleName("load chart in a window of its own")
            window.stand.connect(self.set_pose_of)
            window.setContentsMargins(8, 8, 8, 8)
            line_px = self.fontMetrics().height()
            room = self.screen().availableSize()
            wide, tall = (ems * line_px for ems in OWN_WINDOW_EMS)
            window.resize(min(wide, int(ROOM * room.width())), min(tall, int(ROOM * room.height())))
            self.own_window = window
            for widget in (window.plot, window.table, window.state):
                self.waiting.add_answer(widget)
            self._document.changed.connect(lambda _changed: self._at_rest.start())
        if self._colours is not None:
            self.own_window.set_theme(self._colours)
        if self._chart is not None:
            self.own_window.show_chart(self._chart)
        self._tell_own_window()
        self.own_window.show()
        self.own_window.raise_()
        self.own_window.activateWindow()

    def _follow(self) -> None:
        if self.own_window is not None and self.own_window.isVisible():
            self.show_document(self._document)

    def set_pose_of(self, spot: Spot) -> None:
        """Stand where a cell of the chart stands, as one undo step."""
        if self._chart is None:
            return
        try:
            stand_at(self._document, self._chart, spot)
        except TailweightError as error:
            self.told.emit(refusals.sentence(error, self._document.units))

    def _ask_export(self) -> None:
        name, _ = QFileDialog.getSaveFileName(self, "Export the load chart", "load chart.csv", "CSV files (*.csv)")
        if name:
            self.export(Path(name))

    def export(self, path: Path) -> None:
        """Write the chart as CSV, with units and caution; when that fails, ask where else."""
        if self._chart is None or self._chart.problems or not self.is_ready:
            self.told.emit("There is no chart to export yet.")
            return
        try:
            table = load_chart_csv(self._document.job, self._chart, self._document.units)
            files.write_out(path, table.encode("utf-8"))
        except FileFault as fault:
            headline, again = "The load chart was NOT written.", partial(self.export, path)
            self.told.emit(f"{headline} {fault.words}")
            ask_where_else(self.window(), headline, fault.words, elsewhere=self._ask_export, again=again)
