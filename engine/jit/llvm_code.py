"""Recorded formulas as machine code: a grid of variants, four at a time, one loop and no array in between.

Replaying some three thousand steps as NumPy calls (``engine.jit.python_code``) costs a microsecond for each call before anything
is reckoned.  Here every step is one instruction of a loop that LLVM makes machine code of (llvmlite).  Values are those
of the steps, bit for bit: no operation is reordered or fused, and sine and cosine are the C library's.

The loop runs over rows and, within a row, along columns.  A step that depends on no input that changes along a row is
worked out once for the row, and one that depends on nothing else once for all rows: a sweep of balance over a grid of
poses has few steps left for each pose.

The text given to LLVM is made from steps of our own formulas only: operations, numbered values and constants.  Where
there is no llvmlite, or a system does not let a program make code, `machine_function` gives None and NumPy does it.
"""

from __future__ import annotations

import ctypes
import functools
import hashlib
import importlib
import math
import os
import struct
import sys
import threading
import weakref
from collections.abc import Callable, Collection, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array
from engine.jit.trace import CannotRecordError, Function, Operation, Recorder, needed

WIDTH = 4
"""Variants at a time: what a register of today's desktops holds (AVX2); others take two of theirs for it."""

Machine = Callable[[Sequence[Any], tuple[int, ...]], Array]
"""Inputs (floats or arrays) and the shape they broadcast to -> results (results, *shape)."""


def machine_function(
    recorder: Recorder, results: Sequence[Any], along: Collection[int] | None = None, quick: bool = False
) -> Runner | None:
    """The results as a function of the inputs, in machine code.

    Parameters
    ----------
    recorder : Recorder
    results : sequence
        Steps or plain numbers.
    along : collection of int, optional
        Inputs that change along the last axis of the shape; all others must not.  By default every input may change with
        every variant.
    quick : bool
        Make it in a quarter of the time; it then takes up to twice as long to run.

    Returns
    -------
    Runner or None
        None where machine code cannot be made here.

    Raises
    ------
    CannotRecordError
        For an operation that has no code, or a result that is neither a number nor a truth (then 0 or 1).
    """
    made = machine_functions(recorder, [results], along, quick)
    return None if made is None else made[0]


def machine_functions(
    recorder: Recorder, parts: Sequence[Sequence[Any]], along: Collection[int] | None = None, quick: bool = False
) -> list[Runner] | None:
    """As `machine_function`, a function for each of several results; made together they take a fifth of the memory."""
    if not parts:
        return []
    codes = [_Code(recorder, results, along) for results in parts]
    texts = [code.text(f"run{index}") for index, code in enumerate(codes)]
    compiled = compiled_texts(
        "\n".join([DECLARED, *texts]), [(f"run{index}", _RUN) for index in range(len(codes))], quick
    )
    if compiled is None:
        return None
    along = None if along is None else frozenset(along)
    return [
        Runner(made, code.constants, recorder.inputs, len(code.results), len(code.kept), along)
        for code, made in zip(codes, compiled, strict=True)
    ]


# ---------------------------------------------------------------- the text

_NUMBERS = f"<{WIDTH} x double>"
_TRUTHS = f"<{WIDTH} x i1>"

_BINARY: dict[Function, str] = {np.add: "fadd", np.subtract: "fsub", np.multiply: "fmul", np.divide: "fdiv"}
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
_C_LIBRARY = ("sin", "cos")

DECLARED = "\n".join(
    f"declare {_NUMBERS} @llvm.{name}.v{WIDTH}f64({_NUMBERS})" for name in sorted(set(_CALLS.values()))
)
"""What every text with operations of ours needs."""

ALWAYS, ROW, COLUMN, EACH = range(4)
"""What a step's value changes with: nothing, the row, the place along the row, both."""


