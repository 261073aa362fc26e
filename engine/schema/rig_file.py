"""Reads and writes rig files (``*.rig.json``): bytes, JSON and format version; each entry is checked in `validation`.

The model types are the one definition of the format: JSON with SI keys that carry their unit.  Unknown keys are
refused; every error gives the path inside the file, what was expected and what came.  Writing is deterministic (same
job, same bytes) and atomic (a new file beside the old one, forced to disk, then renamed): a stop at any instant leaves
either the old file or the new one, whole.
"""

from __future__ import annotations

import json
import re
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

from engine.base import whole_file
from engine.base.errors import RigFileError, readable
from engine.base.file_fault import FileFault
from engine.schema import nominals
from engine.schema.entry_fault import EntryError, MissingKey
from engine.schema.migration import migrated
from engine.schema.model import FORMAT_VERSION, Job
from engine.schema.typical_allowances import REQUIRED, with_typical
from engine.schema.validation import NOT_A_RIG, as_job, checked, shown

SUFFIX = ".rig.json"

MAX_BYTES = 2_000_000
"""A rig with every list full and every name at its longest stays under this; a larger file is not one of ours."""

MAX_DEPTH = 40
"""Deepest nesting accepted; the model's own depth is under 10."""

MAX_BRACKETS = 50_000
"""Most lists and objects accepted in one file; a rig with every list full has under 5,000."""

LONGEST_WHOLE = 18
"""Digits (with sign) of the longest whole number read as one; no entry of a rig needs more than nine."""


DAMAGED = "The file is damaged: it holds something that is no text. Open an older copy."
EMPTY = "The file is empty. Open an older copy."
DAMAGED_AT = "The file is damaged in line {line}. Open an older copy."
CUT_SHORT = "The file is cut short: it ends in line {line}, in the middle of an entry. Open an older copy."


class Opened(NamedTuple):
    """The job in a rig file, and what was changed to bring an older file up to the present format, in sentences."""

    job: Job
    changes: tuple[str, ...]


def read(path: Path | str) -> Job:
    """The job in a rig file; see `read_with_changes`."""
    return read_with_changes(path).job


def read_with_changes(path: Path | str) -> Opened:
    """The job in a rig file, brought up to the present format; the file itself is not touched.

    Raises
    ------
    RigFileError
        When the file cannot be read (then a `FileFault`), is not JSON, is of a newer format or holds anything the model
        does not allow.
    """
    path = Path(path)
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):  # a pipe would wait for ever, some devices never end
            what = "a pipe, a device or the like"
            raise RigFileError(
                str(path), "a rig file", what, plain="This is {what}. Open a rig file.", numbers={"what": what}
            )
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)  # never more, whatever the file says of its size
    except OSError as error:
        raise FileFault(path, "a rig file that can be read", error) from None
    if len(data) > MAX_BYTES:
        raise RigFileError(
            str(path),
            f"a rig file of at most {MAX_BYTES:,} bytes",
            "a larger one",
            plain="The file is too large to be a rig file.",
        )
    return decode_with_changes(data, path.name)


def decode(data: bytes, name: str = "rig file") -> Job:
    """The job in the bytes of a rig file; see `read_with_changes`."""
    return decode_with_changes(data, name).job


def decode_with_changes(data: bytes, name: str = "rig file") -> Opened:
    """The job in the bytes of a rig file; see `read_with_changes`."""
    raw = _parse(data, name)
    version = raw.get("format_version", FORMAT_VERSION)
    if isinstance(version, int | float) and not isinstance(version, bool) and version > FORMAT_VERSION:
        raise RigFileError(
            f"{name}: format_version",
            f"at most {FORMAT_VERSION}",
            shown(version),
            "The file was written by a newer Tailweight; nothing in it was changed.",
            plain="The file was written by a newer Tailweight; nothing in it was changed. Open it with that one.",
        )
    raw, changes = migrated(raw)
    said = raw.get("policy", {})
    if isinstance(said, dict):
        raw = {**raw, "policy": with_typical(said, once=False)[0]}
    for part in ("rig", "drawn"):
        if part in raw:
            raw[part] = with_walls_not_looked_at(raw[part])
    job = as_job(raw, name)
    for key, words in REQUIRED.items():
        if key not in said:
            raise EntryError(
                f"{name}: policy.{key}",
                f"a number, {words}",
                "nothing",
                ALLOWANCE_MISSING,
                path="policy",
                fault=MissingKey(key, words.partition(":")[0]),
                data=raw,
            )
    job, lost = nominals.kept_of_file(job)
    return Opened(job, (*changes, *lost))


ALLOWANCE_MISSING = "Without it every pick would look better than it is; write it, also where none is meant."

TUBES = ("rect_tube", "round_tube")


