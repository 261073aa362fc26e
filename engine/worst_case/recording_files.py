"""Recordings kept in files between runs, beside the machine code they call (``engine.jit.code_files``).

A recording takes a second or more to make and some milliseconds to read.  It serves the formulas it was recorded from
and the programs that made it: the name of its file is made of the structure, the sources of the engine and the versions
of all that writes code.  A structure may have several, one for each way through the formulas, numbered from 0.

What a file says is believed no further than the checksum and the answers in it: machine code is asked a stored question
again (`engine.jit.machine_code.MachineFunction.tried_out`), and where anything is amiss the recording is made anew.
Files are pickled; like compiled modules of Python, they lie in a folder that nobody but the person may write.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import io
import pickle
import sys
from collections.abc import Hashable, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

import engine
from engine.base.lazy import lazy
from engine.jit import code_files
from engine.jit.known import Derivation

llvmlite, llvm = lazy("llvmlite"), lazy("llvmlite.binding")

WAYS_AT_MOST = 8
"""Recordings of one structure in files."""


def keep(key: Hashable, functions: Sequence[Any], besides: Any, derivation: Derivation, quick: bool) -> None:
    """Keep a recording; where it or its code cannot be put in a file, it is recorded again next time."""
    name = _name_of(key)
    if name is None:
        return
    buffer = io.BytesIO()
    with contextlib.suppress(pickle.PicklingError, AttributeError, TypeError):
        for part in ((quick, derivation), (tuple(functions), besides)):
            pickle.dump(part, buffer, pickle.HIGHEST_PROTOCOL)
        names = [f"{name}-{number}" for number in range(WAYS_AT_MOST)]
        code_files.keep(min(names, key=code_files.used), buffer.getvalue())  # one that is free, or unused for longest


def find(key: Hashable, numbers: Sequence[float], quick: bool) -> tuple[tuple[Any, ...], Any, Derivation, bool] | None:
    """Functions, what was said besides, derivation and whether made quickly, of one that serves these numbers.

    One made quickly only if ``quick``; a well made one serves too.
    """
    for file in _files_of(key):
        try:
            made_quickly, derivation = pickle.load(file)
            if (quick or not made_quickly) and derivation.of(numbers) is not None:
                functions, besides = pickle.load(file)
                return functions, besides, derivation, made_quickly
        except Exception:  # noqa: BLE001, S112: whatever is wrong with a file, the recording is made anew
            continue
    return None


def _files_of(key: Hashable) -> Iterator[io.BytesIO]:
    name = _name_of(key)
    if name is not None:
        for number in range(WAYS_AT_MOST):
            content = code_files.find(f"{name}-{number}")
            if content is not None:
                yield io.BytesIO(content)


def _name_of(key: Hashable) -> str | None:
    """Name of the files of a structure; None where the sources cannot be read or no code can be made."""
    sources = _made_by() if code_files.are_kept() else None
    return None if sources is None else hashlib.sha256(f"{sources}{key!r}".encode()).hexdigest()


@functools.cache
def _made_by() -> str | None:
    """Sources of the engine and versions of what makes code; takes 10 ms."""
    whole = hashlib.sha256(f"{sys.version}{np.__version__}".encode())
    try:
        whole.update(repr((llvmlite.__version__, llvm.llvm_version_info)).encode())
        paths = sorted(Path(engine.__path__[0]).rglob("*.py"))
        for path in paths:
            whole.update(path.read_bytes())
    except (ImportError, OSError):
        return None
    return whole.hexdigest() if paths else None
