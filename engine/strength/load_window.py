"""Limits that count only between two loads: a contact that engages, a face that presses one way only.

A demand may hold only while some conditions do: a heel hangs on its pin only while it is lifted.  Each condition is
linear in the load, so it holds from a load on, up to a load, or always; together they leave one `Window`.  Inside it
the demand is linear as everywhere else, and the load at the limit stays a closed form: the formulas run with the
window's start as their zero (`check_within`).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import msgspec

from engine.base.geometry import Number, least, most, ratio, where
from engine.rig.check import Check
from engine.strength.linear_in_load import Linear


class Window(NamedTuple):
    """Loads (kg) between which a demand counts, ends included; from infinity on where it never does."""

    from_kg: Number
    to_kg: Number


ALWAYS = Window(0.0, math.inf)


def window(*conditions: Linear) -> Window:
    """Loads from 0 on at which every condition is at least zero."""
    start, end = 0.0, math.inf
    for condition in conditions:
        fixed, per_kg = condition.fixed, condition.per_kg
        crossing = ratio(-fixed, per_kg)
        level = where(fixed >= 0.0, -math.inf, where(fixed < 0.0, math.inf, math.nan))
        start = most(
            start,
            where(per_kg > 0.0, crossing, where(per_kg < 0.0, -math.inf, where(per_kg <= 0.0, level, math.nan))),
        )
        end = least(end, where(per_kg < 0.0, crossing, math.inf))
    return Window(where(end < start, math.inf, start), end)


def reaching(value: Linear, level: Number) -> tuple[Window, Window]:
    """Loads at which a value of either sign is as great as ``level``: upwards, and downwards."""
    return (
        window(Linear(value.fixed - level, value.per_kg)),
        window(Linear(-value.fixed - level, value.per_kg * -1.0)),
    )


Shift = Callable[[Linear], Linear]


def check_within(within: Window, load_kg: Number, check: Callable[[Shift, Number], Check]) -> Check:
    """A check that counts only inside a window of loads.

    Parameters
    ----------
    within : Window
    load_kg : Number
        The load there is.
    check : callable
        Makes the check from two things: what to apply to every `Linear` demand first, and the load to use with it.

    Returns
    -------
    Check
        Demand and use are 0 outside the window; the load at the limit is the first one inside at which it is over.
    """
    if within is ALWAYS:
        return check(_same, load_kg)
    start, end = within
    never = start >= math.inf
    zero = where(never, 0.0, start)

    def shift(value: Linear) -> Linear:
        return Linear(value.at(zero), value.per_kg)

    shifted = check(shift, load_kg - zero)

    def inside(value: Number) -> Number:
        before = where(load_kg < start, 0.0, math.nan)
        after = where(load_kg > end, 0.0, math.nan)
        return where(load_kg >= start, where(load_kg <= end, value, after), before)

    at_limit = zero + shifted.allowed_load_kg
    over_at_start = where(zero > 0.0, zero, -math.inf)
    at_limit = where(shifted.allowed_load_kg < 0.0, over_at_start, at_limit)
    at_limit = where(at_limit > end, math.inf, at_limit)
    return msgspec.structs.replace(
        shifted,
        demand=inside(shifted.demand),
        use=inside(shifted.use),
        allowed_load_kg=where(never, math.inf, at_limit),
        numbers={**shifted.numbers, "demand": inside(shifted.demand)},
    )


def _same(value: Linear) -> Linear:
    return value
