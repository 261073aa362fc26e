"""Demands that are linear in the load, the load at which each limit is just met, and the checks made of them.

Every force and moment in the rig is ``fixed + per_kg * load``: the rig's own weights and the rigging give the fixed
part, each kilogram on the hook adds the rest.  So

* one component held against a limit, ``|a(m)| <= R``, is met at a load in closed form;
* a resultant of components, ``|(a, b, c)(m)| <= R``, at the root of a quadratic;
* a weighted sum of magnitudes, ``sum of w |a(m)| <= R``, on one of its straight pieces;
* anything else, a use that rises with the load, at a root between brackets.

``load_at_...`` gives that load, ``check_...`` the whole `Check`.  One set of formulas serves floats, arrays and
intervals.  Only the search for a root is written twice: it branches on a value, so a recording holds it as one call
(``engine.jit.trace``), and a drag makes that call for one pose, where arrays would take six times as long as everything
else of the pose together.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any, cast

import msgspec
import numpy as np

from engine.base.geometry import Number, Text, Truth, Vec, least, most, ratio, sqrt, where
from engine.base.interval import whole_line_of
from engine.rig.check import Check, LimitOwner, Unit, load_at_limit, use_of

ROOT_TOLERANCE = 1e-12
"""A use within this of 1 is at the limit, and a load within this share of the root is the root: round-off, no more."""

ROOT_STEPS = 120
"""More than bracketing needs even when every step is a bisection from 200,000 kg to a milligram."""

SECANT_STEPS = 6
"""After so many secant steps every second one halves the bracket, for uses with a sharp bend (near buckling)."""

SURELY_WITHIN = 1.0 - 1e-6
"""A use under this is within whatever round-off does, and reaches 1 at a greater load only."""

FIRST_TRY_KG = 500.0
"""First load tried when nothing hangs on the hook."""

FAR_KG = 200_000.0
"""No load in the model is heavier; a limit not reached there is never reached."""


class Linear(msgspec.Struct, frozen=True, gc=False):
    """A force (N) or moment (N·m) as ``fixed + per_kg * load``; both a float or an array of poses (...)."""

    fixed: Number
    per_kg: Number

    def at(self, load_kg: Number) -> Number:
        """The value under a load."""
        return self.fixed + self.per_kg * load_kg

    def plus(self, other: Linear, factor: float = 1.0) -> Linear:
        """Sum with ``factor`` times the other."""
        return Linear(self.fixed + factor * other.fixed, self.per_kg + factor * other.per_kg)

    def times(self, factor: Number) -> Linear:
        """The value times a factor."""
        return Linear(self.fixed * factor, self.per_kg * factor)


def magnitudes(*values: Linear) -> tuple[Linear, ...]:
    """Every value and its opposite: the greatest of them is the greatest magnitude."""
    return tuple(signed for value in values for signed in (value, value.times(-1.0)))


class LeastOf(msgspec.Struct, frozen=True, gc=False):
    """A demand that is the least of several values; it counts only when positive.

    It bends the wrong way for a chord between two loads, along which the worst case is looked for
    (``engine.worst_case.corner_rules``); `check_greatest` and `straight` keep those on the safe side.
    """

    values: tuple[Linear, ...]

    def at(self, load_kg: Number) -> Number:
        """The demand under a load."""
        return least(*(value.at(load_kg) for value in self.values))

    def straight(self, limit: Number, rival: Linear) -> Callable[[Number], Number]:
        """The demand as a function of the load, for a use that is looked at along chords.

        Where it meets a limit before its ``rival``, it is never less than on the straight line from no load to there.
        """
        empty, met_kg = self.at(0.0), load_at_least_of(self, limit)
        if not _can_compare(empty):
            return self.at
        bends = (met_kg < load_at_pull(rival, limit)) & (met_kg > 0.0)
        per_kg = (limit - empty) / where(bends, met_kg, 1.0)

        def demand(load_kg: Number) -> Number:
            exact = self.at(load_kg)
            return where(bends, most(exact, empty + per_kg * load_kg), exact)

        return demand

    def plus(self, other: Linear, factor: float = 1.0) -> LeastOf:
        """Sum with ``factor`` times a value."""
        return LeastOf(tuple(value.plus(other, factor) for value in self.values))

    def times(self, factor: Number) -> LeastOf:
        """The demand times a factor that is not negative."""
        return LeastOf(tuple(value.times(factor) for value in self.values))


def load_at_least_of(demand: LeastOf, allowed: Number) -> Number:
    """Load (kg) at which the last of the values, and so the least of them, reaches ``allowed``."""
    return most(*(load_at_pull(value, allowed) for value in demand.values))


def signed_sums(first: Linear, *others: Linear) -> tuple[Linear, ...]:
    """``first`` plus or minus every other: the greatest of them is ``first`` plus the others' magnitudes."""
    sums = (first,)
    for other in others:
        sums = tuple(value.plus(other, sign) for value in sums for sign in (1.0, -1.0))
    return sums


