"""Best values of every limit over many poses: each of them, or only the greatest use and the smallest allowed load.

A few allowed loads have no closed form and take a search.  That is made only where such a load may be the smallest: where
its limit is over, or not known, under the smallest load that all others allow.  A use that rises with the load cannot
come to 1 below a load under which it is less.
"""

from __future__ import annotations

import functools
import math
from typing import Any, NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Number, most, where
from engine.jit.machine_code import ArrayFunction
from engine.jit.trace import TracedNumber, places_after_calls, traced_numbers_in
from engine.limits.all_limits import find_checks
from engine.rig.check import Check, use_of
from engine.rig.deflection import with_bending
from engine.rig.figure_vector import filled, inputs_of, map_numbers
from engine.rig.kinematics import Figures
from engine.schema.model import Job
from engine.strength.linear_in_load import load_at_use


class NominalLimits(NamedTuple):
    """Figures with bending, and arrays (limits, ...).

    A load that takes a search and is not the smallest there is may be given as infinite.
    """

    numbers: Figures
    use: Array
    allowed_load_kg: Array
    allowed: Array


class Extremes(NamedTuple):
    """Greatest use and smallest allowed load of all limits, and the index of each limit; arrays (...).

    A use that is not a number counts as infinite, such a load as minus infinity.
    """

    use: Array
    worst: Array
    allowed_load_kg: Array
    governing: Array


def nominal_limits(job: Job, numbers: Figures, shape: tuple[int, ...]) -> NominalLimits:
    """Every limit, by the formulas themselves."""
    numbers = with_bending(job, numbers)
    checks = find_checks(job, numbers)
    return NominalLimits(
        numbers, *(filled([getattr(check, name) for check in checks], shape) for name in NominalLimits._fields[1:])
    )


def nominal_extremes(bests: NominalLimits) -> Extremes:
    """The greatest and the smallest of them."""
    use = np.where(np.isnan(bests.use), np.inf, bests.use)
    load_kg = np.where(np.isnan(bests.allowed_load_kg), -np.inf, bests.allowed_load_kg)
    worst, governing = use.argmax(axis=0), load_kg.argmin(axis=0)
    return Extremes(_picked(use, worst), worst, _picked(load_kg, governing), governing)


def _picked(values: Array, index: Array) -> Array:
    return np.take_along_axis(values, index[None], axis=0)[0]


