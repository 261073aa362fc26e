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

import copy
import math
import operator
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np
from numpy.lib.mixins import NDArrayOperatorsMixin

from engine.base.geometry import least, most, ratio
from engine.jit.plain_code import NamedObjects, PlainCode
from engine.jit.trace import CannotRecordError, Function, TracedNumber


def _squared(value: Any) -> Any:
    return value * value


_OF_UFUNC: dict[Function, Function] = {
    np.add: operator.add,
    np.subtract: operator.sub,
    np.multiply: operator.mul,
    np.divide: ratio,
    np.negative: operator.neg,
    np.positive: operator.pos,
    np.absolute: abs,
    np.power: operator.pow,
    np.square: _squared,
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


class Call(NamedTuple):
    """A function called as it is; stand-ins are at any depth of what it is given (`engine.base.plain_call`)."""

    function: Function
    given: tuple[Any, ...]
    named: dict[str, Any]


class Leaf(NamedTuple):
    """A number in the result of a call: code that takes it out."""

    path: str


class Same(NamedTuple):
    """A guard on something else in the result of a call: it must be as it was, or of the type it was."""

    path: str
    wanted: Any
    is_type: bool = False


class KnownStep(NamedTuple):
    """``function(*inputs)`` on plain numbers and on the places of others; a guard has the truth it came out with."""

    function: Function | Call | Leaf | Same
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
        self._called: dict[Any, tuple[Any, Any]] = {}

    def new_input(self, value: float, *, is_switch: bool = False) -> KnownNumber:
        """Stand-in for the next input; all inputs come before the first step.

        A switch is a number that leaves something out where it is 0: a recording with it at 0 is not for others.
        """
        if self.steps:
            raise CannotRecordError("Expected every input before the first step")
        self.inputs += 1
        number = self._number(value)
        number.is_switch = is_switch
        return number

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

    def call(self, function: Function, given: tuple[Any, ...], named: dict[str, Any]) -> Any:
        """Result of a function called as it is, once with the same; its numbers are known numbers."""
        key = function, _tree_key(given), _tree_key(named)
        if key not in self._called:
            result = function(*_with_values(given), **_with_values(named))
            reads = tuple(dict.fromkeys(Place(number.place) for number in _known_numbers_in((given, named))))
            self.steps.append(KnownStep(Call(function, given, named), reads))
            self.values.append(math.nan)
            self._called[key] = self._taken_apart(result, Place(len(self.values) - 1), ""), (given, named)
        return self._called[key][0]

    def _taken_apart(self, node: Any, source: Place, path: str) -> Any:
        """A call's result with known numbers for its numbers; the rest of it becomes guards."""
        if isinstance(node, float):
            self.steps.append(KnownStep(Leaf(path), (source,)))
            return self._number(float(node))
        if isinstance(node, msgspec.Struct):
            self._guard(Same(path, type(node), is_type=True), source)
            new = copy.copy(node)  # past the checks of its type: stand-ins are no entries
            for name in node.__struct_fields__:
                part = self._taken_apart(getattr(node, name), source, f"{path}.{name}")
                msgspec.structs.force_setattr(new, name, part)
            return new
        if isinstance(node, tuple):
            self._guard(Same(path, type(node), is_type=True), source)
            self._guard(Same(f"{path}.__len__()", len(node)), source)
            parts = [self._taken_apart(part, source, f"{path}[{index}]") for index, part in enumerate(node)]
            return tuple.__new__(type(node), parts)
        if isinstance(node, dict):
            self._guard(Same(f"{path}.keys()", set(node)), source)
            return {name: self._taken_apart(part, source, f"{path}[{name!r}]") for name, part in node.items()}
        self._guard(Same(path, node), source)
        return node

    def _guard(self, same: Same, source: Place) -> None:
        self.steps.append(KnownStep(same, (source,), came_out=True))
        self.values.append(math.nan)

    def clear(self) -> None:
        """Forget every step once a derivation has been made."""
        self.steps.clear()
        self._recorded.clear()
        self._called.clear()

    def _number(self, value: float) -> KnownNumber:
        self.values.append(value)
        return KnownNumber(self, len(self.values) - 1, value)


class KnownNumber(NDArrayOperatorsMixin):
    """A number that is known while a formula is recorded, and how it came about."""

    __slots__ = ("is_switch", "place", "recorder", "value")

    def __init__(self, recorder: KnownRecorder, place: int, value: float) -> None:
        self.recorder = recorder
        self.place = place
        self.value = value
        self.is_switch = False

    def __repr__(self) -> str:
        return f"k{self.place}={self.value!r}"

    def call(self, function: Function, given: tuple[Any, ...], named: dict[str, Any]) -> Any:
        """A function called as it is, recorded as one step (`engine.base.plain_call`)."""
        return self.recorder.call(function, given, named)

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


def _with_values(node: Any) -> Any:
    """What a function is given, with its numbers themselves."""
    return _rebuilt(node, lambda number: number.value)


def _rebuilt(node: Any, of_number: Callable[[KnownNumber], Any]) -> Any:
    """A value with something else for its known numbers; the value itself where it has none."""
    if type(node) is KnownNumber:
        return of_number(node)
    if isinstance(node, TracedNumber):
        raise CannotRecordError("Expected a call of numbers that are known")
    if isinstance(node, msgspec.Struct):
        parts = {name: getattr(node, name) for name in node.__struct_fields__}
        made = {name: _rebuilt(part, of_number) for name, part in parts.items()}
        changed = {name: part for name, part in made.items() if part is not parts[name]}
        return node if not changed else msgspec.structs.replace(node, **changed)
    if isinstance(node, dict):
        return {name: _rebuilt(part, of_number) for name, part in node.items()}
    if isinstance(node, tuple):
        new = [_rebuilt(part, of_number) for part in node]
        same = all(one is other for one, other in zip(new, node, strict=True))
        return node if same else tuple.__new__(type(node), new)
    return node


def _known_numbers_in(node: Any) -> list[KnownNumber]:
    found: list[KnownNumber] = []
    _rebuilt(node, lambda number: found.append(number) or number)
    return found


def _tree_key(node: Any) -> Any:
    """What makes two values given to a call the same."""
    if type(node) is KnownNumber:
        return Place(node.place)
    if isinstance(node, msgspec.Struct):
        return (type(node), *(_tree_key(getattr(node, name)) for name in node.__struct_fields__))
    if isinstance(node, tuple):
        return (type(node), *map(_tree_key, node))
    if isinstance(node, dict):
        return (dict, *((name, _tree_key(part)) for name, part in node.items()))
    return _key(node) if isinstance(node, float) else (type(node), node)


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


_FIXED_NAMES: dict[str, Any] = {"inf": math.inf, "nan": math.nan, "new": tuple.__new__}


class _Writer:
    """Writes the code of a derivation, step by step."""

    def __init__(self, recorder: KnownRecorder) -> None:
        self._recorder = recorder
        self.objects = NamedObjects()
        self.lines: list[str] = []
        self._made: dict[int, str] = {}
        """Names of records that calls are given, by what they were made of."""

    def write(self, place: int) -> None:
        """The line of one step, and what it needs before it."""
        step = self._recorder.steps[place - self._recorder.inputs]
        match step.function:
            case Call(function, given, named):
                code = [self._value(part) for part in given]
                code += [f"{name}={self._value(part)}" for name, part in named.items()]
                self._line(f"v{place} = {self.objects.name_of(function)}({', '.join(code)})")
            case Leaf(path):
                self._line(f"v{place} = v{step.inputs[0].index}{path}")
            case Same(path, wanted, is_type):
                found, name = f"v{step.inputs[0].index}{path}", self.objects.name_of(wanted)
                self._line(f"if {f'type({found}) is not' if is_type else f'{found} !='} {name}: return None")
            case function:
                code = self._called(function, step.inputs)
                if step.came_out is None:
                    self._line(f"v{place} = {code}")
                else:
                    self._line(f"if {'not ' if step.came_out else ''}({code}): return None")

    def _line(self, code: str) -> None:
        self.lines.append(f"    {code}")

    def _called(self, function: Function, inputs: Sequence[Any]) -> str:
        parts = [f"v{part.index}" if type(part) is Place else _literal(part) for part in inputs]
        code = _CODE.get(function)
        if code is None:
            return f"{self.objects.name_of(function)}({', '.join(parts)})"
        return code.format(*parts)

    def _value(self, node: Any) -> str:
        """Code of a value that a call is given; a record is made once, however many calls it is given to."""
        if type(node) is KnownNumber:
            return f"v{node.place}"
        if not _known_numbers_in(node):
            return self.objects.name_of(node)
        if isinstance(node, msgspec.Struct):
            if id(node) not in self._made:
                fields = ", ".join(f"{name}={self._value(getattr(node, name))}" for name in node.__struct_fields__)
                self._made[id(node)] = f"s{len(self._made)}"
                self._line(f"{self._made[id(node)]} = {self.objects.name_of(type(node))}({fields})")
            return self._made[id(node)]
        parts = ", ".join(map(self._value, node))
        return f"new({self.objects.name_of(type(node))}, ({parts},))"


class Derivation:
    """Numbers of a trace out of the known inputs of the same formula."""

    def __init__(self, recorder: KnownRecorder, places: Sequence[int]) -> None:
        self.places = tuple(places)
        writer = _Writer(recorder)
        for place in self._needed(recorder):
            writer.write(place)
        arguments = ", ".join(f"v{place}" for place in range(recorder.inputs))
        result = ", ".join(f"v{place}" for place in self.places)
        text = "\n".join([f"def derived({arguments}):", *writer.lines, f"    return [{result}]"])
        self._code = PlainCode.of_text(text, "derived", writer.objects.by_name | _FIXED_NAMES)

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
            return self._code.call(*inputs)
        except (ArithmeticError, ValueError):
            return None


def _literal(value: Any) -> str:
    return f"({value!r})"
