"""An entry that the model refuses: where it stands, what was expected and what came, as data.

Sentences for a person are made from it by `engine.explain.refusals`, in the units shown.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

from engine.base.errors import RigFileError

Sign = Literal[">", ">=", "<", "<="]


class OutOfBounds(NamedTuple):
    """A number outside its limit, in SI."""

    sign: Sign
    bound: float


class WrongLength(NamedTuple):
    """A text or a list with too few or too many characters or entries."""

    sign: Sign
    bound: int
    of: Literal["characters", "entries"]


class WrongType(NamedTuple):
    """Not the type wanted: ``float``, ``int``, ``str``, ``bool``, ``array`` or ``object``, several where any does."""

    wanted: tuple[str, ...]


class NoSuchChoice(NamedTuple):
    """None of a few words."""

    choices: tuple[str, ...]


class UnknownKey(NamedTuple):
    """A key that the entry does not have; ``known`` are those it has."""

    key: str
    known: tuple[str, ...]


class MissingKey(NamedTuple):
    """A key that the entry must have; ``why`` says what it is for, empty where its name does."""

    key: str
    why: str = ""


class Contradiction(NamedTuple):
    """Entries that cannot stand beside each other: a template of numbers (see `engine.base.errors`)."""

    words: str
    numbers: Mapping[str, float | str]


class Unreadable(NamedTuple):
    """Text with nothing to read in it, or with characters that no screen can show."""


class TooLarge(NamedTuple):
    """A number too large to hold."""


Fault = (
    OutOfBounds
    | WrongLength
    | WrongType
    | NoSuchChoice
    | UnknownKey
    | MissingKey
    | Contradiction
    | Unreadable
    | TooLarge
)


class EntryError(RigFileError):
    """An entry that the model refuses.

    Attributes
    ----------
    path : str
        Place of the entry in the job, such as ``rig.arms[1].length_m``; empty for the job itself.
    fault : Fault
        What is wrong with it.
    value : Any
        What stands there, a plain value.
    data : Any
        The whole job in plain values: names that somebody gave are in it.
    """

    def __init__(
        self,
        where: str,
        expected: str,
        got: str,
        hint: str = "",
        *,
        path: str,
        fault: Fault,
        value: Any = None,
        data: Any = None,
    ) -> None:
        super().__init__(where, expected, got, hint)
        self.path, self.fault, self.value, self.data = path, fault, value, data
