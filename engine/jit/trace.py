"""Records a formula: each operation on a number that is not known yet becomes a step of a trace.

The formula runs once on stand-ins (`TracedNumber`). Each operation on one is recorded as a `Step` and gives another
stand-in. The trace holds for one structure: every number that is not an input is part of it.

Values are numbered in the order they were recorded, inputs first; that number is a value's *place*.

`Recorder` leaves out what is certain not to matter: a step recorded before, a sum with 0, a product with 1, and a
product of 0 with a value that is finite whenever the inputs are.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

import msgspec
import numpy as np
from numpy.lib.mixins import NDArrayOperatorsMixin

Function = Callable[..., Any]


class CannotRecordError(TypeError):
    """The formula branches on a value, or calls something that cannot be recorded."""


class TracedNumber(NDArrayOperatorsMixin):
    """Stands for a number while a formula is recorded; every operation on it becomes a step.

    ``bounded`` is true for sums and products of inputs, sines and cosines: such a value is finite whenever the inputs
    are, so 0 times it is 0.
    """

    __slots__ = ("bounded", "place", "recorder")

    def __init__(self, recorder: Recorder, place: int, bounded: bool) -> None:
        self.recorder = recorder
        self.place = place
        self.bounded = bounded

    def __repr__(self) -> str:
        return f"v{self.place}"

    # The most frequent operations go the short way, past NumPy's dispatch.

    def __add__(self, other: Any) -> Any:
        return self.recorder.record(np.add, (self, other))

    def __radd__(self, other: Any) -> Any:
        return self.recorder.record(np.add, (other, self))

    def __sub__(self, other: Any) -> Any:
        return self.recorder.record(np.subtract, (self, other))

    def __rsub__(self, other: Any) -> Any:
        return self.recorder.record(np.subtract, (other, self))

    def __mul__(self, other: Any) -> Any:
        return self.recorder.record(np.multiply, (self, other))

    def __rmul__(self, other: Any) -> Any:
        return self.recorder.record(np.multiply, (other, self))

    def record_call(self, function: Function, inner: Callable[[Any], Any], *inputs: Any) -> TracedNumber:
        """Record ``function(inner, *inputs)`` as one call; ``inner``, a function of one number, becomes a `Body`."""
        return self.recorder.record_call(function, (self.recorder.record_body(inner), *inputs))

    def call_of(self, function: Function) -> tuple[Any, ...] | None:
        """What ``function`` was called with, if this number is the result of its recorded call; else None."""
        if self.place < self.recorder.inputs:
            return None
        step = self.recorder.step_at(self.place)
        return step.inputs[0].values if step.is_call and step.function is function else None

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, **options: Any) -> Any:
        if method != "__call__" or options:
            raise CannotRecordError(f"Expected a plain call of {ufunc.__name__}, got {method} with {sorted(options)}")
        return self.recorder.record(ufunc, inputs)

    def __array_function__(self, function: Function, types: Any, inputs: Any, options: Any) -> Any:
        if options or function is not np.where:
            raise CannotRecordError(f"Expected where or an elementwise function, got {function.__name__}")
        return self.recorder.record(function, inputs)

    def __array__(self, *_: Any, **__: Any) -> Any:
        raise CannotRecordError("Expected a formula that makes no array of a value itself")

    def __bool__(self) -> bool:
        raise CannotRecordError("Expected a formula that does not branch on a value")

    def __float__(self) -> float:
        raise CannotRecordError("Expected a formula that does not take one value out of an array")

    def __hash__(self) -> int:
        return id(self)


class Body(NamedTuple):
    """A recorded function of one number: its argument and its result."""

    argument: TracedNumber
    result: Any


class CallInputs(NamedTuple):
    """What a called function is given; stand-ins may be at any depth."""

    values: tuple[Any, ...]


class Step(NamedTuple):
    """One operation of a trace, ``function(*inputs)``, and the places it reads.

    A call of a function as it is has one input, its `CallInputs`.
    """

    function: Function
    inputs: tuple[Any, ...]
    reads: tuple[int, ...]

    @property
    def is_call(self) -> bool:
        """Whether the function is called as it is, not translated."""
        return bool(self.inputs) and isinstance(self.inputs[0], CallInputs)


def body_argument() -> None:
    """In place of an operation: the step is the argument of a `Body`."""


_KEEP_FINITE = {np.add, np.subtract, np.multiply, np.negative, np.sin, np.cos, np.absolute, np.minimum, np.maximum}
"""Operations whose result is finite when their inputs are."""


class Recorder:
    """Holds a trace while its formula runs."""

    def __init__(self) -> None:
        self.inputs = 0
        self.steps: list[Step] = []
        self._recorded: dict[Any, TracedNumber] = {}

    def __str__(self) -> str:
        """The trace, a line for each step."""
        places = range(self.inputs, self.inputs + len(self.steps))
        return "\n".join(
            f"v{place} = {step.function.__name__}({', '.join(map(repr, step.inputs))})"
            for place, step in zip(places, self.steps, strict=True)
        )

    def new_input(self) -> TracedNumber:
        """Stand-in for the next input; all inputs come before the first step."""
        if self.steps:
            raise CannotRecordError("Expected every input before the first step")
        self.inputs += 1
        return TracedNumber(self, self.inputs - 1, bounded=True)

    def step_at(self, place: int) -> Step:
        """The step with that place."""
        return self.steps[place - self.inputs]

    def clear(self) -> None:
        """Forget every step once code has been made: steps and recorder hold each other, and much memory."""
        self.steps.clear()
        self._recorded.clear()

    def record(self, function: Function, inputs: tuple[Any, ...]) -> Any:
        """Result of one operation: a new step, one recorded before, or a plain value where that is certain."""
        parts: list[Any] = []
        key: list[Any] = [function]
        reads: list[int] = []
        bounded = True
        for part in inputs:
            if type(part) is TracedNumber:  # by far the most frequent
                key.append(part.place)
                reads.append(part.place)
                bounded = bounded and part.bounded
            elif hasattr(part, "apply"):
                key.append(("known", part.place))
                bounded = bounded and part.apply(math.isfinite, (part,))
            else:
                if isinstance(part, np.generic | np.ndarray) and part.ndim == 0:
                    part = part.item()  # noqa: PLW2901
                key.append(_key(part))
                bounded = bounded and isinstance(part, float | int) and math.isfinite(part)
            parts.append(part)
        if len(reads) < len(parts):
            certain = _certain_result(function, parts)
            if certain is not None:
                return certain
        same = tuple(key)
        known = self._recorded.get(same)
        if known is None:
            step = Step(function, tuple(parts), tuple(reads))
            known = self._recorded[same] = self._append(step, bounded and function in _KEEP_FINITE)
        return known

    def record_call(self, function: Function, values: tuple[Any, ...]) -> TracedNumber:
        """Result of a function that is called as it is."""
        reads = tuple(number.place for number in traced_numbers_in(values))
        return self._append(Step(function, (CallInputs(values),), reads), bounded=False)

    def record_body(self, function: Callable[[Any], Any]) -> Body:
        """A function of one number, recorded."""
        argument = self._append(Step(body_argument, (), ()), bounded=True)
        return Body(argument, function(argument))

    def _append(self, step: Step, bounded: bool) -> TracedNumber:
        self.steps.append(step)
        return TracedNumber(self, self.inputs + len(self.steps) - 1, bounded)


def _key(part: Any) -> Any:
    """What makes two plain inputs of a step the same; the sign of zero counts."""
    if isinstance(part, float | int | str):
        return type(part), part, math.copysign(1.0, part) if isinstance(part, float) else 0.0
    return "object", id(part)


def _certain_result(function: Function, inputs: list[Any]) -> Any:
    """Result of adding 0 or multiplying by 0 or 1, where it is certain; else None."""
    if function is np.multiply:
        for plain, part in (inputs, inputs[::-1]):
            if isinstance(part, TracedNumber) and not isinstance(plain, TracedNumber):
                if isinstance(plain, float | int) and plain == 1.0:
                    return part
                if _is_zero(plain) and part.bounded:
                    return 0.0
    if function in (np.add, np.subtract) and _is_zero(inputs[1]):
        return inputs[0]
    if function is np.add and _is_zero(inputs[0]):
        return inputs[1]
    return None


def _is_zero(part: Any) -> bool:
    """Whether a part is 0; of a known number only if it is a switch, and then this becomes a guard.

    Any other may well be 0 this time and not the next.
    """
    return (isinstance(part, float | int) or getattr(part, "is_switch", False)) and bool(part == 0.0)


# ---------------------------------------------------------------- questions about a trace


def traced_numbers_in(value: Any) -> list[TracedNumber]:
    """Every stand-in that a value holds, at any depth of records, tuples, lists and dicts."""
    if isinstance(value, TracedNumber):
        return [value]
    if isinstance(value, float | int | str):
        return []
    if isinstance(value, msgspec.Struct):
        return [number for name in value.__struct_fields__ for number in traced_numbers_in(getattr(value, name))]
    if isinstance(value, dict):
        return [number for part in value.values() for number in traced_numbers_in(part)]
    if isinstance(value, tuple | list):
        return [number for part in value for number in traced_numbers_in(part)]
    return []


def places_after_calls(recorder: Recorder) -> set[int]:
    """Places of the steps that call a function as it is, and of those that read them, directly or not."""
    places: set[int] = set()
    for place, step in enumerate(recorder.steps, start=recorder.inputs):
        if step.is_call or places.intersection(step.reads):
            places.add(place)
    return places


def places_needed(recorder: Recorder, results: Any) -> list[int]:
    """Places of the steps that some result needs, in the order they were recorded."""
    needed = {number.place for number in traced_numbers_in(results)}
    for place in range(recorder.inputs + len(recorder.steps) - 1, recorder.inputs - 1, -1):
        if place in needed:
            needed.update(recorder.step_at(place).reads)
    return sorted(place for place in needed if place >= recorder.inputs)
