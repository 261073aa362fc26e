"""Why an entry cannot be, in the person's words and units: for the line under its field, and for the notice."""

from __future__ import annotations

import re

from app.panels.entry_names import kind_of, label_of, place_words
from engine.base import typed
from engine.base.errors import TailweightError
from engine.base.formatting import System, fill
from engine.shop.pose_edits import ImpossibleEdit

_BOUND = re.compile(r"(?P<sign>of at least|of at most|over|under|>=|<=|>|<) (?P<number>-?[\d.]+(?:e[-+]?\d+)?)")
_SIGN_WORDS = {
    "of at least": "at least {bound}",
    ">=": "at least {bound}",
    "of at most": "at most {bound}",
    "<=": "at most {bound}",
    "over": "more than {bound}",
    ">": "more than {bound}",
    "under": "less than {bound}",
    "<": "less than {bound}",
}
_BEST = re.compile(r"Expected (?P<end>low|high) at or (?:under|over) best (?P<best>\S+), got (?P<got>\S+)$")
_DIGITS = r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?"
_NAMED_PAIR = re.compile(rf"(?P<name>[a-z]\w*_(?:m|kg|rad|Pa)) (?P<number>{_DIGITS}), got (?P<got>{_DIGITS})")
_NAME = re.compile(r"\b[a-z]\w*_\w+\b")
_PATH = re.compile(r"^([a-z_]+(?:\[\d+\])?(?:\.[a-z_\d]+(?:\[\d+\])?)+): ")
_MEASURE = re.compile(rf"(?P<number>{_DIGITS}) (?P<unit>m|kg|rad|Pa)\b(?!\S*/)")
_KIND_OF_UNIT = {"m": "length", "kg": "mass", "rad": "angle", "Pa": "stress"}


def words_of(error: TailweightError, name: str, value: float | None, units: System) -> str:
    """Why an entry cannot be.

    Parameters
    ----------
    error : TailweightError
        What the engine says, with paths and numbers in SI.
    name : str
        Last part of the entry's path, such as ``wall_m``: says what kind of number it is.
    value : float or None
        What was to be entered, in SI; None where it is no number.
    units : str
        The units shown.
    """
    if isinstance(error, ImpossibleEdit):
        return fill(error.problem.words, error.problem.numbers, units)
    kind = kind_of(name)
    shown = "" if value is None else typed.plain_text(value, kind, units)
    said = error.hint or error.expected
    if both := _BEST.match(said):
        best = typed.plain_text(float(both["best"]), kind, units)
        than = "more" if both["end"] == "low" else "less"
        return f"{shown} is {than} than the best value, {best}."
    if bound := _BOUND.search(error.expected if "number" in error.expected else said):
        words = _SIGN_WORDS[bound["sign"]].format(bound=typed.plain_text(float(bound["number"]), kind, units))
        if "number" in error.expected or said.startswith("Expected `"):
            return f"{shown} cannot be: {words}."
    return _plain(said, kind, units)


def _plain(words: str, own_kind: str, units: System) -> str:
    """The engine's sentence with the names of entries and its numbers as a person reads them."""

    def pair(found: re.Match[str]) -> str:
        kind = kind_of(found["name"])
        low, got = (typed.plain_text(float(found[end]), kind, units) for end in ("number", "got"))
        return f"{label_of(found['name'])} {low}, got {got}"

    words = _PATH.sub(lambda found: f"{place_words(found[1])}: ", words)
    words = _NAMED_PAIR.sub(pair, words)

    def measure(found: re.Match[str]) -> str:
        kind = own_kind if own_kind == "size" and found["unit"] == "m" else _KIND_OF_UNIT[found["unit"]]
        return typed.plain_text(float(found["number"]), kind, units)

    words = _MEASURE.sub(measure, words)
    words = _NAME.sub(lambda found: label_of(found[0]), words)
    return words if words.endswith(".") else f"{words}."
