"""Whether two questions are about the very same objects, so that an answer may be kept.

Frozen records compare and hash by value, which takes longer than what a kept answer saves.
"""

from __future__ import annotations


class IdentityKey:
    """Stands for some objects: equal to another that stands for the same objects, not merely for equal ones.

    It keeps them alive, so that their identity stays their own.  ``of`` is whatever they are parts of, for whoever works
    the answer out; of it only they count.
    """

    __slots__ = ("of", "parts")

    def __init__(self, *parts: object, of: object = None) -> None:
        self.parts, self.of = parts, of

    def __hash__(self) -> int:
        return hash(tuple(map(id, self.parts)))

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, IdentityKey)
            and len(self.parts) == len(other.parts)
            and all(mine is theirs for mine, theirs in zip(self.parts, other.parts, strict=True))
        )
