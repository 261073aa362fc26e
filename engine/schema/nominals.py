"""Names of entered lengths: what was typed, with its unit, kept beside the number (``Job.nominals``).

A size is what somebody chose, 20 mm or 5/16 in; in the other units it is only near a number that reads well.  So a
paper prints the name first.  A name counts while it reads as the stored value; it never counts against the number.
A length without one is named by its value: in the unit most of the rig's lengths were entered in, where it is round
in that, else in the other, where it is round there, else in the first in decimals.

Which unit that is follows from the lengths alone, and from the units shown only where they do not tell: what is shown
is a person's choice, and must not change what a size is called.
"""

from __future__ import annotations

import functools
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

import msgspec

from engine.base import typed
from engine.base.formatting import System, exact_size, is_round
from engine.base.identity import IdentityKey
from engine.schema.model import Job

PARTS = ("rig", "truck", "load")
"""What of a job has lengths with names."""

SAME_SIZE_M = 1e-9
"""How near two lengths are the same size: what two ways of adding up leave."""

LEFT_OUT = (
    "The file keeps sizes as they were typed. {count} of these no longer fit their entries and were left out: {names}. "
    "The entries themselves count, as they are in the file."
)
SAID_AT_MOST = 3


def lengths_of(job: Job) -> Mapping[str, float]:
    """Every length of rig, truck and load that is entered (m), by its path as errors write it."""
    return _lengths(IdentityKey(job.rig, job.truck, job.load))


@functools.lru_cache(maxsize=8)
def _lengths(same: IdentityKey[Any, Any, Any]) -> Mapping[str, float]:
    return {
        path: value_m
        for name, part in zip(PARTS, same.parts, strict=True)
        for path, value_m in _walk(part, name, is_length=False)
    }


def _walk(node: Any, path: str, *, is_length: bool) -> Iterator[tuple[str, float]]:
    if isinstance(node, msgspec.Struct):
        for name in node.__struct_fields__:
            of_length = name.endswith("_m") or (is_length and name in ("best", "low", "high"))
            yield from _walk(getattr(node, name), f"{path}.{name}", is_length=of_length)
    elif isinstance(node, tuple):
        for index, entry in enumerate(node):
            yield from _walk(entry, f"{path}[{index}]", is_length=is_length)
    elif is_length and isinstance(node, float):
        yield path, node


# ---------------------------------------------------------------- names


def entered_name(job: Job, path: str) -> str:
    """What was typed at a path, with its unit; empty where nothing was, or the entry is another since."""
    name = job.nominals.get(path, "")
    return _read(name, _length_at(job, path)) if name else ""


def _length_at(job: Job, path: str) -> float | None:
    """The length at one path (m), as `lengths_of` has it: a field asks in every frame of a drag."""
    node: Any = job
    key = ""
    for name, index in _STEPS.findall(path):
        if index:
            node = node[int(index)] if isinstance(node, tuple) and int(index) < len(node) else None
        elif node is job and name not in PARTS:
            return None
        else:
            node = getattr(node, name) if name in getattr(node, "__struct_fields__", ()) else None
            key = key if name in ("best", "low", "high") else name
    return node if key.endswith("_m") and isinstance(node, float) else None


_STEPS = re.compile(r"([^.\[\]]+)|\[(\d{1,4})\]")


def _read(name: str, value_m: float | None) -> str:
    """A name in the program's own spelling; empty where it does not read as the value."""
    read_m = typed.named_length_m(name) if name and value_m is not None else None
    if read_m is None or value_m is None or abs(read_m - value_m) > typed.SAME_LENGTH_M:
        return ""
    return typed.length_name(name, "length", "metric", value_m)


def nominal_text(job: Job, path: str) -> str:
    """What the length at a path is called: as typed, else by its value; empty where no length stands there."""
    value_m = lengths_of(job).get(path)
    if value_m is None:
        return ""
    return entered_name(job, path) or name_by_value(value_m, design_unit(job))


def name_by_value(value_m: float, design: System) -> str:
    """What a length is called that nobody gave a name: see the module."""
    other: System = "us" if design == "metric" else "metric"
    unit = other if is_round(value_m, other) and not is_round(value_m, design) else design
    return exact_size(value_m, unit)


def design_unit(job: Job) -> System:
    """The system most of the rig's lengths were entered in; the one shown where as many were in either."""
    return _design(IdentityKey(job.rig, job.nominals), job.units)


