"""One recording for every job of one structure: its truck, rig, load, policy and approval but for their numbers.

A recording (`engine.jit`) takes a second; a job's numbers change with every drag of a size.  So formulas are recorded
on a job whose numbers are stand-ins (`engine.jit.known`), and the recording serves every job that has the same parts,
names and choices and takes the same way through the formulas.  What differs is worked out for each job anew: some
hundred numbers, in less than a millisecond.
"""

from __future__ import annotations

import copy
import functools
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import Any, NamedTuple, Protocol

import msgspec

from engine.base import plain_call
from engine.base.identity import IdentityKey
from engine.jit.known import Derivation, KnownRecorder
from engine.schema.model import Job
from engine.worst_case import recording_files

PARTS = ("truck", "rig", "load", "policy", "approval")
"""What of a job the limits depend on, besides the figures of a pose."""


class Function(Protocol):
    """A recorded function that other known numbers can be put into."""

    @property
    def known(self) -> Any:
        """Places of the known numbers it reads."""
        ...

    def with_known(self, numbers: Mapping[int, float]) -> Any:
        """The same code with other known numbers, by their places."""
        ...


class Recording(NamedTuple):
    """Functions recorded together, what else came out of recording them, and what makes their known numbers.

    ``quick`` is whether the code was made in haste and runs slower than it might.
    """

    functions: tuple[Function, ...]
    besides: Any
    derivation: Derivation
    quick: bool

    def of(self, numbers: Sequence[float]) -> tuple[Any, ...] | None:
        """The functions of a job with these numbers; None where it takes another way through the formulas."""
        derived = self.derivation.of(numbers)
        if derived is None:
            return None
        known = dict(zip(self.derivation.places, derived, strict=True))
        return tuple(function.with_known(known) for function in self.functions)


KEPT_AT_MOST = 24
"""Recordings kept: those asked for last.  Each holds some megabytes."""


class Walks:
    """How often formulas were walked since they were last recorded, an array counted by its length."""

    count = 0.0


WALKED_AT_MOST = 64
"""Structures whose walks are counted: those walked last."""


class Kept:
    """Recordings by structure and by what was recorded, several where formulas take several ways.

    ``in_files`` is whether they are kept in files too, for other processes and later runs.
    """

    def __init__(self, in_files: bool = True) -> None:
        self._in_files = in_files
        self._recordings: OrderedDict[tuple[Hashable, int], Recording] = OrderedDict()
        self._missed: set[Hashable] = set()
        """Structures looked for in files and not found, so that a drag does not look for them at every frame."""
        self._walks: OrderedDict[Hashable, Walks] = OrderedDict()
        self._count = 0
        self._lock = threading.Lock()

    def find(self, key: Hashable, numbers: Sequence[float]) -> tuple[Recording, tuple[Any, ...]] | None:
        """A recording of a structure that serves these numbers, and its functions: well made ones first."""
        with self._lock:
            rivals = [(at, one) for at, one in reversed(self._recordings.items()) if at[0] == key]
        for at, recording in sorted(rivals, key=lambda rival: rival[1].quick):
            functions = recording.of(numbers)
            if functions is not None:
                with self._lock:
                    if at in self._recordings:
                        self._recordings.move_to_end(at)
                return recording, functions
        return None

    def read(self, key: Hashable, numbers: Sequence[float], quick: bool) -> tuple[Recording, tuple[Any, ...]] | None:
        """The same out of a file; one made quickly only if ``quick``."""
        found = recording_files.find(key, numbers, quick) if self._in_files else None
        if found is None:
            self._missed.add(key)
            return None
        recording = Recording(*found)
        functions = recording.of(numbers)
        if functions is None:
            return None
        self._keep(key, recording)
        return recording, functions

    def read_once(self, key: Hashable, numbers: Sequence[float]) -> tuple[Recording, tuple[Any, ...]] | None:
        """The same, of either make; None at once where the structure was not found before."""
        return None if key in self._missed else self.read(key, numbers, quick=True)

    def keep(self, key: Hashable, recording: Recording) -> None:
        """Keep a recording, in a file too."""
        if self._in_files:
            recording_files.keep(key, *recording)
        self._keep(key, recording)

    def _keep(self, key: Hashable, recording: Recording) -> None:
        """Put a recording beside the others; the one unused for longest goes where there are too many."""
        with self._lock:
            self._count += 1
            self._missed.discard(key)
            self._recordings[key, self._count] = recording
            while len(self._recordings) > KEPT_AT_MOST:
                self._recordings.popitem(last=False)

    def walks_of(self, key: Hashable) -> Walks:
        """The count of a structure's walks; the same for all who ask."""
        with self._lock:
            walks = self._walks.setdefault(key, Walks())
            self._walks.move_to_end(key)
            while len(self._walks) > WALKED_AT_MOST:
                self._walks.popitem(last=False)
            return walks

    def forget(self) -> None:
        """Drop all."""
        with self._lock:
            self._walks.clear()
            self._recordings.clear()
            self._missed.clear()


