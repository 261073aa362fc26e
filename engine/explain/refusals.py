"""What the engine refuses, in the person's words and units: which entry, what came, the limit, and a way out.

An entry is called what its field is called; a number is said as the field shows it.  No path of the file, no key and no
bare SI stands in a sentence.  `place` is for somebody who edits the file by hand.
"""

from __future__ import annotations

import difflib
import math
import operator
import string
from collections.abc import Callable
from typing import Any, assert_never

from engine.base import typed
from engine.base.errors import ContradictionError, TailweightError, readable
from engine.base.file_fault import FileFault
from engine.base.formatting import KG_PER_LB, M_PER_FT, M_PER_IN, System, show
from engine.explain.entry_names import choice_words, entry_title, kind_of, label_of
from engine.limits.part_sizes import bound_of
from engine.schema.entry_fault import (
    Contradiction,
    EntryError,
    MissingKey,
    NoSuchChoice,
    OutOfBounds,
    TooLarge,
    UnknownKey,
    Unreadable,
    WrongLength,
    WrongType,
)
from engine.schema.validation import last_key

FAR_TOO_LARGE = 1e12
"""A number from which on, in SI, its digits help nobody."""

LONGEST_VALUE = 40
"""Characters of a text that a sentence repeats."""

MOST_CHOICES = 8
"""Choices that a sentence lists; of more it offers the nearest alone."""

SLIPS: dict[str, tuple[float, ...]] = {
    "length": (0.001, 0.01, M_PER_IN, M_PER_FT),
    "mass": (KG_PER_LB, 1000.0),
    "angle": (math.pi / 180.0,),
    "stress": (1e6, 6_894_757.293168361),
    "fall": (0.1, 0.01),
    "share": (0.01,),
}
"""What an SI number may have to be taken times where another unit was meant: definitions of the units."""


def words_of(error: TailweightError, name: str, units: System, usual: typed.Range = typed.ANY) -> str:
    """Why an entry cannot be, for the line under its own field.

    Parameters
    ----------
    error : TailweightError
        What the engine says, with paths and numbers in SI.
    name : str
        Last part of the entry's path, such as ``wall_m``: says what kind of number it is.
    units : str
        The units shown.
    usual : Range
        From where to where the entry usually lies, in SI.
    """
    if isinstance(error, EntryError) and last_key(error.path) == name:
        return _capital(_fault_words(error, units, usual))
    return sentence(error, units, kind_of(name))


def sentence(error: TailweightError, units: System, kind: str = "ratio") -> str:
    """What was refused and why, in the units shown; ``kind`` is that of the entry, where the error does not say."""
    match error:
        case FileFault():
            return error.words
        case EntryError():
            return f"{_title_of(error)}: {_fault_words(error, units)}"
        case _ if error.plain:
            return _capital(_fill(error.plain, error.numbers, units, kind))
        case _:
            return str(error)


def of_the_model(error: ContradictionError, units: System) -> str:
    """What the model says of entries that cannot stand beside each other, in the units shown."""
    return _fill(error.words, error.numbers, units, "ratio")


def place(error: TailweightError) -> str:
    """Where in the file the entry stands and in what, for somebody who edits it by hand; empty where no entry does."""
    if not isinstance(error, EntryError) or not error.path:
        return ""
    unit = last_key(error.path).rpartition("_")[2]
    return f"{error.path}, in {unit}" if unit in ("m", "kg", "rad", "Pa") else error.path


def with_place(error: TailweightError, otherwise: System = "metric") -> str:
    """What was refused, for a terminal: file, sentence, and at the end the place in the file, in parentheses."""
    if isinstance(error, FileFault):
        return f"File not found: {readable(str(error.path))}." if error.not_found else error.words
    at = place(error)
    if not isinstance(error, EntryError) or not at:
        return str(error)
    file = error.where.removesuffix(f": {error.path}")
    said = sentence(error, units_of(error, otherwise))
    return f"{file}: {said} ({at})"


def units_of(error: TailweightError, otherwise: System) -> System:
    """The units of the file that was refused, where it says any; else those given."""
    data = error.data if isinstance(error, EntryError) else None
    said = data.get("units") if isinstance(data, dict) else None
    return said if said in ("metric", "us") else otherwise


# ---------------------------------------------------------------- what is wrong with an entry


def _title_of(error: EntryError) -> str:
    return entry_title(error.path, error.data) or "The file"


def _fault_words(error: EntryError, units: System, usual: typed.Range = typed.ANY) -> str:
    """What is wrong with an entry and what would be right; begins small, ends in a full stop."""
    fault, kind = error.fault, kind_of(last_key(error.path))
    came = _value_words(error.value, kind, units)
    match fault:
        case OutOfBounds(sign, bound):
            limit = f"{SIGN_WORDS[sign]} {typed.plain_text(bound, kind, units)}"
            return f"{came} cannot be: {limit}.{_did_you_mean(error, kind, units, usual)}"
        case WrongLength(sign, bound, of):
            count = len(error.value) if isinstance(error.value, str | list | tuple) else 0
            if of == "characters" and not count:
                return "it is empty. Write a name or a word."
            return f"{count} {of} cannot be: {SIGN_WORDS[sign]} {bound}."
        case WrongType(wanted):
            return f"{came} {_type_words(wanted)}.{_read_as(error.value, kind, units)}"
        case NoSuchChoice(choices):
            if error.value in choices:
                return f"‘{choice_words(error.value)}’ cannot be here."
            near = _nearest(error.value, choices, choice_words)
            return f"{came} is not one of the choices.{near}{_listed(choices)}"
        case UnknownKey(key, known):
            told = readable(key)[:LONGEST_VALUE].replace("_", " ")
            near = _nearest(key, known, label_of) or " Take it out, or open the file with the Tailweight that wrote it."
            return f"Tailweight knows no entry ‘{told}’ here.{near}"
        case MissingKey(key, why):
            reason = f", {why}" if why else ""
            return f"‘{label_of(key)}’ is missing{reason}. Add it to the file, or open an older copy."
        case Contradiction(words, numbers):
            return f"{_fill(words, numbers, units, kind)}{_did_you_mean(error, kind, units, usual)}"
        case Unreadable():
            return "there is nothing to read in it, or a character that cannot be shown. Type it anew."
        case TooLarge():
            return "the number is too large to hold."
        case _:
            assert_never(fault)


