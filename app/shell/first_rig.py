"""Dialog for a new rig: six questions, a sketch that follows the answers, and a rig sized so that it holds.

The sizing goes on in the background.  What was sized is for the answers it was sized for: another answer makes it old,
and then only a rig that is said to be not sized can be drawn.
"""

from __future__ import annotations

from collections.abc import Callable

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFrame,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.look import hints
from app.look.theme import Palette
from app.panels.fields import QuantityField
from app.panels.waiting import Waiting
from app.panels.widgets import add_button, caption, copyable_sentence, sentence
from app.panels.wish_form import WishForm
from app.panels.wish_sketch import WishSketch
from app.shell.page_preview import size_dialog
from app.workers import worker_tasks
from app.workers.background import Background
from app.workers.working_process import WorkingProcess
from engine.base.errors import TailweightError
from engine.base.formatting import System, fill
from engine.explain import refusals
from engine.planning.new_rig import sketch
from engine.schema.model import Job, Truck
from engine.shop.first_rig import Wish

REPLACE = msgspec.structs.replace

FROM_AXLE = "The figure under the floor is from the front axle."
SKETCH, SIZED = f"Sketch, not sized yet. {FROM_AXLE}", f"Sized for these answers. {FROM_AXLE}"
CHANGED = "An answer has changed since: size it again."
OPEN = "The sketch is drawn once there is an answer to: {}."


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
        self._near: Wish | None = None
        self.background = Background(self, process)
        self.background.answered.connect(self._take)
        self.background.failed.connect(lambda why: self.said.setText(f"No rig could be worked out: {why}"))
        self.questions = WishForm(units, own_truck)
        self.fields = self.questions.fields
        self.sketch = WishSketch(colours, font)
        self._build_buttons()
        self._lay_out()
        self.questions.changed.connect(self._follow)
        self.questions.refused.connect(self._say)
        size_dialog(self)
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

    def _lay_out(self) -> None:
        self.drawn = caption("")
        self.drawn.setAccessibleName("what the sketch shows")
        self.said = copyable_sentence("what was found")
        self.parts = copyable_sentence("tubes of the rig")
        self._why = sentence("what is missing")
        self._why.setObjectName("wrong")
        self._why.hide()
        answer = QWidget()
        words = QVBoxLayout(answer)
        words.setContentsMargins(0, 0, 0, 0)
        words.addWidget(self.said)
        self.near_button = add_button(words, "&Take that", "take that answer and size the rig again", self.take_near)
        self.near_button.hide()
        words.addWidget(self.parts)
        words.addStretch(1)
        self.waiting = Waiting(self.background, "Sizes of the rig", has_answer=lambda: False)
        right = QVBoxLayout()
        right.addWidget(self.sketch, 3)
        right.addWidget(self.drawn)
        right.addWidget(self.waiting)
        right.addWidget(_scrolling(answer), 2)
        body = QHBoxLayout()
        self._area = _scrolling(self.questions)
        body.addWidget(self._area, 1)
        body.addLayout(right, 1)
        column = QVBoxLayout(self)
        column.addLayout(body, 1)
        column.addWidget(self._why)
        column.addWidget(self.buttons)

    # -------------------------------------------------------- following the answers

    def _say(self, why: str) -> None:
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
        return None if wish is None else REPLACE(wish, name="")

    def _drop(self, said: str) -> None:
        """Nothing is found for the answers there are."""
        self._sized = self._near = None
        self.said.setText(said)
        self.parts.setText("")
        self.near_button.hide()

    def _show(self) -> None:
        job, words = (self._sized, SIZED) if self._sized else self._sketched()
        self.sketch.show_job(job)
        self.drawn.setText(words)
        self.draw_button.setEnabled(self._sized is not None)
        self.sketch_button.setEnabled(job is not None and self._sized is None)
        (self.draw_button if self._sized else self.size_button).setDefault(True)

    def _sketched(self) -> tuple[Job | None, str]:
        """The sketch of what is wished so far and what is said of it; none where that is not enough, or cannot be."""
        wish = self.questions.so_far()
        if wish is None:
            return None, OPEN.format(_listed(self.questions))
        try:
            return sketch(wish), SKETCH
        except TailweightError as error:
            return None, refusals.sentence(error, wish.units)

    # -------------------------------------------------------- sizing

    def size_it(self) -> None:
        """Size the rig in the background, or say what is missing or impossible."""
        if not self._complete():
            return
        self._asked = self._wish()
        self._drop("")
        self._show()
        self.background.ask(worker_tasks.new_rig, self._asked)

    def _complete(self) -> bool:
        """Whether a rig can be drawn; if not, it is said why, and the keyboard goes where that is put right."""
        wrong, missing = self.questions.wrong, self.questions.missing
        if wrong is not None:
            self._bring(wrong)
            self._say(f"{wrong.accessibleName()}: {wrong.wrong}")
        elif missing:
            self._bring(missing[0])
            self._say(f"Still to be entered: {_listed(self.questions)}.")
        elif self.sketch.job is None:
            self._say(self.drawn.text())
        else:
            self._say("")
            return True
        return False

    def _bring(self, field: QuantityField) -> None:
        """Put the keyboard into an answer, in view."""
        field.setFocus()
        self._area.ensureWidgetVisible(field.cell())

    def _take(self, sized: worker_tasks.SizedRig) -> None:
        found, units = sized.found, self.questions.units
        self.said.setText(fill(sized.words.words, sized.words.numbers, units))
        self.parts.setText("\n".join(fill(line.words, line.numbers, units) for line in sized.parts))
        self._near = found.nearest
        self.near_button.setVisible(self._near is not None)
        self._sized = found.job
        self._show()

    def take_near(self) -> None:
        """Take the nearest wish that can be had, and size that."""
        if self._near is not None:
            self.questions.take(self._near)
            self.size_it()

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
        self.background.close()
        super().done(result)


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


def _listed(questions: WishForm) -> str:
    return ", ".join(field.accessibleName() for field in questions.missing)


def _scrolling(widget: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the keyboard is for the answers
    area.setWidget(widget)
    area.setMinimumWidth(widget.minimumSizeHint().width() + area.verticalScrollBar().sizeHint().width())
    return area
