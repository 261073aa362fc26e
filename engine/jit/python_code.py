"""A trace as Python code: one function for arrays of variants, one for plain floats.

* `array_function` calls one NumPy operation for each step. A name is used again once nothing needs the value in it, so
  that few arrays are alive at a time.
* `float_function` computes with floats, some thirty times faster than the formula itself, and returns the records the
  formula would have returned.

The code consists of operations, numbered values and constants. Texts and objects that a result holds never become code;
the code finds them under names such as ``k3``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import msgspec
import numpy as np

from engine.base.geometry import ratio
from engine.jit.known import KnownNumber
from engine.jit.machine_code import MachineFunction, machine_function
from engine.jit.plain_code import NamedObjects, PlainCode
from engine.jit.trace import (
    Body,
    CannotRecordError,
    Function,
    Recorder,
    Step,
    TracedNumber,
    body_argument,
    places_needed,
    traced_numbers_in,
)

# ---------------------------------------------------------------- arrays


class PythonFunction:
    """Code in Python: a function of the inputs in a row, made with some known numbers."""

    def __init__(self, code: PlainCode, known: tuple[int, ...], numbers: Mapping[int, float]) -> None:
        self._code = code
        self._own = known
        """Places of the known numbers that the code in Python reads."""
        self._numbers = tuple(numbers[place] for place in known)

    @property
    def known(self) -> tuple[int, ...]:
        """Places of the known numbers it reads."""
        return self._own

    def __call__(self, inputs: Sequence[Any]) -> Any:
        """The result of inputs in a row."""
        return self._code.call(*inputs, *self._numbers)

    def tried_out(self, inputs: Sequence[Any]) -> Any:
        """The same, and machine code in it remembers what it was asked (`MachineFunction.tried_out`)."""
        return self(inputs)

    def with_known(self, numbers: Mapping[int, float]) -> PythonFunction:
        """The same code with other known numbers, by their places."""
        return type(self)(self._code, self._own, numbers)


class _OfArrays(PythonFunction):
    """The same with NumPy calls, for floats and arrays."""

    def __call__(self, inputs: Sequence[Any]) -> Any:
        expected = self._code.call.__code__.co_argcount - len(self._own)
        if len(inputs) != expected:
            raise ValueError(f"Expected {expected} inputs, got {len(inputs)}")
        with np.errstate(all="ignore"):
            return super().__call__(inputs)


def array_function(recorder: Recorder, results: Sequence[Any]) -> PythonFunction:
    """The results, a list, as a function of the inputs: floats or arrays that broadcast against each other."""
    places = places_needed(recorder, results)
    names = _reused_names(recorder, results, places)
    objects = NamedObjects()

    known: dict[int, float] = {}

    def name_of(part: Any) -> str:
        if isinstance(part, TracedNumber):
            return names[part.place]
        if isinstance(part, KnownNumber):
            known[part.place] = part.value
            return f"w{part.place}"
        if isinstance(part, float | int):
            return objects.name_of(np.array(part), (type(part), part, math.copysign(1.0, part)))
        return objects.name_of(part)

    lines = []
    for place in places:
        step = recorder.step_at(place)
        if step.function is body_argument or step.is_call:
            raise CannotRecordError(f"Expected steps for arrays, got a call of {step.function.__name__}")
        lines.append(f"{names[place]} = {objects.name_of(step.function)}({', '.join(map(name_of, step.inputs))})")
    result = f"[{', '.join(map(name_of, results))}]"
    replay = _compiled(_function_text(range(recorder.inputs), known, lines, result), objects)
    return _OfArrays(replay, tuple(known), known)


def _reused_names(recorder: Recorder, results: Sequence[Any], places: list[int]) -> dict[int, str]:
    """Name of each place's value; inputs and results keep theirs."""
    kept = {number.place for number in traced_numbers_in(results)} | set(range(recorder.inputs))
    last_read = {place: at for at in places for place in recorder.step_at(at).reads if place not in kept}
    read_last_at: dict[int, list[int]] = {}
    for place, at in last_read.items():
        read_last_at.setdefault(at, []).append(place)
    names = {place: f"v{place}" for place in range(recorder.inputs)}
    free: list[str] = []
    for at in places:
        free += [names[place] for place in read_last_at.get(at, ())]
        names[at] = free.pop() if free and at not in kept else f"v{at}"
    return names


# ---------------------------------------------------------------- plain floats