_kept = Kept()


def forget_recordings() -> None:
    """As after a start: for tests and benchmarks."""
    _kept.forget()


Made = tuple[tuple[Function, ...], Any]
"""Functions, and what else came out of recording them."""


class Structure:
    """The structure of one job with some arms fitted, and its numbers."""

    def __init__(self, job: Job, fitted: Hashable) -> None:
        self.job = job
        shapes = [_shape_of(IdentityKey(getattr(job, name))) for name in PARTS]
        self._key = (fitted, tuple(shape.key for shape in shapes))
        self._numbers = [number for shape in shapes for number in shape.numbers]

    @property
    def walks(self) -> Walks:
        """How often its formulas were walked, for whatever numbers."""
        return _kept.walks_of(self._key)

    def found(self, name: str) -> tuple[Any, tuple[Any, ...]] | None:
        """What came out of a recording of that name, and its functions for this job, where there is one."""
        key = name, self._key
        found = _kept.find(key, self._numbers) or _kept.read_once(key, self._numbers)
        return None if found is None else (found[0].besides, found[1])

    def recorded(self, name: str, record: Callable[[Job], Made], quick: bool) -> tuple[Any, tuple[Any, ...]]:
        """The same, recorded now where there is none as good.

        ``record`` is given the job with stand-ins for its numbers.

        Raises
        ------
        CannotRecordError
        """
        found = _kept.find((name, self._key), self._numbers)
        if found is None or (found[0].quick and not quick):
            found = _kept.read((name, self._key), self._numbers, quick)
        if found is not None:
            return found[0].besides, found[1]
        recorder = KnownRecorder()
        with plain_call.recording():
            functions, besides = record(_with_stand_ins(self.job, recorder))
        places = sorted({place for function in functions for place in function.known})
        recording = Recording(functions, besides, Derivation(recorder, places), quick)
        recorder.clear()
        _kept.keep((name, self._key), recording)
        return besides, functions


# ---------------------------------------------------------------- structure and numbers


class _Shape(NamedTuple):
    """What a part is but for its numbers, and these in the order they stand in it."""

    key: tuple[Any, ...]
    numbers: tuple[float, ...]


@functools.lru_cache(maxsize=64)
def _shape_of(same: IdentityKey[Any]) -> _Shape:
    """Shape of a part of a job; the parts of a rig by themselves, as an edit of one leaves the others as they are."""
    (part,) = same.parts
    if not isinstance(part, msgspec.Struct):
        return _Shape((type(part), part), ())
    shapes = [_part_shape(IdentityKey(getattr(part, name))) for name in part.__struct_fields__]
    return _Shape(
        (type(part), *(shape.key for shape in shapes)), tuple(number for shape in shapes for number in shape.numbers)
    )


@functools.lru_cache(maxsize=256)
def _part_shape(same: IdentityKey[Any]) -> _Shape:
    (part,) = same.parts
    key: list[Any] = []
    numbers: list[float] = []
    _walk(part, key, numbers)
    return _Shape(tuple(key), tuple(numbers))


def _walk(part: Any, key: list[Any], numbers: list[float]) -> None:
    """Add a part's structure and numbers; in the order in which `_stand_in` meets them."""
    kind = type(part)
    if kind is float:
        numbers.append(part)
        key.append(float)
    elif isinstance(part, msgspec.Struct):
        key.append(kind)
        for name in part.__struct_fields__:
            _walk(getattr(part, name), key, numbers)
    elif isinstance(part, tuple):
        key += (kind, len(part))
        for one in part:
            _walk(one, key, numbers)
    else:
        key += (kind, part)


def _with_stand_ins(job: Job, recorder: KnownRecorder) -> Job:
    """The job with a stand-in for every number of its parts."""
    return _replaced(job, {name: _stand_in(getattr(job, name), recorder, name == "policy") for name in PARTS})


def _stand_in(part: Any, recorder: KnownRecorder, is_switch: bool) -> Any:
    """A part with stand-ins; a rule of the policy is switched off by a zero."""
    if type(part) is float:
        return recorder.new_input(part, is_switch=is_switch)
    if isinstance(part, msgspec.Struct):
        fields = {name: _stand_in(getattr(part, name), recorder, is_switch) for name in part.__struct_fields__}
        return _replaced(part, fields)
    if isinstance(part, tuple):
        parts = [_stand_in(one, recorder, is_switch) for one in part]
        return type(part)(*parts) if hasattr(part, "_fields") else tuple(parts)
    return part


def _replaced(part: Any, fields: Mapping[str, Any]) -> Any:
    """A copy with other fields, past the checks of its type: stand-ins are no entries."""
    new = copy.copy(part)
    for name, value in fields.items():
        msgspec.structs.force_setattr(new, name, value)
    return new
