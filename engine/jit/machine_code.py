"""Compiles text in LLVM's language (llvmlite) and runs it over arrays of variants.

Replaying a trace as NumPy calls costs a microsecond a step before anything is computed. Compiled, a step is one
instruction of a loop, and no array is made in between.

Where there is no llvmlite, or a system does not let a program make code, `machine_function` returns None and NumPy does
the work (``engine.jit.python_code``).

Memory: code is kept by its text. Whoever holds a function keeps its code, and the same text then finds it again;
`KEPT_AT_MOST` more are kept for texts to come. Code goes when nobody holds it. LLVM's own copy of the text goes as soon
as the code is made, and the C library is asked to return what that took. Between runs it is kept in files
(``engine.jit.code_files``).

Threads: long arrays are shared out among `thread_count()` threads. Code may be called from several threads at once.
"""

from __future__ import annotations

import ctypes
import functools
import hashlib
import math
import os
import pickle
import sys
import threading
import weakref
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array
from engine.base.lazy import lazy
from engine.jit import code_files
from engine.jit.llvm_code import C_LIBRARY_FUNCTIONS, DECLARATIONS, WIDTH, table_function_text
from engine.jit.trace import Recorder

if TYPE_CHECKING:
    from llvmlite import binding as llvm
else:
    llvm = lazy("llvmlite.binding")  # takes longer than a window takes to open

ArrayFunction = Callable[[Sequence[Any], tuple[int, ...]], Array]
"""Inputs (floats or arrays) and the shape they broadcast to -> results (results, *shape)."""


def machine_function(recorder: Recorder, results: Sequence[Any], quick: bool = False) -> MachineFunction | None:
    """The results as a function of the inputs, in machine code.

    Parameters
    ----------
    recorder : Recorder
    results : sequence
        Values of the trace or plain numbers.
    quick : bool
        Compile in a quarter of the time; the code then takes up to twice as long to run.

    Returns
    -------
    MachineFunction or None
        None where machine code cannot be made here.

    Raises
    ------
    CannotRecordError
        For an operation that has no code, or a result that is neither a number nor a truth (then 0 or 1).
    """
    functions = machine_functions(recorder, [results], quick)
    return None if functions is None else functions[0]


def machine_functions(
    recorder: Recorder, parts: Sequence[Sequence[Any]], quick: bool = False
) -> list[MachineFunction] | None:
    """As `machine_function`, one for each group of results; compiled together they take a fifth of the memory."""
    if not parts:
        return []
    names = [f"run{index}" for index in range(len(parts))]
    texts = [table_function_text(recorder, results, name) for name, results in zip(names, parts, strict=True)]
    text = "\n".join([DECLARATIONS, *(function.text for function in texts)])
    compiled = compiled_functions(text, [Signature(name, _TABLE_FUNCTION_ARGUMENTS) for name in names], quick)
    if compiled is None:
        return None
    return [
        MachineFunction(code, function.constants, recorder.inputs, len(results), function.known)
        for code, function, results in zip(compiled, texts, parts, strict=True)
    ]


# ---------------------------------------------------------------- compiled


class Signature(NamedTuple):
    """Name of a function in a text, and the C types of its arguments."""

    name: str
    arguments: Sequence[Any]


_TABLE_FUNCTION_ARGUMENTS = (ctypes.c_void_p, ctypes.c_int64) * 2 + (ctypes.c_void_p,) * 2 + (ctypes.c_int64,)
"""Arguments of the functions that `table_function_text` writes."""


class CompiledFunction(NamedTuple):
    """A function to call, its address, and the code it is part of, which must live as long as the function."""

    call: Callable[..., None]
    address: int
    code: Code


class _MadeOf(NamedTuple):
    """Hash of a text, whether it was compiled quickly, and the functions in it."""

    key: bytes
    quick: bool
    names: tuple[str, ...]


class Code:
    """Machine code of one text; goes when nobody holds it, and with it what it needs, the last of that first."""

    def __init__(self, made_of: _MadeOf, addresses: list[int], *needed: object) -> None:
        self.made_of, self.addresses, self._needed = made_of, addresses, needed
        self.verified = False
        """Whether what it says has been compared with something else: it runs on machines that nobody has tried."""


