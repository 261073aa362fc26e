"""A trace as text in LLVM's language: a function over tables of variants, or a formula for loops to call.

Every step is one instruction on `WIDTH` values at a time. No operation is reordered or fused, and sine and cosine are
those of the C library, so results equal those of the steps bit for bit.

The text consists of operations, numbered values and constants. `engine.jit.machine_code` compiles and runs it.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

import numpy as np

from engine.base.geometry import Array
from engine.jit.known import KnownNumber
from engine.jit.trace import CannotRecordError, Function, Recorder, TracedNumber, places_needed

WIDTH = 4
"""Values in one instruction: a register of today's desktop processors (AVX2); others take two registers."""

NUMBER, WHOLE = "double", "i64"
FOUR_NUMBERS = f"<{WIDTH} x {NUMBER}>"
FOUR_WHOLE = f"<{WIDTH} x {WHOLE}>"
FOUR_TRUTHS = f"<{WIDTH} x i1>"

_ARITHMETIC: dict[Function, str] = {np.add: "fadd", np.subtract: "fsub", np.multiply: "fmul", np.divide: "fdiv"}
_LOGIC: dict[Function, str] = {np.bitwise_and: "and", np.bitwise_or: "or"}
_COMPARISONS: dict[Function, str] = {
    np.less: "olt",
    np.less_equal: "ole",
    np.greater: "ogt",
    np.greater_equal: "oge",
    np.equal: "oeq",
    np.not_equal: "une",
}
_CALLS: dict[Function, str] = {np.absolute: "fabs", np.sqrt: "sqrt", np.sin: "sin", np.cos: "cos"}

C_LIBRARY_FUNCTIONS = ("sin", "cos")
"""Functions that LLVM leaves to the C library."""

DECLARATIONS = "\n".join(
    f"declare {FOUR_NUMBERS} @llvm.{name}.v{WIDTH}f64({FOUR_NUMBERS})" for name in sorted(set(_CALLS.values()))
)
"""What stands once in every text with recorded steps."""


class TableFunctionText(NamedTuple):
    """A function over tables, and its constants (constants, WIDTH), which it is given with every call.

    ``known`` has the row of each constant that is a known number, by that number's place.
    """

    text: str
    constants: Array
    known: dict[int, int]


def table_function_text(recorder: Recorder, results: Sequence[Any], name: str) -> TableFunctionText:
    """The results as a function over tables, one row for each input and result, one column for each variant.

    Its arguments: the table of inputs and its row length, the table of results and its row length, the constants, a
    stride for each input (0 where the first `WIDTH` columns serve all variants, else 1), and the count of variants, at
    least `WIDTH`.

    Raises
    ------
    CannotRecordError
        For an operation that has no code, or a result that is neither a number nor a truth (written as 0 or 1).
    """
    return _TableFunction(recorder).written(results, name)


def formula_text(name: str, formula: Callable[..., Sequence[Any]], inputs: int) -> str:
    """A formula of that many numbers as a function that takes and returns values four wide."""
    recorder = Recorder()
    results = formula(*(recorder.new_input() for _ in range(inputs)))
    text = _InlineFunction(recorder).written(results, name)
    recorder.clear()
    return text