class CheckLabel(msgspec.Struct, frozen=True, gc=False):
    """What a check says of itself: part, kind, place, unit, words, source, and whose limit it is.

    The parts of this package are the rig's, apart from the truck's fork arms.
    """

    part: str
    kind: str
    place_m: Vec
    unit: Unit
    words: str
    source: str
    of: LimitOwner = "rig"


# ---------------------------------------------------------------- loads at the limit


def load_at_magnitude(value: Linear, allowed: Number) -> Number:
    """Load (kg) at which ``|value|`` reaches ``allowed``; minus infinity when it is over without a load."""
    within = least(
        load_at_limit(allowed - value.fixed, value.per_kg), load_at_limit(allowed + value.fixed, -value.per_kg)
    )
    return where(abs(value.fixed) > allowed, -math.inf, within)


def load_at_pull(value: Linear, allowed: Number) -> Number:
    """Load (kg) at which a component that only counts when positive reaches ``allowed``."""
    return load_at_limit(allowed - value.fixed, value.per_kg)


class SquaredResultant(msgspec.Struct, frozen=True, gc=False):
    """Square of a resultant as ``square m^2 + 2 linear m + constant`` of the load m."""

    square: Number
    linear: Number
    constant: Number


def squared_resultant(values: tuple[Linear, ...]) -> SquaredResultant:
    """Square of the resultant of perpendicular components."""
    square = linear = constant = 0.0
    for value in values:
        fixed, per_kg = value.fixed, value.per_kg
        square = square + per_kg * per_kg
        linear = linear + fixed * per_kg
        constant = constant + fixed * fixed
    return SquaredResultant(square, linear, constant)


def load_at_resultant(of: SquaredResultant, allowed: Number) -> Number:
    """Load (kg) at which a resultant reaches ``allowed``; minus infinity when it is over without a load."""
    square, linear, constant = of.square, of.linear, of.constant
    whole = None if isinstance(constant, float) else whole_line_of(constant, square)
    if whole is not None:
        return whole  # as in `load_at_limit`
    constant = constant - allowed * allowed
    root = ratio(sqrt(_not_negative(linear * linear - square * constant)) - linear, square)
    load = where(square > 0.0, root, where(square <= 0.0, math.inf, math.nan))
    return where(constant > 0.0, -math.inf, where(constant <= 0.0, load, math.nan))


def _not_negative(value: Number) -> Number:
    return where(value < 0.0, 0.0, value)


