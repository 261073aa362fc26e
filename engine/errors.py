"""Every way the engine says no: the place, what was expected and what came."""

from __future__ import annotations


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
    """

    def __init__(self, where: str, expected: str, got: str, hint: str = "") -> None:
        self.where = where
        self.expected = expected
        self.got = got
        self.hint = hint
        sentence = f"{where}: expected {expected}, got {got}."
        super().__init__(f"{sentence} {hint}" if hint else sentence)


class RigFileError(TailweightError):
    """A rig file that cannot be read or written."""


class EditError(TailweightError):
    """An edit whose result would not be a possible rig or pose."""


class PoseNameError(TailweightError):
    """A pose asked for by a name the rig file does not have."""


class UnitError(TailweightError):
    """Typed text that is not a quantity of the wanted kind."""
