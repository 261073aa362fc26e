"""The caution, always visible: there is no way to close it."""

from __future__ import annotations

from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QSizePolicy, QWidget

from app.look.theme import Palette
from engine.base.caution import CAUTION, NOT_APPROVED, SIGNAL_WORD
from engine.schema.model import Approval


class Banner(QFrame):
    """Signal word, one sentence, and whether an approval has been entered."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("caution")
        self._word = QLabel(SIGNAL_WORD)
        self._sentence = QLabel(CAUTION)
        self._approval = QLabel(NOT_APPROVED)
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 4, 10, 4)
        row.setSpacing(12)
        for label, stretch in ((self._word, 0), (self._sentence, 3), (self._approval, 1)):
            label.setWordWrap(label is not self._word)
            row.addWidget(label, stretch)
        self._approval.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)

    @property
    def text(self) -> str:
        return " ".join(label.text() for label in (self._word, self._sentence, self._approval))

    def set_theme(self, colours: Palette) -> None:
        """Warning colours of the theme, the same in light and dark."""
        self.setStyleSheet(
            f"Banner {{ background: {colours.warning_ground}; }}"
            f"QLabel {{ color: {colours.warning_text}; background: transparent; }}"
        )
        self._word.setStyleSheet("font-weight: bold;")
        self._approval.setStyleSheet("font-weight: bold;")

    def set_approval(self, approval: Approval | None) -> None:
        """Say whose approval is entered, or that none is."""
        self._approval.setText(
            NOT_APPROVED if approval is None else f"Approval entered: {approval.reference}, {approval.date}"
        )