def compiled_function(text: str, signature: Signature, quick: bool = False) -> CompiledFunction | None:
    """As `compiled_functions`, for one function."""
    functions = compiled_functions(text, [signature], quick)
    return None if functions is None else functions[0]


def compiled_functions(
    text: str, signatures: Sequence[Signature], quick: bool = False
) -> list[CompiledFunction] | None:
    """Functions of a text in LLVM's language.

    None where code cannot be made: no llvmlite for this Python, a system that lets no program make code, no C library.
    """
    try:
        code = _code_of(text, [signature.name for signature in signatures], quick)
    except (ImportError, RuntimeError, OSError, AttributeError):
        return None
    return [
        _function_at(address, signature, code) for address, signature in zip(code.addresses, signatures, strict=True)
    ]


def _function_at(address: int, signature: Signature, code: Code) -> CompiledFunction:
    return CompiledFunction(ctypes.CFUNCTYPE(None, *signature.arguments)(address), address, code)


KEPT_AT_MOST = 8
"""Codes kept though nobody may hold them: those made or asked for last."""


class _CodeCache:
    """Codes by text (its hash, and whether compiled quickly)."""

    def __init__(self) -> None:
        self.held: weakref.WeakValueDictionary[tuple[bytes, bool], Code] = weakref.WeakValueDictionary()
        """Every code that somebody holds, this cache included."""
        self.latest: dict[Code, None] = {}
        """Those kept though nobody else may hold them, the longest unused first."""
        self._lock = threading.Lock()

    def find(self, key: bytes, quick: bool) -> Code | None:
        """The code; where quick code would do, better code does too."""
        with self._lock:
            code = self.held.get((key, False))
            return self.held.get((key, True)) if code is None and quick else code

    def keep(self, key: bytes, quick: bool, code: Code) -> None:
        with self._lock:
            self.held.setdefault((key, quick), code)
            self.latest.pop(code, None)
            self.latest[code] = None
            while len(self.latest) > KEPT_AT_MOST:
                del self.latest[next(iter(self.latest))]


_cache = _CodeCache()


def _code_of(text: str, names: Sequence[str], quick: bool) -> Code:
    """Code of a text: one for all formulas that are alike but for their constants."""
    return _code(_MadeOf(hashlib.sha256(text.encode()).digest(), quick, tuple(names)), text)


def _code(wanted: _MadeOf, text: str | None) -> Code:
    """Code that is kept, or made now; LookupError where it is not kept and there is no text to make it of."""
    code = _cache.find(wanted.key, wanted.quick)
    if code is None:
        code = _loaded(_made(wanted, text), wanted)
    _cache.keep(wanted.key, wanted.quick, code)
    return code


def _made(wanted: _MadeOf, text: str | None) -> bytes:
    """Code as a linker takes it: out of a file, or made now and put there."""
    _prepare_llvm()
    for level in (True, False) if wanted.quick else (False,):  # better code does too
        found = code_files.find(_file_key(wanted.key, level))
        if found is not None:
            return found
    if text is None:
        raise LookupError("Expected a file with the machine code")
    made = _compile(text, wanted.quick)
    code_files.keep(_file_key(wanted.key, wanted.quick), made)
    return made


def _file_key(key: bytes, quick: bool) -> str:
    """Text, quality, LLVM and processor in one: code serves none but these."""
    maker = (quick, llvm.llvm_version_info, llvm.get_process_triple(), llvm.get_host_cpu_name(), _features())
    return hashlib.sha256(key + repr(maker).encode()).hexdigest()


@functools.cache
def _features() -> str:
    """What this processor can do."""
    return llvm.get_host_cpu_features().flatten()


def _target(quick: bool) -> llvm.TargetMachine:
    level = 0 if quick else 1  # little is left to gain over 1: equal steps are recorded once
    triple = llvm.Target.from_default_triple()
    return triple.create_target_machine(cpu=llvm.get_host_cpu_name(), features=_features(), opt=level, jit=True)


def _compile(text: str, quick: bool) -> bytes:
    context = llvm.create_context()  # its own: the common one would keep every type and constant for ever
    module = llvm.parse_assembly(text, context)
    made = _target(quick).emit_object(module)
    module.close()
    context.close()
    return made


