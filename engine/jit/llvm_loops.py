"""Writes loops over tables of numbers in LLVM's language: what machine code needs besides formulas.

`LoopWriter` writes one function. It is given two arrays: whole numbers (``counts``) and addresses (``tables``), each
under a name of its own. A value in the text is called by its name, such as ``%x7``; Python's own integers may stand for
whole numbers anywhere.
"""

from __future__ import annotations

import contextlib
import ctypes
from collections.abc import Iterator, Sequence

from engine.jit.llvm_code import FOUR_NUMBERS, NUMBER, WHOLE, WIDTH

Operand = str | int
"""Name of a value in the text, or a whole number."""

LOOP_ARGUMENTS = (ctypes.c_void_p, ctypes.c_void_p)
"""C types of the two arrays."""


class LoopTurn:
    """One turn of a loop.

    ``index`` counts; ``values`` are those carried from turn to turn: while the loop is written, this turn's; assign the
    next turn's. After the loop, what is left of them.
    """

    def __init__(self, index: str, values: Sequence[Operand]) -> None:
        self.index, self.values = index, values


class LoopWriter:
    """Writes the text of one function."""

    def __init__(self, name: str, counts: Sequence[str], tables: Sequence[str]) -> None:
        self.lines = [f"define void @{name}(ptr %counts, ptr %tables) {{", "entry:"]
        self._names, self._block = 0, "entry"
        self.count = {count: self.load(WHOLE, "%counts", index) for index, count in enumerate(counts)}
        self.table = {
            table: self.new_value(f"load ptr, ptr {self._pointer('ptr', '%tables', index)}")
            for index, table in enumerate(tables)
        }

    def text(self) -> str:
        """The whole function."""
        return "\n".join([*self.lines, "ret void", "}"])

    def new_value(self, instruction: str) -> str:
        """Name of an instruction's result."""
        self._names += 1
        self.lines.append(f"%x{self._names} = {instruction}")
        return f"%x{self._names}"

    # ---- whole numbers

    def add(self, a: Operand, b: Operand) -> Operand:
        """Sum of whole numbers."""
        return a + b if isinstance(a, int) and isinstance(b, int) else self.new_value(f"add i64 {a}, {b}")

    def subtract(self, a: Operand, b: Operand) -> Operand:
        """Difference of whole numbers."""
        return self.new_value(f"sub i64 {a}, {b}")

    def multiply(self, a: Operand, b: Operand) -> Operand:
        """Product of whole numbers."""
        return a * b if isinstance(a, int) and isinstance(b, int) else self.new_value(f"mul i64 {a}, {b}")

    def divide(self, a: Operand, b: Operand) -> Operand:
        """Quotient of whole numbers, rounded down; neither is negative."""
        return self.new_value(f"udiv i64 {a}, {b}")

    def rounded_up(self, a: Operand) -> Operand:
        """The next multiple of `WIDTH`."""
        return self.multiply(self.divide(self.add(a, WIDTH - 1), WIDTH), WIDTH)

    # ---- tables

    def load(self, kind: str, table: str, index: Operand) -> str:
        """What stands in a table at an index that counts numbers."""
        return self.new_value(f"load {kind}, ptr {self._pointer(NUMBER, table, index)}, align 8")

    def store(self, kind: str, value: Operand, table: str, index: Operand) -> None:
        """Put a value into a table."""
        pointer = self._pointer(NUMBER, table, index)
        self.lines.append(f"store {kind} {value}, ptr {pointer}, align 8")

    def part(self, table: str, start: Operand) -> str:
        """The part of a table from an index on."""
        return self._pointer(NUMBER, table, start)

    def _pointer(self, kind: str, table: str, index: Operand) -> str:
        return self.new_value(f"getelementptr {kind}, ptr {table}, i64 {index}")

    # ---- numbers

    def constant(self, value: float) -> str:
        """A constant four times."""
        return f"<{', '.join([f'{NUMBER} {value!r}'] * WIDTH)}>"

    def four_times(self, number: str) -> str:
        """A number four times."""
        one = self.new_value(f"insertelement {FOUR_NUMBERS} poison, double {number}, i64 0")
        kinds = f"{FOUR_NUMBERS} {one}, {FOUR_NUMBERS} poison, <{WIDTH} x i32>"
        return self.new_value(f"shufflevector {kinds} zeroinitializer")

    def call(self, formula: str, results: int, *values: Operand) -> list[str]:
        """Results of a formula (`engine.jit.llvm_code.formula_text`) for values four wide."""
        kind = f"{{{', '.join([FOUR_NUMBERS] * results)}}}"
        record = self.new_value(f"call {kind} @{formula}({', '.join(f'{FOUR_NUMBERS} {value}' for value in values)})")
        return [self.new_value(f"extractvalue {kind} {record}, {index}") for index in range(results)]

    def select(self, truth: str, kind: str, yes: Operand, no: Operand) -> str:
        """One of two values."""
        return self.new_value(f"select i1 {truth}, {kind} {yes}, {kind} {no}")

    # ---- loops

    @contextlib.contextmanager
    def loop(self, count: Operand, step: int = 1, carried: Sequence[tuple[str, Operand]] = ()) -> Iterator[LoopTurn]:
        """A loop over 0, ``step``, ... below ``count``.

        ``carried`` are the kinds and first values of what is carried from turn to turn.
        """
        self._names += 1
        name, before, head = f"loop{self._names}", self._block, len(self.lines) + 2
        self.lines += [f"br label %{name}", f"{name}:", *[""] * (1 + len(carried))]
        names = [f"%{name}.c{index}" for index in range(len(carried))]
        self.lines += [
            f"%{name}.more = icmp slt i64 %{name}.i, {count}",
            f"br i1 %{name}.more, label %{name}.body, label %{name}.end",
            f"{name}.body:",
        ]
        self._block = f"{name}.body"
        turn = LoopTurn(f"%{name}.i", names)
        yield turn
        self.lines += [f"%{name}.next = add i64 %{name}.i, {step}", f"br label %{name}", f"{name}.end:"]
        # Known only now: the block that the body ends in, and the next turn's values.
        self.lines[head] = f"%{name}.i = phi i64 [0, %{before}], [%{name}.next, %{self._block}]"
        for index, ((kind, start), value) in enumerate(zip(carried, turn.values, strict=True)):
            phi = f"{names[index]} = phi {kind} [{start}, %{before}], [{value}, %{self._block}]"
            self.lines[head + 1 + index] = phi
        turn.values = names
        self._block = f"{name}.end"