class _Code:
    """Writes the function: what depends on the column alone, then row by row what depends on it, then along the row."""

    def __init__(self, recorder: Recorder, results: Sequence[Any], along: Collection[int] | None) -> None:
        self.recorder, self.results = recorder, results
        self.places = needed(recorder, results)
        self.along = sorted(along or ())
        self.level: dict[int, int] = dict.fromkeys(range(recorder.inputs), EACH if along is None else ROW)
        self.level.update(dict.fromkeys(self.along, COLUMN))
        for place in self.places:
            self.level[place] = functools.reduce(
                int.__or__, (self.level[at] for at in recorder.uses[place - recorder.inputs]), ALWAYS
            )
        later = {
            at for place in self.places if self.level[place] == EACH for at in recorder.uses[place - recorder.inputs]
        }
        later |= {result.place for result in results if isinstance(result, Operation)}
        self.kept = [place for place in self.places if self.level[place] == COLUMN and place in later]
        """Values along a row that are the same in every row: worked out once, kept in an array."""
        self.truths: set[int] = set()
        self._fresh = 0
        self._constants: dict[bytes, int] = {}
        self._before: list[str] = []

    def text(self, name: str) -> str:
        """The function under a name, in LLVM's language."""
        by_level: dict[int, list[str]] = {level: [] for level in range(4)}
        for place in self.places:
            by_level[self.level[place]] += self._step(place)
        if any(place in self.truths for place in self.kept):
            raise CannotRecordError("Expected numbers along a row, got a truth")
        inputs = range(self.recorder.inputs)
        whole = [place for place in inputs if self.level[place] == EACH]
        tables = ", ".join(f"ptr %{table}, i64 %{table}.row" for table in ("in", "kept", "out"))
        lines = [f"define void @{name}({tables}, ptr %constants, ptr %strides, i64 %rows, i64 %columns) {{", "entry:"]
        lines.append(f"%last = sub i64 %columns, {WIDTH}")
        for place in inputs:
            lines += self._pointer("in", "i", place) + [
                f"%sp{place} = getelementptr i64, ptr %strides, i64 {place}",
                f"%s{place} = load i64, ptr %sp{place}",
            ]
        for index in range(len(self.kept)):
            lines += self._pointer("kept", "k", index)
        for index in range(len(self.results)):
            lines += self._pointer("out", "r", index)
        lines += by_level[ALWAYS]
        if by_level[COLUMN]:
            body = (
                self._loads(self.along, "c")
                + by_level[COLUMN]
                + [
                    line
                    for index, place in enumerate(self.kept)
                    for line in self._store(f"%v{place}", f"%k{index}", "%c")
                ]
            )
            lines += self._loop("c", body, "entry", "row.begin")
        else:
            lines.append("br label %row.begin")
        before = "c.loop" if by_level[COLUMN] else "entry"
        lines += ["row.begin:", f"%row = phi i64 [0, %{before}], [%row.next, %row.end]", "%at = mul i64 %row, %columns"]
        lines += [line for place in inputs if self.level[place] == ROW for line in self._splat(place)]
        lines += by_level[ROW]
        inner = self._loads(whole, "j") if whole else self._again()
        inner += by_level[EACH] + ["%to = add i64 %at, %j"]
        for index, result in enumerate(self.results):
            self._before = []
            value = self._value(result, again=not whole)
            inner += self._before
            if isinstance(result, Operation) and result.place in self.truths:
                inner.append(f"%n{index} = uitofp {_TRUTHS} {value} to {_NUMBERS}")
                value = f"%n{index}"
            inner += self._store(value, f"%r{index}", "%to")
        lines += self._loop("j", inner, "row.begin", "row.end")
        lines += ["row.end:", "%row.next = add i64 %row, 1", "%more = icmp slt i64 %row.next, %rows"]
        return "\n".join([*lines, "br i1 %more, label %row.begin, label %end", "end:", "ret void", "}"])

    # ---- pieces

    @staticmethod
    def _pointer(table: str, name: str, index: int) -> list[str]:
        return [
            f"%{name}p{index} = mul i64 %{table}.row, {index}",
            f"%{name}{index} = getelementptr double, ptr %{table}, i64 %{name}p{index}",
        ]

    @staticmethod
    def _loop(name: str, body: list[str], before: str, after: str) -> list[str]:
        """Along a row; the last four may overlap those before, so that no row needs a length of its own."""
        return [
            f"br label %{name}.loop",
            f"{name}.loop:",
            f"%{name} = phi i64 [0, %{before}], [%{name}.next, %{name}.loop]",
            *body,
            f"%{name}.step = add i64 %{name}, {WIDTH}",
            f"%{name}.over = icmp sgt i64 %{name}.step, %last",
            f"%{name}.next = select i1 %{name}.over, i64 %last, i64 %{name}.step",
            f"%{name}.on = icmp slt i64 %{name}, %last",
            f"br i1 %{name}.on, label %{name}.loop, label %{after}",
        ]

    def _loads(self, places: Collection[int], at: str) -> list[str]:
        lines = []
        for place in places:
            lines += [
                f"%o{place} = mul i64 %{at}, %s{place}",
                f"%q{place} = getelementptr double, ptr %i{place}, i64 %o{place}",
                f"%v{place} = load {_NUMBERS}, ptr %q{place}, align 8",
            ]
        return lines

    def _again(self) -> list[str]:
        """What was worked out along the row before, read back."""
        lines = []
        for index, place in enumerate(self.kept):
            lines += [
                f"%g{place} = getelementptr double, ptr %k{index}, i64 %j",
                f"%w{place} = load {_NUMBERS}, ptr %g{place}, align 8",
            ]
        for place in self.along:
            lines += [
                f"%oo{place} = mul i64 %j, %s{place}",
                f"%g{place} = getelementptr double, ptr %i{place}, i64 %oo{place}",
                f"%w{place} = load {_NUMBERS}, ptr %g{place}, align 8",
            ]
        return lines

    def _splat(self, place: int) -> list[str]:
        return [
            f"%o{place} = mul i64 %row, %s{place}",
            f"%q{place} = getelementptr double, ptr %i{place}, i64 %o{place}",
            f"%x{place} = load double, ptr %q{place}",
            f"%y{place} = insertelement {_NUMBERS} poison, double %x{place}, i64 0",
            f"%v{place} = shufflevector {_NUMBERS} %y{place}, {_NUMBERS} poison, <{WIDTH} x i32> zeroinitializer",
        ]

    def _store(self, value: str, pointer: str, at: str) -> list[str]:
        self._fresh += 1
        name = f"%t{self._fresh}"
        return [
            f"{name} = getelementptr double, ptr {pointer}, i64 {at}",
            f"store {_NUMBERS} {value}, ptr {name}, align 8",
        ]

    def _value(self, part: Any, again: bool = False) -> str:
        if isinstance(part, Operation):
            return f"%{'w' if again and self.level[part.place] == COLUMN else 'v'}{part.place}"
        if isinstance(part, bool):
            return "<" + ", ".join([f"i1 {str(part).lower()}"] * WIDTH) + ">"
        if isinstance(part, float | int):
            return self._constant(float(part))
        raise CannotRecordError(f"Expected a number, got {type(part).__name__}")

    def _constant(self, value: float) -> str:
        """A number out of the table that is handed over, so that rigs alike but for their numbers share one code."""
        word = struct.pack("<d", value)
        index = self._constants.setdefault(word, len(self._constants))
        self._fresh += 1
        name = f"%m{self._fresh}"
        self._before += [
            f"{name}.at = getelementptr {_NUMBERS}, ptr %constants, i64 {index}",
            f"{name} = load {_NUMBERS}, ptr {name}.at, align 8",
        ]
        return name

    @property
    def constants(self) -> Array:
        """The table of numbers (numbers, WIDTH), once the text is written."""
        values = [struct.unpack("<d", word)[0] for word in self._constants]
        return np.ascontiguousarray(np.broadcast_to(np.array(values, float)[:, None], (len(values), WIDTH)))

    def _step(self, place: int) -> list[str]:
        function, parts = self.recorder.steps[place - self.recorder.inputs]
        again = self.level[place] == EACH
        self._before = []
        values = [self._value(part, again) for part in parts]
        return [*self._before, *self._operation(place, function, parts, values)]

    def _operation(self, place: int, function: Function, parts: Sequence[Any], values: list[str]) -> list[str]:
        out = f"%v{place}"
        truths = [
            isinstance(part, bool) or (isinstance(part, Operation) and part.place in self.truths) for part in parts
        ]
        if function in _LOGIC and all(truths):
            self.truths.add(place)
            return [f"{out} = {_LOGIC[function]} {_TRUTHS} {values[0]}, {values[1]}"]
        if function is np.invert and all(truths):
            self.truths.add(place)
            return [f"{out} = xor {_TRUTHS} {values[0]}, <{', '.join(['i1 true'] * WIDTH)}>"]
        if function is np.where and truths == [True, False, False]:
            return [f"{out} = select {_TRUTHS} {values[0]}, {_NUMBERS} {values[1]}, {_NUMBERS} {values[2]}"]
        if any(truths):
            raise CannotRecordError(f"Expected numbers for {function.__name__}, got a truth")
        if function in _BINARY:
            return [f"{out} = {_BINARY[function]} {_NUMBERS} {values[0]}, {values[1]}"]
        if function in _COMPARISONS:
            self.truths.add(place)
            return [f"{out} = fcmp {_COMPARISONS[function]} {_NUMBERS} {values[0]}, {values[1]}"]
        if function in _CALLS:
            return [f"{out} = call {_NUMBERS} @llvm.{_CALLS[function]}.v{WIDTH}f64({_NUMBERS} {values[0]})"]
        if function is np.negative:
            return [f"{out} = fneg {_NUMBERS} {values[0]}"]
        if function is np.square or (function is np.power and not isinstance(parts[1], Operation) and parts[1] == 2):
            return [f"{out} = fmul {_NUMBERS} {values[0]}, {values[0]}"]
        if function in (np.minimum, np.maximum):  # the first where it is not a number, as NumPy does
            return [
                f"{out}.a = fcmp {'olt' if function is np.minimum else 'ogt'} {_NUMBERS} {values[0]}, {values[1]}",
                f"{out}.b = fcmp uno {_NUMBERS} {values[0]}, {values[0]}",
                f"{out}.c = or {_TRUTHS} {out}.a, {out}.b",
                f"{out} = select {_TRUTHS} {out}.c, {_NUMBERS} {values[0]}, {_NUMBERS} {values[1]}",
            ]
        if function is np.isfinite:
            self.truths.add(place)
            return [
                f"{out}.a = call {_NUMBERS} @llvm.fabs.v{WIDTH}f64({_NUMBERS} {values[0]})",
                f"{out} = fcmp olt {_NUMBERS} {out}.a, <{', '.join(['double 0x7FF0000000000000'] * WIDTH)}>",
            ]
        raise CannotRecordError(f"Expected an operation with machine code, got {function.__name__}")


