"""Vectors, axes and moments in space, for one pose or arrays of poses.

A vector is three components, each a float (one pose) or an array (many poses, any shapes that broadcast).  The same
formulas serve both: floats keep a single pose fast enough for a drag, arrays keep a sweep fast, and nothing is expanded
before it must be.  The few functions that differ between floats and arrays are here.

Vectors are given in one reference frame unless they are said to be a link's own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import reduce
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias, TypeGuard, TypeVar, overload

from engine.base.lazy import np

if TYPE_CHECKING:
    from numpy.typing import NDArray

Array: TypeAlias = "NDArray[np.float64]"
"""Numbers of many poses (...)."""

Number: TypeAlias = "float | Array"
"""One value, or one for each pose (...).

Formulas take and return `Number`; the functions below return a float for floats.  A caller that knows which of the two
it has says so once, where it takes over: ``float(value)`` for one pose, ``np.asarray(value, float)`` for many.
"""

Truth: TypeAlias = "bool | NDArray[np.bool_]"
"""What comparing numbers gives."""

Indices: TypeAlias = "NDArray[np.intp]"
"""Whole numbers that count from 0 (...)."""

Text: TypeAlias = "str | NDArray[np.str_]"
"""A text, or one for each pose (...)."""

GRAVITY_M_S2 = 9.80665
"""Standard gravity, exact by definition (3rd CGPM, 1901)."""

Choice = TypeVar("Choice", float, str)


# ---------------------------------------------------------------- functions of a float or an array


@overload
def sin(angle_rad: float) -> float: ...
@overload
def sin(angle_rad: Number) -> Number: ...
def sin(angle_rad: Number) -> Number:
    """Sine of a float or an array."""
    return math.sin(angle_rad) if isinstance(angle_rad, float | int) else np.sin(angle_rad)


@overload
def cos(angle_rad: float) -> float: ...
@overload
def cos(angle_rad: Number) -> Number: ...
def cos(angle_rad: Number) -> Number:
    """Cosine of a float or an array."""
    return math.cos(angle_rad) if isinstance(angle_rad, float | int) else np.cos(angle_rad)


@overload
def sqrt(value: float) -> float: ...
@overload
def sqrt(value: Number) -> Number: ...
def sqrt(value: Number) -> Number:
    """Square root of a float or an array."""
    return math.sqrt(value) if isinstance(value, float | int) else np.sqrt(value)


def tan(angle_rad: float) -> float:
    """Tangent of one number."""
    return _of_one(math.tan, angle_rad)


def hypot(*lengths: float) -> float:
    """Length of the vector with these components, one number each."""
    return _of_one(math.hypot, *lengths)


def dist(start: Sequence[float], end: Sequence[float]) -> float:
    """Distance between two points of a plane."""
    return _of_one(_dist, *start, *end)


def _dist(x0: float, y0: float, x1: float, y1: float) -> float:
    return math.dist((x0, y0), (x1, y1))


def atan2(y: float, x: float) -> float:
    """Angle of the direction (x, y) from the x axis, -pi to pi."""
    return _of_one(math.atan2, y, x)


def asin(sine: float) -> float:
    """Angle whose sine it is, -pi/2 to pi/2."""
    return _of_one(math.asin, sine)


def acos(cosine: float) -> float:
    """Angle whose cosine it is, 0 to pi."""
    return _of_one(math.acos, cosine)


def log(value: float) -> float:
    """Natural logarithm of one number."""
    return _of_one(math.log, value)


def one(value: Number) -> float:
    """A number out of an array of one."""
    return _of_one(float, value)


def _of_one(function: Callable[..., float], *values: Any) -> float:
    """A function of plain numbers, by the number itself where one of them is a recording's (`engine.jit.known`)."""
    for value in values:
        if not isinstance(value, float | int):
            apply = getattr(value, "apply", None)
            if apply is not None:
                return apply(function, values)
    return function(*values)


@overload
def where(condition: bool, yes: Choice, no: Choice) -> Choice: ...
@overload
def where(condition: Truth, yes: Number, no: Number) -> Number: ...
@overload
def where(condition: Truth, yes: str, no: str) -> Text: ...
@overload
def where(condition: Truth, yes: Number | Text, no: Number | Text) -> Number | Text: ...
def where(condition: Truth, yes: Number | Text, no: Number | Text) -> Number | Text:
    """``yes`` where the condition holds, else ``no``."""
    if isinstance(condition, bool):  # asked first: a single pose needs no numpy
        return yes if condition else no
    if isinstance(condition, np.bool_):
        return yes if condition else no
    return np.where(condition, yes, no)


@overload
def least(*values: float) -> float: ...
@overload
def least(*values: Number) -> Number: ...
def least(*values: Number) -> Number:
    """Smallest of the values, pose by pose; NaN if any is NaN."""
    if len(values) == 2:
        a, b = values
        if isinstance(a, float) and isinstance(b, float):  # by far the most frequent
            return a if a <= b or a != a else b
    if _are_plain(values):
        return math.nan if any(value != value for value in values) else min(values)
    return reduce(np.minimum, values)


