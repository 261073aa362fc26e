"""Cache keys that match only the very same objects, not merely equal ones.

Frozen records compare and hash by value, which takes longer than what a kept answer saves. A cached function takes an
`IdentityKey` of the objects its answer depends on, and an `Uncompared` of whatever else it reads::

    @functools.lru_cache(maxsize=8)
    def _total(same: IdentityKey[Parts, Prices], job: Uncompared[Job]) -> float: ...
"""

from __future__ import annotations

from typing import Generic, TypeVar, TypeVarTuple

Parts = TypeVarTuple("Parts")
Value = TypeVar("Value")


class IdentityKey(Generic[*Parts]):
    """Stands for some objects: equal to another key of the very same objects.

    It keeps them alive, so that their identity stays theirs.
    """

    __slots__ = ("parts",)

    def __init__(self, *parts: *Parts) -> None:
        self.parts = parts

    def __hash__(self) -> int:
        return hash(tuple(map(id, self.parts)))

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, IdentityKey)
            and len(self.parts) == len(other.parts)
            and all(mine is theirs for mine, theirs in zip(self.parts, other.parts, strict=True))
        )


class Uncompared(Generic[Value]):
    """Carries a value into a cached function without being part of the key: equal to every other."""

    __slots__ = ("value",)

    def __init__(self, value: Value) -> None:
        self.value = value

    def __hash__(self) -> int:
        return 0

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Uncompared)