@functools.lru_cache(maxsize=8)
def _design(same: IdentityKey[Any, Any], shown: System) -> System:
    rig, names = same.parts
    votes: Counter[System] = Counter()
    for path, value_m in _walk(rig, "rig", is_length=False):
        if name := _read(names.get(path, ""), value_m):
            votes[typed.system_of_name(name)] += 1
        elif is_round(value_m, "metric") != is_round(value_m, "us"):
            votes["metric" if is_round(value_m, "metric") else "us"] += 1
    if votes["metric"] == votes["us"]:
        return shown
    return "metric" if votes["metric"] > votes["us"] else "us"


class SizeNames(NamedTuple):
    """What sizes are called, asked by value: papers take their sizes from parts that no longer know their paths."""

    design: System
    entered: tuple[tuple[float, str], ...]
    """Every length that is entered (m) with its name: the design's unit first, then the rig before the truck."""

    def entered_as(self, value_m: float) -> str:
        """Name of an entered length of this size; empty where there is none."""
        return next((name for size_m, name in self.entered if abs(size_m - value_m) <= SAME_SIZE_M), "")


def size_names(job: Job) -> SizeNames:
    """Names of a job's sizes.  Where one size was typed in two ways, the design's unit goes first, then the rig's."""
    return _size_names(IdentityKey(job))


@functools.lru_cache(maxsize=4)
def _size_names(same: IdentityKey[Job]) -> SizeNames:
    (job,) = same.parts
    design = design_unit(job)
    names = [
        (value_m, entered_name(job, path) or name_by_value(value_m, design))
        for path, value_m in lengths_of(job).items()
        if abs(value_m) > SAME_SIZE_M
    ]
    return SizeNames(design, tuple(sorted(names, key=lambda name: typed.system_of_name(name[1]) != design)))


# ---------------------------------------------------------------- keeping them


def with_name(before: Job, after: Job, path: str, name: str) -> Job:
    """The job after an edit of one entry, with what was typed there; an edit by another way takes the name out.

    Typing a size again by the name it has already changes nothing.

    Parameters
    ----------
    before, after : Job
        Without and with the edit.
    path : str
        Of the entry; that of a number with how it is known may stand for its best value.
    name : str
        From `engine.base.typed.length_name`; empty for a drag or a step.
    """
    lengths_m = lengths_of(after)
    path = path if path in lengths_m else f"{path}.best"
    if path not in lengths_m:
        return after
    if not name:
        return _with_names(after, {key: one for key, one in after.nominals.items() if key != path})
    if lengths_of(before).get(path) == lengths_m[path] and nominal_text(before, path) == name:
        return after
    return _with_names(after, {**after.nominals, path: name}) if _read(name, lengths_m[path]) else after


def kept(job: Job) -> Job:
    """The job without names that no longer read as their entries; the very same job where all do."""
    if not job.nominals:
        return job
    return _with_names(job, {path: name for path, name in job.nominals.items() if entered_name(job, path)})


def kept_of_file(job: Job) -> tuple[Job, tuple[str, ...]]:
    """The job of a file without such names, and a sentence about them."""
    fits = kept(job)
    lost = [f"“{typed.cleaned(name)}”" for path, name in job.nominals.items() if path not in fits.nominals]
    if not lost:
        return job, ()
    more = [f"{len(lost) - SAID_AT_MOST} more"] if len(lost) > SAID_AT_MOST else []
    return fits, (LEFT_OUT.format(count=len(lost), names=", ".join([*lost[:SAID_AT_MOST], *more])),)


def with_arm_copied(names: Mapping[str, str], start: int) -> dict[str, str]:
    """Names with those of one arm given to the next one too."""
    copies = {_at_arm(path, start + 1): name for path, name in names.items() if _arm_of(path) == start}
    return {**names, **copies}


def without_arm(names: Mapping[str, str], index: int) -> dict[str, str]:
    """Names without those of an arm that is taken away; those of the arms beyond it move up with them."""
    moved: dict[str, str] = {}
    for path, name in names.items():
        arm = _arm_of(path)
        if arm != index:
            moved[_at_arm(path, arm - 1) if arm is not None and arm > index else path] = name
    return moved


_OF_ARM = re.compile(r"^rig\.arms\[(\d+)\]")


def _arm_of(path: str) -> int | None:
    found = _OF_ARM.match(path)
    return int(found[1]) if found else None


def _at_arm(path: str, index: int) -> str:
    return _OF_ARM.sub(f"rig.arms[{index}]", path)


def _with_names(job: Job, names: dict[str, str]) -> Job:
    return job if names == job.nominals else msgspec.structs.replace(job, nominals=names)
