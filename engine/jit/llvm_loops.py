"""Loops over tables of numbers, written in LLVM's language: what machine code needs besides formulas.

`Loops` writes one function.  Its arguments are two arrays: whole numbers (``counts``) and addresses (``tables``), each under
a name of its own.  Whole numbers and numbers in the text are named values such as ``%x7``; Python's own integers may stand
for whole numbers anywhere.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence

from engine.jit.llvm_code import WIDTH

NUMBER, WHOLE = "double", "i64"
FOUR = f"<{WIDTH} x double>"
FOUR_WHOLE = f"<{WIDTH} x i64>"

Name = str | int


class LoopIndex:
    """One turn of a loop: its index, and the values carried from turn to turn."""

    def __init__(self, index: str, values: list[str]) -> None:
        self.index, self.values = index, values
        """While the loop is written the values of this turn; assign those of the next.  After it, what is left."""


class Loops:
    """Writes the text of one function."""

    def __init__(self, name: str, counts: Sequence[str], tables: Sequence[str]) -> None:
        self.lines = [f"define void @{name}(ptr %counts, ptr %tables) {{", "entry:"]
        self._fresh, self._block = 0, "entry"
        self.count = {each: self.load(WHOLE, "%counts", at) for at, each in enumerate(counts)}
        self.table = {
            each: self.new(f"load ptr, ptr {self._place('ptr', '%tables', at)}") for at, each in enumerate(tables)
        }

    def text(self) -> str:
        """The whole function."""
        return "\n".join([*self.lines, "ret void", "}"])

    def new(self, code: str) -> str:
        """A new name for the result of an instruction."""
        self._fresh += 1
        self.lines.append(f"%x{self._fresh} = {code}")
        return f"%x{self._fresh}"

    # ---- whole numbers

    def add(self, a: Name, b: Name) -> Name:
        """A + b"""
        return a + b if isinstance(a, int) and isinstance(b, int) else self.new(f"add i64 {a}, {b}")

    def sub(self, a: Name, b: Name) -> Name:
        """A - b"""
        return self.new(f"sub i64 {a}, {b}")

    def mul(self, a: Name, b: Name) -> Name:
        """A b"""
        return a * b if isinstance(a, int) and isinstance(b, int) else self.new(f"mul i64 {a}, {b}")

    def div(self, a: Name, b: Name) -> Name:
        """A / b, rounded down; neither is negative"""
        return self.new(f"udiv i64 {a}, {b}")

    def fours(self, a: Name) -> Name:
        """A rounded up to a whole number of fours"""
        return self.mul(self.div(self.add(a, WIDTH - 1), WIDTH), WIDTH)

    # ---- tables

    def load(self, kind: str, table: str, at: Name) -> str:
        """What stands in a table, from a place that counts numbers."""
        return self.new(f"load {kind}, ptr {self._place(NUMBER, table, at)}, align 8")

    def store(self, kind: str, value: Name, table: str, at: Name) -> None:
        """Put a value into a table."""
        place = self._place(NUMBER, table, at)
        self.lines.append(f"store {kind} {value}, ptr {place}, align 8")

    def _place(self, kind: str, table: str, at: Name) -> str:
        return self.new(f"getelementptr {kind}, ptr {table}, i64 {at}")

    def row(self, table: str, at: Name) -> str:
        """The part of a table that begins at a place."""
        return self._place(NUMBER, table, at)

    # ---- numbers

    def number(self, value: float) -> str:
        """Four times a number."""
        return "<" + ", ".join([f"double {value!r}"] * WIDTH) + ">"

    def spread(self, number: str) -> str:
        """A number four times."""
        one = self.new(f"insertelement {FOUR} poison, double {number}, i64 0")
        return self.new(f"shufflevector {FOUR} {one}, {FOUR} poison, <{WIDTH} x i32> zeroinitializer")

    def call(self, formula: str, results: int, *values: str) -> list[str]:
        """What a formula (``machine.formula_text``) gives for values four wide."""
        kind = "{" + ", ".join([FOUR] * results) + "}"
        found = self.new(f"call {kind} @{formula}({', '.join(f'{FOUR} {value}' for value in values)})")
        return [self.new(f"extractvalue {kind} {found}, {at}") for at in range(results)]

    def choose(self, truth: str, kind: str, yes: Name, no: Name) -> str:
        """One of two values."""
        return self.new(f"select i1 {truth}, {kind} {yes}, {kind} {no}")

    # ---- loops

    @contextlib.contextmanager
    def times(self, count: Name, step: int = 1, carried: Sequence[tuple[str, Name]] = ()) -> Iterator[LoopIndex]:
        """A loop over 0, ``step``, ... below ``count``; ``carried`` are kinds and first values of what goes from turn to turn."""
        self._fresh += 1
        name, before, head = f"loop{self._fresh}", self._block, len(self.lines) + 2
        self.lines += [f"br label %{name}", f"{name}:", *[""] * (1 + len(carried))]
        names = [f"%{name}.c{at}" for at in range(len(carried))]
        self.lines += [
            f"%{name}.on = icmp slt i64 %{name}.i, {count}",
            f"br i1 %{name}.on, label %{name}.body, label %{name}.end",
            f"{name}.body:",
        ]
        self._block = f"{name}.body"
        turn = LoopIndex(f"%{name}.i", list(names))
        yield turn
        self.lines += [f"%{name}.next = add i64 %{name}.i, {step}", f"br label %{name}", f"{name}.end:"]
        self.lines[head] = f"%{name}.i = phi i64 [0, %{before}], [%{name}.next, %{self._block}]"
        for at, ((kind, start), then) in enumerate(zip(carried, turn.values, strict=True)):
            self.lines[head + 1 + at] = f"{names[at]} = phi {kind} [{start}, %{before}], [{then}, %{self._block}]"
        turn.values = names
        self._block = f"{name}.end"