def load_at_sum(terms: tuple[tuple[float, Linear], ...], allowed: Number) -> Number:
    """Load (kg) at which a weighted sum of magnitudes, ``sum of w |v(m)|``, reaches ``allowed``.

    The sum is convex and made of straight pieces.  Newton's steps start from the piece that holds for very heavy loads,
    come down piece by piece and are exact after at most one step for each term.
    """
    empty = slope = base = 0.0
    for weight, value in terms:
        fixed, per_kg = value.fixed, value.per_kg
        empty = empty + weight * abs(fixed)
        slope = slope + weight * abs(per_kg)
        base = base + weight * fixed * where(per_kg < 0.0, -1.0, 1.0)
    if not _can_compare(empty) or not _can_compare(slope):
        return slope * empty * math.nan
    load = ratio(allowed - base, slope)
    for _ in terms:
        base = tilt = 0.0
        finite = abs(load) < math.inf
        here = where(finite, load, 0.0)
        for weight, value in terms:
            sign = where(value.fixed + value.per_kg * here < 0.0, -weight, weight)
            base, tilt = base + sign * value.fixed, tilt + sign * value.per_kg
        over = finite & (base + tilt * here > allowed) & (tilt > 0.0)
        load = where(over, ratio(allowed - base, where(tilt > 0.0, tilt, 1.0)), load)
    load = where(slope > 0.0, load, where(slope <= 0.0, math.inf, math.nan))
    return where(empty > allowed, -math.inf, where(empty <= allowed, load, math.nan))


def _can_compare(value: Number) -> bool:
    """Whether a value can be compared pose by pose, as intervals cannot."""
    return isinstance(value, float | np.ndarray) or hasattr(value, "record_call")


def load_at_use(use: Callable[[Number], Number], near_kg: Number = 0.0, near_use: Number = 0.0) -> Number:
    """Load (kg) at which a use that rises with the load reaches 1, from the side where it is still within.

    Secant steps from no load and a load already evaluated, kept inside a bracket; a step that leaves the bracket halves
    it instead.  ``use`` may fall at first (a load that balances the rig's own weight) as long as it only rises once it
    is over 1.

    Parameters
    ----------
    use : callable
        Use as a function of the load, for one pose or arrays of poses (...).
    near_kg, near_use : Number
        A load already evaluated and its use; a load of 0 stands for none.

    Returns
    -------
    Number
        Minus infinity where it is over without a load, infinite where it never reaches 1, NaN where a use is NaN.
        Intervals give the whole line: a root cannot be bracketed over them.
    """
    empty = use(0.0)
    if isinstance(empty, float) and isinstance(near_use, float):
        use_of_float = cast("Callable[[float], float]", use)  # a use of a float is a float where that of none is
        return _root_of_floats(use_of_float, empty, float(near_kg), near_use)
    for value in (empty, near_use):
        record_call = getattr(value, "record_call", None)
        if record_call is not None:
            return record_call(load_at_use, use, near_kg, near_use)
    if isinstance(empty, float | np.ndarray) and isinstance(near_use, float | np.ndarray):
        return _root_of_arrays(use, np.asarray(empty, float), near_kg, near_use)
    return empty * math.nan


def least_load(a: Number, b: Number) -> Number:
    """Smaller of two loads; in a recording a root is looked for only where it may be the smaller one."""
    call_of = getattr(b, "call_of", None)
    called_with = None if call_of is None else call_of(load_at_use)
    if called_with is None:
        return least(a, b)
    return cast("Any", b).recorder.record_call(load_at_use_under, (a, *called_with))


def load_at_use_under(
    bound_kg: float, use: Callable[[Number], Number], near_kg: Number = 0.0, near_use: Number = 0.0
) -> Number:
    """Smaller of a load and of `load_at_use`, of floats; a root beyond the load is not looked for."""
    known = near_use == near_use
    if known and 0.0 < bound_kg < math.inf and use(0.0) <= 1.0 and use(bound_kg) < SURELY_WITHIN:
        return bound_kg
    return least(bound_kg, load_at_use(use, near_kg, near_use))


