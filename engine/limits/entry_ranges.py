"""From where to where a number of the job lies: the model's own limits, and those of real parts where there are any."""

from __future__ import annotations

import functools
import math
import re
import typing
from typing import Any

import msgspec

from engine.base.typed import ANY, Range
from engine.limits.part_sizes import bound_of
from engine.schema.model import Job
from engine.schema.quantities import Estimate

_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")
_ENDS = ("best", "low", "high")


def range_of(job: Job, path: str) -> Range:
    """From where to where the number at a path lies, in SI; infinite where nothing says.

    Parameters
    ----------
    job : Job
    path : str
        Such as ``rig.boom.section.wall_m`` or ``truck.front_axle_kg.best``.
    """
    own, real = _of_model(job, path), bound_of(_without_end(path))
    if real is None:
        return own
    return Range(max(own.least, real.low), min(own.most, real.high))


def _without_end(path: str) -> str:
    start, _, end = path.rpartition(".")
    return start if end in _ENDS else path


def _of_model(job: Job, path: str) -> Range:
    """The limits of the type at a path."""
    node: Any = job
    hint: Any = Job
    for name, index in _STEP.findall(path):
        if node is None:
            return ANY
        if index:
            hint = _argument(hint)
            node = node[int(index)] if int(index) < len(node) else None
        elif isinstance(node, Estimate):
            hint = _argument(hint)
            node = getattr(node, name)
        else:
            hint = _hints(type(node)).get(name)
            node = getattr(node, name, None)
    return _limits(hint)


@functools.cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind, include_extras=True)


def _argument(hint: Any) -> Any:
    """What a tuple or an estimate holds."""
    for option in _options(hint):
        arguments = typing.get_args(_plain(option))
        if arguments:
            return arguments[0]
    return None


def _plain(hint: Any) -> Any:
    """A type without its limits."""
    return typing.get_args(hint)[0] if typing.get_origin(hint) is typing.Annotated else hint


def _options(hint: Any) -> tuple[Any, ...]:
    arguments = typing.get_args(hint)
    return tuple(one for one in arguments if one is not type(None)) if type(None) in arguments else (hint,)


def _limits(hint: Any) -> Range:
    for option in _options(hint):
        for meta in getattr(option, "__metadata__", ()):
            if isinstance(meta, msgspec.Meta):
                least = next((end for end in (meta.ge, meta.gt) if end is not None), -math.inf)
                most = next((end for end in (meta.le, meta.lt) if end is not None), math.inf)
                return Range(float(least), float(most))
    return ANY
