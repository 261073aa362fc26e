"""Checks every entry of a job: unknown or missing keys and values outside their limits are refused in plain words."""

from __future__ import annotations

import functools
import math
import re
from typing import Any

import msgspec
from msgspec import inspect

from engine.base.errors import ContradictionError, RigFileError
from engine.schema.entry_fault import (
    Contradiction,
    EntryError,
    Fault,
    MissingKey,
    NoSuchChoice,
    OutOfBounds,
    TooLarge,
    UnknownKey,
    Unreadable,
    WrongLength,
    WrongType,
)
from engine.schema.model import Job

_PATH = re.compile(r" - at `(?P<path>[^`]*)`$")
"""Where msgspec puts the path at the end of its message."""


def checked(job: Job, name: str = "rig") -> Job:
    """The same job, every entry checked against the model's limits.

    The types do not check values built in code, so edits and saving pass through here.

    Raises
    ------
    RigFileError
    """
    return as_job(msgspec.to_builtins(job), name)


def as_job(raw: Any, name: str = "rig") -> Job:
    """A job from plain values (dicts, lists, numbers, text), every entry checked.

    Raises
    ------
    RigFileError
        With the place inside ``name``, what was expected and what came.
    """
    try:
        return msgspec.convert(raw, Job)
    except msgspec.ValidationError as error:
        raise refused(error, name, raw) from None
    except UnicodeEncodeError as error:
        path = _place_of(raw, error.object)
        got = "half a character, with its other half missing"
        where = f"{name}: {path}" if path else name
        raise EntryError(where, "text that can be written down", got, path=path, fault=Unreadable(), data=raw) from None
    except (RecursionError, OverflowError) as error:
        raise RigFileError(name, "a rig file", str(error), plain=NOT_A_RIG) from None


NOT_A_RIG = "What is in the file is no rig. Open another one."


def _place_of(raw: Any, text: str, path: str = "") -> str:
    """The path to a text, as a key or as a value; empty when it is not there."""
    entries: list[tuple[str, Any, Any]] = []
    if isinstance(raw, dict):
        entries = [(f"{path}.{key}" if path else str(key), key, value) for key, value in raw.items()]
    elif isinstance(raw, list | tuple):
        entries = [(f"{path}[{index}]", None, value) for index, value in enumerate(raw)]
    for here, key, value in entries:
        if key == text:
            return path or "a key"
        if isinstance(value, str) and value == text:
            return here
        if inner := _place_of(value, text, here):
            return inner
    return ""


def refused(error: msgspec.ValidationError | ContradictionError, name: str, raw: Any) -> EntryError:
    """What msgspec or the model refuses of plain values (``raw``), as an error that says which entry and why."""
    message, at = str(error), _PATH.search(str(error))
    path = at["path"].removeprefix("$").lstrip(".") if at else ""
    words = message[: at.start()] if at else message
    cause = error if isinstance(error, ContradictionError) else error.__cause__
    if isinstance(cause, ContradictionError):
        path = ".".join(step for step in (path, cause.at) if step)
        fault: Fault = Contradiction(cause.words, cause.numbers)
        expected, got = "entries that agree", str(cause).removeprefix(f"{cause.at}: ").removesuffix(".")
    else:
        fault, expected, got = _fault_of(path, words, _look_up(raw, path))
    where = f"{name}: {path}" if path else name
    return EntryError(where, expected, got, path=path, fault=fault, value=_look_up(raw, path), data=raw)


def _fault_of(path: str, words: str, value: Any) -> tuple[Fault, str, str]:
    """What is wrong with an entry, what was expected and what came."""
    if words.startswith("Object contains unknown field"):
        key = words.split("`")[1]
        return UnknownKey(key, _keys_at(path)), "only known keys", f"the unknown key {key!r}"
    if words.startswith("Object missing required field"):
        key = words.split("`")[1]
        return MissingKey(key), f"the key {key!r}", "no such key"
    if words.startswith(("Invalid enum value", "Invalid value")):
        choices = _choices().get(last_key(path), ())
        expected = f"one of {', '.join(choices)}" if choices else "a known word"
        return NoSuchChoice(choices), expected, shown(value)
    if words == "Number out of range":
        return TooLarge(), "a number that can be", "one too large to hold"
    if told := _EXPECTED.match(words):
        types, rest = told["types"], told["rest"]
        return _typed_fault(types, rest), _expected_words(types, rest, path), shown(value)
    return Unreadable(), "a rig that can be", words


def _typed_fault(types: str, rest: str) -> Fault:
    """What is wrong, from the model's "`float` <= 50.0" and the like."""
    if "matching regex" in rest:
        return Unreadable()
    bound = _LIMIT.match(rest)
    if not bound:
        return WrongType(tuple(name for name in types.split(" | ") if name != "null"))
    sign: Any = bound["sign"]
    if not bound["length"]:
        return OutOfBounds(sign, float(bound["number"]))
    return WrongLength(sign, int(bound["number"]), "characters" if "str" in types else "entries")


