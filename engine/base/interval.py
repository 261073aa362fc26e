"""Numbers known only to lie between two ends, so that one evaluation covers every value in between.

Formulas take floats or arrays (``engine.base.geometry``).  An ``Interval`` is a third kind of number for the same
formulas: given one for an input, every result is an interval that encloses the result for every value of that input.
Nothing about a formula is assumed.  The proof is the fundamental theorem of interval arithmetic: each operation below
returns ends that enclose all its results, so every composition of them does.

Where an operation is undecided (a comparison that may go either way, a division by something that may be zero) the
result widens, if need be to the whole line, and never narrows.  NaN anywhere becomes the whole line, so that what is
not known can never look small.  Round-off is not directed outwards: results hold to about 1e-12 of their size, which
comparisons with a limit must allow for.

Source: R. E. Moore, Interval Analysis, 1966 (the inclusion property), from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from engine.base.geometry import Array, Number

_QUARTER = math.pi / 2.0
_LARGEST = float(np.finfo(float).max)
_SMALLEST_DIVISOR = 1e-290
"""A divisor nearer to zero would make the quotient overflow; it counts as one that may be zero."""


class Interval:
    """Every number from ``low`` to ``high``, ends included; each end a float or an array (...)."""

    __slots__ = ("high", "low")

    low: Array
    high: Array

    def __init__(self, low: Number, high: Number) -> None:
        low, high = np.asarray(low, float), np.asarray(high, float)
        with np.errstate(all="ignore"):
            if np.isfinite(low + high).all():
                self.low, self.high = low, high
                return
        lost = np.isnan(low) | np.isnan(high)
        # An end that overflowed to the wrong side becomes the largest number, which still encloses.
        self.low = np.where(lost, -np.inf, np.minimum(low, _LARGEST))
        self.high = np.where(lost, np.inf, np.maximum(high, -_LARGEST))

    def __array__(self, *_: object, **__: object) -> Array:
        raise TypeError("an interval cannot be turned into an array of numbers")

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, **options: Any) -> Any:
        rule = _UFUNCS.get(ufunc)
        if rule is None or method != "__call__" or options:
            return NotImplemented
        return rule(*inputs)

    def __array_function__(self, function: Callable[..., Any], _types: Any, inputs: Any, options: Any) -> Any:
        rule = _FUNCTIONS.get(function)
        return NotImplemented if rule is None else rule(*inputs, **options)

    def __bool__(self) -> bool:
        raise TypeError("an interval is neither true nor false")

    def __add__(self, other: Any) -> Interval:
        return _add(self, other)

    __radd__ = __add__

    def __sub__(self, other: Any) -> Interval:
        return _subtract(self, other)

    def __rsub__(self, other: Any) -> Interval:
        return _subtract(other, self)

    def __mul__(self, other: Any) -> Interval:
        return _multiply(self, other)

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> Interval:
        return _divide(self, other)

    def __rtruediv__(self, other: Any) -> Interval:
        return _divide(other, self)

    def __pow__(self, power: float) -> Interval:
        return _power(self, power)

    def __neg__(self) -> Interval:
        return Interval(-self.high, -self.low)

    def __abs__(self) -> Interval:
        return _absolute(self)

    def __lt__(self, other: Any) -> Maybe:
        return _less(self, other)

    def __le__(self, other: Any) -> Maybe:
        return _less_equal(self, other)

    def __gt__(self, other: Any) -> Maybe:
        return _less(other, self)

    def __ge__(self, other: Any) -> Maybe:
        return _less_equal(other, self)

    def __ne__(self, other: object) -> Maybe:
        """Against itself this is the test for NaN: surely equal, unless nothing is known of it."""
        if other is self:
            return Maybe(np.zeros(self.low.shape, bool), np.isneginf(self.low) & np.isposinf(self.high))
        other = _ends(other)
        apart = (self.high < other.low) | (self.low > other.high)
        same_point = (self.low == self.high) & (other.low == other.high) & (self.low == other.low)
        return Maybe(apart, ~same_point)

    def __eq__(self, other: object) -> Maybe:
        return ~(self != other)

    __hash__ = None  # pyright: ignore[reportAssignmentType]  # intervals that compare equal need not be the same


WHOLE_LINE = Interval(-math.inf, math.inf)
"""A number of which nothing is known."""


class Maybe:
    """A condition over intervals: ``surely`` true, and ``possibly`` true, place by place."""

    __slots__ = ("possibly", "surely")

    def __init__(self, surely: Any, possibly: Any) -> None:
        self.surely, self.possibly = np.asarray(surely, bool), np.asarray(possibly, bool)

    def __invert__(self) -> Maybe:
        return Maybe(~self.possibly, ~self.surely)

    def __and__(self, other: Any) -> Maybe:
        other = _maybe(other)
        return Maybe(self.surely & other.surely, self.possibly & other.possibly)

    def __or__(self, other: Any) -> Maybe:
        other = _maybe(other)
        return Maybe(self.surely | other.surely, self.possibly | other.possibly)

    __rand__ = __and__
    __ror__ = __or__

    def __bool__(self) -> bool:
        raise TypeError("a condition over intervals is neither true nor false")

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, **options: Any) -> Any:
        rule = _UFUNCS.get(ufunc)
        return NotImplemented if rule is None or method != "__call__" or options else rule(*inputs)

    def __array_function__(self, function: Callable[..., Any], _types: Any, inputs: Any, options: Any) -> Any:
        rule = _FUNCTIONS.get(function)
        return NotImplemented if rule is None else rule(*inputs, **options)


def whole_line_of(*values: Any) -> Any:
    """The whole line if any of the values is an interval, else None: for a result that nobody asks of intervals."""
    return WHOLE_LINE if any(isinstance(value, Interval) for value in values) else None


def upper(value: Any) -> Array:
    """Upper end of an interval; a plain number is its own, NaN counts as infinite."""
    if isinstance(value, Interval):
        return value.high
    plain = np.asarray(value, float)
    return np.where(np.isnan(plain), np.inf, plain)


def _ends(value: Any) -> Interval:
    return value if isinstance(value, Interval) else Interval(value, value)


def _maybe(value: Any) -> Maybe:
    return value if isinstance(value, Maybe) else Maybe(value, value)


# ---------------------------------------------------------------- operations


def _add(a: Any, b: Any) -> Interval:
    a, b = _ends(a), _ends(b)
    with np.errstate(all="ignore"):
        return Interval(a.low + b.low, a.high + b.high)


def _subtract(a: Any, b: Any) -> Interval:
    a, b = _ends(a), _ends(b)
    with np.errstate(all="ignore"):
        return Interval(a.low - b.high, a.high - b.low)


def _multiply(a: Any, b: Any) -> Interval:
    if a is b:
        return _power(a, 2)
    if not isinstance(a, Interval):
        a, b = b, a
    with np.errstate(all="ignore"):
        if not isinstance(b, Interval):
            one, two = a.low * b, a.high * b
            return Interval(np.minimum(one, two), np.maximum(one, two))
        products = (a.low * b.low, a.low * b.high, a.high * b.low, a.high * b.high)
    return Interval(
        np.minimum(np.minimum(products[0], products[1]), np.minimum(products[2], products[3])),
        np.maximum(np.maximum(products[0], products[1]), np.maximum(products[2], products[3])),
    )


def _divide(a: Any, b: Any) -> Interval:
    b = _ends(b)
    through_zero = (b.low <= _SMALLEST_DIVISOR) & (b.high >= -_SMALLEST_DIVISOR)
    with np.errstate(all="ignore"):
        inverse = Interval(np.where(through_zero, -np.inf, 1.0 / b.high), np.where(through_zero, np.inf, 1.0 / b.low))
    return _multiply(a, inverse)


def _power(a: Any, power: float) -> Interval:
    a = _ends(a)
    if power == 0.5:
        return _sqrt(a)
    if power != int(power) or power < 1:
        raise TypeError(f"intervals have whole powers from 1 up, got {power}")
    with np.errstate(all="ignore"):
        low, high = a.low ** int(power), a.high ** int(power)
    if power % 2:
        return Interval(low, high)
    spans_zero = (a.low <= 0.0) & (a.high >= 0.0)
    return Interval(np.where(spans_zero, 0.0, np.minimum(low, high)), np.maximum(low, high))


def _absolute(a: Any) -> Interval:
    a = _ends(a)
    low, high = np.abs(a.low), np.abs(a.high)
    spans_zero = (a.low <= 0.0) & (a.high >= 0.0)
    return Interval(np.where(spans_zero, 0.0, np.minimum(low, high)), np.maximum(low, high))


def _sqrt(a: Any) -> Interval:
    """Of the part at or over zero; an interval wholly below it gives the whole line."""
    a = _ends(a)
    with np.errstate(all="ignore"):
        return Interval(np.sqrt(np.maximum(a.low, 0.0)), np.sqrt(a.high))


def _cos(a: Any) -> Interval:
    """Ends, and 1 or -1 where a whole (or odd half) turn lies inside."""
    a = _ends(a)
    known = np.isfinite(a.low) & np.isfinite(a.high)
    low, high = np.where(known, a.low, 0.0), np.where(known, a.high, 2.0 * math.pi)
    at_low, at_high = np.cos(low), np.cos(high)
    turns = 2.0 * math.pi
    top = np.floor(high / turns) >= np.ceil(low / turns)
    bottom = np.floor((high - math.pi) / turns) >= np.ceil((low - math.pi) / turns)
    return Interval(
        np.where(bottom, -1.0, np.minimum(at_low, at_high)), np.where(top, 1.0, np.maximum(at_low, at_high))
    )


def _sin(a: Any) -> Interval:
    return _cos(_subtract(a, _QUARTER))


def _minimum(a: Any, b: Any) -> Interval:
    a, b = _ends(a), _ends(b)
    return Interval(np.minimum(a.low, b.low), np.minimum(a.high, b.high))


def _maximum(a: Any, b: Any) -> Interval:
    a, b = _ends(a), _ends(b)
    return Interval(np.maximum(a.low, b.low), np.maximum(a.high, b.high))


def _hypot(a: Any, b: Any) -> Interval:
    return _sqrt(_add(_power(a, 2), _power(b, 2)))


def _less(a: Any, b: Any) -> Maybe:
    a, b = _ends(a), _ends(b)
    return Maybe(a.high < b.low, a.low < b.high)


def _less_equal(a: Any, b: Any) -> Maybe:
    a, b = _ends(a), _ends(b)
    return Maybe(a.high <= b.low, a.low <= b.high)


def _where(condition: Any, yes: Any, no: Any) -> Any:
    """Where the condition may go either way: everything both answers hold."""
    if isinstance(yes, str):
        return yes
    condition, yes, no = _maybe(condition), _ends(yes), _ends(no)
    either_low, either_high = np.minimum(yes.low, no.low), np.maximum(yes.high, no.high)
    surely, never = condition.surely, ~condition.possibly
    return Interval(
        np.where(surely, yes.low, np.where(never, no.low, either_low)),
        np.where(surely, yes.high, np.where(never, no.high, either_high)),
    )


def _clip(a: Any, least: Any, most: Any) -> Interval:
    return _minimum(_maximum(a, least), most)


def _isnan(a: Interval) -> Maybe:
    return a != a


_UFUNCS: dict[np.ufunc, Callable[..., Any]] = {
    np.add: _add,
    np.subtract: _subtract,
    np.multiply: _multiply,
    np.divide: _divide,
    np.power: _power,
    np.square: lambda a: _power(a, 2),
    np.negative: lambda a: -a,
    np.absolute: _absolute,
    np.fabs: _absolute,
    np.sqrt: _sqrt,
    np.sin: _sin,
    np.cos: _cos,
    np.minimum: _minimum,
    np.maximum: _maximum,
    np.hypot: _hypot,
    np.less: _less,
    np.less_equal: _less_equal,
    np.greater: lambda a, b: _less(b, a),
    np.greater_equal: lambda a, b: _less_equal(b, a),
    np.isnan: _isnan,
    np.not_equal: lambda a, b: _ends(a) != b,
    np.equal: lambda a, b: _ends(a) == b,
    np.logical_not: lambda a: ~_maybe(a),
    np.invert: lambda a: ~_maybe(a),
    np.logical_and: lambda a, b: _maybe(a) & b,
    np.bitwise_and: lambda a, b: _maybe(a) & b,
    np.logical_or: lambda a, b: _maybe(a) | b,
    np.bitwise_or: lambda a, b: _maybe(a) | b,
}

_FUNCTIONS: dict[Callable[..., Any], Callable[..., Any]] = {np.where: _where, np.clip: _clip}