def _loaded(made: bytes, made_of: _MadeOf) -> Code:
    """Code put where it can run."""
    context = llvm.create_context()
    engine = llvm.create_mcjit_compiler(llvm.parse_assembly("", context), _target(quick=True))
    engine.add_object_file(llvm.ObjectFileRef.from_data(made))
    engine.finalize_object()
    code = Code(made_of, [engine.get_function_address(name) for name in made_of.names], context, engine)
    return_freed_memory()
    return code


def return_freed_memory() -> None:
    """Have the C library return freed memory to the system, where it would keep it for later (glibc).

    Compiling takes up to 50 MB for a moment.
    """
    trim = None if sys.platform == "win32" else getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)


@functools.cache
def _prepare_llvm() -> None:
    """Tell LLVM of this machine and of the C library's functions, once."""
    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    library = ctypes.CDLL("ucrtbase" if sys.platform == "win32" else None)
    for name in C_LIBRARY_FUNCTIONS:
        llvm.add_symbol(name, ctypes.cast(getattr(library, name), ctypes.c_void_p).value)


# ---------------------------------------------------------------- run


class _Trial(NamedTuple):
    """A question to a function and the bits of its answer."""

    inputs: tuple[Any, ...]
    shape: tuple[int, ...]
    answer: bytes