def _root_of_floats(use: Callable[[float], float], empty: float, near_kg: float, near_use: float) -> float:
    if not near_kg > 0.0:
        near_kg = FIRST_TRY_KG
        near_use = use(near_kg)
    if empty != empty or near_use != near_use:
        return math.nan
    if empty > 1.0:
        return -math.inf
    before, at_before, here, at_here = 0.0, empty - 1.0, near_kg, near_use - 1.0
    low, high = (0.0, here) if at_here > 0.0 else (here, math.inf)
    for count in range(ROOT_STEPS):
        rise = at_here - at_before
        step = here - at_here * (here - before) / rise if rise else math.inf
        if not low < step < high or (count > SECANT_STEPS and count % 2):
            step = 8.0 * low + 1.0 if high == math.inf else (low + high) / 2.0
        if step > FAR_KG:
            step = FAR_KG
            if use(step) <= 1.0:
                return math.inf
        before, at_before, here = here, at_here, step
        at_here = use(here) - 1.0
        if abs(at_here) <= ROOT_TOLERANCE:
            return here * (1.0 - ROOT_TOLERANCE)
        low, high = (low, here) if at_here > 0.0 else (here, high)
        if high < math.inf and high - low <= ROOT_TOLERANCE * high:
            break
    return low


def _root_of_arrays(
    use: Callable[[Number], Number], empty: np.ndarray, near_kg: Number, near_use: Number
) -> np.ndarray:
    """The same steps for every pose at once; poses that are done stay as they are."""
    far = np.asarray(use(FAR_KG), float)
    first = np.where(np.asarray(near_kg) > 0.0, near_kg, FIRST_TRY_KG)
    empty, far, here = np.broadcast_arrays(empty, far, first)
    at_here = np.where(np.asarray(near_kg) > 0.0, near_use, use(first)) - 1.0
    before, at_before = np.zeros(here.shape), empty - 1.0
    low = np.where(at_here > 0.0, 0.0, here)
    high = np.where(at_here > 0.0, here, FAR_KG)
    searching = (empty <= 1.0) & (far > 1.0)
    for count in range(ROOT_STEPS):
        if not searching.any():
            break
        with np.errstate(invalid="ignore", divide="ignore"):
            step = here - at_here * (here - before) / (at_here - at_before)
        with np.errstate(invalid="ignore"):
            inside = (low < step) & (step < high) & (count <= SECANT_STEPS or count % 2 == 0)
        step = np.where(inside, step, (low + high) / 2.0)
        step = np.where(searching, step, here)
        before, at_before, here = here, at_here, step
        at_here = np.asarray(use(here), float) - 1.0
        hit = searching & (np.abs(at_here) <= ROOT_TOLERANCE)
        low = np.where(hit, here * (1.0 - ROOT_TOLERANCE), np.where(searching & ~(at_here > 0.0), here, low))
        high = np.where(searching & (at_here > 0.0), here, high)
        searching = searching & ~hit & (high - low > ROOT_TOLERANCE * high)
    root = np.where(far > 1.0, low, math.inf)
    root = np.where(empty > 1.0, -math.inf, root)
    return np.where(np.isnan(empty) | np.isnan(far), math.nan, root)


# ---------------------------------------------------------------- checks


def check_magnitude(
    label: CheckLabel, value: Linear, allowed: Number, load_kg: Number, **numbers: Number | str
) -> Check:
    """One component against its limit; the words get ``{demand}`` and ``{allowed}`` besides ``numbers``."""
    demand = abs(value.fixed + value.per_kg * load_kg)
    return _check(label, demand, allowed, load_at_magnitude(value, allowed), numbers)


def check_pull(label: CheckLabel, value: Linear, allowed: Number, load_kg: Number, **numbers: Number | str) -> Check:
    """A component that only counts when positive (an uplift, a pull) against its limit."""
    demand = value.fixed + value.per_kg * load_kg
    return _check(label, where(demand < 0.0, 0.0, demand), allowed, load_at_pull(value, allowed), numbers)


def check_greatest_pull(
    label: CheckLabel, values: tuple[Linear, ...], allowed: Number, load_kg: Number, **numbers: Number | str
) -> Check:
    """The greatest of several components that only count when positive against one limit."""
    demand: Number = 0.0
    at_limit: Number = math.inf
    for value in values:
        demand = most(demand, value.fixed + value.per_kg * load_kg)
        at_limit = least(at_limit, load_at_pull(value, allowed))
    return _check(label, demand, allowed, at_limit, numbers)


