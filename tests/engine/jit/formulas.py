"""Formulas that the tests record."""

from __future__ import annotations

import math

import numpy as np

from engine.base.geometry import cos, least, most, ratio, sqrt, where


def turned(a, b):
    """Two results that share a step, one with a root, one plain number."""
    turned = cos(a) * b + 0.0 * a
    return [turned, where(a > b, ratio(a, b - 1.0), most(a, b, 0.0)), least(sqrt(a * a) * 1.0, turned), 3.0]


def every_operation(a, b):
    """Every operation that has machine code."""
    over = (a > b) & ~(a == b) | (b >= 3.0)
    return [
        a + b,
        a - b,
        a * b,
        ratio(a, b),
        -a,
        abs(b),
        a**2,
        np.square(b),
        sqrt(a),
        least(a, b),
        most(a, b, 0.0),
        where(over, a, b),
        where(a < b, 1.5, where(a <= b, a, where(a != b, -1.0, b))),
        where(np.isfinite(a), a, 7.0),
        2.5,
        a,
    ]


def root_by_halving(function, low, high):
    """Where a rising function passes 0, between two ends; branches on values, so it is recorded as a call."""
    if hasattr(low, "record_call"):
        return low.record_call(root_by_halving, function, low, high)
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (low, middle) if function(middle) > 0.0 else (middle, high)
    return low if math.isfinite(low) else math.nan
