"""Formulas written down once and replayed: the same steps without the bookkeeping around them.

Doubt evaluates every limit over some sixty variants of a pose at each move of the mouse.  On arrays that small,
walking the formulas (vectors, records, texts) costs far more than the arithmetic.  So the formulas are run once on
stand-ins (`Step`) that write down each array operation; `Tape` drops what no asked-for result needs, keeps one copy
of equal steps, and can then be replayed on any numbers.  There is still one set of formulas: the tape is made from
them, and a replay is equal to them bit for bit, save that ``0 x`` of a bounded value is written as 0.

A tape holds for one structure: which parts there are, and every number that is not an input.  Formulas that branch on
a value cannot be taped; they raise `CannotTapeError` while recording and never replay wrongly.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.lib.mixins import NDArrayOperatorsMixin

Function = Callable[..., Any]


class CannotTapeError(TypeError):
    """The formulas branch on a value, or call something that cannot be written down."""


class Step(NDArrayOperatorsMixin):
    """Stand-in for a number while recording: every operation on it is written down.

    ``bounded`` is true for sums and products of inputs, sines and cosines: such a value is finite whenever the inputs
    are, so that nothing times it is nothing.
    """

    __slots__ = ("bounded", "place", "recorder")

    def __init__(self, recorder: Recorder, place: int, bounded: bool) -> None:
        self.recorder = recorder
        self.place = place
        self.bounded = bounded

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, **options: Any) -> Any:
        if method != "__call__" or options:
            raise CannotTapeError(f"Expected a plain call of {ufunc.__name__}, got {method} with {sorted(options)}")
        return self.recorder.write(ufunc, inputs)

    def __array_function__(self, function: Function, types: Any, inputs: Any, options: Any) -> Any:
        if options or function is not np.where:
            raise CannotTapeError(f"Expected where or an elementwise function, got {function.__name__}")
        return self.recorder.write(function, inputs)

    def __array__(self, *_: Any, **__: Any) -> Any:
        raise CannotTapeError("Expected formulas that make no array of a value themselves")

    def __bool__(self) -> bool:
        raise CannotTapeError("Expected formulas that do not branch on a value")

    def __float__(self) -> float:
        raise CannotTapeError("Expected formulas that do not take one value out of an array")

    __hash__ = object.__hash__


_BOUNDED = {np.add, np.subtract, np.multiply, np.negative, np.sin, np.cos, np.absolute, np.minimum, np.maximum}
"""Operations whose result is finite when what goes in is."""


class Recorder:
    """Writes steps down: equal ones once, sums with 0 and products with 0 or 1 not at all."""

    def __init__(self) -> None:
        self.inputs = 0
        self.steps: list[tuple[Function, tuple[Any, ...]]] = []
        self._seen: dict[Any, Step] = {}

    def new_input(self) -> Step:
        """Stand-in for the next input; all inputs come before the first step."""
        if self.steps:
            raise CannotTapeError("Expected every input before the first step")
        self.inputs += 1
        return Step(self, self.inputs - 1, bounded=True)

    def write(self, function: Function, inputs: tuple[Any, ...]) -> Any:
        """Result of one operation: a new step, one written before, or a plain value where that is certain."""
        short = _short_cut(function, inputs)
        if short is not None:
            return short
        key = (function, tuple(_key(part) for part in inputs))
        if key not in self._seen:
            bounded = function in _BOUNDED and all(_is_bounded(part) for part in inputs)
            self.steps.append((function, inputs))
            self._seen[key] = Step(self, self.inputs + len(self.steps) - 1, bounded)
        return self._seen[key]


def _key(part: Any) -> Any:
    """What makes two parts of a step the same; the sign of zero counts."""
    if isinstance(part, Step):
        return "step", part.place
    if isinstance(part, float | int | str):
        return type(part), part, math.copysign(1.0, part) if isinstance(part, float) else 0.0
    return "object", id(part)


def _is_bounded(part: Any) -> bool:
    return part.bounded if isinstance(part, Step) else isinstance(part, float | int) and math.isfinite(part)


def _short_cut(function: Function, inputs: tuple[Any, ...]) -> Any:
    """Result of adding 0 or multiplying by 0 or 1, where it is certain; else None."""
    if function is np.multiply:
        for plain, part in (inputs, inputs[::-1]):
            if isinstance(plain, float | int) and isinstance(part, Step):
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


class Tape:
    """Steps from inputs to results, ready to be replayed.

    Values live in numbered slots: inputs first, then results of steps, then constants.  A slot is used again once
    nothing needs what is in it, so that a replay over many poses keeps few arrays alive.
    """

    def __init__(self, recorder: Recorder, results: Sequence[Any]) -> None:
        self._inputs = recorder.inputs
        needed = _needed(recorder, results)
        slots, size = _slots(recorder, results, needed)
        self._constants: list[Any] = []
        constant_at: dict[Any, int] = {}

        def slot_of(part: Any) -> int:
            if isinstance(part, Step):
                return slots[part.place]
            if _key(part) not in constant_at:
                constant_at[_key(part)] = size + len(self._constants)
                self._constants.append(np.array(part) if isinstance(part, float | int) else part)
            return constant_at[_key(part)]

        self._steps = [
            (function, tuple(map(slot_of, parts)), slots[at])
            for at in needed
            for function, parts in [recorder.steps[at - recorder.inputs]]
        ]
        self._spare = [None] * (size - recorder.inputs)
        self._results = [slots[part.place] if isinstance(part, Step) else slot_of(part) for part in results]

    def __len__(self) -> int:
        return len(self._steps)

    def replay(self, inputs: Sequence[Any]) -> list[Any]:
        """The results for these inputs: floats or arrays that broadcast against each other."""
        if len(inputs) != self._inputs:
            raise ValueError(f"Expected {self._inputs} inputs, got {len(inputs)}")
        values = [*inputs, *self._spare, *self._constants]
        with np.errstate(all="ignore"):
            for function, parts, out in self._steps:
                if len(parts) == 2:
                    one, other = parts
                    values[out] = function(values[one], values[other])
                else:
                    values[out] = function(*[values[part] for part in parts])
        return [values[slot] for slot in self._results]


def _places(parts: Sequence[Any]) -> set[int]:
    return {part.place for part in parts if isinstance(part, Step)}


def _needed(recorder: Recorder, results: Sequence[Any]) -> list[int]:
    """Places of the steps some result needs, in the order they were written."""
    wanted = _places(results)
    for at in range(recorder.inputs + len(recorder.steps) - 1, recorder.inputs - 1, -1):
        if at in wanted:
            wanted |= _places(recorder.steps[at - recorder.inputs][1])
    return sorted(place for place in wanted if place >= recorder.inputs)


def _slots(recorder: Recorder, results: Sequence[Any], needed: list[int]) -> tuple[dict[int, int], int]:
    """Slot of each place, and how many slots there are; inputs and results keep theirs."""
    kept = _places(results) | set(range(recorder.inputs))
    last_use: dict[int, int] = {}
    for at in needed:
        for place in _places(recorder.steps[at - recorder.inputs][1]) - kept:
            last_use[place] = at
    ending: dict[int, list[int]] = {}
    for place, at in last_use.items():
        ending.setdefault(at, []).append(place)
    slots, size, free = {place: place for place in range(recorder.inputs)}, recorder.inputs, []
    for at in needed:
        free += [slots[place] for place in ending.get(at, ())]
        if free:
            slots[at] = free.pop()
        else:
            slots[at], size = size, size + 1
    return slots, size