class _Formula(_Code):
    """Writes a function of values four wide instead of tables, its numbers in its own text."""

    def __init__(self, recorder: Recorder, results: Sequence[Any]) -> None:
        super().__init__(recorder, results, None)

    def text_of(self, name: str) -> str:
        """The function alone, inside its module."""
        lines = [line for place in self.places for line in self._step(place)]
        gives = ", ".join([_NUMBERS] * len(self.results))
        arguments = ", ".join(f"{_NUMBERS} %v{place}" for place in range(self.recorder.inputs))
        head = f"define internal {{{gives}}} @{name}({arguments}) alwaysinline {{"
        made = "poison"
        for index, result in enumerate(self.results):
            self._before = []
            value = self._value(result)
            lines += [*self._before, f"%g{index} = insertvalue {{{gives}}} {made}, {_NUMBERS} {value}, {index}"]
            made = f"%g{index}"
        return "\n".join([head, *lines, f"ret {{{gives}}} {made}", "}"])

    def _constant(self, value: float) -> str:
        word = struct.pack(">d", value).hex().upper()
        return "<" + ", ".join([f"double 0x{word}"] * WIDTH) + ">"


def formula_text(name: str, formula: Callable[..., Sequence[Any]], count: int) -> str:
    """A formula of ``count`` numbers as a function in LLVM's language: it takes and gives values four wide."""
    recorder = Recorder()
    results = formula(*(recorder.new_input() for _ in range(count)))
    text = _Formula(recorder, results).text_of(name)
    recorder.clear()
    return text


