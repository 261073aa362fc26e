"""The gate every job passes: the model's limits checked, each fault told for a person."""

from __future__ import annotations

import math
import re
from typing import Any

import msgspec

from engine.errors import RigFileError
from engine.model import Job


_AT = re.compile(r"^(?P<words>.*?)(?: - at `(?P<path>[^`]*)`)?$", re.DOTALL)


def checked(job: Job, name: str = "rig") -> Job:
    """The same job, its every entry checked against the model's limits.

    Values built in code are not checked by the types themselves; edits and saving pass through here.

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
        found = _AT.match(str(error))
        path = (found["path"] or "$").removeprefix("$").lstrip(".")
        words = found["words"]
        where = f"{name}: {path}" if path else name
        raise _told(where, words, _look_up(raw, path)) from None
    except (RecursionError, OverflowError) as error:
        raise RigFileError(name, "a rig file", str(error)) from None


def _told(where: str, words: str, value: Any) -> RigFileError:
    if words.startswith("Object contains unknown field"):
        return RigFileError(where, "only known keys", f"the unknown key {words.split('`')[1]!r}")
    if words.startswith("Object missing required field"):
        return RigFileError(where, f"the key {words.split('`')[1]!r}", "no such key")
    if ": Expected " in words:
        inner, words = words.split(": ", 1)
        where = f"{where}: {inner}" if where.endswith(".json") or ":" not in where else f"{where}.{inner}"
    if words.startswith("Expected ") and ", got " in words and not words.startswith("Expected `"):
        expected, got = words.removeprefix("Expected ").rsplit(", got ", 1)
        return RigFileError(where, expected, got)
    if words.startswith("Expected "):
        return RigFileError(where, words.removeprefix("Expected ").split(", got ")[0].replace("`", ""), shown(value))
    return RigFileError(where, "a rig that can be", words)


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
