"""Chart panel: the allowed load at every pin hole and hook height for an arm pose, with what governs each cell."""

from __future__ import annotations

import math
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QBrush, QColor
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFileDialog,
    QHBoxLayout,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.documents.document import Document
from app.look.theme import Palette
from app.panels.fields import ChoiceField
from app.panels.widgets import add_button, caption, sentence
from app.workers import worker_tasks
from app.workers.background import Background
from engine.base.errors import TailweightError
from engine.base.formatting import fill, show
from engine.explain.load_chart_csv import load_chart_csv
from engine.explain.phrases import LOAD_CONDITIONS, PARTS_ENTERED_ONLY
from engine.planning.load_chart import Chart
from engine.shop import pose_edits

HOW = "Allowed load at each pin hole and hook height, worst case, rounded down. Choose a cell to stand there."

LEAST_ROWS = 10
"""Lines of text the table keeps room for when the panel must scroll."""


class ChartPanel(QWidget):
    """A table of allowed loads; clicking a cell sets that pose."""

    told = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._chart: Chart | None = None
        self._asked: tuple[object, ...] = ()
        self._colours: Palette | None = None
        self.background = Background(self)
        self.background.answered.connect(self._take)
        self.background.failed.connect(self._fail)
        self.arm_set = ChoiceField("arm pose of the chart", ())
        self.arm_set.entered.connect(lambda _name: self._fill())
        self.table = QTableWidget()
        self.table.setAccessibleName("load chart")
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setWordWrap(True)
        self.table.setMinimumHeight(LEAST_ROWS * self.table.fontMetrics().height())
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.cellActivated.connect(self.set_pose_of)
        self.table.cellClicked.connect(self.set_pose_of)
        self._state = sentence("state of the chart")
        row = QHBoxLayout()
        row.addWidget(self.arm_set, 1)
        add_button(row, "Export as CSV...", "export the chart as CSV", self._ask_export)
        column = QVBoxLayout(self)
        column.addWidget(caption(HOW))
        column.addLayout(row)
        column.addWidget(self.table, 1)
        column.addWidget(self._state)
        column.addWidget(caption(LOAD_CONDITIONS))

    @property
    def chart(self) -> Chart | None:
        """The chart shown."""
        return self._chart

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours

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
            pose.tilt_rad,
            pose.floor,
            [named.arms for named in job.poses],
        )
        if asked == self._asked:
            self._fill()
            return
        self._asked = asked
        self._state.setText("Working out the chart...")
        self.background.ask(worker_tasks.chart, job, pose)

    def _take(self, chart: Chart) -> None:
        self._chart = chart
        kept = self.arm_set.currentIndex()
        self.arm_set.clear()
        for index, arm_set in enumerate(chart.arm_sets):
            self.arm_set.addItem(arm_set.name, index)
        self.arm_set.setCurrentIndex(max(min(kept, self.arm_set.count() - 1), 0))
        self._fill()

    def _fail(self, why: str) -> None:
        self._state.setText(f"The chart could not be worked out: {why}")

    def _fill(self) -> None:
        chart, units = self._chart, self._document.units
        if chart is None:
            return
        if chart.problems:
            first = chart.problems[0]
            self.table.setRowCount(0)
            self._state.setText(fill(first.words, first.numbers, units))
            return
        arm_set = max(self.arm_set.currentIndex(), 0)
        self._state.setText(self._unproven_words(chart, arm_set))
        heights, holes = chart.hook_heights_m, chart.holes
        self.table.setRowCount(len(heights))
        self.table.setColumnCount(len(holes))
        self.table.setHorizontalHeaderLabels(
            [f"hole {hole}\nout {show(out, 'length', units)}" for hole, out in zip(holes, chart.out_m, strict=True)]
        )
        self.table.setVerticalHeaderLabels([f"hook {show(height, 'm', units)}" for height in heights])
        for row in range(len(heights)):
            for column in range(len(holes)):
                self.table.setItem(row, column, self._item(chart, arm_set, column, row))

    def _unproven_words(self, chart: Chart, arm_set: int) -> str:
        """Why nothing says that this arm pose holds; empty where something does."""
        reasons = [fill(problem.words, problem.numbers, self._document.units) for problem in chart.unsettled[arm_set]]
        return " ".join((PARTS_ENTERED_ONLY, *reasons)) if reasons else ""

    def _item(self, chart: Chart, arm_set: int, hole: int, height: int) -> QTableWidgetItem:
        """The cell of an arm pose, a pin hole and a hook height, each by its index in the chart."""
        units, wanted_kg = self._document.units, self._document.job.load.mass_kg.best
        allowed_kg = float(chart.allowed_kg[arm_set, hole, height])
        if math.isnan(allowed_kg):
            item = QTableWidgetItem("cannot be")
            item.setFlags(Qt.ItemFlag.ItemIsEnabled)
            return item
        governing = chart.names[int(chart.governing[arm_set, hole, height])]
        load = show(allowed_kg, "kg_down", units)
        item = QTableWidgetItem(f"{load}\n{governing.partition(':')[0]}")
        item.setToolTip(f"{load}, gives first: {governing}")
        if chart.in_the_way[arm_set, hole, height]:
            item.setText(f"\N{EM DASH}\n{governing.partition(':')[0]}")
            item.setToolTip(f"Something is in the way: {governing}")
        elif not chart.proven[arm_set]:
            item.setText(f"not proven\n{item.text()}")
            item.setToolTip(f"Not proven. For the parts entered: {item.toolTip()}")
        if self._colours is not None and allowed_kg < wanted_kg:
            item.setBackground(QBrush(QColor(self._colours.line), Qt.BrushStyle.BDiagPattern))
            item.setToolTip(f"{item.toolTip()}; less than the load of {show(wanted_kg, 'kg_up', units)}")
        return item

    def set_pose_of(self, row: int, column: int) -> None:
        """Stand where a cell of the chart stands, as one undo step."""
        chart, document = self._chart, self._document
        arm_set = max(self.arm_set.currentIndex(), 0)
        if chart is None or math.isnan(chart.allowed_kg[arm_set, column, row]):
            return
        try:
            pose = pose_edits.typed_pose(
                document.job,
                document.pose,
                hole=chart.holes[column],
                free_out_m=None,
                lift_m=float(chart.lift_m[arm_set, column, row]),
                arms=chart.arm_sets[arm_set].arms,
            )
        except TailweightError as error:
            self.told.emit(str(error))
            return
        document.set_pose(pose, "Stand as in the chart")

    def _ask_export(self) -> None:
        name, _ = QFileDialog.getSaveFileName(self, "Export the load chart", "load chart.csv", "CSV files (*.csv)")
        if name:
            self.export(Path(name))

    def export(self, path: Path) -> None:
        """Write the chart as CSV, with units and caution."""
        if self._chart is None or self._chart.problems:
            self.told.emit("There is no chart to export yet.")
            return
        try:
            path.write_text(load_chart_csv(self._document.job, self._chart, self._document.units), encoding="utf-8")
        except OSError as error:
            self.told.emit(f"The chart was NOT written to {path}: {error.strerror or error}.")
