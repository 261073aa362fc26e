"""A plot of one curve of a pose, in a panel that shows it under its sentence: hidden where there is none."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable, Sequence
from typing import Generic, TypeVar

from PySide6.QtWidgets import QWidget

from app.look.theme import Palette
from app.panels.plot import Plot, Point
from engine.base.formatting import System

Curve = TypeVar("Curve")
Spot = TypeVar("Spot")


def _says_nothing(_spot: object) -> str:
    return ""


class CurvePlot(Plot, Generic[Curve, Spot]):
    """One curve, and what is said of each spot of it."""

    LINES: int
    """Height, in lines of text."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(name, parent)
        self.curve: Curve | None = None
        self._words: Callable[[Spot], str] = _says_nothing
        self._system: System = "metric"

    def show_curve(self, curve: Curve | None, words: Callable[[Spot], str], system: System) -> None:
        """Draw a curve; ``words`` says a spot of it in a sentence."""
        self.curve, self._words, self._system = curve, words, system
        self.view.setFixedHeight(self.LINES * self.fontMetrics().height())
        self.setVisible(curve is not None)
        self.draw()

    def fill(self, colours: Palette) -> Sequence[Point]:
        return [] if self.curve is None else self.fill_curve(self.curve, colours)

    @abstractmethod
    def fill_curve(self, curve: Curve, colours: Palette) -> Sequence[Point]:
        """Put the items of a curve into the plot; returns what can be read."""
