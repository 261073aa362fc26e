"""Dialog for a new rig: six questions, a sketch that follows the answers, and a rig sized so that it holds.

The sizing goes on in the background.  What was sized is for the answers it was sized for: another answer makes it old,
and then only a rig that is said to be not sized can be drawn.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QFont, QResizeEvent
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFrame,
    QGraphicsOpacityEffect,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.documents import files
from app.documents.file_commands import FILE_FILTER
from app.look import hints
from app.look.theme import Palette
from app.panels.fields import QuantityField
from app.panels.use_bars import UseBars
from app.panels.verdict_block import bars_of
from app.panels.waiting import Waiting
from app.panels.widgets import add_button, caption, copyable_sentence, sentence
from app.panels.wish_form import NAME, WishForm
from app.panels.wish_sketch import WishPlan, WishSketch
from app.workers import worker_tasks
from app.workers.background import Background
from app.workers.working_process import WorkingProcess
from engine.base.caution import CAUTION, NOT_APPROVED, SIGNAL_WORD
from engine.base.errors import TailweightError
from engine.base.formatting import System, fill
from engine.explain import refusals, shown
from engine.explain.new_rig_words import missing_words
from engine.explain.shown import ShownFigures
from engine.planning.new_rig import NewRig, sketch
from engine.planning.stock_rigs import weight_kg
from engine.schema import rig_file
from engine.schema.model import Job, Truck
from engine.shop.first_rig import Wish, refuse_low_hook

REPLACE = msgspec.structs.replace

SKETCH, SIZED = "First sketch, before sizing", "Sized for these answers"
PULL = "Pull the hook, or type where it goes."
EXAMPLE = f"An example, not your rig. {PULL} Yours is drawn after: {{}}."
WEIGHS = "{head}: the rig weighs {weight:kg_up}. {hook}"
MIDDLE, LEFT, RIGHT = (
    "The hook hangs on the truck's middle line.",
    "The hook hangs {side:length} to the left of the truck's middle.",
    "The hook hangs {side:length} to the right of the truck's middle.",
)
NO_BARS = "No bars yet: {}."
BARS_MEAN = "As drawn, before sizing: sizing changes the rig's bar much, the truck's little."
BARS_OLD = "These bars are from before the last change."
BARS_WAIT_MS = 120
"""The bars follow once the answers have stood so long."""
CHANGED = "An answer has changed since: size it again."


class FirstRigDialog(QDialog):
    """Asks the six questions, shows what they come to, and hands over the rig."""

    made = Signal(object)
    """The job that was made."""

    def __init__(
        self,
        parent: QWidget | None,
        units: System,
        own_truck: Truck | None,
        colours: Palette,
        font: QFont,
        process: WorkingProcess | None = None,
    ) -> None:
        """``font`` is that of the sketch; ``process`` answers, if it is shared with others."""
        super().__init__(parent)
        self.setWindowTitle("A new rig")
        self._asked: Wish | None = None
        """The answers that a rig was or is being sized for, as long as they stand."""
        self._sized: Job | None = None
        self._near: NewRig | None = None
        self.background = Background(self, process)
        self.background.answered.connect(self._take)
        self.background.failed.connect(self._fail)
        self._bars_of: Job | None = None
        self.judging = Background(self, self.background.process)
        self.judging.answered.connect(self._show_bars)
        self._soon = QTimer(self, singleShot=True, interval=BARS_WAIT_MS)
        self._soon.timeout.connect(self._ask_bars)
        self.questions = WishForm(units, own_truck, self._ask_truck)
        self.questions.set_theme(colours)
        self.fields = self.questions.fields
        self.sketch, self.plan = WishSketch(colours, font), WishPlan(colours, font)
        self.sketch.pulled.connect(self.questions.pull)
        self.sketch.stepped.connect(self.questions.step_hook)
        self.bars = UseBars()
        self.bars.set_theme(colours)
        self._faint = QGraphicsOpacityEffect(self.bars, opacity=0.45)
        self._faint.setEnabled(False)
        self.bars.setGraphicsEffect(self._faint)
        self._build_buttons()
        self._lay_out()
        self.questions.changed.connect(self._follow)
        self.questions.refused.connect(self._say)
        self._size_to_screen()
        self._follow()
        self.questions.name.setFocus()

    # -------------------------------------------------------- building

    def _build_buttons(self) -> None:
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        self.buttons.rejected.connect(self.reject)
        hints.name(self.buttons.button(QDialogButtonBox.StandardButton.Close), "close without drawing a rig")
        self.size_button = self._button("&Size it", "choose every size so that the rig holds", self.size_it)
        self.draw_button = self._button("&Draw it", "open the rig that was sized", self.draw)
        self.sketch_button = self._button("Draw it &not sized", "open the sketch: no size is chosen", self.draw_sketch)

    def _button(self, text: str, name: str, act: Callable[[], None]) -> QPushButton:
        button = self.buttons.addButton(text, QDialogButtonBox.ButtonRole.ActionRole)
        hints.name(button, name)
        button.clicked.connect(lambda _checked=False: act())
        return button

    def _size_to_screen(self) -> None:
        """Room for the questions and a sketch to pull at."""
        line_px, screen = self.fontMetrics().height(), self.screen().availableSize()
        wide, tall = (ems * line_px for ems in SIZE_EMS)
        self.resize(min(wide, int(ROOM * screen.width())), min(tall, int(ROOM * screen.height())))

    def _lay_out(self) -> None:
        self.drawn = caption("")
        self.drawn.setAccessibleName("what the sketch shows")
        self.bars_say = caption("")
        self.bars_say.setAccessibleName("about the bars")
        self.said = copyable_sentence("what was found")
        self.parts = copyable_sentence("tubes of the rig")
        self._why = sentence("what is missing")
        self._why.hide()
        answer = QWidget()
        words = QVBoxLayout(answer)
        words.setContentsMargins(0, 0, 0, 0)
        for widget in (self.drawn, self.bars, self.bars_say, self.said):
            words.addWidget(widget)
        self.near_button = add_button(words, "&Take that", "take that answer and the rig found for it", self.take_near)
        words.addWidget(self.parts)
        words.addStretch(1)
        for widget in (self.bars, self.bars_say, self.said, self.parts, self.near_button):
            widget.hide()
        self.waiting = Waiting(self.background, "Sizes of the rig", has_answer=lambda: False)
        self._words = _WordsArea(answer)
        right = QVBoxLayout()
        right.addWidget(self.sketch, 5)
        right.addWidget(self.plan, 3)
        right.addWidget(self._words)
        right.addWidget(self.waiting)
        body = QHBoxLayout()
        self._area = _scrolling(self.questions)
        body.addWidget(self._area, 2)
        body.addLayout(right, 3)
        column = QVBoxLayout(self)
        warning = caption(f"{SIGNAL_WORD}  {CAUTION} {NOT_APPROVED}.")
        warning.setAccessibleName("caution")
        column.addWidget(warning)
        column.addLayout(body, 1)
        column.addWidget(self._why)
        column.addWidget(self.buttons)

    # -------------------------------------------------------- following the answers

    def _say(self, why: str, *, wrong: bool = True) -> None:
        """Say why something cannot be, or what is still wanted; nothing takes the words away."""
        name = "wrong" if wrong else "caption"
        if self._why.objectName() != name:
            self._why.setObjectName(name)
            self._why.style().unpolish(self._why)
            self._why.style().polish(self._why)
        self._why.setText(why)
        self._why.setVisible(bool(why))

    def _follow(self) -> None:
        """Draw what is wished now, and keep a rig only for the answers it was sized for."""
        if self._asked is not None and self._wish() != self._asked:
            self._asked = None
            self.background.forget()
            self.waiting.clear()
            self._drop(CHANGED)
        self._show()

    def _wish(self) -> Wish | None:
        """What is wished, whatever it is called: a name changes no size."""
        wish = self.questions.wish()
        return None if wish is None else REPLACE(wish, name=NAME)

    def _drop(self, said: str) -> None:
        """Nothing is found for the answers there are."""
        self._sized = self._near = None
        self.said.setText(said)
        self.parts.setText("")
        self.near_button.hide()

    def _show(self) -> None:
        job, words = (self._sized, "") if self._sized else self._sketched()
        self.sketch.show_job(job, self.questions.example() if job is None and not words else None)
        self.plan.show_job(job)
        self.drawn.setText(words or self._words_of(job))
        for label in (self.said, self.parts):
            label.setVisible(bool(label.text()))
        self._words.updateGeometry()
        self.draw_button.setEnabled(self._sized is not None)
        self.sketch_button.setEnabled(job is not None and self._sized is None)
        (self.draw_button if self._sized else self.size_button).setDefault(True)
        if job is not self._bars_of:
            self._bars_of = job
            self.judging.forget()
            self._soon.start()
            self._bars_old(True)
            if job is None:
                self._ask_bars()

    def _sketched(self) -> tuple[Job | None, str]:
        """The sketch of what is wished so far; none where that is not enough, or with why where it cannot be."""
        wish = self.questions.so_far()
        if wish is None:
            return None, ""
        try:
            return sketch(wish), ""
        except TailweightError as error:
            return None, refusals.sentence(error, wish.units)

    def _words_of(self, job: Job | None) -> str:
        """What a sketch shows: whether it is sized, what it weighs, on which side its hook hangs."""
        if job is None:
            return EXAMPLE.format(_listed(self.questions.not_drawn_for))
        units = self.questions.units
        side_m = self.sketch.side_m
        hook = MIDDLE if abs(side_m) < MIDDLE_M else LEFT if side_m > 0.0 else RIGHT
        numbers = {"side": abs(side_m), "weight": weight_kg(job)}
        head = SIZED if self._sized else SKETCH
        return fill(WEIGHS.replace("{head}", head).replace("{hook}", hook), numbers, units)

    def _bars_old(self, old: bool) -> None:
        """Bars from before the last change are faint, and said to be so."""
        self._faint.setEnabled(old)
        if old and not self.bars.isHidden():
            self.bars_say.setText(BARS_OLD)

    def _ask_bars(self) -> None:
        """Have the bars worked out, or say what they wait for."""
        job = self._bars_of
        lacking = () if job is None else missing_words(job)
        if job is None or lacking:
            self.bars.hide()
            self._say_of_bars(NO_BARS.format(" and ".join(lacking)) if lacking else "")
        else:
            self.judging.ask(worker_tasks.uses, job)

    def _show_bars(self, figures: ShownFigures) -> None:
        units = self.questions.units
        bars = bars_of(figures, units)
        short = figures.room is not None and figures.room.short
        self._bars_old(False)
        self.bars.set(bars, shown.room_text(figures.room, units), room_short=short)
        self.bars.setVisible(bool(bars))
        self._say_of_bars("" if self._sized or not bars else BARS_MEAN)

    def _say_of_bars(self, words: str) -> None:
        self.bars_say.setText(words)
        self.bars_say.setVisible(bool(words))
        self._words.updateGeometry()

    # -------------------------------------------------------- sizing

    def size_it(self) -> None:
        """Size the rig in the background, or say what is missing or impossible."""
        if not self._complete():
            return
        self._asked = self._wish()
        self._drop("")
        self._show()
        if self._soon.isActive():  # first, as they take a moment and the sizing takes long
            self._soon.stop()
            self._ask_bars()
        self.background.ask(worker_tasks.new_rig, self._asked)

    def _complete(self) -> bool:
        """Whether a rig can be drawn; if not, it is said why, and the keyboard goes where that is put right."""
        wrong, missing = self.questions.wrong, self.questions.missing
        if wrong is not None:
            self._bring(wrong)
            self._say(f"{wrong.accessibleName()}: {wrong.wrong}")
        elif missing:
            self._bring(missing[0])
            self._say(f"Still to be entered: {_listed(self.questions.missing)}.", wrong=False)
        elif self.sketch.job is None:
            self._say(self.drawn.text())
        elif low := self._low_hook():
            self._bring(self.fields["hook_height_m"])
            self._say(low)
        else:
            self._say("")
            return True
        return False

    def _low_hook(self) -> str:
        """Why the load would stand on the floor; empty where it hangs."""
        wish = self.questions.wish()
        try:
            if wish is not None:
                refuse_low_hook(wish)
        except TailweightError as error:
            return refusals.sentence(error, self.questions.units)
        return ""

    def _bring(self, field: QuantityField) -> None:
        """Put the keyboard into an answer, in view."""
        field.setFocus()
        self._area.ensureWidgetVisible(field.cell())

    def _take(self, sized: worker_tasks.SizedRig) -> None:
        """Show what came of the wish."""
        found, units = sized.found, self.questions.units
        self.said.setText(fill(sized.words.words, sized.words.numbers, units))
        self.parts.setText("\n".join(fill(line.words, line.numbers, units) for line in sized.parts))
        self._near = found
        self.near_button.setVisible(found.nearest is not None)
        self._sized = found.job
        self._show()

    def _fail(self, why: str) -> None:
        self.said.setText(f"No rig could be worked out: {why}")
        self._show()

    def take_near(self) -> None:
        """Take the nearest wish that can be had with the rig that was found for it; size it where there is none."""
        found = self._near
        if found is None or found.nearest is None:
            return
        self.questions.take(found.nearest)
        if found.near is None or self._wish() != REPLACE(found.nearest, name=NAME):
            self.size_it()
        elif self._complete():
            self._asked = self._wish()
            self._take(worker_tasks.in_words(found.nearest, found.near))

    # -------------------------------------------------------- drawing

    def draw(self) -> None:
        """Hand over the rig that was sized."""
        if self._sized is not None and self._complete():
            self._hand_over(self._sized)

    def draw_sketch(self) -> None:
        """Hand over the sketch, of which nothing is sized."""
        if self._complete() and self.sketch.job is not None:
            self._hand_over(self.sketch.job)

    def _hand_over(self, job: Job) -> None:
        wish = self.questions.wish()
        if wish is None or self.result() == QDialog.DialogCode.Accepted:
            return
        self.accept()
        self.made.emit(REPLACE(job, name=wish.name))

    def done(self, result: int) -> None:
        """The dialog closes: nobody waits for a rig any more."""
        self._soon.stop()
        self.judging.forget()
        self.background.close()
        super().done(result)

    # -------------------------------------------------------- another truck

    def _ask_truck(self) -> tuple[str, Truck] | None:
        """A truck out of another rig file, with the file's name; None where nobody chose one, or it cannot be read."""
        name, _ = QFileDialog.getOpenFileName(self, "A rig file with your truck", "", FILE_FILTER)
        if not name:
            return None
        try:
            job, _ = files.read(Path(name))
        except TailweightError as error:
            self._say(f"{Path(name).name}: {refusals.sentence(error, self.questions.units)}")
            return None
        self._say("")
        return Path(name).name.removesuffix(rig_file.SUFFIX), job.truck


