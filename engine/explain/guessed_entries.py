"""Entries that nobody has measured, weighed or read off a plate: like another, typical, guessed, or unknown steel."""

from __future__ import annotations

import functools
from collections.abc import Iterator
from typing import Any

import msgspec

from engine.base.identity import IdentityKey
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.schema.steel import UNKNOWN

NOT_LOOKED_AT = frozenset({"similar", "typical", "guess"})
"""How an entry is known that nobody has looked at."""

_SAYS_HOW = {"known", "wall_known", "load_known"}
_COUNTED = ("truck", "rig", "floors", "surroundings", "load")
"""Parts of a job that a verdict rests on; trial lifts, the rack and what is wanted are looked at by themselves."""


def guessed_entries(job: Job, floor: str | None = None) -> tuple[str, ...]:
    """Paths of the entries that nobody has looked at, in the model's order, the allowances last.

    Parameters
    ----------
    job : Job
    floor : str, optional
        The floor the truck stands on; by default every floor counts.
    """
    paths = _guessed(IdentityKey(*(getattr(job, name) for name in _COUNTED)))
    others = {f"floors[{index}]" for index, spot in enumerate(job.floors) if floor is not None and spot.name != floor}
    allowances = tuple(f"policy.{name}" for name in job.policy.still_typical)
    return tuple(path for path in paths if path.split(".")[0] not in others) + allowances


@functools.lru_cache(maxsize=8)
def _guessed(parts: IdentityKey) -> tuple[str, ...]:
    return tuple(path for name, part in zip(_COUNTED, parts.parts, strict=True) for path in _walk(name, part))


def _walk(path: str, node: Any) -> Iterator[str]:
    if isinstance(node, Estimate):
        if node.known in NOT_LOOKED_AT:
            yield path
        return
    if isinstance(node, tuple):
        for index, part in enumerate(node):
            yield from _walk(f"{path}[{index}]", part)
        return
    if not isinstance(node, msgspec.Struct):
        return
    for name in node.__struct_fields__:
        value = getattr(node, name)
        if name == "steel":
            if value == UNKNOWN:
                yield f"{path}.steel"
        elif name in _SAYS_HOW:
            if value in NOT_LOOKED_AT:
                yield f"{path}.{name}"
        else:
            yield from _walk(f"{path}.{name}", value)