# ---------------------------------------------------------------- made and run


class Compiled(NamedTuple):
    """A function to call, its address, and what must live as long as it does, which those made together share."""

    call: Callable[..., None]
    address: int
    made: _Made


Entry = tuple[str, Sequence[Any]]
"""Name of a function, and the kinds of its arguments."""

_RUN = (ctypes.c_void_p, ctypes.c_int64) * 3 + (ctypes.c_void_p,) * 2 + (ctypes.c_int64,) * 2
"""Kinds of arguments of the functions that this module writes."""


def compiled_text(text: str, entry: Entry, quick: bool = False) -> Compiled | None:
    """As `compiled_texts`, for one function."""
    made = compiled_texts(text, [entry], quick)
    return None if made is None else made[0]


def compiled_texts(text: str, entries: Sequence[Entry], quick: bool = False) -> list[Compiled] | None:
    """Code of a text in LLVM's language, function by function.

    None where code cannot be made: no llvmlite for this Python, a system that lets no program make code, no C library.
    """
    try:
        return _compiled(text, entries, quick)
    except (ImportError, RuntimeError, OSError, AttributeError):
        return None


def _compiled(text: str, entries: Sequence[Entry], quick: bool) -> list[Compiled]:
    """Code for a text; made once for all rigs that are alike but for their numbers."""
    key = hashlib.sha256(text.encode()).digest()
    with _keeping:
        found = next((made for way in ((False, True) if quick else (False,)) if (made := _alive.get((key, way)))), None)
    if found is None:
        found = _make(text, entries, quick)
    with _keeping:
        _alive.setdefault((key, quick), found)
        _latest[found] = _latest.pop(found, None)  # the last to be forgotten
        while len(_latest) > MOST_KEPT:
            del _latest[next(iter(_latest))]
    return [
        Compiled(ctypes.CFUNCTYPE(None, *kinds)(address), address, found)
        for address, (_, kinds) in zip(found.addresses, entries, strict=True)
    ]