@overload
def most(*values: float) -> float: ...
@overload
def most(*values: Number) -> Number: ...
def most(*values: Number) -> Number:
    """Largest of the values, pose by pose; NaN if any is NaN."""
    if len(values) == 2:
        a, b = values
        if isinstance(a, float) and isinstance(b, float):  # by far the most frequent
            return a if a >= b or a != a else b
    if _are_plain(values):
        return math.nan if any(value != value for value in values) else max(values)
    return reduce(np.maximum, values)


def _are_plain(values: tuple[Number, ...]) -> TypeGuard[tuple[float, ...]]:
    return all(isinstance(value, float | int) for value in values)


@overload
def ratio(over: float, under: float) -> float: ...
@overload
def ratio(over: Number, under: Number) -> Number: ...
def ratio(over: Number, under: Number) -> Number:
    """Quotient; infinite (with its sign) over zero, NaN for 0/0, without a warning."""
    if isinstance(over, float | int) and isinstance(under, float | int):
        if under == 0:
            return math.nan if over == 0 or over != over else math.copysign(math.inf, over)
        return over / under
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        return np.divide(over, under)


# ---------------------------------------------------------------- vectors


class Vec(NamedTuple):
    """A vector; each component a float or an array of poses."""

    x: Number
    y: Number
    z: Number

    def __add__(self, other: Vec) -> Vec:
        return Vec(self.x + other.x, self.y + other.y, self.z + other.z)

    def __sub__(self, other: Vec) -> Vec:
        return Vec(self.x - other.x, self.y - other.y, self.z - other.z)

    def __neg__(self) -> Vec:
        return Vec(-self.x, -self.y, -self.z)

    def times(self, factor: Number) -> Vec:
        """The vector multiplied by ``factor``."""
        return Vec(self.x * factor, self.y * factor, self.z * factor)

    def dot(self, other: Vec) -> Number:
        """Scalar product."""
        return self.x * other.x + self.y * other.y + self.z * other.z

    def cross(self, other: Vec) -> Vec:
        """Vector product."""
        return Vec(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )

    def length(self) -> Number:
        """Euclidean length."""
        return sqrt(self.dot(self))

    def unit(self) -> Vec:
        """The vector at length 1."""
        return self.times(1.0 / self.length())

    def array(self) -> Array:
        """Shape (..., 3), the poses' axes first."""
        return np.stack(np.broadcast_arrays(*(np.asarray(part, float) for part in self)), axis=-1)


ZERO = Vec(0.0, 0.0, 0.0)


class Axes(NamedTuple):
    """Orientation of a link: its own x, y and z axes as unit vectors."""

    x: Vec
    y: Vec
    z: Vec

    def raised(self, angle_rad: Number) -> Axes:
        """Turned about its own y axis so that x goes up by ``angle_rad``."""
        c, s = cos(angle_rad), sin(angle_rad)
        return Axes(self.x.times(c) + self.z.times(s), self.y, self.z.times(c) - self.x.times(s))

    def turned(self, angle_rad: Number) -> Axes:
        """Turned about its own z axis so that x goes to the left by ``angle_rad``."""
        c, s = cos(angle_rad), sin(angle_rad)
        return Axes(self.x.times(c) + self.y.times(s), self.y.times(c) - self.x.times(s), self.z)

    def out(self, x: Number, y: Number = 0.0, z: Number = 0.0) -> Vec:
        """The vector with these components along the link's own axes."""
        return self.x.times(x) + self.y.times(y) + self.z.times(z)

    def own(self, vector: Vec) -> Vec:
        """Components of a vector along the link's own axes."""
        return Vec(self.x.dot(vector), self.y.dot(vector), self.z.dot(vector))


LEVEL = Axes(Vec(1.0, 0.0, 0.0), Vec(0.0, 1.0, 0.0), Vec(0.0, 0.0, 1.0))


class Frame(NamedTuple):
    """A link's own axes and their origin."""

    axes: Axes
    origin: Vec

    def at(self, x_m: Number = 0.0, y_m: Number = 0.0, z_m: Number = 0.0) -> Vec:
        """Position of a point given in the link's own axes."""
        return self.origin + self.axes.out(x_m, y_m, z_m)


class Wrench(NamedTuple):
    """A force, and its moment about the point where it is taken."""

    force_N: Vec
    moment_Nm: Vec


def gravity_direction(fall_along: Number, fall_across: Number) -> Vec:
    """Unit vector along which weight acts on a sloping floor.

    ``fall_along`` (forward) and ``fall_across`` (to the left) are the slopes as rise over run, each measured along an
    axis of the reference frame.
    """
    scale = 1.0 / sqrt(1.0 + fall_along * fall_along + fall_across * fall_across)
    return Vec(fall_along * scale, fall_across * scale, -scale)
