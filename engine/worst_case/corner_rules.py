"""Rules of the search for the worst case: which side of an entry is worse for a limit, and what load is left then.

The rules take floats, arrays, and the stand-ins of ``engine.jit.trace``, so that the search as arrays
(``engine.worst_case.corner_search``) and the one in machine code (``engine.worst_case.corner_search_llvm``) rest on the
same formulas. ``engine.worst_case.corner_search`` explains the method.

A side is -1 (the entry at its least), 0 (as entered) or 1 (at its most). The *excess* of a limit is
``demand - allowed``; the limit is met while that is at most 0.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from engine.base.geometry import Number, Truth, least, most, ratio, where

ROUND_OFF = 1e-11
"""An effect under this share of what a limit is computed from is round-off, not an effect."""

FAR_KG = 20_000.0
"""Where a limit is looked at that values as entered never reach."""

NEAR = 0.8
"""Where the chord starts, as a share of the load allowed as entered, if the worst case still allows that much."""

FIRST_TRY_KG = 500.0
"""Where to look when neither the hook nor the limits say."""

HUNG = ("load_kg", "rigging_kg")
"""Entries that hang on the hook."""

REACH = 10.0
"""How many times its bend (`bend_of`) a limit's use may be short of its worst; some three times is the most seen."""

NEARLY = 0.02
"""Points of use under the limit from where a limit is climbed whatever its bend."""

BENT = 0.02
"""Bend from where a limit is climbed in every pose."""

STRAIGHT = 0.0002
"""Bend up to which a limit is not worth a climb anywhere: `REACH` times this is what a list of limits may be short."""


class LimitAtTwoLoads(NamedTuple):
    """A limit in one variant: under the load itself, and under a second load."""

    demand: Number
    allowed: Number
    second_demand: Number
    second_allowed: Number

    @property
    def excess(self) -> Number:
        """Excess under the load itself."""
        return self.demand - self.allowed

    @property
    def second_excess(self) -> Number:
        """Excess under the second load."""
        return self.second_demand - self.second_allowed


class WorseSide(NamedTuple):
    """What the low and the high side of an entry alone add to a value, and which of them makes it greater."""

    low_effect: Number
    high_effect: Number
    side: Number


class EntrySides(NamedTuple):
    """What an entry alone adds to a limit's excess, and the sides that lead to the limit's corners.

    ``passed_first``: where the limit is passed first; ``greatest_use``: where its use is greatest; ``at_load``: where
    it is passed under the load that is looked at.
    """

    low_effect: Number
    high_effect: Number
    passed_first: Number
    greatest_use: Number
    at_load: Number


def entry_sides(
    nominal: LimitAtTwoLoads,
    low: LimitAtTwoLoads,
    high: LimitAtTwoLoads,
    use: Number,
    apart_kg: Number,
    on_kg: Number,
    is_load: Number,
) -> EntrySides:
    """The worse sides of one entry for one limit.

    Parameters
    ----------
    nominal, low, high : LimitAtTwoLoads
        The limit with values as entered, with the entry at its least, and at its most.
    use : Number
        The limit's use with values as entered.
    apart_kg, on_kg : Number
        The load less the second load; the load that is looked at less the second load.
    is_load : Number
        1 where the entry is the load itself, else 0: its variants hang other loads, so the slope is that of values as
        entered.
    """
    share = where(abs(use) < math.inf, use, 1.0)
    slope = _excess_per_kg(nominal, apart_kg)

    def at_load(limit: LimitAtTwoLoads) -> Number:
        own = slope if limit is nominal else where(is_load > 0.0, slope, _excess_per_kg(limit, apart_kg))
        return limit.second_excess + on_kg * own

    def worse(value_of: Callable[[LimitAtTwoLoads], Number], size: Number) -> WorseSide:
        return worse_side(value_of(nominal), value_of(low), value_of(high), size)

    size = abs(nominal.demand) + abs(nominal.allowed)
    second_size = abs(nominal.second_demand) + abs(nominal.second_allowed) + abs(on_kg * slope)
    passed_first = worse(lambda limit: limit.excess, size)
    greatest_use = worse(lambda limit: limit.demand - share * limit.allowed, size).side
    passed_at_load = worse(at_load, second_size).side
    return EntrySides(*passed_first, greatest_use, passed_at_load)


def guide_side(nominal: Number, low: Number, high: Number) -> Number:
    """The side of an entry that makes a plain value greater."""
    return worse_side(nominal, low, high, abs(nominal)).side


