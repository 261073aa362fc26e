"""Formulas written down once: each operation on a number that is not known yet becomes a step.

Doubt evaluates every limit over some hundred variants of a pose at each move of the mouse, and a drag asks for the limits
themselves at every event.  On so little data, walking the formulas (vectors, records, texts) costs far more than the
arithmetic.  So the formulas are run once on stand-ins (`Operation`) that write down each operation; `engine.jit.python_code` turns
what is needed of it into plain code.  There is still one set of formulas: the steps are made from them, and replaying
is equal to them bit for bit, save that ``0 x`` of a bounded value is written as 0.

A recording holds for one structure: which parts there are, and every number that is not an input.  Formulas that branch
on a value cannot be recorded; they raise `CannotRecordError` and never replay wrongly.  A search for a root branches on
what it finds, so the search is written down as one call (`Step.write_root`), with the use it looks at as a `Body`.
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
    """The formulas branch on a value, or call something that cannot be written down."""


class Body(NamedTuple):
    """A function of one number written down: its argument and its result."""

    argument: Operation
    result: Any


class Operation(NDArrayOperatorsMixin):
    """Stand-in for a number while recording: every operation on it is written down.

    ``bounded`` is true for sums and products of inputs, sines and cosines: such a value is finite whenever the inputs
    are, so that nothing times it is nothing.
    """

    __slots__ = ("bounded", "place", "recorder")

    def __init__(self, recorder: Recorder, place: int, bounded: bool) -> None:
        self.recorder = recorder
        self.place = place
        self.bounded = bounded

    def __add__(self, other: Any) -> Any:
        return self.recorder.write(np.add, (self, other))

    def __radd__(self, other: Any) -> Any:
        return self.recorder.write(np.add, (other, self))

    def __sub__(self, other: Any) -> Any:
        return self.recorder.write(np.subtract, (self, other))

    def __rsub__(self, other: Any) -> Any:
        return self.recorder.write(np.subtract, (other, self))

    def __mul__(self, other: Any) -> Any:
        return self.recorder.write(np.multiply, (self, other))

    def __rmul__(self, other: Any) -> Any:
        return self.recorder.write(np.multiply, (other, self))

    def write_root(self, search: Function, use: Callable[[Any], Any], *inputs: Any) -> Operation:
        """``search(use, *inputs)``, with ``use`` written down as a function of its own."""
        return self.recorder.call(search, (self.recorder.body(use), *inputs))

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, **options: Any) -> Any:
        if method != "__call__" or options:
            raise CannotRecordError(f"Expected a plain call of {ufunc.__name__}, got {method} with {sorted(options)}")
        return self.recorder.write(ufunc, inputs)

    def __array_function__(self, function: Function, types: Any, inputs: Any, options: Any) -> Any:
        if options or function is not np.where:
            raise CannotRecordError(f"Expected where or an elementwise function, got {function.__name__}")
        return self.recorder.write(function, inputs)

    def __array__(self, *_: Any, **__: Any) -> Any:
        raise CannotRecordError("Expected formulas that make no array of a value themselves")

    def __bool__(self) -> bool:
        raise CannotRecordError("Expected formulas that do not branch on a value")

    def __float__(self) -> float:
        raise CannotRecordError("Expected formulas that do not take one value out of an array")

    __hash__ = object.__hash__


class Call(NamedTuple):
    """What a function that is called as it is gets: values that may hold steps at any depth."""

    inputs: tuple[Any, ...]


def ARGUMENT() -> None:
    """In place of an operation: this step is the argument of a `Body`."""


_BOUNDED = {np.add, np.subtract, np.multiply, np.negative, np.sin, np.cos, np.absolute, np.minimum, np.maximum}
"""Operations whose result is finite when what goes in is."""


class Recorder:
    """Writes steps down: equal ones once, sums with 0 and products with 0 or 1 not at all."""

    def __init__(self) -> None:
        self.inputs = 0
        self.steps: list[tuple[Function, tuple[Any, ...]]] = []
        self.uses: list[tuple[int, ...]] = []
        """For each step the places it reads."""
        self._seen: dict[Any, Operation] = {}

    def new_input(self) -> Operation:
        """Stand-in for the next input; all inputs come before the first step."""
        if self.steps:
            raise CannotRecordError("Expected every input before the first step")
        self.inputs += 1
        return Operation(self, self.inputs - 1, bounded=True)

    def clear(self) -> None:
        """Forget every step, once code is made of them: steps and recorder hold each other, and much memory."""
        self.steps.clear()
        self.uses.clear()
        self._seen.clear()

    def call(self, function: Function, inputs: tuple[Any, ...]) -> Operation:
        """A step that calls a function as it is."""
        self._add(function, (Call(inputs),))
        return Operation(self, self.inputs + len(self.steps) - 1, bounded=False)

    def body(self, function: Callable[[Any], Any]) -> Body:
        """A function of one number, written down."""
        self._add(ARGUMENT, ())
        argument = Operation(self, self.inputs + len(self.steps) - 1, bounded=True)
        return Body(argument, function(argument))

    def _add(self, function: Function, inputs: tuple[Any, ...]) -> None:
        self.steps.append((function, inputs))
        calls = bool(inputs) and isinstance(inputs[0], Call)
        parts = steps_in(inputs) if calls else inputs
        self.uses.append(tuple(part.place for part in parts if isinstance(part, Operation)))

    def write(self, function: Function, inputs: tuple[Any, ...]) -> Any:
        """Result of one operation: a new step, one written before, or a plain value where that is certain."""
        inputs = tuple(
            part.item() if isinstance(part, np.generic | np.ndarray) and part.ndim == 0 else part for part in inputs
        )
        short = _short_cut(function, inputs)
        if short is not None:
            return short
        key = (function, tuple(_key(part) for part in inputs))
        if key not in self._seen:
            bounded = function in _BOUNDED and all(_is_bounded(part) for part in inputs)
            self._add(function, inputs)
            self._seen[key] = Operation(self, self.inputs + len(self.steps) - 1, bounded)
        return self._seen[key]


def _key(part: Any) -> Any:
    """What makes two parts of a step the same; the sign of zero counts."""
    if isinstance(part, Operation):
        return "step", part.place
    if isinstance(part, float | int | str):
        return type(part), part, math.copysign(1.0, part) if isinstance(part, float) else 0.0
    return "object", id(part)


def _is_bounded(part: Any) -> bool:
    return part.bounded if isinstance(part, Operation) else isinstance(part, float | int) and math.isfinite(part)


def _short_cut(function: Function, inputs: tuple[Any, ...]) -> Any:
    """Result of adding 0 or multiplying by 0 or 1, where it is certain; else None."""
    if function is np.multiply:
        for plain, part in (inputs, inputs[::-1]):
            if isinstance(plain, float | int) and isinstance(part, Operation):
                if plain == 1.0:
                    return part
                if plain == 0.0 and part.bounded:
                    return 0.0
    if function in (np.add, np.subtract) and _is_zero(inputs[1]):
        return inputs[0]
    if function is np.add and _is_zero(inputs[0]):
        return inputs[1]
    return None


def _is_zero(part: Any) -> bool:
    return isinstance(part, float | int) and part == 0.0


def steps_in(part: Any) -> list[Operation]:
    """Every step that a value holds, at any depth."""
    if isinstance(part, Operation):
        return [part]
    if isinstance(part, float | int | str):
        return []
    if isinstance(part, msgspec.Struct):
        return [step for name in part.__struct_fields__ for step in steps_in(getattr(part, name))]
    if isinstance(part, dict):
        return [step for value in part.values() for step in steps_in(value)]
    if isinstance(part, tuple | list):
        return [step for value in part for step in steps_in(value)]
    return []


def searched(recorder: Recorder) -> set[int]:
    """Places of the steps that a search gives, and of what is worked out from those."""
    found: set[int] = set()
    for index, (_, parts) in enumerate(recorder.steps):
        if any(isinstance(part, Call) for part in parts) or found.intersection(recorder.uses[index]):
            found.add(index + recorder.inputs)
    return found


def needed(recorder: Recorder, results: Any) -> list[int]:
    """Places of the steps some result needs, in the order they were written."""
    wanted = {step.place for step in steps_in(results)}
    for at in range(recorder.inputs + len(recorder.steps) - 1, recorder.inputs - 1, -1):
        if at in wanted:
            wanted.update(recorder.uses[at - recorder.inputs])
    return sorted(place for place in wanted if place >= recorder.inputs)