def check_met_at(
    label: CheckLabel, demand: Number, allowed: Number, at_limit: Number, **numbers: Number | str
) -> Check:
    """A demand whose load at the limit has been worked out beside it."""
    return _check(label, demand, allowed, at_limit, numbers)


def check_unheld(label: CheckLabel, value: Linear, load_kg: Number, **numbers: Number | str) -> Check:
    """A component that nothing holds: over as soon as it is positive, otherwise unused."""
    demand = value.fixed + value.per_kg * load_kg
    return _check(label, where(demand < 0.0, 0.0, demand), 0.0, load_at_pull(value, 0.0), numbers)


def check_resultant(
    label: CheckLabel, values: tuple[Linear, ...], allowed: Number, load_kg: Number, **numbers: Number | str
) -> Check:
    """The resultant of perpendicular components against its limit."""
    return check_worst_resultants(((label, allowed),), (values,), load_kg, numbers)[0]


def check_worst_resultant(
    label: CheckLabel, groups: tuple[tuple[Linear, ...], ...], allowed: Number, load_kg: Number, **numbers: Number | str
) -> Check:
    """The largest of several resultants (corners of a weld, both forks) against one limit."""
    return check_worst_resultants(((label, allowed),), groups, load_kg, numbers)[0]


def check_worst_resultants(
    limits: Iterable[tuple[CheckLabel, Number]],
    groups: tuple[tuple[Linear, ...], ...],
    load_kg: Number,
    numbers: dict[str, Number | str],
) -> list[Check]:
    """The largest of several resultants (the barrels of a hinge) against several limits."""
    squares = [squared_resultant(values) for values in groups]
    totals: list[Number] = []
    for values in groups:
        total = 0.0
        for value in values:
            part = value.fixed + value.per_kg * load_kg
            total = total + part * part
        totals.append(total)
    demand = sqrt(most(*totals))
    checks = []
    for label, allowed in limits:
        at_limit = least(*(load_at_resultant(square, allowed) for square in squares))
        checks.append(_check(label, demand, allowed, at_limit, dict(numbers)))
    return checks


def check_sum(
    label: CheckLabel,
    terms: tuple[tuple[float, Linear], ...],
    allowed: Number,
    load_kg: Number,
    **numbers: Number | str,
) -> Check:
    """A weighted sum of magnitudes against its limit."""
    demand = 0.0
    for weight, value in terms:
        demand = demand + weight * abs(value.fixed + value.per_kg * load_kg)
    return _check(label, demand, allowed, load_at_sum(terms, allowed), numbers)


def check_greatest(
    label: CheckLabel,
    demands: tuple[tuple[str, tuple[Linear | LeastOf, ...]], ...],
    allowed: Number,
    load_kg: Number,
    **numbers: Number | str,
) -> Check:
    """The greatest of several components that only count when positive, grouped by the case each belongs to.

    The words get ``{case}``, the case of the greatest.  Where a `LeastOf` is what meets the limit, the demand is never
    less than on the straight line from no load to the limit, so that a chord between two loads is not below it.
    """
    case: str = demands[0][0]
    greatest: Number = 0.0
    empty: Number = 0.0
    at_limit: Number = math.inf
    least_ofs: Number = math.inf
    for name, values in demands:
        demand = most(*(value.at(load_kg) for value in values))
        case = cast("str", where(demand > greatest, name, case))  # for arrays of poses an array of texts
        greatest = most(greatest, demand)
        for value in values:
            empty = most(empty, value.at(0.0))
            if isinstance(value, LeastOf):
                least_ofs = least(least_ofs, load_at_least_of(value, allowed))
            else:
                at_limit = least(at_limit, load_at_pull(value, allowed))
    bends = (least_ofs < at_limit) & (least_ofs > 0.0)
    at_limit = least(at_limit, least_ofs)
    if _can_compare(greatest):  # intervals are not looked at along chords, and the line would widen them without end
        straight = empty + (allowed - empty) * load_kg / where(bends, at_limit, 1.0)
        greatest = where(bends, most(greatest, straight), greatest)
    numbers["case"] = case
    return _check(label, greatest, allowed, at_limit, numbers)


