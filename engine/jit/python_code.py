"""Recorded formulas as plain Python code: one function for arrays of variants, one for a single pose.

The code is made from steps of our own formulas only: operations, numbered values and constants.  Names and texts of a
rig never become code; they are handed over as objects.

* `array_function` calls one NumPy operation for each step.  A value's name is used again once nothing needs what is in
  it, so that few arrays are alive at a time.
* `float_function` is plain arithmetic on floats, some thirty times sooner than walking the formulas, and gives back the
  records the formulas would have made.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import msgspec
import numpy as np

from engine.base.geometry import ratio
from engine.jit.llvm_code import machine_function
from engine.jit.trace import ARGUMENT, Body, Call, CannotRecordError, Function, Operation, Recorder, needed, steps_in

# ---------------------------------------------------------------- arrays


def array_function(recorder: Recorder, results: Sequence[Any]) -> Callable[[Sequence[Any]], list[Any]]:
    """The results as a function of the inputs: floats or arrays that broadcast against each other."""
    wanted = needed(recorder, results)
    names = _reused_names(recorder, results, wanted)
    known = _Names()

    def name_of(part: Any) -> str:
        if isinstance(part, Operation):
            return names[part.place]
        if isinstance(part, float | int):
            return known.of(np.array(part), (type(part), part, math.copysign(1.0, part)))
        return known.of(part)

    lines = []
    for place in wanted:
        function, parts = recorder.steps[place - recorder.inputs]
        if function is ARGUMENT or any(isinstance(part, Call) for part in parts):
            raise CannotRecordError(f"Expected steps for arrays, got a call of {function.__name__}")
        lines.append(f"{names[place]} = {known.of(function)}({', '.join(map(name_of, parts))})")
    replay = _compiled(lines, range(recorder.inputs), f"[{', '.join(map(name_of, results))}]", known)

    count = recorder.inputs

    def replayed(inputs: Sequence[Any]) -> list[Any]:
        if len(inputs) != count:
            raise ValueError(f"Expected {count} inputs, got {len(inputs)}")
        with np.errstate(all="ignore"):
            return replay(*inputs)

    return replayed


def _reused_names(recorder: Recorder, results: Sequence[Any], wanted: list[int]) -> dict[int, str]:
    """Name of each place's value; inputs and results keep theirs."""
    kept = {step.place for step in steps_in(results)} | set(range(recorder.inputs))
    last_use: dict[int, int] = {}
    for at in wanted:
        for place in recorder.uses[at - recorder.inputs]:
            if place not in kept:
                last_use[place] = at
    ending: dict[int, list[int]] = {}
    for place, at in last_use.items():
        ending.setdefault(at, []).append(place)
    names, free = {place: f"v{place}" for place in range(recorder.inputs)}, []
    for at in wanted:
        free += [names[place] for place in ending.get(at, ())]
        names[at] = free.pop() if free and at not in kept else f"v{at}"
    return names


# ---------------------------------------------------------------- one pose

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


def float_function(recorder: Recorder, result: Any, machine: bool = True) -> Callable[[Sequence[float]], Any]:
    """The result, records and all, as a function of inputs that are plain floats.

    What is reckoned before the first search is machine code where that can be had; without ``machine`` all is plain code.

    Raises
    ------
    CannotRecordError
        For an operation that has no plain code.
    """
    return _FloatCode(recorder, result).function(machine)