def worse_side(nominal: Number, low: Number, high: Number, size: Number) -> WorseSide:
    """The side of an entry that makes a value greater: 0 where both make it less; high where they are equal.

    ``size`` is the size of what the value is computed from: differences far below it are round-off.
    """
    low, high = _effect(nominal, low, size), _effect(nominal, high, size)
    return WorseSide(low, high, where((low < 0.0) & (high < 0.0), 0.0, where(high >= low, 1.0, -1.0)))


def worse_effect(low_effect: Number, high_effect: Number) -> Number:
    """What the worse side of an entry alone adds to a limit's excess."""
    return most(low_effect, high_effect, 0.0)


def bend_of(greatest: Number, nominal: Number, effects: Number, allowed: Number) -> Number:
    """How far a limit is from straight over the box, as a share of what is allowed as entered.

    Parameters
    ----------
    greatest : Number
        Greatest excess in any corner.
    nominal, effects : Number
        Excess as entered, and the sum of what every entry alone adds to it: of a straight limit, the greatest excess.
    allowed : Number
        As entered.
    """
    off = abs(greatest - nominal - effects)
    share = where(allowed > 0.0, ratio(off, allowed), where(off > 0.0, math.inf, 0.0))
    return where(share == share, share, math.inf)


def may_pass(use: Number, bend: Number) -> Truth:
    """Whether the use of a limit that passes may be over 1 in a corner that the search did not see."""
    return (use <= 1.0) & (use + REACH * bend + NEARLY > 1.0)


def may_reach(use: Number, bend: Number, other: Number) -> Truth:
    """Whether the use of a limit may be as great as another use in a corner that the search did not see."""
    return (use + REACH * bend + NEARLY >= other) | (other != other)


def is_bent(use: Number, bend: Number, more_than: float) -> Truth:
    """Whether a limit's bend is more than so many points of use, or a share of the use over 1."""
    return bend > more_than * most(use, 1.0)


def _excess_per_kg(limit: LimitAtTwoLoads, apart_kg: Number) -> Number:
    """What each kilogram of load adds to the excess."""
    return ratio(limit.excess - limit.second_excess, apart_kg)


def _effect(nominal: Number, value: Number, size: Number) -> Number:
    """How much greater a value is than as entered.

    One that stops being a number is as bad as can be; one that is infinite either way makes no difference.
    """
    more = value - nominal
    more = where(abs(more) <= ROUND_OFF * size, 0.0, more)
    both = (abs(nominal) == math.inf) & (abs(value) == math.inf)
    return where(more != more, where(both, 0.0, math.inf), more)


# ---------------------------------------------------------------- loads


def load_to_look_at(allowed_kg: Number) -> Number:
    """The load that values as entered allow: a far one where there is none, 0 where the limit is over or not known."""
    known_kg = where(allowed_kg != allowed_kg, 0.0, allowed_kg)
    return least(most(known_kg, 0.0), FAR_KG)


def second_load(load_kg: Number, at_kg: Number) -> Number:
    """The load at which the variants are evaluated again: the smallest that values as entered allow (``at_kg``).

    The corner of the limit that governs is then found at the very load in question. Where that is about the load
    itself: half of it, or more where there is next to none.
    """
    alike = abs(at_kg - load_kg) < 0.02 * (load_kg + 1.0)
    return where(alike, where(load_kg > 1.0, 0.5 * load_kg, load_kg + FIRST_TRY_KG), at_kg)


class WorstLimit(NamedTuple):
    """The worst use of a limit, and the load it allows: minus infinity where that is not known."""

    use: Number
    allowed_kg: Number


def worst_limit(
    corner_use: Number,
    empty: Number,
    near: Number,
    full: Number,
    at_kg: Number,
    nominal_use: Number,
    nominal_kg: Number,
) -> WorstLimit:
    """A limit's worst use and allowed load, the latter by chords that never allow too much.

    Parameters
    ----------
    corner_use : Number
        Greatest use in any corner.
    empty, near, full : Number
        Greatest excess without load, at four fifths of ``at_kg``, and at ``at_kg``.
    nominal_use, nominal_kg : Number
        Use and allowed load with values as entered.
    """
    met_kg = where(full > 0.0, at_kg * (NEAR + (1.0 - NEAR) * ratio(near, near - full)), nominal_kg)
    met_kg = where(near > 0.0, NEAR * at_kg * ratio(empty, empty - near), met_kg)
    met_kg = where(empty > 0.0, -math.inf, met_kg)
    met_kg = where((abs(nominal_kg) < math.inf) | (full > 0.0), met_kg, nominal_kg)
    known = empty + near + full
    met_kg = least(where(known != known, math.nan, met_kg), nominal_kg)
    return WorstLimit(most(corner_use, nominal_use), where(met_kg != met_kg, -math.inf, met_kg))
