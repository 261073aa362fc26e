"""What the rail has worked out aside: the next sizes of the part that is open, and allowed load against reach.

Both are asked for once the pose is at rest and shown as they come; what leaves the rail is not worked out any more.
"""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from typing import Any

from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look.theme import Palette
from app.panels.chart_table import Spot, stand_at
from app.panels.chart_view import state_words
from app.panels.reach_plot import ReachPlot
from app.panels.waiting import Waiting
from app.panels.widgets import copyable_sentence, heading, sentence
from app.workers import worker_tasks
from app.workers.background import Background
from app.workers.working_process import WorkingProcess
from engine.base.errors import TailweightError
from engine.explain import refusals
from engine.explain.neighbour_words import neighbour_words
from engine.planning.load_chart import Chart
from engine.planning.neighbour_sizes import Neighbours
from engine.schema.model import Job, Pose

SIZES_HOW = "Each size alone, with the hole or the weight that goes with it, judged in this pose by a whole verdict."
NO_SIZES = "Nothing of this comes in listed sizes."
FAILED = "This could not be worked out: {why}"

PLOT_LINES = 14
"""Height of the plot, in lines of text."""


class RailAnswer(QWidget):
    """One answer on the rail, under its title."""

    def __init__(self, title: str, process: WorkingProcess) -> None:
        super().__init__()
        self._asked: tuple[object, ...] = ()
        self._ask: Callable[[], None] = self.forget
        self.background = Background(self, process)
        self.background.answered.connect(self.take)
        self.background.partly.connect(self.take)
        self.background.failed.connect(lambda why: self.say(FAILED.format(why=why)))
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.heading = heading(title)
        self.column.addWidget(self.heading)
        self.said = sentence(title.lower())
        self.said.hide()

    def put(self, what: str, answer: QWidget) -> None:
        """Put in what shows the answer, and over it how far the work has come."""
        again = self.ask_again
        self.waiting = Waiting(self.background, what, answers=(answer,), has_answer=self.has_answer, again=again)
        for widget in (self.waiting, self.said, answer):
            self.column.addWidget(widget)

    def ask(self, judged: tuple[object, ...], question: Callable[..., Any], *arguments: Any) -> None:
        """Ask, unless all that the answer depends on is as it was when last asked."""
        if judged == self._asked:
            return
        self._asked = judged
        self._ask = lambda: self.background.ask(question, *arguments)
        self._ask()

    def ask_again(self) -> None:
        """Ask what was stopped once more."""
        self._ask()

    def forget(self) -> None:
        """It is not on the rail any more: nobody waits for it."""
        if self.background.asks:
            self._asked = ()
            self.background.forget()

    def say(self, words: str) -> None:
        """Say something over the answer, or nothing."""
        self.said.setText(words)
        self.said.setVisible(bool(words))

    def has_answer(self) -> bool:
        """Whether there is an answer, be it to an earlier question."""
        raise NotImplementedError

    def take(self, answer: Any) -> None:
        """Show an answer, or all that has come of it so far."""
        raise NotImplementedError


class NextSizes(RailAnswer):
    """What one size up and one size down of the part that is open would allow."""

    def __init__(self, process: WorkingProcess) -> None:
        super().__init__("One size up, one size down", process)
        self.heading.setToolTip(SIZES_HOW)
        self._document: Document | None = None
        self._roots: tuple[str, ...] = ()
        self.lines: list[QLabel] = []
        body = QWidget()
        self._rows = QVBoxLayout(body)
        self._rows.setContentsMargins(0, 0, 0, 0)
        self.put("Next sizes", body)

    def show_document(self, document: Document, roots: tuple[str, ...]) -> None:
        """Ask for the sizes of the parts under some paths, unless they are shown."""
        self._document = document
        if roots != self._roots:
            self._roots = roots
            self._fill(())
        judged = (*judged_by(document.job, document.pose), roots)
        self.ask(judged, worker_tasks.next_sizes, document.job, document.pose, roots)

    def has_answer(self) -> bool:
        return bool(self.lines)

    def take(self, answer: tuple[Neighbours, ...]) -> None:
        self._fill(answer)
        self.say("" if answer else NO_SIZES)

    def _fill(self, found: tuple[Neighbours, ...]) -> None:
        while len(self.lines) < len(found):
            line = copyable_sentence("what other sizes would allow")
            self._rows.addWidget(line)
            self.lines.append(line)
        while len(self.lines) > len(found):
            line = self.lines.pop()
            self._rows.removeWidget(line)
            line.hide()
            line.deleteLater()
        if self._document is None:
            return
        for line, neighbours in zip(self.lines, found, strict=True):
            title, *others = neighbour_words(neighbours, self._document.job, self._document.units).splitlines()
            line.setText("<br>".join([f"<b>{escape(title)}</b>", *map(escape, others)]))


class ReachHere(RailAnswer):
    """Allowed load against reach with the arms and the hook height of the pose shown, and where that pose is."""

    def __init__(self, process: WorkingProcess) -> None:
        super().__init__("Allowed load against reach", process)
        self._document: Document | None = None
        self._chart: Chart | None = None
        self.plot = ReachPlot()
        self.plot.reading.set_cut(True)  # a line that comes and goes under the pointer would move all that is below
        self.plot.chosen.connect(self._stand)
        self.plot.hide()
        self.put("Allowed load against reach", self.plot)

    def set_theme(self, colours: Palette) -> None:
        """Colours of the plot."""
        self.plot.set_theme(colours)

    def show_document(self, document: Document) -> None:
        """Ask for the curve of the pose shown, unless it is there."""
        self._document = document
        self.ask(judged_by(document.job, document.pose), worker_tasks.chart_here, document.job, document.pose)

    def has_answer(self) -> bool:
        return self._chart is not None

    def take(self, answer: Chart) -> None:
        document = self._document
        if document is None:
            return
        self._chart = None if answer.problems or not answer.hook_heights_m else answer
        self.plot.setVisible(self._chart is not None)
        self.say(state_words(answer, 0, document.units))
        self.plot.setFixedHeight(PLOT_LINES * self.fontMetrics().height())
        reach_m = float(document.verdict.placed.hook_m.x)
        self.plot.show_chart(self._chart, Spot(0, 0, 0), document.job.load.mass_kg, reach_m, document.units)

    def _stand(self, spot: Spot) -> None:
        """Stand where a mark of the curve stands, as one undo step."""
        document = self._document
        if document is None or self._chart is None:
            return
        try:
            stand_at(document, self._chart, spot)
        except TailweightError as error:
            self.say(refusals.sentence(error, document.units))


def judged_by(job: Job, pose: Pose) -> tuple[object, ...]:
    """All that a verdict on a pose depends on, and the units it is read in."""
    parts = (job.truck, job.rig, job.load, job.floors, job.policy, job.approval, job.surroundings, job.stock)
    return (*parts, job.answers, job.units, pose)