class _Instructions:
    """Writes recorded steps as instructions."""

    def __init__(self, recorder: Recorder) -> None:
        self.recorder = recorder
        self.lines: list[str] = []
        self._truths: set[int] = set()
        """Places of the steps that give a truth."""

    def write_steps(self, places: Iterable[int]) -> None:
        for place in places:
            step = self.recorder.step_at(place)
            operands = [self.operand(part) for part in step.inputs]
            self.lines += self._instructions(place, step.function, step.inputs, operands)

    def operand(self, part: Any) -> str:
        """Name or literal of a value four wide."""
        if isinstance(part, TracedNumber):
            return f"%v{part.place}"
        if isinstance(part, bool):
            return _four_times(f"i1 {str(part).lower()}")
        if isinstance(part, float | int):
            return self.constant(float(part))
        if isinstance(part, KnownNumber):
            return self.known_constant(part)
        raise CannotRecordError(f"Expected a number, got {type(part).__name__}")

    def constant(self, value: float) -> str:
        """A constant four times, in the text itself."""
        return _four_times(f"{NUMBER} 0x{struct.pack('>d', value).hex().upper()}")

    def known_constant(self, number: KnownNumber) -> str:
        """A known number four times."""
        raise CannotRecordError(f"Expected no known number, got {number!r}")

    def is_truth(self, part: Any) -> bool:
        return isinstance(part, bool) or (isinstance(part, TracedNumber) and part.place in self._truths)

    def _instructions(self, place: int, function: Function, parts: Sequence[Any], operands: list[str]) -> list[str]:
        result = f"%v{place}"
        truths = [self.is_truth(part) for part in parts]
        if function in _LOGIC and all(truths):
            self._truths.add(place)
            return [f"{result} = {_LOGIC[function]} {FOUR_TRUTHS} {operands[0]}, {operands[1]}"]
        if function is np.invert and all(truths):
            self._truths.add(place)
            return [f"{result} = xor {FOUR_TRUTHS} {operands[0]}, {_four_times('i1 true')}"]
        if function is np.where and truths == [True, False, False]:
            condition, yes, no = operands
            return [f"{result} = select {FOUR_TRUTHS} {condition}, {FOUR_NUMBERS} {yes}, {FOUR_NUMBERS} {no}"]
        if any(truths):
            raise CannotRecordError(f"Expected numbers for {function.__name__}, got a truth")
        if function in _ARITHMETIC:
            return [f"{result} = {_ARITHMETIC[function]} {FOUR_NUMBERS} {operands[0]}, {operands[1]}"]
        if function in _COMPARISONS:
            self._truths.add(place)
            return [f"{result} = fcmp {_COMPARISONS[function]} {FOUR_NUMBERS} {operands[0]}, {operands[1]}"]
        if function in _CALLS:
            return [f"{result} = call {FOUR_NUMBERS} {_intrinsic(_CALLS[function])}({FOUR_NUMBERS} {operands[0]})"]
        if function is np.negative:
            return [f"{result} = fneg {FOUR_NUMBERS} {operands[0]}"]
        if function is np.square or (function is np.power and not isinstance(parts[1], TracedNumber) and parts[1] == 2):
            return [f"{result} = fmul {FOUR_NUMBERS} {operands[0]}, {operands[0]}"]
        if function in (np.minimum, np.maximum):  # the first where it is not a number, as in NumPy
            a, b = operands
            return [
                f"{result}.a = fcmp {'olt' if function is np.minimum else 'ogt'} {FOUR_NUMBERS} {a}, {b}",
                f"{result}.b = fcmp uno {FOUR_NUMBERS} {a}, {a}",
                f"{result}.c = or {FOUR_TRUTHS} {result}.a, {result}.b",
                f"{result} = select {FOUR_TRUTHS} {result}.c, {FOUR_NUMBERS} {a}, {FOUR_NUMBERS} {b}",
            ]
        if function is np.isfinite:
            self._truths.add(place)
            infinite = _four_times(f"{NUMBER} 0x7FF0000000000000")
            return [
                f"{result}.a = call {FOUR_NUMBERS} {_intrinsic('fabs')}({FOUR_NUMBERS} {operands[0]})",
                f"{result} = fcmp olt {FOUR_NUMBERS} {result}.a, {infinite}",
            ]
        raise CannotRecordError(f"Expected an operation with machine code, got {function.__name__}")