_LIMIT = re.compile(r"^ (?P<length>of length )?(?P<sign>[<>]=?) (?P<number>\S+)$")
_EXPECTED = re.compile(r"^Expected `(?P<types>[^`]+)`(?P<rest>.*?)(?:, got `[^`]*`)?$", re.DOTALL)
_TYPE_WORDS = {
    "float": "a number", "int": "a whole number", "str": "text", "bool": "true or false", "array": "a list",
    "object": "an object in curly brackets", "null": "null",
}  # fmt: skip
_UNITS = {"m": "m", "kg": "kg", "rad": "rad", "Pa": "Pa", "Nm": "N·m", "N": "N"}
_BOUNDS = {">": "over", ">=": "of at least", "<": "under", "<=": "of at most"}


def _expected_words(types: str, rest: str, where: str) -> str:
    """The model's "`float` <= 50.0" in a person's words, with the unit the key's name ends in."""
    plain = " or ".join(_TYPE_WORDS.get(name, name) for name in types.split(" | "))
    if "matching regex" in rest:
        return f"{plain} with something to read in it and no control characters"
    unit = _UNITS.get(last_key(where).rsplit("_", 1)[-1], "") if "_" in last_key(where) else ""
    bound = _LIMIT.match(rest)
    if not bound:
        return f"{plain} in {unit}" if unit and "a number" in plain else plain
    number = bound["number"].removesuffix(".0")
    if bound["length"]:
        return f"{plain} {_BOUNDS[bound['sign']]} {number} {'characters' if types == 'str' else 'entries'}"
    return f"{plain} {_BOUNDS[bound['sign']]} {number} {unit}".rstrip()


def last_key(where: str) -> str:
    """The key that names the entry; ``best``, ``low`` and ``high`` of an estimate belong to the key before them."""
    steps = re.sub(r"\[[^\]]*\]", "", where.rsplit(": ", 1)[-1]).split(".")
    named = [step for step in steps if step not in ("best", "low", "high")]
    return named[-1] if named else ""


@functools.cache
def _choices() -> dict[str, tuple[str, ...]]:
    """The allowed words of each key that takes one of a few, read off the model itself."""
    choices: dict[str, set[str]] = {}
    seen: set[type] = set()

    def walk(key: str, kind: inspect.Type) -> None:
        for inner in getattr(kind, "types", ()):
            walk(key, inner)
        for inner in (getattr(kind, "item_type", None), getattr(kind, "type", None)):
            if isinstance(inner, inspect.Type):
                walk(key, inner)
        if isinstance(kind, inspect.LiteralType):
            choices.setdefault(key, set()).update(str(value) for value in kind.values)
        if isinstance(kind, inspect.StructType):
            if kind.tag_field:
                choices.setdefault(kind.tag_field, set()).add(str(kind.tag))
            if kind.cls not in seen:
                seen.add(kind.cls)
                for field in kind.fields:
                    walk(field.encode_name, field.type)

    walk("", inspect.type_info(Job))
    return {key: tuple(sorted(words)) for key, words in choices.items()}


@functools.cache
def _keys() -> dict[str, tuple[str, ...]]:
    """The keys of what stands under each key, read off the model itself; those of the job under no key."""
    keys: dict[str, set[str]] = {}
    seen: set[tuple[str, type]] = set()

    def walk(key: str, kind: inspect.Type) -> None:
        for inner in (*getattr(kind, "types", ()), getattr(kind, "item_type", None), getattr(kind, "type", None)):
            if isinstance(inner, inspect.Type):
                walk(key, inner)
        if isinstance(kind, inspect.StructType) and (key, kind.cls) not in seen:
            seen.add((key, kind.cls))
            keys.setdefault(key, set()).update(field.encode_name for field in kind.fields)
            for field in kind.fields:
                walk(field.encode_name, field.type)

    walk("", inspect.type_info(Job))
    return {key: tuple(sorted(names)) for key, names in keys.items()}


def _keys_at(path: str) -> tuple[str, ...]:
    return _keys().get(last_key(path), ())


_STEP = re.compile(r"\.?(?P<key>[^.\[\]]+)|\[(?P<index>\d+)\]")


def _look_up(raw: Any, path: str) -> Any:
    value = raw
    for step in _STEP.finditer(path):
        try:
            value = value[int(step["index"])] if step["index"] is not None else value[step["key"]]
        except (KeyError, IndexError, TypeError):
            return None
    return value


def shown(value: Any) -> str:
    """A value in a few words, for an error."""
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}"
    if isinstance(value, float) and not math.isfinite(value):
        return "not a finite number"
    text = repr(value) if not isinstance(value, str) else repr(value[:80])
    return "nothing" if value is None else text[:100]