class MachineFunction:
    """Lays inputs out as a table and calls the code; an `ArrayFunction`."""

    def __init__(
        self,
        compiled: CompiledFunction,
        constants: Array,
        inputs: int,
        results: int,
        known: Mapping[int, int] = MappingProxyType({}),
    ) -> None:
        self.compiled, self.constants = compiled, constants
        self.inputs, self.results = inputs, results
        self._known_rows = known
        self._no_strides = np.zeros(inputs, np.int64)
        self._trial: _Trial | None = None

    @property
    def known(self) -> Iterable[int]:
        """Places of the known numbers it reads."""
        return self._known_rows

    def with_known(self, numbers: Mapping[int, float]) -> MachineFunction:
        """The same code with other known numbers, by their places."""
        constants = self.constants.copy()
        if self._known_rows:
            rows = list(self._known_rows.values())
            constants[rows] = np.array([numbers[place] for place in self._known_rows])[:, None]
        return MachineFunction(self.compiled, constants, self.inputs, self.results, self._known_rows)

    def __call__(self, inputs: Sequence[Any], shape: tuple[int, ...]) -> Array:
        """Results (results, *shape) of inputs that broadcast to ``shape``."""
        if len(inputs) != self.inputs:
            raise ValueError(f"Expected {self.inputs} inputs, got {len(inputs)}")
        if shape == ():
            return self._of_plain_numbers(inputs)
        count = math.prod(shape)
        if count == 0:
            return np.empty((self.results, *shape))
        length = max(count, WIDTH)
        table, strides = padded_table(self.inputs, length), np.ones(self.inputs, np.int64)
        plain, values = [], []
        for index, value in enumerate(inputs):
            if not isinstance(value, np.ndarray) or value.ndim == 0:
                plain.append(index)
                values.append(value)
                continue
            row = table[index]
            if value.size == count:
                row[:count] = value.ravel()
            else:
                row[:count].reshape(shape)[...] = value
            if count < length:
                row[count:length] = row[0]
        table[plain, :WIDTH] = np.array(values, float)[:, None]
        strides[plain] = 0
        out = padded_table(self.results, length)
        self._run(table, out, strides, length)
        return out[:, :count].reshape(self.results, *shape)

    def tried_out(self, inputs: Sequence[Any], shape: tuple[int, ...]) -> Array:
        """As a call; question and answer are remembered, to be asked again when the code comes out of a file."""
        answer = self(inputs, shape)
        self._trial = _Trial(tuple(inputs), shape, answer.tobytes())
        return answer

    def __reduce__(self) -> tuple[Any, ...]:
        """Pickled, it names the file that holds its code.

        Raises
        ------
        pickle.PicklingError
            Where it has not been tried out.
        """
        if self._trial is None:
            raise pickle.PicklingError("Expected machine code that has been tried out")
        code = self.compiled.code
        at = code.addresses.index(self.compiled.address)
        known = dict(self._known_rows)
        return _found_again, (code.made_of, at, self.constants, self.inputs, self.results, known, self._trial)

    def of_rows(self, inputs: Array, places: Sequence[int], rows: Array) -> Array:
        """Results (results, variants) where all inputs are plain numbers but those at ``places``, a row each."""
        at, count = list(places), rows.shape[1]
        length = max(count, WIDTH)
        table, out = padded_table(self.inputs, length), padded_table(self.results, length)
        table[:, :WIDTH] = inputs[:, None]
        table[at, :count] = rows
        if count < length:
            table[at, count:length] = rows[:, :1]
        strides = np.zeros(self.inputs, np.int64)
        strides[at] = 1
        self._run(table, out, strides, length)
        return out[:, :count]

    def _of_plain_numbers(self, inputs: Sequence[float]) -> Array:
        """Results (results) of one variant."""
        table, out = np.empty((self.inputs, WIDTH)), np.empty((self.results, WIDTH))
        table[...] = np.array(inputs, float)[:, None]
        self._call(address_of(table), WIDTH, address_of(out), WIDTH, self._no_strides, WIDTH)
        return out[:, 0]

    def _run(self, table: Array, out: Array, strides: NDArray[np.int64], length: int) -> None:
        """Every column, in as many pieces as there are threads worth it."""
        threads = min(thread_count(), length // VARIANTS_WORTH_A_THREAD)
        first, into = address_of(table), address_of(out)
        row, out_row = table.shape[1], out.shape[1]
        if threads <= 1:
            self._call(first, row, into, out_row, strides, length)
            return
        ends = [at // WIDTH * WIDTH for at in np.linspace(0, length, threads + 1).astype(int).tolist()[:-1]] + [length]
        plain = np.flatnonzero(strides == 0)
        for start in ends[1:-1]:  # plain numbers stand at the beginning of each piece
            table[plain, start : start + WIDTH] = table[plain, :WIDTH]

        def run_piece(start: int, end: int) -> None:
            self._call(first + 8 * start, row, into + 8 * start, out_row, strides, end - start)

        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(run_piece, ends, ends[1:]))

    def _call(self, table: int, row: int, out: int, out_row: int, strides: NDArray[np.int64], count: int) -> None:
        self.compiled.call(table, row, out, out_row, address_of(self.constants), address_of(strides), count)


def _found_again(
    made_of: _MadeOf, at: int, constants: Array, inputs: int, results: int, known: dict[int, int], trial: _Trial
) -> MachineFunction:
    """A pickled function; LookupError where its code is gone or does not answer as before."""
    code = _code(made_of, None)
    signature = Signature(made_of.names[at], _TABLE_FUNCTION_ARGUMENTS)
    function = MachineFunction(_function_at(code.addresses[at], signature, code), constants, inputs, results, known)
    if function.tried_out(trial.inputs, trial.shape).tobytes() != trial.answer:
        raise LookupError("Expected machine code that answers as it did when it was made")
    return function


VARIANTS_WORTH_A_THREAD = 2048
"""Fewer variants are not worth a thread."""


class _Threads:
    """How many threads may compute at once; None for one a processor."""

    count: int | None = None


_PROCESSORS = os.cpu_count() or 1
"""Asked once: the system reads a file for it."""


def thread_count() -> int:
    """How many threads may compute at once."""
    return _Threads.count or _PROCESSORS


def set_thread_count(threads: int | None) -> None:
    """Let so many threads compute at once, in the whole process; None for one a processor."""
    _Threads.count = threads


# ---------------------------------------------------------------- tables

NUMBERS_OF_A_CACHE_LINE = 8


def padded_table(rows: int, length: int) -> Array:
    """An empty table whose rows are at least that long and an odd number of cache lines apart.

    Rows a power of two apart would all fall into the same few lines of the cache.
    """
    lines = -(-length // NUMBERS_OF_A_CACHE_LINE)
    return np.empty((rows, (lines + 1 - lines % 2) * NUMBERS_OF_A_CACHE_LINE))


def address_of(table: NDArray[Any]) -> int:
    """Where an array's first number stands in memory."""
    return table.__array_interface__["data"][0]