SIGN_WORDS = {">": "more than", ">=": "at least", "<": "less than", "<=": "at most"}


def _type_words(wanted: tuple[str, ...]) -> str:
    """What a value is not, after its name."""
    if "float" in wanted:
        return "is not a number"
    if "int" in wanted:
        return "is not a whole number"
    if "bool" in wanted:
        return "is neither true nor false"
    if "str" in wanted:
        return "is not a text"
    if "array" in wanted:
        return "is not a list"
    return "stands where several entries belong, such as a number and how it is known"


def _value_words(value: Any, kind: str, units: System) -> str:
    """What came, as its field would show it."""
    match value:
        case None:
            return "nothing"
        case bool():
            return "‘true’" if value else "‘false’"
        case float() | int():
            if math.isnan(value):
                return "‘NaN’"
            is_told = abs(value) < FAR_TOO_LARGE
            return typed.plain_text(float(value), kind, units) if is_told else "a number far too large"
        case str():
            text = readable(value)
            return f"‘{text if len(text) <= LONGEST_VALUE else text[:LONGEST_VALUE] + '…'}’"
        case list() | tuple():
            return "a list"
        case _:
            return "a group of entries"


# ---------------------------------------------------------------- a way out


def _did_you_mean(error: EntryError, kind: str, units: System, usual: typed.Range) -> str:
    """Numbers inside the limits that may have been meant: another unit, or the point one place to the left."""
    value = error.value
    if isinstance(value, bool) or not isinstance(value, float | int) or not math.isfinite(value):
        return ""
    match error.fault:
        case OutOfBounds(sign, bound):
            pass
        case Contradiction(_, numbers) if isinstance(numbers.get("most"), float):
            sign, bound = "<", float(numbers["most"])
        case _:
            return ""
    real = bound_of(error.path.removesuffix(".best").removesuffix(".low").removesuffix(".high"))
    low, high = (real.low, real.high) if real is not None else (-math.inf, math.inf)

    def can_be(meant: float) -> bool:
        return low <= meant <= high and usual.holds(meant) and HOLDS[sign](meant, bound)

    slips = SLIPS.get("length" if kind == "size" else kind, ()) if isinstance(error.fault, OutOfBounds) else ()
    meant = [by * value for by in slips if can_be(by * value)]
    if not meant and sign in ("<", "<=") and can_be(typed.TENTH * value):
        meant = [typed.TENTH * value]
    return _question([typed.plain_text(one, kind, units) for one in meant])


HOLDS = {">": operator.gt, ">=": operator.ge, "<": operator.lt, "<=": operator.le}


def _read_as(value: Any, kind: str, units: System) -> str:
    """The number that a text reads as in its field, offered."""
    if not isinstance(value, str) or len(value) > LONGEST_VALUE or kind == "ratio":
        return ""
    reading = typed.read(value, kind, units)
    values = (reading.value,) if reading.value is not None else tuple(offer.value for offer in reading.offers)
    return _question([typed.plain_text(one, kind, units) for one in values])


def _nearest(value: Any, names: tuple[str, ...], said: Callable[[str], str]) -> str:
    near = difflib.get_close_matches(value[:LONGEST_VALUE], names, n=1) if isinstance(value, str) else []
    return _question([f"‘{said(name)}’" for name in near])


def _listed(choices: tuple[str, ...]) -> str:
    if not choices or len(choices) > MOST_CHOICES:
        return ""
    return f" They are {', '.join(f'‘{choice_words(choice)}’' for choice in choices)}."


def _question(offers: list[str]) -> str:
    offers = list(dict.fromkeys(offers))[: typed.MOST_OFFERS]
    return f" Did you mean {' or '.join(offers)}?" if offers else ""


# ---------------------------------------------------------------- templates


class _Filler(string.Formatter):
    """Fills a template with numbers as fields show them; a kind that no field has is rounded as everywhere."""

    def __init__(self, units: System, own: str) -> None:
        self._units: System = units
        self._own = own

    def format_field(self, value: Any, format_spec: str) -> str:
        kind = self._own if format_spec == "own" else format_spec
        if kind in ("", "text"):
            return str(value)
        if kind in typed.UNIT_SHOWN[self._units]:
            return typed.plain_text(float(value), kind, self._units)
        return show(float(value), kind, self._units)


def _fill(words: str, numbers: Any, units: System, own: str) -> str:
    return _Filler(units, own).vformat(words, (), numbers)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
