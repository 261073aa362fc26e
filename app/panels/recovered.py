"""The sheet that offers what was not saved when the program stopped: which rig, when, in what state."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QDateTime, QLocale, Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.documents.recovery import LeftBehind
from app.look import hints
from engine.worst_case.verdict import evaluate

HEADLINE = "Tailweight stopped before these changes were saved."
WORDS = "Each is as it was after its last finished edit. What you leave alone is offered again next time."


class RecoveredSheet(QDialog):
    """One ruled box for each record; closing the sheet keeps the rest for later."""

    wanted = Signal(object)
    """Open this record."""

    def __init__(self, records: Sequence[LeftBehind], window: QWidget) -> None:
        super().__init__(window)
        self.setWindowTitle("Unsaved work - Tailweight")
        self.setModal(True)
        self.boxes = {record: self._box(record) for record in records}
        headline, words = _label(HEADLINE, "heading"), _label(WORDS)
        pile = QWidget()
        self._pile = QVBoxLayout(pile)
        for box in self.boxes.values():
            self._pile.addWidget(box)
        self._pile.addStretch(1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(pile)
        buttons = QDialogButtonBox()
        later = buttons.addButton("Keep the rest for later", QDialogButtonBox.ButtonRole.RejectRole)
        later.clicked.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(headline)
        column.addWidget(words)
        column.addWidget(area, 1)
        column.addWidget(buttons)
        metrics = self.fontMetrics()
        height = metrics.height() * (9 + 8 * min(len(self.boxes), 3))
        self.resize(min(metrics.averageCharWidth() * 78, window.width()), min(height, window.height()))
        self.finished.connect(self._keep_the_rest)

    def _box(self, left: LeftBehind) -> QFrame:
        box = QFrame()
        box.setObjectName("ruled")
        column = QVBoxLayout(box)
        for text, name in lines_of(left):
            column.addWidget(_label(text, name))
        row = QHBoxLayout()
        row.addStretch(1)
        what = left.job.name if left.job else "this record"
        if left.job is not None:
            row.addWidget(_button("Open", f"open {what}", lambda: self._open(left)))
        row.addWidget(_button("Discard", f"discard {what}", lambda: self._ask_discard(left)))
        row.addWidget(_button("Keep for later", f"keep {what} for later", lambda: self._settle(left, left.keep)))
        column.addLayout(row)
        return box

    def _open(self, left: LeftBehind) -> None:
        self._take_off(left)
        self.wanted.emit(left)
        self._close_when_empty()

    def _ask_discard(self, left: LeftBehind) -> None:
        """Nothing brings it back, so it takes two presses, in the same place."""
        for button in self.boxes[left].findChildren(QPushButton):
            if button.text() == "Discard":
                button.setText("Discard for good?")
                button.clicked.disconnect()
                button.clicked.connect(lambda _checked=False: self._settle(left, left.discard))

    def _settle(self, left: LeftBehind, settle: Callable[[], None]) -> None:
        settle()
        self._take_off(left)
        self._close_when_empty()

    def _take_off(self, left: LeftBehind) -> None:
        box = self.boxes.pop(left)
        self._pile.removeWidget(box)
        box.hide()
        box.deleteLater()

    def _close_when_empty(self) -> None:
        if not self.boxes:
            self.accept()

    def _keep_the_rest(self) -> None:
        for left in self.boxes:
            left.keep()
        self.boxes = {}


def lines_of(left: LeftBehind) -> list[tuple[str, str]]:
    """What a record's box says, each line with the name of its look."""
    if left.record is None or left.job is None:
        return [("Unsaved work that cannot be read", "heading"), (left.wrong, "wrong")]
    job, record = left.job, left.record
    when = QDateTime.fromSecsSinceEpoch(int(record.when_s))
    pose = job.poses[min(max(record.index, 0), len(job.poses) - 1)]
    return [
        (job.name, "heading"),
        (str(left.file) if left.file else "Never saved to a file", ""),
        (f"Last edit: {QLocale().toString(when, QLocale.FormatType.LongFormat)}", ""),
        (f"Pose {pose.name}: {evaluate(job, pose).state_words}", ""),
    ]


def _label(text: str, name: str = "") -> QLabel:
    label = QLabel(text)
    label.setObjectName(name)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    return label


def _button(text: str, name: str, act: Callable[[], object]) -> QPushButton:
    button = QPushButton(text)
    hints.name(button, name)
    button.setAutoDefault(False)
    button.clicked.connect(lambda _checked=False: act())
    return button