_FLOAT_CODE: dict[Function, str] = {
    np.add: "{0} + {1}",
    np.subtract: "{0} - {1}",
    np.multiply: "{0} * {1}",
    np.divide: "{0} / {1} if {1} else quotient({0}, {1})",
    np.negative: "-{0}",
    np.absolute: "abs({0})",
    np.square: "{0} * {0}",
    np.sqrt: "root({0}) if {0} >= 0.0 else lost",
    np.sin: "sine({0})",
    np.cos: "cosine({0})",
    np.minimum: "{0} if {0} < {1} or {0} != {0} else {1}",
    np.maximum: "{0} if {0} > {1} or {0} != {0} else {1}",
    np.less: "{0} < {1}",
    np.less_equal: "{0} <= {1}",
    np.greater: "{0} > {1}",
    np.greater_equal: "{0} >= {1}",
    np.equal: "{0} == {1}",
    np.not_equal: "{0} != {1}",
    np.bitwise_and: "{0} and {1}",
    np.bitwise_or: "{0} or {1}",
    np.invert: "not {0}",
    np.where: "{1} if {0} else {2}",
    np.isfinite: "finite({0})",
}
_FLOAT_NAMES: dict[str, Any] = {
    "quotient": ratio,
    "root": math.sqrt,
    "lost": math.nan,
    "sine": math.sin,
    "cosine": math.cos,
    "finite": math.isfinite,
    "named": tuple.__new__,
}


def float_function(recorder: Recorder, result: Any, machine: bool = True) -> PythonFunction:
    """The result, records and all, as a function of inputs that are plain floats.

    What comes before the first call is machine code where it can be made; without ``machine`` everything is Python.

    Raises
    ------
    CannotRecordError
        For an operation that has no plain code.
    """
    return FloatCode(recorder, result).function(machine)


class FloatCode:
    """Writes the code of one result."""

    def __init__(self, recorder: Recorder, result: Any) -> None:
        self.recorder, self.result = recorder, result
        self.objects = NamedObjects()
        self.places = places_needed(recorder, result)
        self.body_of = self._bodies()
        """Argument's place of the body that a step belongs to, by the step's place."""
        self.outside = [place for place in self.places if place not in self.body_of]
        self.known: dict[int, float] = {}
        """Known numbers that the code reads, by their places."""

    def text(self) -> str:
        """All of it as Python."""
        return self._text(range(self.recorder.inputs), self.outside)

    def function(self, machine: bool) -> PythonFunction:
        """As `float_function`."""
        late = self._steps_after_calls()
        handed_over = self._read_by(late)
        numbers = [TracedNumber(self.recorder, place, bounded=False) for place in handed_over]
        first_part = machine_function(self.recorder, numbers, quick=True) if machine else None
        if first_part is None:
            whole = _compiled(self.text(), self.objects)
            return PythonFunction(whole, tuple(self.known), self.known)
        rest = _compiled(self._text(handed_over, late), self.objects)
        return _AfterMachineCode(first_part, rest, tuple(self.known), self.known)

    def _text(self, arguments: Iterable[int], places: Iterable[int]) -> str:
        lines = [line for place in places for line in self._lines(place)]
        result = self._value(self.result)
        return _function_text(arguments, self.known, lines, result)

    def _steps_after_calls(self) -> list[int]:
        """Steps that call a function as it is or read such a step, directly or not, and texts chosen by a value."""
        late: dict[int, None] = {}
        for place in self.outside:
            step = self.recorder.step_at(place)
            chooses_text = step.function is np.where and not all(
                isinstance(part, TracedNumber | KnownNumber | float | int) for part in step.inputs
            )
            if chooses_text or step.is_call or not late.keys().isdisjoint(step.reads):
                late[place] = None
        return list(late)

    def _read_by(self, late: list[int]) -> list[int]:
        """Places of the values that the result, the bodies and the late steps read."""
        own = set(late) | set(self.body_of)
        read = {number.place for number in traced_numbers_in(self.result)}
        for place in own:
            read.update(self.recorder.step_at(place).reads)
        return sorted(read - own)

    def _bodies(self) -> dict[int, int]:
        """Steps that depend on the argument of a body, each with the place of that argument."""
        body_of: dict[int, int] = {}
        for place in self.places:
            step = self.recorder.step_at(place)
            if step.function is body_argument:
                body_of[place] = place
            elif not step.is_call:
                arguments = {body_of[read] for read in step.reads if read in body_of}
                if len(arguments) > 1:
                    raise CannotRecordError("Expected a step inside one body, got one inside two")
                if arguments:
                    body_of[place] = arguments.pop()
        return body_of

    def _lines(self, place: int) -> list[str]:
        step = self.recorder.step_at(place)
        if step.is_call:
            return self._call_lines(place, step)
        if step.function is np.power and step.inputs[1] == 2:
            code = _FLOAT_CODE[np.square]
        elif step.function in _FLOAT_CODE:
            code = _FLOAT_CODE[step.function]
        else:
            raise CannotRecordError(f"Expected an operation with plain code, got {step.function.__name__}")
        return [f"v{place} = " + code.format(*map(self._value, step.inputs))]

    def _call_lines(self, place: int, step: Step) -> list[str]:
        values = step.inputs[0].values
        bodies = [line for part in values if isinstance(part, Body) for line in self._body_lines(part)]
        return [*bodies, f"v{place} = {self.objects.name_of(step.function)}({', '.join(map(self._value, values))})"]

    def _body_lines(self, body: Body) -> list[str]:
        """Code of a function of one number; what does not depend on it is outside."""
        argument = body.argument.place
        steps = [place for place, of in self.body_of.items() if of == argument and place != argument]
        lines = [line for place in steps for line in self._lines(place)]
        head = f"def b{argument}(v{argument}):"
        return [head, *(f"    {line}" for line in lines), f"    return {self._value(body.result)}"]

    def _value(self, node: Any) -> str:
        """Code that makes a value, with every step's own value in it."""
        if isinstance(node, TracedNumber):
            return f"v{node.place}"
        if isinstance(node, Body):
            return f"b{node.argument.place}"
        if isinstance(node, KnownNumber):
            self.known[node.place] = node.value
            return f"w{node.place}"
        if _is_finite_number(node):
            return f"({float(node)!r})" if isinstance(node, float) else f"({int(node)!r})"
        if not _holds_a_number(node):
            return self.objects.name_of(node)
        if isinstance(node, msgspec.Struct):
            fields = (f"{name}={self._value(getattr(node, name))}" for name in node.__struct_fields__)
            return f"{self.objects.name_of(type(node))}({', '.join(fields)})"
        if isinstance(node, dict):
            pairs = (f"{self.objects.name_of(key)}: {self._value(value)}" for key, value in node.items())
            return f"{{{', '.join(pairs)}}}"
        parts = ", ".join(map(self._value, node))
        if type(node) is tuple:
            return f"({parts},)"
        if isinstance(node, list):
            return f"[{parts}]"
        return f"named({self.objects.name_of(type(node))}, ({parts},))"  # half the time of calling the type


