"""Intervals enclose: whatever is computed with them holds every result of the numbers inside."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.geometry import cos, most, ratio, sin, sqrt, where
from engine.base.interval import Interval, upper

ends = st.floats(-20.0, 20.0, allow_nan=False)
shares = st.floats(0.0, 1.0)


def within(interval: Interval, value: float) -> bool:
    slack = 1e-9 * max(1.0, min(abs(value), 1e12))
    return bool(interval.low - slack <= value <= interval.high + slack)


ONE = {
    "sin": sin,
    "cos": cos,
    "root": lambda a: sqrt(a * a),
    "square": lambda a: a**2,
    "cube": lambda a: a**3,
    "size": abs,
    "floor": lambda a: most(a, 0.0),
    "branch": lambda a: where(a > 1.0, 3.0 * a, -a),
    "other branch": lambda a: where((a <= 2.0) & (a != 5.0), a, 0.5),
    "less": lambda a: 4.0 - 2.0 * a,
}


@pytest.mark.parametrize("name", ONE)
@given(a=ends, b=ends, share=shares)
def test_every_operation_on_one_interval_encloses(name, a, b, share):
    low, high = min(a, b), max(a, b)
    inside = low + share * (high - low)
    assert within(ONE[name](Interval(low, high)), float(ONE[name](np.float64(inside))))


TWO = {
    "sum": lambda a, b: a + b,
    "difference": lambda a, b: a - b,
    "product": lambda a, b: a * b,
    "quotient": ratio,
    "hypot": np.hypot,
    "larger": most,
    "choice": lambda a, b: where(a < b, a * b, b),
}


@pytest.mark.parametrize("name", TWO)
@given(a=ends, b=ends, c=ends, d=ends, share=shares, other=shares)
def test_every_operation_on_two_intervals_encloses(name, a, b, c, d, share, other):
    one, two = sorted((a, b)), sorted((c, d))
    x, y = (low + part * (high - low) for (low, high), part in ((one, share), (two, other)))
    result = TWO[name](Interval(*one), Interval(*two))
    with np.errstate(all="ignore"):
        value = float(TWO[name](np.float64(x), np.float64(y)))
    assert math.isnan(value) or within(result, value)


def test_what_is_not_a_number_becomes_everything():
    lost = Interval(math.nan, 1.0)
    assert upper(lost + 1.0) == math.inf
    assert upper(np.array([math.nan, 2.0])).tolist() == [math.inf, 2.0]


def test_an_interval_never_becomes_an_array_of_numbers_by_accident():
    with pytest.raises(TypeError):
        np.asarray(Interval(0.0, 1.0), float)
    with pytest.raises(TypeError):
        bool(Interval(0.0, 1.0) < 0.5)