class NominalCode:
    """Best values of one job by written formulas; made for the few that ask for them."""

    def __init__(self, job: Job, written: Any) -> None:
        """``written`` is the job's ``engine.worst_case.evaluator.RecordedFormulas``: it has the limits under any load, and writes formulas down."""
        self._job, self._written = job, written
        self._limits = len(find_checks(job, written.numbers))
        self._searches: tuple[int, ...] = ()
        """Limits whose allowed load takes a search; noted when formulas are written down."""

    # ---- every limit

    def nominal(self, numbers: Figures, shape: tuple[int, ...]) -> NominalLimits:
        """As `nominal_limits`."""
        table = self._each(inputs_of(numbers), shape)
        use, allowed, load_kg, bent_m = np.split(table, np.cumsum([self._limits] * 3))
        found = NominalLimits(msgspec.structs.replace(numbers, bent_m=tuple(bent_m)), use, load_kg, allowed)
        if self._searches:
            self._search(found, shape)
        return found

    @functools.cached_property
    def _each(self) -> ArrayFunction:
        return self._written.over_variants(self._written.bare, self._values_of_each)

    def _values_of_each(self, numbers: Figures) -> list[Any]:
        numbers = with_bending(self._job, numbers)
        checks = find_checks(self._job, numbers)
        return [
            *(check.use for check in checks),
            *(check.allowed for check in checks),
            *self._loads(checks, numbers),
            *numbers.bent_m,
        ]

    def _loads(self, checks: list[Check], numbers: Figures) -> list[Any]:
        """Allowed loads, infinite where that takes a search."""
        if isinstance(numbers.lift_m, TracedNumber):
            places = places_after_calls(numbers.lift_m.recorder)
            read = [{number.place for number in traced_numbers_in(check.allowed_load_kg)} for check in checks]
            self._searches = tuple(index for index, steps in enumerate(read) if steps & places)
        return [math.inf if index in self._searches else check.allowed_load_kg for index, check in enumerate(checks)]

    def _search(self, found: NominalLimits, shape: tuple[int, ...]) -> None:
        """By the code of all limits, which is there already: for the few poses that come this way, codes of their own cost more."""
        smallest_kg = np.maximum(np.nan_to_num(found.allowed_load_kg.min(axis=0), nan=0.0, posinf=math.inf), 0.0)
        under = self._written.values(inputs_of(msgspec.structs.replace(found.numbers, load_kg=smallest_kg)), shape)
        for index in self._searches:
            there = ~(use_of(under[index], under[self._limits + index]) <= 1.0)
            if there.any():
                some = _at(found.numbers, shape, there)
                use = functools.partial(self._use_under, some, index)
                found.allowed_load_kg[index, there] = load_at_use(use, some.load_kg, found.use[index, there])

    def _use_under(self, numbers: Figures, index: int, load_kg: Number) -> Array:
        values = self._written.values(
            inputs_of(msgspec.structs.replace(numbers, load_kg=load_kg)), np.shape(numbers.load_kg)
        )
        return use_of(values[index], values[self._limits + index])

    @staticmethod
    def _under(numbers: Figures, use_of_limit: ArrayFunction, load_kg: Number, shape: tuple[int, ...]) -> Array:
        """Use of one limit under a load."""
        return use_of_limit(inputs_of(msgspec.structs.replace(numbers, load_kg=load_kg)), shape)[0]

    def _searched(self, numbers: Figures, use_of_limit: ArrayFunction, shape: tuple[int, ...], there: Array) -> Array:
        """Load that a limit allows in some of the poses; figures with bending."""
        some = _at(numbers, shape, there)
        under = functools.partial(self._under, some, use_of_limit, shape=np.shape(some.load_kg))
        return load_at_use(under, some.load_kg, under(some.load_kg))

    @functools.cached_property
    def _uses(self) -> list[ArrayFunction]:
        """Use of each limit whose load takes a search: a tenth of the steps of all limits together."""

        def uses(numbers: Figures) -> list[Any]:
            checks = find_checks(self._job, numbers)
            return [checks[index].use for index in self._searches]

        return self._written.one_by_one(self._written.numbers, uses)

    # ---- the greatest and the smallest

    def extremes(self, numbers: Figures, shape: tuple[int, ...]) -> Extremes:
        """As `nominal_extremes`; only what is needed leaves the code."""
        table = self._extremes(inputs_of(numbers), shape)
        use, worst, load_kg, governing = rows = table[:4].reshape(4, -1)
        open_, bent_m = np.split(table[4:], [len(self._searches)])
        if open_.any():
            bent = msgspec.structs.replace(numbers, bent_m=tuple(bent_m))
            open_ = open_.reshape(len(open_), -1)
            for index, use_of_limit, there in zip(self._searches, self._uses, open_ != 0.0, strict=True):
                if there.any():
                    found = _known(self._searched(bent, use_of_limit, shape, there.reshape(shape)), -math.inf)
                    before_kg, before = load_kg[there], governing[there]
                    smaller = (found < before_kg) | ((found == before_kg) & (index < before))
                    load_kg[there], governing[there] = np.where(
                        smaller, (found, np.full(found.shape, index)), (before_kg, before)
                    )
        use, worst, load_kg, governing = rows.reshape(4, *shape)
        return Extremes(use, worst.astype(np.intp), load_kg, governing.astype(np.intp))

    @functools.cached_property
    def _extremes(self) -> ArrayFunction:
        return self._written.over_variants(self._written.bare, self._values_of_extremes)

    def _values_of_extremes(self, numbers: Figures) -> list[Any]:
        """The four of `Extremes`, for each load that takes a search whether it may be smaller, and the bending."""
        numbers = with_bending(self._job, numbers)
        checks = find_checks(self._job, numbers)
        use, worst = _first([_known(check.use, math.inf) for check in checks], over=True)
        load_kg, governing = _first([_known(load, -math.inf) for load in self._loads(checks, numbers)], over=False)
        under = (
            find_checks(self._job, msgspec.structs.replace(numbers, load_kg=most(load_kg, 0.0)))
            if self._searches
            else []
        )
        open_ = [where(under[index].use <= 1.0, 0.0, 1.0) for index in self._searches]
        return [use, worst, load_kg, governing, *open_, *numbers.bent_m]


def _known(value: Number, otherwise: float) -> Number:
    return where(value == value, value, otherwise)


def _first(values: list[Number], over: bool) -> tuple[Number, Number]:
    """The greatest (or smallest) of some values and the index of the first that is as great."""
    found, place = values[0], 0.0
    for index, value in enumerate(values[1:], start=1):
        better = value > found if over else value < found
        found, place = where(better, value, found), where(better, float(index), place)
    return found, place


def _at(numbers: Figures, shape: tuple[int, ...], there: Array) -> Figures:
    """The figures of some poses, in a row; what is the same for all stays a plain number, but for the load."""
    places = np.flatnonzero(there)  # found once: a mask would be searched anew for every figure
    some = map_numbers(
        numbers, lambda number: _taken(number, shape, places) if isinstance(number, np.ndarray) else number
    )
    return msgspec.structs.replace(some, load_kg=_taken(numbers.load_kg, shape, places))


def _taken(number: Number, shape: tuple[int, ...], places: NDArray[np.intp]) -> Array:
    return np.broadcast_to(number, shape).reshape(-1).take(places)
