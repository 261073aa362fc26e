"""Records what a formula does with numbers that are known, so that it can be done again with others.

A formula has two kinds of input: numbers that change from variant to variant (`engine.jit.trace.TracedNumber`), and
numbers that stay as they are for many variants.  The second kind may be branched on.  A
`KnownNumber` has a value and remembers how it came about; comparing it gives a plain truth, and what came of it is
remembered as a *guard*.  `Derivation` makes the numbers that the trace reads out of other known inputs: none where a
guard comes out otherwise, for then the formula would have taken another way.

Whatever would take the value out of a known number unseen, such as ``float()`` or a function of ``math``, raises
`CannotRecordError`: a number is never baked into the code by mistake.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.lib.mixins import NDArrayOperatorsMixin

from engine.base.geometry import least, most, ratio
from engine.jit.trace import CannotRecordError, Function, TracedNumber

_OF_UFUNC: dict[Function, Function] = {
    np.add: operator.add,
    np.subtract: operator.sub,
    np.multiply: operator.mul,
    np.divide: ratio,
    np.negative: operator.neg,
    np.positive: operator.pos,
    np.absolute: abs,
    np.power: operator.pow,
    np.square: lambda value: value * value,
    np.sqrt: math.sqrt,
    np.sin: math.sin,
    np.cos: math.cos,
    np.minimum: least,
    np.maximum: most,
    np.less: operator.lt,
    np.less_equal: operator.le,
    np.greater: operator.gt,
    np.greater_equal: operator.ge,
    np.equal: operator.eq,
    np.not_equal: operator.ne,
    np.isfinite: math.isfinite,
    np.isnan: math.isnan,
}
"""What a NumPy operation is on plain numbers, as the formula itself would do it."""


class KnownStep(NamedTuple):
    """``function(*inputs)`` on plain numbers and on the places of others; a guard has the truth it came out with."""

    function: Function
    inputs: tuple[Any, ...]
    came_out: bool | None = None


class Place(NamedTuple):
    """An input of a step that is a known number."""

    index: int


class KnownRecorder:
    """Holds what was done with known numbers while a formula ran."""

    def __init__(self) -> None:
        self.inputs = 0
        self.steps: list[KnownStep] = []
        self.values: list[float] = []
        """Of every place, inputs first."""
        self._recorded: dict[Any, Any] = {}

    def new_input(self, value: float) -> KnownNumber:
        """Stand-in for the next input; all inputs come before the first step."""
        if self.steps:
            raise CannotRecordError("Expected every input before the first step")
        self.inputs += 1
        return self._number(value)

    def record(self, function: Function, inputs: Sequence[Any]) -> Any:
        """Result of a function of plain and known numbers: a known number, or a plain truth that is guarded."""
        parts = tuple(Place(part.place) if type(part) is KnownNumber else part for part in inputs)
        key = (function, *map(_key, parts))
        known = self._recorded.get(key)
        if known is None:
            came_out = function(*(self.values[part.index] if type(part) is Place else part for part in parts))
            if isinstance(came_out, bool | np.bool_):
                known = bool(came_out)
                self.steps.append(KnownStep(function, parts, known))
                self.values.append(math.nan)
            else:
                self.steps.append(KnownStep(function, parts))
                known = self._number(came_out)
            self._recorded[key] = known
        return known

    def clear(self) -> None:
        """Forget every step once a derivation has been made."""
        self.steps.clear()
        self._recorded.clear()

    def _number(self, value: float) -> KnownNumber:
        self.values.append(value)
        return KnownNumber(self, len(self.values) - 1, value)


class KnownNumber(NDArrayOperatorsMixin):
    """A number that is known while a formula is recorded, and how it came about."""

    __slots__ = ("place", "recorder", "value")

    def __init__(self, recorder: KnownRecorder, place: int, value: float) -> None:
        self.recorder = recorder
        self.place = place
        self.value = value

    def __repr__(self) -> str:
        return f"k{self.place}={self.value!r}"

    def apply(self, function: Function, inputs: Sequence[Any]) -> Any:
        """A function of plain and known numbers, recorded as one step."""
        return self.recorder.record(function, inputs)

    def _binary(self, function: Function, ufunc: np.ufunc, left: Any, right: Any) -> Any:
        other = right if left is self else left
        if type(other) is KnownNumber or isinstance(other, float | int):
            return self.recorder.record(function, (left, right))
        if isinstance(other, TracedNumber):
            return other.recorder.record(ufunc, (left, right))
        return NotImplemented

    def __add__(self, other: Any) -> Any:
        return self._binary(operator.add, np.add, self, other)

    def __radd__(self, other: Any) -> Any:
        return self._binary(operator.add, np.add, other, self)

    def __sub__(self, other: Any) -> Any:
        return self._binary(operator.sub, np.subtract, self, other)

    def __rsub__(self, other: Any) -> Any:
        return self._binary(operator.sub, np.subtract, other, self)

    def __mul__(self, other: Any) -> Any:
        return self._binary(operator.mul, np.multiply, self, other)

    def __rmul__(self, other: Any) -> Any:
        return self._binary(operator.mul, np.multiply, other, self)

    def __truediv__(self, other: Any) -> Any:
        return self._binary(operator.truediv, np.divide, self, other)

    def __rtruediv__(self, other: Any) -> Any:
        return self._binary(operator.truediv, np.divide, other, self)

    def __pow__(self, other: Any) -> Any:
        return self._binary(operator.pow, np.power, self, other)

    def __abs__(self) -> Any:
        return self.recorder.record(abs, (self,))

    def __neg__(self) -> Any:
        return self.recorder.record(operator.neg, (self,))

    __iadd__, __isub__, __imul__, __itruediv__ = __add__, __sub__, __mul__, __truediv__

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, **options: Any) -> Any:
        if method != "__call__" or options:
            raise CannotRecordError(f"Expected a plain call of {ufunc.__name__}, got {method} with {sorted(options)}")
        inputs = tuple(_plain(part) for part in inputs)
        for part in inputs:
            if isinstance(part, TracedNumber):
                return part.recorder.record(ufunc, inputs)
            if isinstance(part, np.ndarray):
                raise CannotRecordError(f"Expected no array for {ufunc.__name__} of a known number")
        function = _OF_UFUNC.get(ufunc)
        if function is None:
            raise CannotRecordError(f"Expected an operation that can be done again, got {ufunc.__name__}")
        return self.recorder.record(function, inputs)

    def __array_function__(self, function: Function, types: Any, inputs: Any, options: Any) -> Any:
        if options or function is not np.where:
            raise CannotRecordError(f"Expected where or an elementwise function, got {function.__name__}")
        for part in inputs:
            if isinstance(part, TracedNumber):
                return part.recorder.record(function, inputs)
        raise CannotRecordError("Expected a condition on a value that is not known")

    def __bool__(self) -> bool:
        return self.recorder.record(operator.ne, (self, 0.0))

    def __array__(self, *_: Any, **__: Any) -> Any:
        raise CannotRecordError("Expected a formula that makes no array of a known number")

    def _taken_out(self, *_: Any) -> Any:
        raise CannotRecordError("Expected a formula that does not take the value out of a known number")

    __float__ = __int__ = __index__ = __round__ = __trunc__ = __floor__ = __ceil__ = _taken_out
    __str__ = __format__ = _taken_out

    def __hash__(self) -> int:
        return id(self)


def _key(part: Any) -> Any:
    """What makes two inputs of a step the same; the sign of zero counts."""
    return part if type(part) is Place else (type(part), part, math.copysign(1.0, part))


def _plain(part: Any) -> Any:
    return part.item() if isinstance(part, np.generic | np.ndarray) and part.ndim == 0 else part


# ---------------------------------------------------------------- doing it again


_CODE: dict[Function, str] = {
    operator.add: "{0} + {1}",
    operator.sub: "{0} - {1}",
    operator.mul: "{0} * {1}",
    operator.truediv: "{0} / {1}",
    operator.neg: "-{0}",
    operator.pow: "{0} ** {1}",
    operator.lt: "{0} < {1}",
    operator.le: "{0} <= {1}",
    operator.gt: "{0} > {1}",
    operator.ge: "{0} >= {1}",
    operator.eq: "{0} == {1}",
    operator.ne: "{0} != {1}",
}


class Derivation:
    """Numbers of a trace out of the known inputs of the same formula."""

    def __init__(self, recorder: KnownRecorder, places: Sequence[int]) -> None:
        self.places = tuple(places)
        names: dict[Any, str] = {}
        lines = []
        for place in self._needed(recorder):
            step = recorder.steps[place - recorder.inputs]
            parts = [f"v{part.index}" if type(part) is Place else _literal(part) for part in step.inputs]
            called = _CODE.get(step.function)
            if called is None:
                name = names.setdefault(step.function, f"f{len(names)}")
                called = f"{name}({', '.join(f'{{{index}}}' for index in range(len(parts)))})"
            code = called.format(*parts)
            if step.came_out is None:
                lines.append(f"    v{place} = {code}")
            else:
                lines.append(f"    if {'not ' if step.came_out else ''}({code}): return None")
        arguments = ", ".join(f"v{place}" for place in range(recorder.inputs))
        result = ", ".join(f"v{place}" for place in self.places)
        self.text = "\n".join([f"def derived({arguments}):", *lines, f"    return [{result}]"])
        found: dict[str, Any] = {name: function for function, name in names.items()} | {
            "inf": math.inf,
            "nan": math.nan,
        }
        exec(compile(self.text, "<derived numbers>", "exec"), found)  # steps only: see the module's docstring
        self._derived: Callable[..., list[float] | None] = found.pop("derived")

    def _needed(self, recorder: KnownRecorder) -> list[int]:
        """Places of the steps that a number or a guard needs, in the order they were recorded."""
        steps = list(enumerate(recorder.steps, start=recorder.inputs))
        needed = set(self.places) | {place for place, step in steps if step.came_out is not None}
        for place, step in reversed(steps):
            if place in needed:
                needed.update(part.index for part in step.inputs if type(part) is Place)
        return sorted(place for place in needed if place >= recorder.inputs)

    def of(self, inputs: Sequence[float]) -> list[float] | None:
        """The numbers at the places asked for; None where the formula takes another way with these inputs."""
        try:
            return self._derived(*inputs)
        except (ArithmeticError, ValueError):
            return None


def _literal(value: Any) -> str:
    return f"({value!r})"
