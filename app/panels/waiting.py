"""What a panel shows while it waits for an answer: that work goes on, how far it has come, and a way to stop it.

Nothing for the first tenth of a second. Then a line says that work goes on, and the old answer stays, grey. After a
second a bar shows how far the work has come, with what is tried now and a button to stop; so does Esc anywhere in the
panel. After ten seconds the line also says for how long it has worked and how long it will take.

What has come before a stop stays, and the line says for as long that not everything was tried.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QElapsedTimer, QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QSizePolicy, QVBoxLayout, QWidget

from app.panels.cut_sentence import CutSentence
from app.panels.widgets import add_button
from app.workers.background import MARK_MS, Background

BAR_MS, LEFT_MS = 1_000, 10_000
"""After so long: the bar with its button; the time it will take. The line comes after `MARK_MS`."""

LINE_STRETCH = 3
"""Width of the words in a row, against that of the bar."""

LOOK_MS = 50
BAR_STEPS = 1000
LEAST_SHARE = 0.02
"""Less of the work says nothing of how long the rest will take."""

OLD = "What is shown is from before the last change."
QUEUED = "waits for other work to finish"
STOPPED = "Stopped: not everything was tried."


class Waiting(QWidget):
    """Stands over the answer that is waited for; takes no room while there is nothing to say."""

    def __init__(
        self,
        background: Background,
        what: str,
        *,
        answers: tuple[QWidget, ...] = (),
        has_answer: Callable[[], bool] = lambda: True,
        again: Callable[[], None] | None = None,
        low: bool = False,
    ) -> None:
        """What a panel shows while it waits.

        Parameters
        ----------
        background : Background
        what : str
            What is worked out, with a capital letter.
        answers
            Widgets that hold the answer: grey while it is old.
        has_answer
            Whether they hold any.
        again
            Asks a question that was stopped again; None where the panel has a button of its own for that.
        low
            All in one row, as high as what stands beside it: for a place that must not grow while work goes on.
        """
        super().__init__()
        self._background, self._what, self._has_answer, self._answers = background, what, has_answer, answers
        self._again = again
        self._clock, self._is_old, self._was_old = QElapsedTimer(), False, False
        self._timer = QTimer(self, interval=LOOK_MS)
        self._timer.timeout.connect(self._look)
        self.line = CutSentence(f"progress: {what}")
        self.line.set_cut(low)
        self.line.setTextFormat(Qt.TextFormat.PlainText)
        self.bar = QProgressBar(maximum=BAR_STEPS, textVisible=False)
        self.bar.setAccessibleName(f"share that is done: {what}")
        row = QHBoxLayout()
        if low:
            self.setLayout(row)
            self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Ignored)
            row.setContentsMargins(8, 0, 0, 0)
            self.line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
            row.addWidget(self.line, LINE_STRETCH)
        else:
            column = QVBoxLayout(self)
            column.setContentsMargins(0, 0, 0, 0)
            column.addWidget(self.line)
            column.addLayout(row)
        row.addWidget(self.bar, 1)
        self.stop_button = add_button(row, "Stop", f"stop: {what}", background.stop)
        self.stop_button.setToolTip("Stop here and keep what has come (Esc)")
        self.again_button = add_button(row, "Try everything", f"start again: {what}", self._start_again)
        for button in (self.stop_button, self.again_button):
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # it goes when it is clicked: the keyboard stays where it is
        background.begun.connect(self._begin)
        background.partly.connect(lambda _part: self._set_old(False))
        background.ended.connect(self._end)
        background.stopped.connect(self._say_stopped)
        self._end()

    def add_answer(self, widget: QWidget) -> None:
        """One more widget that holds the answer, made when there first was one."""
        self._answers = (*self._answers, widget)

    @property
    def was_stopped(self) -> bool:
        """Whether what is shown is only what had come before a stop."""
        return self.line.text().startswith(STOPPED)

    def clear(self) -> None:
        """Say nothing any more: what was stopped is not shown now."""
        if not self._background.asks:
            self._end()

    def _begin(self) -> None:
        if not self._timer.isActive():
            self._end()
            self._clock.start()
            self._timer.start()
        self.stop_button.setEnabled(True)
        self._is_old = self._has_answer()
        panel = self.parentWidget()
        if panel is not None:
            panel.installEventFilter(self)

    def _look(self) -> None:
        waited_ms = self._clock.elapsed()
        if waited_ms < MARK_MS:
            return
        self._set_old(self._is_old)
        self.line.setText(self._words(waited_ms))
        for widget in (self.bar, self.stop_button):
            widget.setVisible(waited_ms >= BAR_MS)
        share = self._background.share
        self.bar.setRange(0, BAR_STEPS if share > 0.0 else 0)
        self.bar.setValue(round(share * BAR_STEPS))
        self.show()

    def _words(self, waited_ms: int) -> str:
        share, trying = self._background.share, self._background.trying
        now = trying if trying and waited_ms >= BAR_MS else "working" if self._background.has_begun else QUEUED
        words = [f"{self._what}: {now}."]
        if waited_ms >= LEFT_MS:
            waited_s = waited_ms / 1000.0
            words.append(f"{waited_s:.0f} s so far")
            words[-1] += f", about {waited_s / share * (1.0 - share):.0f} s left." if share >= LEAST_SHARE else "."
        return " ".join([*words, *([OLD] if self._is_old else [])])

    def _set_old(self, is_old: bool) -> None:
        self._is_old = is_old
        for widget in self._answers:
            if bool(widget.property("stale")) != is_old:
                widget.setProperty("stale", is_old)
                widget.style().unpolish(widget)
                widget.style().polish(widget)

    def _end(self) -> None:
        self._timer.stop()
        self._was_old = self._is_old
        self._set_old(False)
        self.stop_button.setEnabled(False)
        self.line.setText("")
        for widget in (self, self.bar, self.stop_button, self.again_button):
            widget.hide()

    def _say_stopped(self) -> None:
        was_old = self._was_old
        self._end()
        self._set_old(was_old)  # nothing has come: what is shown is still the old answer
        self.line.setText(f"{STOPPED} {OLD}" if was_old else STOPPED)
        self.again_button.setVisible(self._again is not None)
        self.show()

    def _start_again(self) -> None:
        if self._again is not None:
            self._again()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Esc that nothing in the panel had a use for stops the work."""
        if (
            isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and event.key() == Qt.Key.Key_Escape
            and self._background.asks
        ):
            self._background.stop()
            return True
        return super().eventFilter(watched, event)