def with_walls_not_looked_at(node: Any) -> Any:
    """The same JSON values, every tube that says nothing of rust marked as not looked at."""
    if isinstance(node, list):
        return [with_walls_not_looked_at(entry) for entry in node]
    if not isinstance(node, dict):
        return node
    inside = {key: with_walls_not_looked_at(value) for key, value in node.items()}
    return {"wall_lost_m": None, **inside} if node.get("shape") in TUBES else inside


def encode(job: Job) -> bytes:
    """The bytes of a job's rig file: always the same for the same job.

    Raises
    ------
    RigFileError
        When the job holds something the format does not allow, so that what is written can always be read.
    """
    entries = msgspec.to_builtins(checked(job))
    if not entries["nominals"]:
        del entries["nominals"]  # a file in which nothing was typed stays as it is
    return msgspec.json.format(msgspec.json.encode(entries), indent=2) + b"\n"


def write(job: Job, path: Path | str) -> None:
    """Write a job; at every instant the file is either the old one or the new one, whole.

    Raises
    ------
    RigFileError
        When the job is not valid or the disk refuses (then a `FileFault`); the old file is then untouched.
    """
    data, path = encode(job), Path(path)
    try:
        whole_file.write(path, data)
    except OSError as error:
        raise FileFault(path, "a place that can be written", error, writing=True) from None


# ---------------------------------------------------------------- parsing


def _parse(data: bytes, name: str) -> dict[str, Any]:
    """Plain JSON values; duplicate keys and deep nesting are refused here.

    Numbers that are not finite are left to the model, in which every number has limits: its refusal names the place.
    """
    _check_depth(data, name)
    try:
        text = data.decode("utf-8-sig")  # some editors put a byte-order mark first
        raw = json.loads(text, object_pairs_hook=_once(name), parse_int=_whole)
    except UnicodeDecodeError as error:
        got = f"a byte that is not, at position {error.start}"
        raise RigFileError(name, "text in UTF-8", got, plain=DAMAGED) from None
    except json.JSONDecodeError as error:
        place = f"{name}, line {error.lineno}, column {error.colno}"
        is_cut_short = error.pos >= len(text.rstrip()) or error.msg.startswith("Unterminated string")
        got = "the end of the file" if error.pos >= len(data.rstrip()) else f"a fault ({error.msg})"
        raise RigFileError(
            place,
            "JSON",
            got,
            "The file is damaged or cut short.",
            plain=EMPTY if not text.strip() else CUT_SHORT if is_cut_short else DAMAGED_AT,
            numbers={"line": str(text.rstrip().count("\n") + 1 if is_cut_short else error.lineno)},
        ) from None
    except (RecursionError, ValueError) as error:
        if isinstance(error, RigFileError):
            raise
        raise RigFileError(name, "JSON", str(error), plain=DAMAGED) from None
    if not isinstance(raw, dict):
        raise RigFileError(name, "one object in curly brackets", shown(raw), plain=NOT_A_RIG)
    return raw


_TEXT = re.compile(rb'"[^"\\]*(?:\\.[^"\\]*)*(?:"|\\?\Z)', re.DOTALL)
"""A JSON text; an unclosed last one runs to the end of the file, so that every byte is scanned once."""

_BRACKET = re.compile(rb"[\[\]{}]")


def _check_depth(data: bytes, name: str) -> None:
    """Refuse, before parsing, what would take the parser too deep or too much memory."""
    depth = 0
    for count, mark in enumerate(_BRACKET.finditer(_TEXT.sub(b"", data))):
        depth += 1 if mark[0] in b"[{" else -1
        if depth > MAX_DEPTH:
            raise RigFileError(name, f"nesting no deeper than {MAX_DEPTH}", "deeper nesting", plain=NOT_A_RIG)
        if count > 2 * MAX_BRACKETS:
            raise RigFileError(name, f"at most {MAX_BRACKETS:,} lists and objects", "more", plain=NOT_A_RIG)


def _once(name: str) -> Callable[[list[tuple[str, Any]]], dict[str, Any]]:
    """Builds the objects of the file called ``name``; refuses a key given twice."""

    def build(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        entries: dict[str, Any] = {}
        for key, value in pairs:
            if key in entries:
                raise RigFileError(
                    f"{name}: {key}",
                    "every key once",
                    "the key twice in one object",
                    plain="One entry, ‘{key}’, stands in the file twice. Take one of the two out.",
                    numbers={"key": readable(key).replace("_", " ")},
                )
            entries[key] = value
        return entries

    return build


def _whole(text: str) -> int | float:
    """A whole number; one longer than any entry becomes a float, which the model refuses with its place."""
    return int(text) if len(text) <= LONGEST_WHOLE else float(text)
