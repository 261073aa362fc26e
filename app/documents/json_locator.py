"""Finds the line of a rig file at which a fault lies, such as that of ``rig.arms[1].length_m``, and shows it."""

from __future__ import annotations

import re
from pathlib import Path

from PySide6.QtGui import QFont, QFontDatabase, QTextCursor, QTextOption
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QPlainTextEdit, QVBoxLayout, QWidget

from engine.base.errors import TailweightError
from engine.schema import rig_file

_TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[{}\[\],:]|[^\s{}\[\],:"]+', re.DOTALL)
_LINE = re.compile(r", line (\d+), column \d+$")


def line_of(text: str, where: str) -> int | None:
    """The line, from 1, of the place an error names; None when the text does not hold it.

    A missing key is placed where the object that should have it begins.
    """
    if line := _LINE.search(where):
        return int(line[1])
    path, lines = where.rpartition(": ")[2], _lines_of_values(text)
    while path and path not in lines:
        path = path.rpartition(".")[0]
    return lines.get(path) if path else None


def _lines_of_values(text: str) -> dict[str, int]:
    """The line on which the value of every path begins."""
    lines: dict[str, int] = {}
    trail: list[str | int] = []
    """Keys and indices that lead to the value at hand."""
    line, upto, key = 1, 0, ""
    for token in _TOKEN.finditer(text):
        line, upto = line + text.count("\n", upto, token.start()), token.start()
        mark = token[0]
        if mark in "}]":
            if trail:
                trail.pop()
        elif mark == ",":
            if trail:
                trail[-1] = trail[-1] + 1 if isinstance(trail[-1], int) else ""
        elif mark == ":":
            if trail:
                trail[-1] = key
        else:
            key = mark.strip('"')
            lines[_path(trail)] = line
            if mark in "{[":
                if len(trail) > rig_file.MAX_DEPTH:
                    break  # no rig file: each further path would be thousands of brackets long
                trail.append(0 if mark == "[" else "")
    return lines


def _path(trail: list[str | int]) -> str:
    """A trail written as errors write it."""
    path = ""
    for step in trail:
        path += f"[{step}]" if isinstance(step, int) else f".{step}" if path else step
    return path


class SourceSheet(QDialog):
    """The text of a rig file as it is on disk, read-only, with the line of the fault selected."""

    def __init__(self, path: Path, error: TailweightError, said: str, window: QWidget) -> None:
        super().__init__(window)
        self.setWindowTitle(f"{path.name} - Tailweight")
        words = QLabel(said)
        words.setObjectName("wrong")
        words.setWordWrap(True)
        self.text = QPlainTextEdit(_text_of(path))
        self.text.setReadOnly(True)
        self.text.setAccessibleName("text of the file")
        self.text.setFont(_fixed_font(self.font().pointSizeF()))
        self.text.setWordWrapMode(QTextOption.WrapMode.NoWrap)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        for part in (words, self.text, buttons):
            column.addWidget(part)
        metrics = self.fontMetrics()
        self.resize(min(metrics.averageCharWidth() * 80, window.width()), min(metrics.height() * 26, window.height()))
        self._select(line_of(self.text.toPlainText(), error.where))

    def _select(self, line: int | None) -> None:
        block = self.text.document().findBlockByNumber((line or 1) - 1)
        cursor = QTextCursor(block)
        if line is not None:
            cursor.movePosition(QTextCursor.MoveOperation.EndOfBlock, QTextCursor.MoveMode.KeepAnchor)
        self.text.setTextCursor(cursor)
        self.text.centerCursor()


def _fixed_font(size: float) -> QFont:
    font = QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont)
    font.setPointSizeF(size)
    return font


def _text_of(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return file.read(rig_file.MAX_BYTES).decode("utf-8", "replace").removeprefix("\ufeff")
    except OSError:
        return ""