class _WordsArea(QScrollArea):
    """Words under the sketch: as high as they are, up to a share of the dialog."""

    def __init__(self, words: QWidget) -> None:
        super().__init__()
        self._words_in = words
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.setWidget(words)

    def sizeHint(self) -> QSize:
        tall_px, least_px = self._words_in.heightForWidth(self.viewport().width()), LEAST_LINES * self._line_px
        most_px = int(MOST_SHARE * self.window().height())
        return QSize(super().sizeHint().width(), max(min(tall_px, most_px), least_px))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._words_in.minimumSizeHint().width(), LEAST_LINES * self._line_px)

    @property
    def _line_px(self) -> int:
        return self.fontMetrics().height()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()


LEAST_LINES, MOST_SHARE = 6, 0.38
"""Least lines of the words under the sketch; most of the dialog that they take before they are scrolled."""

SIZE_EMS, ROOM = (84, 50), 0.92
"""Size of the dialog in heights of a line, and the most of the screen that it takes."""

MIDDLE_M = 0.001
"""A hook this near to the truck's middle line hangs on it."""


def ask(
    parent: QWidget,
    units: System,
    own_truck: Truck | None,
    look: tuple[Palette, QFont],
    process: WorkingProcess,
    done: Callable[[Job], object],
) -> FirstRigDialog:
    """Open the dialog over a window; ``done`` gets the job if one is made."""
    dialog = FirstRigDialog(parent, units, own_truck, *look, process)
    dialog.made.connect(done)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()
    return dialog


def _listed(fields: tuple[QuantityField, ...]) -> str:
    return ", ".join(field.accessibleName() for field in fields)


def _scrolling(widget: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the keyboard is for the answers
    area.setWidget(widget)
    area.setMinimumWidth(widget.minimumSizeHint().width() + area.verticalScrollBar().sizeHint().width())
    return area