class _FloatCode:
    """Writes the code of one result."""

    def __init__(self, recorder: Recorder, result: Any) -> None:
        self.recorder, self.result = recorder, result
        self.known = _Names()
        self.wanted = needed(recorder, result)
        self.inside = self._bodies()
        self.within: dict[int, list[int]] = {at: [] for at in self.inside.values()}
        for at, argument in self.inside.items():
            if at != argument:
                self.within[argument].append(at)

    def function(self, machine: bool) -> Callable[[Sequence[float]], Any]:
        places = [place for place in self.wanted if place not in self.inside]
        late = self._after_calls(places)
        handed = self._handed(late)
        first = (
            machine_function(self.recorder, [Operation(self.recorder, place, False) for place in handed], quick=True)
            if machine
            else None
        )
        lines = [line for place in (places if first is None else late) for line in self._lines(place)]
        made = self._value(self.result)
        if first is None:
            run = _compiled(lines, range(self.recorder.inputs), made, self.known)
            return lambda inputs: run(*inputs)
        run = _compiled(lines, handed, made, self.known)
        return lambda inputs: run(*first(inputs, ()).tolist())

    def _after_calls(self, places: list[int]) -> list[int]:
        """Steps that call something as it is or need what such a step gives, and texts chosen by a value."""
        late: list[int] = []
        known: set[int] = set()
        for place in places:
            function, parts = self.recorder.steps[place - self.recorder.inputs]
            texts = function is np.where and not all(isinstance(part, Operation | float | int) for part in parts)
            if (
                texts
                or any(isinstance(part, Call) for part in parts)
                or known & set(self.recorder.uses[place - self.recorder.inputs])
            ):
                late.append(place)
                known.add(place)
        return late

    def _handed(self, late: list[int]) -> list[int]:
        """Places of the values that the records, the searches and what comes after them read."""
        own = set(late) | set(self.inside)
        read = {step.place for step in steps_in(self.result)}
        for place in own:
            read.update(self.recorder.uses[place - self.recorder.inputs])
        return sorted(read - own)

    def _bodies(self) -> dict[int, int]:
        """Steps that depend on the argument of a body, each with the place of that argument."""
        inside: dict[int, int] = {}
        for place in self.wanted:
            function, parts = self.recorder.steps[place - self.recorder.inputs]
            if function is ARGUMENT:
                inside[place] = place
            elif not any(isinstance(part, Call) for part in parts):
                of = {inside[at] for at in self.recorder.uses[place - self.recorder.inputs] if at in inside}
                if len(of) > 1:
                    raise CannotRecordError("Expected a step inside one body, got one inside two")
                if of:
                    inside[place] = of.pop()
        return inside

    def _lines(self, place: int) -> list[str]:
        function, parts = self.recorder.steps[place - self.recorder.inputs]
        if parts and isinstance(parts[0], Call):
            bodies = [line for part in parts[0].inputs if isinstance(part, Body) for line in self._body(part)]
            called = ", ".join(map(self._value, parts[0].inputs))
            return [*bodies, f"v{place} = {self.known.of(function)}({called})"]
        if function is np.power and parts[1] == 2:
            code = _FLOAT_CODE[np.square]
        elif function in _FLOAT_CODE:
            code = _FLOAT_CODE[function]
        else:
            raise CannotRecordError(f"Expected an operation with plain code, got {function.__name__}")
        return [f"v{place} = " + code.format(*map(self._value, parts))]

    def _body(self, body: Body) -> list[str]:
        """Code of a function of one number; what does not depend on it is outside."""
        place = body.argument.place
        lines = [line for at in self.within[place] for line in self._lines(at)]
        head = f"def b{place}(v{place}):"
        return [head, *(f"    {line}" for line in lines), f"    return {self._value(body.result)}"]

    def _value(self, node: Any) -> str:
        """Code that makes a value, with every step's own value in it."""
        if isinstance(node, Operation):
            return f"v{node.place}"
        if isinstance(node, Body):
            return f"b{node.argument.place}"
        if isinstance(node, float | int) and not isinstance(node, bool) and math.isfinite(node):
            return f"({float(node)!r})" if isinstance(node, float) else f"({int(node)!r})"
        if not steps_in(node):
            return self.known.of(node)
        if isinstance(node, msgspec.Struct):
            fields = (f"{name}={self._value(getattr(node, name))}" for name in node.__struct_fields__)
            return f"{self.known.of(type(node))}({', '.join(fields)})"
        if isinstance(node, dict):
            pairs = (f"{self.known.of(key)}: {self._value(value)}" for key, value in node.items())
            return f"{{{', '.join(pairs)}}}"
        parts = ", ".join(map(self._value, node))
        if type(node) is tuple:
            return f"({parts},)"
        if isinstance(node, list):
            return f"[{parts}]"
        return f"named({self.known.of(type(node))}, ({parts},))"  # half the time of calling the type


# ---------------------------------------------------------------- both


class _Names:
    """Names under which the code finds objects; the same object, or an equal number, has one name."""

    def __init__(self) -> None:
        self.objects: dict[str, Any] = {}
        self._names: dict[Any, str] = {}

    def of(self, value: Any, key: Any = None) -> str:
        """Name of an object; ``key`` says what makes two of them the same, by default that they are one."""
        key = id(value) if key is None else key
        if key not in self._names:
            self._names[key] = f"k{len(self._names)}"
            self.objects[self._names[key]] = value  # kept alive, so that its identity stays its own
        return self._names[key]


def _compiled(lines: list[str], inputs: Iterable[int], result: str, known: _Names) -> Callable[..., Any]:
    names = ", ".join(f"v{place}" for place in inputs)
    code = "\n".join((f"def replay({names}):", *(f"    {line}" for line in lines), f"    return {result}"))
    names = {**known.objects, **_FLOAT_NAMES}
    exec(compile(code, "<written formulas>", "exec"), names)  # our own steps only: see above
    return names.pop("replay")  # out of its own names, so that it goes when nobody holds it
