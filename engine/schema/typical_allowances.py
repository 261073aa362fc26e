"""Allowances that a rig file has to say, and what is taken where nobody has said any.

A file of the present format without a dynamic factor or without swing is refused: both make a pick look better by not
being there.  What an older file held was a start value nobody had to look at, so the typical allowance counts there
unless more was entered.  What is taken as typical is named in `Policy.taken_as_typical`, and every paper says so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any, Literal

Name = Literal["dynamic_factor", "swing_rad", "lean_rad"]

TYPICAL: Mapping[Name, float] = MappingProxyType(
    {"dynamic_factor": 1.25, "swing_rad": math.radians(5.0), "lean_rad": math.radians(1.0)}
)
"""The worse end of what is usual with a gentle lever, hand guiding, and the upright of a truck in use."""

REQUIRED: Mapping[Name, str] = MappingProxyType(
    {
        "dynamic_factor": "how much harder a load pulls as it starts and stops: 1.15 is usual, 1 is plain statics",
        "swing_rad": "how far the load may hang off plumb, in radians: 0.052 (3 degrees) is usual, 0 is none",
    }
)
"""What a file has to say, and what to write there."""


SAID: Mapping[Name, str] = MappingProxyType(
    {
        "dynamic_factor": "dynamic factor {dynamic_factor:ratio}",
        "swing_rad": "load off plumb by {swing_rad:deg}",
        "lean_rad": "forward lean {lean_rad:deg}",
    }
)
"""Each in a sentence."""


def with_typical(policy: Mapping[str, Any], *, once: bool) -> tuple[dict[str, Any], tuple[Name, ...]]:
    """Allowances with typical ones where none is said, and which those are.

    Parameters
    ----------
    policy : mapping
        As in a rig file.
    once : bool
        Whether the file is of a time when a start value stood there unasked: then the typical one counts if it is more.
    """
    kept: Any = policy.get("taken_as_typical", ())
    if not isinstance(kept, list | tuple):
        kept = [kept]  # for the types to refuse
    filled, taken = dict(policy), []
    for name, value in TYPICAL.items():
        said = policy.get(name)
        less = isinstance(said, int | float) and not isinstance(said, bool) and said < value
        fills = name not in policy or (once and less)
        if fills:
            filled[name] = value
        if fills or name in kept:
            taken.append(name)
    if taken or kept:
        filled["taken_as_typical"] = [*taken, *(other for other in kept if other not in taken)]
    return filled, tuple(taken)


def taken_words(names: Sequence[Name]) -> str:
    """A sentence that names what is taken as typical."""
    return f"Taken as typical, not set: {'; '.join(SAID[name] for name in names)}."