class _Made:
    """Code made of one text: goes when nobody holds it, and with it what it needs, the last of that first."""

    def __init__(self, addresses: list[int], *needed: object) -> None:
        self.addresses, self._needed = addresses, needed


MOST_KEPT = 8
"""Codes kept for rigs to come, made last or asked for last; a rig that is looked at keeps its own."""

_alive: weakref.WeakValueDictionary[tuple[bytes, bool], _Made] = weakref.WeakValueDictionary()
_latest: dict[_Made, None] = {}
_keeping = threading.Lock()


def _make(text: str, entries: Sequence[Entry], quick: bool) -> _Made:
    llvm = _llvm()
    level = 0 if quick else 1  # little is left to gain over 1 after the recorder has taken out what is the same
    target = llvm.Target.from_default_triple().create_target_machine(
        cpu=llvm.get_host_cpu_name(), features=llvm.get_host_cpu_features().flatten(), opt=level
    )
    context = llvm.create_context()  # its own: the common one would keep every type and constant for ever
    module = llvm.parse_assembly(text, context)
    engine = llvm.create_mcjit_compiler(module, target)
    engine.finalize_object()
    made = _Made([engine.get_function_address(name) for name, _ in entries], context, engine)
    engine.remove_module(module)  # the code stays; what it was made from is ten times as large
    del module
    give_back()
    return made


def give_back() -> None:
    """Have the C library return what making code took, up to 50 MB for a moment, where it would keep it for later (glibc)."""
    trim = None if sys.platform == "win32" else getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)


@functools.cache
def _llvm() -> Any:
    """LLVM, ready to make code; loaded when code is first made, for it takes longer than the window takes to open."""
    llvm = importlib.import_module("llvmlite.binding")
    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    library = ctypes.CDLL("ucrtbase" if sys.platform == "win32" else None)
    for name in _C_LIBRARY:
        llvm.add_symbol(name, ctypes.cast(getattr(library, name), ctypes.c_void_p).value)
    return llvm