def check_use(label: CheckLabel, use: Callable[[Number], Number], load_kg: Number, **numbers: Number | str) -> Check:
    """Several demands together, as a use that may reach 1."""
    now = use(load_kg)
    return _check(label, now, 1.0, load_at_use(use, load_kg, now), numbers)


def check_whatever_load(
    label: CheckLabel, demand: Number, allowed: float, over: bool, **numbers: Number | str
) -> Check:
    """A limit that the load does not matter to: over at every load, or within at every load."""
    numbers["demand"], numbers["allowed"] = demand, allowed
    return Check(
        of=label.of,
        part=label.part,
        kind=label.kind,
        place_m=label.place_m,
        demand=demand,
        allowed=allowed,
        unit=label.unit,
        use=math.inf if over else use_of(demand, allowed),
        allowed_load_kg=-math.inf if over else math.inf,
        words=label.words,
        numbers=numbers,
        source=label.source,
    )


def _check(
    label: CheckLabel, demand: Number, allowed: Number, at_limit: Number, numbers: dict[str, Number | str]
) -> Check:
    numbers["demand"], numbers["allowed"] = demand, allowed
    return Check(
        of=label.of,
        part=label.part,
        kind=label.kind,
        place_m=label.place_m,
        demand=demand,
        allowed=allowed,
        unit=label.unit,
        use=use_of(demand, allowed),
        allowed_load_kg=at_limit,
        words=label.words,
        numbers=numbers,
        source=label.source,
    )


def worse_of(a: Check, b: Check) -> Check:
    """Two checks of the same limit under different pulls as one: the greater use, the smaller allowed load."""
    a_is_worse = a.use >= b.use
    return msgspec.structs.replace(
        a,
        demand=where(a_is_worse, a.demand, b.demand),
        allowed=where(a_is_worse, a.allowed, b.allowed),
        use=most(a.use, b.use),
        allowed_load_kg=least_load(a.allowed_load_kg, b.allowed_load_kg),
        numbers={key: _number_of(a_is_worse, a.numbers[key], b.numbers[key]) for key in a.numbers},
    )


def worst_along(check: Check, count: int, axes: int) -> Check:
    """One check of a check under ``count`` pulls, which stand along its first axis, before ``axes`` axes of poses.

    As `worse_of` makes it of one pull after the other.
    """
    use = np.asarray(check.use, float)
    by_pull = use.ndim > axes
    first = np.argmax(np.where(np.isnan(use), math.inf, use), axis=0) if by_pull else np.zeros((1,) * axes, int)

    def at_worst(value: Number | Text) -> Number | Text:
        if not isinstance(value, np.ndarray) or value.ndim <= axes:
            return value
        chosen = np.broadcast_to(first, np.broadcast_shapes(first.shape, value.shape[1:]))[None]
        return np.take_along_axis(np.broadcast_to(value, (count, *chosen.shape[1:])), chosen, axis=0)[0]

    allowed_kg = np.asarray(check.allowed_load_kg, float)
    return msgspec.structs.replace(
        check,
        demand=at_worst(check.demand),
        allowed=at_worst(check.allowed),
        use=use.max(axis=0) if by_pull else check.use,
        allowed_load_kg=allowed_kg.min(axis=0) if allowed_kg.ndim > axes else check.allowed_load_kg,
        numbers={key: at_worst(value) for key, value in check.numbers.items()},
    )


def _number_of(a_is_worse: Truth, a: Number | Text, b: Number | Text) -> Number | Text:
    """Number or text of the worse check, pose by pose."""
    if isinstance(a, str) and a is b:
        return a
    return where(a_is_worse, cast("Number", a), cast("Number", b))
