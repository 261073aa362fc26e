"""Every way the engine says no: the place, what was expected and what came."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from engine.base.formatting import fill

LONGEST_PART = 400
"""Characters of one part of a message; a damaged file can have keys and values of any length."""


def readable(text: str) -> str:
    """Short enough for a message, and without characters that a screen or terminal would obey instead of show."""
    text = text if len(text) <= LONGEST_PART else f"{text[:LONGEST_PART]}..."
    return text if text.isprintable() else "".join(mark if mark.isprintable() else "\ufffd" for mark in text)


class TailweightError(ValueError):
    """Bad input, said for a person.

    Attributes
    ----------
    where : str
        Place of the fault, e.g. ``rig.arms[1].length_m``.
    expected : str
        What would have been right.
    got : str
        What came.
    plain : str
        One sentence or two for a person at the window: a template of ``numbers``, which are in SI (see
        `engine.base.formatting.fill`).  Empty where the fault is an entry's: `engine.explain.refusals` words those.
    """

    def __init__(
        self,
        where: str,
        expected: str,
        got: str,
        hint: str = "",
        *,
        plain: str = "",
        numbers: Mapping[str, float | str] | None = None,
    ) -> None:
        self.where = readable(where)
        self.expected = readable(expected)
        self.got = readable(got)
        self.hint = hint
        self.plain = plain
        self.numbers: Mapping[str, float | str] = numbers or {}
        sentence = f"{self.where}: expected {self.expected}, got {self.got}."
        super().__init__(f"{sentence} {hint}" if hint else sentence)

    def __reduce__(self) -> tuple[Any, ...]:
        """As it is: what a subclass is made from need not be its words, and it comes out of the working process."""
        return _unmade, (type(self), self.args), self.__dict__


def _unmade(kind: type[TailweightError], words: tuple[Any, ...]) -> TailweightError:
    return kind.__new__(kind, *words)


class ContradictionError(ValueError):
    """Entries that cannot stand beside each other, said for a person.

    Attributes
    ----------
    at : str
        The entry within the value at fault, such as ``to_m``; empty for the value itself.
    words : str
        A sentence as a template of ``numbers``, which are in SI; the kind ``own`` is that of the entry itself.
    """

    def __init__(self, words: str, *, at: str = "", **numbers: float | str) -> None:
        self.at, self.words, self.numbers = at, words, numbers
        plain = fill(words.replace(":own}", "}"), numbers, "metric")
        super().__init__(f"{at}: {plain}" if at else plain)


class RigFileError(TailweightError):
    """A rig file that cannot be read or written."""


class EditError(TailweightError):
    """An edit whose result would not be a possible rig or pose."""


class PoseNameError(TailweightError):
    """A pose asked for by a name the rig file does not have."""


class UnitError(TailweightError):
    """Typed text that is not a quantity of the wanted kind."""
