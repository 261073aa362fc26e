"""Parts of a question that the working process has seen before, swapped for the very same objects as last time.

Every question arrives as a copy. The engine remembers by identity what it has worked out of a truck or a rig
(`engine.base.identity`), so a copy is worked out from nothing, however little has changed. Here each part of a question
that equals the last question's gives way to the last question's own. Parts are equal when they are written as the same
bytes: not merely by ``==``, which takes -0.0 for 0.0. Values are frozen, so nobody else can tell the difference.
"""

from __future__ import annotations

from typing import Any

import msgspec

from engine.schema.quantities import Value


class KnownParts:
    """The last job, pose or move of each kind that came."""

    def __init__(self) -> None:
        self._last: dict[type, Any] = {}

    def swapped(self, arguments: tuple[Any, ...]) -> tuple[Any, ...]:
        """A question's arguments, just arrived, with every part that has not changed from before."""
        known = tuple(_swapped(one, self._last.get(type(one))) for one in arguments)
        self._last.update({type(one): one for one in known if isinstance(one, Value)})
        return known


def _swapped(new: Any, last: Any) -> Any:
    """``last`` where the two are the same; else ``new``, which nobody else holds yet, with those parts that are."""
    if type(new) is not type(last) or not isinstance(new, (Value, tuple)):
        return new
    if msgspec.msgpack.encode(new) == msgspec.msgpack.encode(last):
        return last
    if isinstance(new, tuple):
        changed = (_swapped(one, other) for one, other in zip(new, last, strict=False))
        return (*changed, *new[len(last) :]) if type(new) is tuple else new
    for name in new.__struct_fields__:
        msgspec.structs.force_setattr(new, name, _swapped(getattr(new, name), getattr(last, name)))
    return new
