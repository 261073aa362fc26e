"""Which side of an entry is worse for a limit, and what is left of the load then: number by number.

Formulas of the search for the worst case (``engine.worst_case.corner_search``), for floats, arrays, and stand-ins of ``engine.jit.trace``, so that
NumPy and machine code (``engine.worst_case.corner_search_llvm``) rest on the same ones.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.base.geometry import Number, least, most, ratio, where

ROUND_OFF = 1e-11
"""An effect under this share of what a limit is worked out from is round-off, not an effect."""

FAR_KG = 20_000.0
"""Where a limit that best values never reach is looked at instead."""

NEAR = 0.8
"""Share of the load allowed by best values at which the chord starts, if the worst case still allows that much."""

FIRST_TRY_KG = 500.0
"""Where to look when neither the hook nor the limits say."""


class Looked(NamedTuple):
    """A limit in one variant: under the load itself, and ``then`` under another."""

    demand: Number
    allowed: Number
    demand_then: Number
    allowed_then: Number


class Sides(NamedTuple):
    """What the low and the high side of an entry alone add to ``demand - allowed``, and the worse side (-1, 0 or 1) of it.

    ``own``: where the limit is passed first; ``near``: where its use is greatest; ``at_load``: where it is passed under the
    load that is looked at.
    """

    low: Number
    high: Number
    own: Number
    near: Number
    at_load: Number


def sides_of(
    best: Looked, low: Looked, high: Looked, use: Number, apart_kg: Number, on_kg: Number, is_load: Number
) -> Sides:
    """The worse sides of one entry for one limit.

    Parameters
    ----------
    best, low, high : Looked
        The limit at best values, with the entry at its least, and at its most.
    use : Number
        The limit's use at best values.
    apart_kg, on_kg : Number
        The load less the other load; the load that is looked at less the other load.
    is_load : Number
        1 where the entry is the load itself, else 0: its variants hang other loads, so the slope of best values is taken.
    """
    share = where(abs(use) < math.inf, use, 1.0)
    slope = _per_kg(best, apart_kg)

    def at_load(looked: Looked) -> Number:
        own = slope if looked is best else where(is_load > 0.0, slope, _per_kg(looked, apart_kg))
        return looked.demand_then - looked.allowed_then + on_kg * own

    size = abs(best.demand) + abs(best.allowed)
    size_then = abs(best.demand_then) + abs(best.allowed_then) + abs(on_kg * slope)
    three = (best, low, high)
    low_effect, high_effect, own = _worse(*(looked.demand - looked.allowed for looked in three), size)
    _, _, near = _worse(*(looked.demand - share * looked.allowed for looked in three), size)
    _, _, at = _worse(*(at_load(looked) for looked in three), size_then)
    return Sides(low_effect, high_effect, own, near, at)


def guide_side(best: Number, low: Number, high: Number) -> Number:
    """The side of an entry that makes a plain value greater."""
    return _worse(best, low, high, abs(best))[2]


def _per_kg(looked: Looked, apart_kg: Number) -> Number:
    """What each kilogram of load adds to the excess."""
    return ratio(looked.demand - looked.allowed - (looked.demand_then - looked.allowed_then), apart_kg)


def _worse(best: Number, low: Number, high: Number, size: Number) -> tuple[Number, Number, Number]:
    """Effects of the low and the high side, and the side that is worse: 0 where best values are the worst."""
    low, high = _effect(best, low, size), _effect(best, high, size)
    return low, high, where((low < 0.0) & (high < 0.0), 0.0, where(high >= low, 1.0, -1.0))


def _effect(best: Number, value: Number, size: Number) -> Number:
    """How much worse a value is than at best.

    One that stops being a number is as bad as can be; one that is infinite either way makes no difference.
    """
    more = value - best
    more = where(abs(more) <= ROUND_OFF * size, 0.0, more)
    both = (abs(best) == math.inf) & (abs(value) == math.inf)
    return where(more != more, where(both, 0.0, math.inf), more)


# ---------------------------------------------------------------- loads


def load_to_try(allowed_kg: Number) -> Number:
    """Load allowed by best values, somewhere far where there is no such load, 0 where the limit is over or not known."""
    known_kg = where(allowed_kg != allowed_kg, 0.0, allowed_kg)
    return least(most(known_kg, 0.0), FAR_KG)


def other_load(load_kg: Number, at_kg: Number) -> Number:
    """The load at which the variants are looked at again: the smallest that best values allow.

    So the corner of the limit that governs is found at the very load in question.  Where that is the load itself, none
    at all, or half of it again.
    """
    alike = abs(at_kg - load_kg) < 0.02 * (load_kg + 1.0)
    return where(alike, where(load_kg > 1.0, 0.5 * load_kg, load_kg + FIRST_TRY_KG), at_kg)


class Met(NamedTuple):
    """The worst use of a limit, and the load it allows: minus infinity where that is not known."""

    use: Number
    allowed_kg: Number


def met(
    found_use: Number,
    none: Number,
    near: Number,
    full: Number,
    at_kg: Number,
    best_use: Number,
    best_kg: Number,
    best_allowed: Number,
) -> Met:
    """A limit's worst use and allowed load, the latter by chords that never allow too much.

    ``none``, ``near`` and ``full`` are the worst excess without load, at four fifths of ``at_kg``, and at it; ``best_`` is what
    best values say.
    """
    met_kg = where(full > 0.0, at_kg * (NEAR + (1.0 - NEAR) * ratio(near, near - full)), best_kg)
    met_kg = where(near > 0.0, NEAR * at_kg * ratio(none, none - near), met_kg)
    met_kg = where(none > 0.0, -math.inf, met_kg)
    met_kg = where((abs(best_kg) < math.inf) | (full > 0.0), met_kg, best_kg)
    known = none + near + full
    met_kg = least(where(known != known, math.nan, met_kg), best_kg)
    idle = is_idle(best_use, best_allowed)
    return Met(
        where(idle, 0.0, most(found_use, best_use)),
        where(idle, math.inf, where(met_kg != met_kg, -math.inf, met_kg)),
    )


def is_idle(use: Number, allowed: Number) -> Number:
    """A limit with nothing demanded of it (``never`` over) has no use and allows nothing: it is no limit at all."""
    return (allowed == 0.0) & (use == 0.0)
