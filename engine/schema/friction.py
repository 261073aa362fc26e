"""Friction of tyres on what they stand on, and the surfaces on which no truck is held.

Source: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from engine.schema.model import Surface

FRICTION: Mapping[Surface, float] = MappingProxyType({"dry": 0.6, "wet": 0.4, "mud": 0.2})
"""Sideways force that a tyre can take, over what it carries."""

UNKNOWN: Surface = "wet"
"""What counts where nobody has named the surface: wet or dusty."""

SLIPPERY: frozenset[Surface] = frozenset(("ice", "oil", "snow"))
"""Surfaces on which nothing holds a truck."""


def friction_of(surface: Surface | None) -> float:
    """Friction on a surface; none at all on one that is slippery."""
    return FRICTION.get(surface or UNKNOWN, 0.0)
