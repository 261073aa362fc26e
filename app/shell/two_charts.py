"""The load charts of the rig on both trucks, in the dialog of another truck: for one pose, hole by hole."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.documents.document import Document
from app.panels.fields import ChoiceField
from app.panels.waiting import Waiting
from app.panels.widgets import copyable_sentence
from app.panels.words_table import WordsTable
from app.workers import worker_tasks
from app.workers.background import Background
from app.workers.working_process import WorkingProcess
from engine.explain.two_charts_words import COLUMNS, chart_cells, chart_words
from engine.planning.two_charts import TwoCharts
from engine.schema.model import Truck

POSE_LETTERS = 24


class TwoChartsPart(QWidget):
    """A pose to choose, and what both trucks allow at each hole with its arms and hook height."""

    def __init__(self, document: Document, process: WorkingProcess) -> None:
        super().__init__()
        self._document = document
        self._truck: Truck | None = None
        self.charts: TwoCharts | None = None
        self.background = Background(self, process)
        self.background.answered.connect(self._take)
        self.background.failed.connect(lambda why: self.said.setText(f"The charts could not be worked out: {why}"))
        poses = document.job.poses
        self.pose = ChoiceField(
            "pose of the load charts", tuple(range(len(poses))), words=lambda at: poses[int(at)].name
        )
        self.pose.setMinimumContentsLength(POSE_LETTERS)
        self.pose.set_value(document.job.poses.index(document.pose) if document.pose in poses else 0)
        self.pose.entered.connect(lambda _at: self.ask())
        self.said = copyable_sentence("what the load charts apply to")
        self.table = WordsTable("load charts of both trucks")
        self.waiting = Waiting(
            self.background,
            "Load charts of both trucks",
            answers=(self.table,),
            has_answer=lambda: self.charts is not None,
            again=self.ask,
        )
        label = QLabel("Arms and hook height of")
        label.setBuddy(self.pose)
        row = QHBoxLayout()
        row.addWidget(label)
        row.addWidget(self.pose)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(row)
        for widget in (self.waiting, self.said, self.table):
            column.addWidget(widget)
        self.compare(None)

    def compare(self, truck: Truck | None) -> None:
        """Put the charts of this truck beside the document's."""
        self._truck, self.charts = truck, None
        self.background.forget()
        self._show()
        self.ask()

    def ask(self) -> None:
        """Ask for the charts of the pose chosen."""
        if self._truck is not None:
            job = self._document.job
            pose = job.poses[int(self.pose.currentData())]
            self.background.ask(worker_tasks.charts_of_two_trucks, job, self._truck, pose)

    def _take(self, charts: TwoCharts | None) -> None:
        if charts is not None:
            self.charts = charts
            self._show()

    def _show(self) -> None:
        charts, units = self.charts, self._document.units
        for widget in (self.said, self.table):
            widget.setVisible(charts is not None)
        if charts is not None:
            self.said.setText("\n".join(chart_words(charts, units)))
            self.table.show_words(COLUMNS, (), [chart_cells(row, units) for row in charts.rows])
            self.table.setVisible(bool(charts.rows))

    def close_down(self) -> None:
        """Nobody waits for the charts any more."""
        self.background.close()