class _AfterMachineCode(PythonFunction):
    """Python that goes on where machine code ends."""

    def __init__(
        self, first: MachineFunction, rest: PlainCode, known: tuple[int, ...], numbers: Mapping[int, float]
    ) -> None:
        super().__init__(rest, known, numbers)
        self._first = first

    @property
    def known(self) -> tuple[int, ...]:
        return tuple(dict.fromkeys((*self._first.known, *self._own)))

    def __call__(self, inputs: Sequence[Any]) -> Any:
        return super().__call__(self._first(inputs, ()).tolist())

    def tried_out(self, inputs: Sequence[Any]) -> Any:
        return super().__call__(self._first.tried_out(inputs, ()).tolist())

    def with_known(self, numbers: Mapping[int, float]) -> PythonFunction:
        return _AfterMachineCode(self._first.with_known(numbers), self._code, self._own, numbers)


def _holds_a_number(node: Any) -> bool:
    """Whether a stand-in is in a value, at any depth of records, tuples, lists and dicts."""
    if isinstance(node, TracedNumber | KnownNumber):
        return True
    if isinstance(node, msgspec.Struct):
        return any(_holds_a_number(getattr(node, name)) for name in node.__struct_fields__)
    if isinstance(node, dict):
        return any(map(_holds_a_number, node.values()))
    return isinstance(node, tuple | list) and any(map(_holds_a_number, node))


def _is_finite_number(node: Any) -> bool:
    return isinstance(node, float | int) and not isinstance(node, bool) and math.isfinite(node)


# ---------------------------------------------------------------- both


def _function_text(arguments: Iterable[int], known: Iterable[int], lines: Iterable[str], result: str) -> str:
    names = ", ".join([*(f"v{place}" for place in arguments), *(f"w{place}" for place in known)])
    return "\n".join((f"def replay({names}):", *(f"    {line}" for line in lines), f"    return {result}"))


def _compiled(text: str, objects: NamedObjects) -> PlainCode:
    return PlainCode.of_text(text, "replay", {**objects.by_name, **_FLOAT_NAMES})