class _TableFunction(_Instructions):
    """Writes a loop over tables."""

    def __init__(self, recorder: Recorder) -> None:
        super().__init__(recorder)
        self._constants: dict[bytes | int, int] = {}
        """Row of each constant, by its bytes, or by the place of a known number."""
        self._values: list[float] = []
        self._loads = 0

    def written(self, results: Sequence[Any], name: str) -> TableFunctionText:
        inputs = range(self.recorder.inputs)
        tables = "ptr %in, i64 %in.row, ptr %out, i64 %out.row"
        self.lines = [f"define void @{name}({tables}, ptr %constants, ptr %strides, i64 %count) {{", "entry:"]
        self.lines.append(f"%last = sub i64 %count, {WIDTH}")
        for place in inputs:
            self._write_row("in", place)
            self.lines += [
                f"%stride{place}.at = getelementptr i64, ptr %strides, i64 {place}",
                f"%stride{place} = load i64, ptr %stride{place}.at",
            ]
        for index in range(len(results)):
            self._write_row("out", index)
        self.lines += ["br label %loop", "loop:", "%column = phi i64 [0, %entry], [%next, %loop]"]
        for place in inputs:
            self.lines += [
                f"%v{place}.column = mul i64 %column, %stride{place}",
                f"%v{place}.at = getelementptr double, ptr %in{place}, i64 %v{place}.column",
                f"%v{place} = load {FOUR_NUMBERS}, ptr %v{place}.at, align 8",
            ]
        self.write_steps(places_needed(self.recorder, results))
        for index, result in enumerate(results):
            self._write_store(index, result)
        # The last four may overlap those before, so that a row needs no other length than it has.
        self.lines += [
            f"%after = add i64 %column, {WIDTH}",
            "%beyond = icmp sgt i64 %after, %last",
            "%next = select i1 %beyond, i64 %last, i64 %after",
            "%more = icmp slt i64 %column, %last",
            "br i1 %more, label %loop, label %end",
            "end:",
            "ret void",
            "}",
        ]
        known = {place: row for place, row in self._constants.items() if isinstance(place, int)}
        return TableFunctionText("\n".join(self.lines), self._table_of_constants(), known)

    def constant(self, value: float) -> str:
        """A constant out of the table of constants, so that formulas alike but for their constants share one code."""
        return self._loaded(struct.pack("<d", value), value)

    def known_constant(self, number: KnownNumber) -> str:
        """A known number has a constant of its own, whatever else has its value now."""
        return self._loaded(number.place, number.value)

    def _loaded(self, key: bytes | int, value: float) -> str:
        index = self._constants.setdefault(key, len(self._constants))
        if index == len(self._values):
            self._values.append(value)
        self._loads += 1
        name = f"%c{self._loads}"
        self.lines += [
            f"{name}.at = getelementptr {FOUR_NUMBERS}, ptr %constants, i64 {index}",
            f"{name} = load {FOUR_NUMBERS}, ptr {name}.at, align 8",
        ]
        return name

    def _write_row(self, table: str, index: int) -> None:
        self.lines += [
            f"%{table}{index}.row = mul i64 %{table}.row, {index}",
            f"%{table}{index} = getelementptr double, ptr %{table}, i64 %{table}{index}.row",
        ]

    def _write_store(self, index: int, result: Any) -> None:
        value = self.operand(result)
        if isinstance(result, TracedNumber) and self.is_truth(result):
            self.lines.append(f"%result{index} = uitofp {FOUR_TRUTHS} {value} to {FOUR_NUMBERS}")
            value = f"%result{index}"
        self.lines += [
            f"%out{index}.at = getelementptr double, ptr %out{index}, i64 %column",
            f"store {FOUR_NUMBERS} {value}, ptr %out{index}.at, align 8",
        ]

    def _table_of_constants(self) -> Array:
        return np.ascontiguousarray(np.broadcast_to(np.array(self._values, float)[:, None], (len(self._values), WIDTH)))


class _InlineFunction(_Instructions):
    """Writes a function of values four wide, its constants in its own text, for the loops of the same module."""

    def written(self, results: Sequence[Any], name: str) -> str:
        kinds = ", ".join([FOUR_NUMBERS] * len(results))
        arguments = ", ".join(f"{FOUR_NUMBERS} %v{place}" for place in range(self.recorder.inputs))
        self.lines = [f"define internal {{{kinds}}} @{name}({arguments}) alwaysinline {{"]
        self.write_steps(places_needed(self.recorder, results))
        record = "poison"
        for index, result in enumerate(results):
            value = self.operand(result)
            self.lines.append(f"%r{index} = insertvalue {{{kinds}}} {record}, {FOUR_NUMBERS} {value}, {index}")
            record = f"%r{index}"
        return "\n".join([*self.lines, f"ret {{{kinds}}} {record}", "}"])


def _four_times(value: str) -> str:
    return f"<{', '.join([value] * WIDTH)}>"


def _intrinsic(name: str) -> str:
    return f"@llvm.{name}.v{WIDTH}f64"
