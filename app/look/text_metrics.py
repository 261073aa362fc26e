"""Sizes of texts in a font, for figures that change with every step of a drag.

Every digit counts as the widest one. A figure that changes its digits alone keeps its place and its line breaks, and
need not be measured at every step.
"""

from __future__ import annotations

import functools
import re

from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter

DIGITS = "0123456789"

ELLIPSIS = "…"
"""Stands where words were cut."""


class TextMetrics:
    """Sizes of texts in one font, in pixels."""

    def __init__(self, font: QFont) -> None:
        self.font = font
        metrics = self._metrics = QFontMetricsF(font)
        self.line_px, self.ascent_px, self.space_px = (
            metrics.lineSpacing(),
            metrics.ascent(),
            metrics.horizontalAdvance(" "),
        )
        self._widest_digit = str.maketrans(dict.fromkeys(DIGITS, max(DIGITS, key=metrics.horizontalAdvance)))
        self._sizes: dict[str, tuple[float, float]] = {}

    def size(self, text: str) -> tuple[float, float]:
        """Width and height of a text of one or more lines."""
        text = text.translate(self._widest_digit)
        if text not in self._sizes:
            if len(self._sizes) > MOST_KEPT:
                self._sizes.clear()
            size = self._metrics.size(0, text)
            self._sizes[text] = size.width(), size.height()
        return self._sizes[text]

    def longest_word_px(self, text: str) -> float:
        """Width of the longest word: no line can be narrower."""
        return max(self.size(word)[0] for paragraph in text.split("\n") for word in _BREAK.split(paragraph))

    def lines(self, text: str, width_px: float) -> list[str]:
        """The text in lines that fit into a width, broken at spaces, but not between a number and its unit.

        A word wider than that stands alone and is not broken.
        """
        return [line for paragraph in text.split("\n") for line in self._wrapped(_BREAK.split(paragraph), width_px)]

    def elided(self, words: str, width_px: float) -> str:
        """The words cut with an ellipsis where they do not fit into a width: at a space, or within the first word.

        Empty where there is no room for an ellipsis.
        """
        if self.size(words)[0] <= width_px:
            return words
        parts = words.split(" ")[:-1]
        while parts and self.size(" ".join(parts) + f" {ELLIPSIS}")[0] > width_px:
            parts.pop()
        return " ".join(parts) + f" {ELLIPSIS}" if parts else self._cut(words.partition(" ")[0], width_px)

    def _cut(self, word: str, width_px: float) -> str:
        """As many letters of a word as fit before an ellipsis."""
        while word and self.size(word + ELLIPSIS)[0] > width_px:
            word = word[:-1]
        return word + ELLIPSIS if word or self.size(ELLIPSIS)[0] <= width_px else ""

    def paint(self, painter: QPainter, words: str, x: float, y: float, ink: str) -> float:
        """Paint words to the right of and under a point; returns where they end."""
        painter.setFont(self.font)
        painter.setPen(QColor(ink))
        painter.drawText(QPointF(x, y + self.ascent_px), words)
        return x + self.size(words)[0]

    def _wrapped(self, words: list[str], width_px: float) -> list[str]:
        lines: list[str] = []
        line: list[str] = []
        used_px = -self.space_px
        for word in words:
            word_px = self.size(word)[0]
            if line and used_px + self.space_px + word_px > width_px:
                lines.append(" ".join(line))
                line, used_px = [], -self.space_px
            line.append(word)
            used_px += self.space_px + word_px
        return [*lines, " ".join(line)]


_BREAK = re.compile(r"(?<!\d) ")
"""Where a line may end; what follows a number is most often its unit."""

SMALL = 0.85
"""Size of small print, as a share of the text's."""

MOST_KEPT = 2_000
"""Sizes of so many texts are kept."""


def small_font(font: QFont) -> QFont:
    """The font of captions and small print."""
    small = QFont(font)
    small.setPointSizeF(font.pointSizeF() * SMALL)
    return small


def text_metrics(font: QFont, bold: bool = False) -> TextMetrics:
    """Text metrics of a font, or of its bold; the same object for the same font."""
    key = QFont(font)
    key.setBold(bold or font.bold())
    return _text_metrics(key.toString())


@functools.lru_cache(maxsize=16)
def _text_metrics(key: str) -> TextMetrics:
    font = QFont()
    font.fromString(key)
    return TextMetrics(font)