class Runner:
    """Lays inputs out for the code and calls it; may be called from several threads."""

    def __init__(
        self, compiled: Compiled, constants: Array, inputs: int, results: int, kept: int, along: frozenset[int] | None
    ) -> None:
        self.compiled, self.constants = compiled, constants
        self.inputs, self.results, self._kept = inputs, results, kept
        self._along = along
        self._still = np.zeros(inputs, np.int64)

    def __call__(self, inputs: Sequence[Any], shape: tuple[int, ...]) -> Array:
        """Results (results, *shape) of inputs that broadcast to ``shape``."""
        if len(inputs) != self.inputs:
            raise ValueError(f"Expected {self.inputs} inputs, got {len(inputs)}")
        flat = self._along is None
        if flat and shape == ():
            return self._one(inputs)
        if math.prod(shape) == 0:
            return np.empty((self.results, *shape))
        rows, columns = (1, math.prod(shape)) if flat else (math.prod(shape[:-1]), shape[-1])
        length = max(columns, WIDTH)  # a row is at least as long as a register
        laid = table_of(self.inputs, max(length, rows))
        strides = np.ones(self.inputs, np.int64)
        same, values = [], []
        for index, value in enumerate(inputs):
            if not isinstance(value, np.ndarray) or value.ndim == 0:
                same.append(index)
                values.append(value)
            elif flat or index in self._along:
                row = laid[index]
                if value.size == columns:
                    row[:columns] = value.ravel()
                else:
                    row[:columns].reshape(shape if flat else shape[-1:])[...] = value
                if columns < length:
                    row[columns:length] = row[0]
            else:
                laid[index, :rows].reshape(shape[:-1])[...] = _without_columns(value, shape)
        laid[same, :WIDTH] = np.array(values, float)[:, None]
        strides[same] = 0
        kept, out = table_of(self._kept, length), table_of(self.results, rows * length)
        tables = [part for table in (laid, kept, out) for part in (address_of(table), table.shape[1])]
        parts = min(at_once(), length // VARIANTS_OF_A_THREAD) if flat else 1
        if parts > 1:
            self._in_threads(parts, laid, out, same, strides, length)
        else:
            self.compiled.call(*tables, address_of(self.constants), address_of(strides), rows, length)
        if columns < length:
            return (
                out[:, : rows * length]
                .reshape(self.results, rows, length)[:, :, :columns]
                .reshape(self.results, *shape)
            )
        apart = tuple(8 * math.prod(shape[at + 1 :]) for at in range(len(shape)))
        return np.ndarray((self.results, *shape), float, out, 0, (out.strides[0], *apart))

    def _one(self, inputs: Sequence[float]) -> Array:
        """Results (results) of plain numbers."""
        laid, out = np.empty((self.inputs, WIDTH)), np.empty((self.results, WIDTH))
        laid[...] = np.array(inputs, float)[:, None]
        tables = (address_of(laid), WIDTH, None, 0, address_of(out), WIDTH)
        self.compiled.call(*tables, address_of(self.constants), address_of(self._still), 1, WIDTH)
        return out[:, 0]

    def _in_threads(
        self, parts: int, laid: Array, out: Array, same: list[int], strides: NDArray[np.int64], length: int
    ) -> None:
        """The row in as many pieces; what is the same all along stands at the beginning of each."""
        ends = [at // WIDTH * WIDTH for at in np.linspace(0, length, parts + 1).astype(int).tolist()[:-1]] + [length]
        for start in ends[1:-1]:
            laid[same, start : start + WIDTH] = laid[same, :WIDTH]

        def run(start: int, end: int) -> None:
            first, into = address_of(laid) + 8 * start, address_of(out) + 8 * start
            tables = (first, laid.shape[1], None, 0, into, out.shape[1])
            self.compiled.call(*tables, address_of(self.constants), address_of(strides), 1, end - start)

        with ThreadPoolExecutor(parts) as threads:
            list(threads.map(run, ends, ends[1:]))


VARIANTS_OF_A_THREAD = 2048
"""Fewer variants are not worth a thread."""


def at_once() -> int:
    """How many threads may work at once: a processor each, as long as nobody says otherwise."""
    return _threads or _PROCESSORS


def work_with(threads: int | None) -> None:
    """Let so many threads work at once; None for a processor each."""
    global _threads
    _threads = threads


_threads: int | None = None
_PROCESSORS = os.cpu_count() or 1


def _without_columns(value: Array, shape: tuple[int, ...]) -> Array:
    """An input of a grid that does not change along its last axis, one for each row."""
    if value.shape[-1] != 1:
        raise ValueError(f"Expected an input that does not change along a row, got shape {value.shape} of {shape}")
    return value[..., 0]


CACHE_LINE = 8
"""Numbers in a line of the cache.  Rows a power of two apart would all fall into the same few lines."""


def table_of(rows: int, length: int) -> Array:
    """An empty table whose rows are at least so long, and an odd number of cache lines apart."""
    lines = -(-length // CACHE_LINE)
    return np.empty((rows, (lines + 1 - lines % 2) * CACHE_LINE))


def address_of(table: NDArray[Any]) -> int:
    return table.__array_interface__["data"][0]
