"""A load chart to look at: curves of allowed load against reach over the table, hole by hole and height by height."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSplitter, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look.theme import Palette
from app.panels.chart_table import ChartTable, Spot, nearest_height
from app.panels.fields import ChoiceField
from app.panels.reach_plot import ReachPlot
from app.panels.widgets import caption, heading, sentence
from engine.base.formatting import System, fill, show
from engine.explain.phrases import LOAD_CONDITIONS, PARTS_ENTERED_ONLY
from engine.planning.load_chart import Chart

WIDE_EMS = 66.0
"""From this width, in heights of a line, curves and table stand beside each other."""


class ChartView(QWidget):
    """One chart as curves and as a table; a place chosen in either is to be stood at."""

    stand = Signal(object)
    """The `Spot` of the chart to stand at."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._chart: Chart | None = None
        self._colours: Palette | None = None
        self.arm_set = ChoiceField("arm pose of the chart", ())
        self.height_choice = ChoiceField("hook height of the curves", ())
        self.plot, self.table = ReachPlot(), ChartTable()
        self.key = sentence("key of the chart")
        self.state = sentence("state of the chart")
        self.arm_set.entered.connect(lambda _name: self._fill())
        self.height_choice.entered.connect(lambda _name: self._fill())
        self.plot.chosen.connect(self.stand)
        self.table.chosen.connect(self.stand)
        self.chosen = heading("")
        self.chosen.hide()
        self._choices = QWidget()
        choices = QHBoxLayout(self._choices)
        choices.setContentsMargins(0, 0, 0, 0)
        choices.addWidget(self.arm_set, 1)
        choices.addWidget(self.height_choice, 1)
        self._both = QSplitter(Qt.Orientation.Vertical)
        self._both.setChildrenCollapsible(False)
        self._both.addWidget(self.plot)
        self._both.addWidget(self.table)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.state)
        column.addWidget(self.chosen)
        column.addWidget(self._choices)
        column.addWidget(self._both, 1)
        column.addWidget(self.key)
        column.addWidget(caption(LOAD_CONDITIONS))
        column.addStretch(0)
        self._show_parts(filled=False)

    @property
    def is_filled(self) -> bool:
        """Whether there are curves and a table to look at."""
        return not self._both.isHidden()

    def _show_parts(self, *, filled: bool) -> None:
        """Curves, table, choices and key, or none of them: no empty box stands where nothing has come."""
        for part in (self._choices, self._both, self.key):
            part.setVisible(filled)

    def put_curves(self, widget: QWidget) -> None:
        """Put what holds the curves over the table, or beside it."""
        self._both.insertWidget(0, widget)

    def set_theme(self, colours: Palette) -> None:
        self._colours = colours
        self.plot.set_theme(colours)
        self._fill()

    def say(self, words: str) -> None:
        """Say something over the chart, or nothing."""
        self.state.setText(words)
        self.state.setVisible(bool(words))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Curves and table beside each other where there is room for both."""
        super().resizeEvent(event)
        wide = event.size().width() >= WIDE_EMS * self.fontMetrics().height()
        self._both.setOrientation(Qt.Orientation.Horizontal if wide else Qt.Orientation.Vertical)

    def show_chart(self, chart: Chart) -> None:
        """Show a chart of the document's job; the arm pose and the height that were chosen stay."""
        kept, kept_height = max(self.arm_set.currentIndex(), 0), self.height_choice.currentText()
        self._chart = chart
        units = self._document.units
        _put(self.arm_set, [one.name for one in chart.arm_sets], kept)
        heights = [f"hook {show(height, 'm', units)}" for height in chart.hook_heights_m]
        here = nearest_height(chart, self._here_m) if heights else 0
        _put(self.height_choice, heights, heights.index(kept_height) if kept_height in heights else here)
        self._fill()

    def choose_as(self, other: ChartView) -> None:
        """Show the arm pose and the height that are chosen in another view of the same chart."""
        for mine, its in ((self.arm_set, other.arm_set), (self.height_choice, other.height_choice)):
            mine.setCurrentIndex(its.currentIndex())
        self._fill()

    def write_choices(self) -> None:
        """Say in words what is chosen: on paper nobody can choose."""
        self.chosen.setText(f"{self.arm_set.currentText()}; {self.height_choice.currentText()}")
        self.chosen.show()
        self._choices.hide()

    def show_nothing(self) -> None:
        """No chart: what was shown answers another question."""
        self._chart = None
        self.say("")
        self._empty()

    def _empty(self) -> None:
        self._show_parts(filled=False)
        self.table.show_nothing()
        self.key.setText("")
        self.plot.show_chart(None, Spot(0, 0, 0), self._document.job.load.mass_kg, 0.0, self._document.units)

    def refresh(self) -> None:
        """The same chart with where the hook is now, in the units of now."""
        if self._chart is not None:
            self.show_chart(self._chart)

    @property
    def _here_m(self) -> float:
        return float(self._document.verdict.placed.hook_m.z)

    def _fill(self) -> None:
        chart, document = self._chart, self._document
        if chart is None:
            return
        units, load = document.units, document.job.load.mass_kg
        self.say(state_words(chart, max(self.arm_set.currentIndex(), 0), units))
        if chart.problems or not chart.hook_heights_m:
            self._empty()
            return
        self._show_parts(filled=True)
        arm_set, height = max(self.arm_set.currentIndex(), 0), max(self.height_choice.currentIndex(), 0)
        key = self.table.show_chart(chart, arm_set, load.best, self._here_m, units, self._colours)
        self.key.setText(key)
        reach_m = float(document.verdict.placed.hook_m.x)
        self.plot.show_chart(chart, Spot(arm_set, 0, height), load, reach_m, units)


def state_words(chart: Chart, arm_set: int, units: System) -> str:
    """Why there is no chart, or why nothing says that an arm pose holds; empty where something does."""
    if chart.problems:
        return fill(chart.problems[0].words, chart.problems[0].numbers, units)
    reasons = [fill(problem.words, problem.numbers, units) for problem in chart.unsettled[arm_set]]
    return " ".join((PARTS_ENTERED_ONLY, *reasons)) if reasons else ""


def _put(choice: ChoiceField, names: list[str], kept: int) -> None:
    """Fill a choice with names and choose one, as nobody's entry."""
    blocked = choice.blockSignals(True)
    choice.clear()
    for index, name in enumerate(names):
        choice.addItem(name, index)
    choice.setCurrentIndex(max(min(kept, choice.count() - 1), 0))
    choice.blockSignals(blocked)
