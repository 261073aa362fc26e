"""The named poses of the job, in the pose panel: one is shown, others are added, renamed and removed."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QInputDialog, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look import hints
from app.panels.widgets import add_button, heading
from engine.base.errors import TailweightError
from engine.explain import refusals
from engine.shop import edits


class NamedPoses(QWidget):
    """A choice of poses with its buttons; every change is an undo step, showing another pose is none."""

    refused = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(heading("Pose"))
        self._choice = QComboBox()
        hints.name(self._choice, "named pose")
        self._choice.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self._choice.activated.connect(document.show_pose)
        column.addWidget(self._choice)
        row = QHBoxLayout()
        for text, name, act in (
            ("Add", "add a pose like this one", self.add),
            ("Rename", "rename this pose", self.rename),
            ("Remove", "remove this pose", self.remove),
        ):
            add_button(row, text, name, act).setToolTip(name.capitalize())
        column.addLayout(row)

    def show_document(self, document: Document) -> None:
        """List the poses, the one shown chosen."""
        show_names(self._choice, [pose.name for pose in document.job.poses], document.pose.name)

    def add(self) -> None:
        """Ask for a name and add a pose like the one shown."""
        name, entered = QInputDialog.getText(self, "Add a pose", "Name of the new pose:")
        if entered:
            self.add_named(name)

    def add_named(self, name: str) -> None:
        """Add a pose like the one shown."""
        self._try(lambda: self._add(name))

    def _add(self, name: str) -> None:
        document = self._document
        job = edits.add_pose(document.committed_job, document.pose, name)
        document.set_job(job, f"Add pose {name}", index=len(job.poses) - 1)

    def rename(self) -> None:
        """Ask for a new name of the pose shown."""
        document = self._document
        name, entered = QInputDialog.getText(self, "Rename the pose", "New name:", text=document.pose.name)
        if entered:
            self._try(
                lambda: document.set_job(
                    edits.rename_pose(document.committed_job, document.index, name), f"Rename pose to {name}"
                )
            )

    def remove(self) -> None:
        """Remove the pose shown (undo brings it back)."""
        self._try(self._remove)

    def _remove(self) -> None:
        document = self._document
        job = edits.remove_pose(document.committed_job, document.index)
        document.set_job(job, f"Remove pose {document.pose.name}", index=max(document.index - 1, 0))

    def _try(self, change: Callable[[], None]) -> None:
        """Change the poses; what the engine refuses is told."""
        try:
            change()
        except TailweightError as error:
            self.refused.emit(refusals.sentence(error, self._document.units))


def show_names(choice: QComboBox, names: list[str], shown: str) -> None:
    """Fill a choice with names, one of them shown; nothing is touched while they are the same."""
    with QSignalBlocker(choice):
        if [choice.itemText(index) for index in range(choice.count())] != names:
            choice.clear()
            for name in names:
                choice.addItem(name, name)
        if choice.currentText() != shown:
            choice.setCurrentIndex(names.index(shown))
