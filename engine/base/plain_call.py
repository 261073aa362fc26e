"""Functions of numbers that stay as they are for many poses: a recording (`engine.jit`) calls them as they are.

What a part allows follows from the rig and the policy alone, by rules that branch on sizes: a slenderness class, a face
with room for a weld or without.  Recorded step by step, every branch would be a condition on later use of the
recording.  Recorded as one call, only what comes out of it matters.
"""

from __future__ import annotations

import contextlib
import functools
import threading
from collections.abc import Callable, Iterator
from typing import Any, ParamSpec, TypeVar

import msgspec

Parameters = ParamSpec("Parameters")
Result = TypeVar("Result")


class _Recordings:
    """How many are under way in this process: only then stand-ins are looked for."""

    under_way = 0
    lock = threading.Lock()


@contextlib.contextmanager
def recording() -> Iterator[None]:
    """While a formula runs on stand-ins."""
    with _Recordings.lock:
        _Recordings.under_way += 1
    try:
        yield
    finally:
        with _Recordings.lock:
            _Recordings.under_way -= 1


def plain_call(function: Callable[Parameters, Result]) -> Callable[Parameters, Result]:
    """A function whose result, numbers in records and tuples, follows from its arguments alone.

    Given stand-ins (`engine.jit.known.KnownNumber`) it is recorded as one call.
    """

    @functools.wraps(function)
    def called(*given: Parameters.args, **named: Parameters.kwargs) -> Result:
        if _Recordings.under_way:
            standing = _stand_in((given, named))
            if standing is not None:
                return standing.call(called, given, named)  # found again by its name, for a file
        return function(*given, **named)

    return called


def _stand_in(node: Any) -> Any:
    """The first stand-in in a value, at any depth; None if there is none."""
    if hasattr(node, "apply"):
        return node
    if isinstance(node, msgspec.Struct):
        parts: Any = (getattr(node, name) for name in node.__struct_fields__)
    elif isinstance(node, tuple):
        parts = node
    elif isinstance(node, dict):
        parts = node.values()
    else:
        return None
    return next((found for found in map(_stand_in, parts) if found is not None), None)
