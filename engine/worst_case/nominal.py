"""Limits with values as entered, over many poses: every limit, or the greatest use and the smallest allowed load.

A few allowed loads have no closed form and take a search.  That is made only where such a load may be the smallest:
where its limit is over, or not known, under the smallest load that all others allow.  A use that rises with the load
cannot reach 1 below a load under which it is less.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from typing import Any, NamedTuple, Protocol

import msgspec
import numpy as np

from engine.base.geometry import Array, Indices, Number, most, where
from engine.jit.machine_code import ArrayFunction
from engine.jit.trace import TracedNumber, places_after_calls, traced_numbers_in
from engine.limits.all_limits import find_checks
from engine.rig.check import Check
from engine.rig.deflection import with_bending
from engine.rig.figure_vector import filled, inputs_of, map_numbers
from engine.rig.kinematics import Figures
from engine.schema.model import Job
from engine.strength.linear_in_load import load_at_use


class NominalLimits(NamedTuple):
    """Figures with bending, and arrays (limits, ...).

    An allowed load that takes a search and is not the smallest may be given as infinite.
    """

    numbers: Figures
    use: Array
    allowed_load_kg: Array


class Extremes(NamedTuple):
    """Greatest use and smallest allowed load of all limits, and the index of each limit; arrays (...).

    A use that is not a number counts as infinite, such a load as minus infinity.
    """

    use: Array
    worst: Indices
    allowed_load_kg: Array
    governing: Indices


def nominal_limits(job: Job, numbers: Figures, shape: tuple[int, ...]) -> NominalLimits:
    """Every limit, by the formulas themselves."""
    numbers = with_bending(job, numbers)
    checks = find_checks(job, numbers)
    return NominalLimits(
        numbers=numbers,
        use=filled([check.use for check in checks], shape),
        allowed_load_kg=filled([check.allowed_load_kg for check in checks], shape),
    )


def nominal_extremes(limits: NominalLimits) -> Extremes:
    """The greatest use and the smallest load of them."""
    use = np.where(np.isnan(limits.use), np.inf, limits.use)
    load_kg = np.where(np.isnan(limits.allowed_load_kg), -np.inf, limits.allowed_load_kg)
    worst, governing = use.argmax(axis=0), load_kg.argmin(axis=0)
    return Extremes(_at_index(use, worst), worst, _at_index(load_kg, governing), governing)


def _at_index(values: Array, index: Indices) -> Array:
    return np.take_along_axis(values, index[None], axis=0)[0]


class Recording(Protocol):
    """What is asked of ``engine.worst_case.recorded_formulas.RecordedFormulas``."""

    @property
    def numbers(self) -> Figures:
        """Figures of one pose with bending."""
        ...

    @property
    def straight(self) -> Figures:
        """Figures of which the bending is still to be computed."""
        ...

    def functions_of(
        self, name: str, numbers: Figures, formula: Callable[[Job, Figures, Any], tuple[list[list[Any]], Any]]
    ) -> tuple[Any, tuple[ArrayFunction, ...]]:
        """What a formula says besides, and a function over variants for each group of its values."""
        ...


class Besides(NamedTuple):
    """Limits whose allowed load takes a search, and how many limits there are."""

    searched: tuple[int, ...]
    limits: int


class RecordedNominalLimits:
    """As `nominal_limits` and `nominal_extremes`, by recorded formulas; made for the few who ask for them.

    Limits whose allowed load takes a search are known once formulas are recorded.
    """

    def __init__(self, recording: Recording) -> None:
        self._recording = recording

    # ---- every limit

    def limits(self, numbers: Figures, shape: tuple[int, ...]) -> NominalLimits:
        """As `nominal_limits`."""
        (searched, count), (function,) = self._limits_function
        table = function(inputs_of(numbers), shape)
        use, load_kg, bent_m = np.split(table, [count, 2 * count])
        limits = NominalLimits(msgspec.structs.replace(numbers, bent_m=tuple(bent_m)), use, load_kg)
        if searched:
            self._search_smallest(limits, shape)
        return limits

    @functools.cached_property
    def _limits_function(self) -> tuple[Besides, tuple[ArrayFunction, ...]]:
        """What is said besides, and the function."""
        return self._recording.functions_of("limits", self._recording.straight, _limit_values)

    def _search_smallest(self, limits: NominalLimits, shape: tuple[int, ...]) -> None:
        """Search where the load may be the smallest."""
        smallest_kg = np.nan_to_num(limits.allowed_load_kg.min(axis=0), nan=0.0, posinf=math.inf)
        under_it = inputs_of(msgspec.structs.replace(limits.numbers, load_kg=np.maximum(smallest_kg, 0.0)))
        for index, use_of_limit in self._searched_uses:
            may_be_smallest = ~np.asarray(use_of_limit(under_it, shape)[0] <= 1.0)
            if may_be_smallest.any():
                searched_kg = self._searched_load(limits.numbers, use_of_limit, shape, may_be_smallest)
                limits.allowed_load_kg[index, may_be_smallest] = searched_kg

    # ---- the greatest and the smallest

    def extremes(self, numbers: Figures, shape: tuple[int, ...]) -> Extremes:
        """As `nominal_extremes`; only what is needed leaves the code."""
        (searched, _), (function,) = self._extremes_function
        table = function(inputs_of(numbers), shape)
        use, worst, load_kg, governing = rows = table[:4].reshape(4, -1)
        may_be_smallest, bent_m = np.split(table[4:], [len(searched)])
        if may_be_smallest.any():
            bent = msgspec.structs.replace(numbers, bent_m=tuple(bent_m))
            poses = may_be_smallest.reshape(len(may_be_smallest), -1) != 0.0
            for (index, use_of_limit), there in zip(self._searched_uses, poses, strict=True):
                if there.any():
                    searched_kg = self._searched_load(bent, use_of_limit, shape, there.reshape(shape))
                    found_kg = _number_or(searched_kg, -math.inf)
                    before_kg, before = load_kg[there], governing[there]
                    smaller = (found_kg < before_kg) | ((found_kg == before_kg) & (index < before))
                    load_kg[there] = np.where(smaller, found_kg, before_kg)
                    governing[there] = np.where(smaller, index, before)
        use, worst, load_kg, governing = rows.reshape(4, *shape)
        return Extremes(use, worst.astype(np.intp), load_kg, governing.astype(np.intp))

    @functools.cached_property
    def _extremes_function(self) -> tuple[Besides, tuple[ArrayFunction, ...]]:
        """What is said besides, and the function."""
        return self._recording.functions_of("extremes", self._recording.straight, _extreme_values)

    @functools.cached_property
    def _searched_uses(self) -> list[tuple[int, ArrayFunction]]:
        """Each limit whose load takes a search, and its use: a tenth of the steps of all limits together."""
        (searched, _), _ = self._limits_function if "_limits_function" in vars(self) else self._extremes_function

        def uses(job: Job, numbers: Figures, _: None) -> tuple[list[list[Any]], None]:
            checks = find_checks(job, numbers)
            return [[checks[index].use] for index in searched], None

        _, functions = self._recording.functions_of("searched uses", self._recording.numbers, uses)
        return list(zip(searched, functions, strict=True))

    @staticmethod
    def _searched_load(numbers: Figures, use_of_limit: ArrayFunction, shape: tuple[int, ...], there: Array) -> Number:
        """Load that a limit allows in some of the poses; figures with bending."""
        some = _some_poses(numbers, shape, there)

        def use_under(load_kg: Number) -> Array:
            inputs = inputs_of(msgspec.structs.replace(some, load_kg=load_kg))
            return use_of_limit(inputs, np.shape(some.load_kg))[0]

        return load_at_use(use_under, some.load_kg, use_under(some.load_kg))


def _limit_values(job: Job, numbers: Figures, besides: Besides | None) -> tuple[list[list[Any]], Besides]:
    """Use and allowed load of every limit and the bending, and the limits whose allowed load takes a search."""
    numbers = with_bending(job, numbers)
    checks = find_checks(job, numbers)
    searched = _searched(checks, numbers) if besides is None else besides.searched
    return [[*(check.use for check in checks), *_closed_form_loads(checks, searched), *numbers.bent_m]], Besides(
        searched, len(checks)
    )


def _extreme_values(job: Job, numbers: Figures, besides: Besides | None) -> tuple[list[list[Any]], Besides]:
    """The four of `Extremes`, for each load that takes a search whether it may be smaller, and the bending."""
    numbers = with_bending(job, numbers)
    checks = find_checks(job, numbers)
    searched = _searched(checks, numbers) if besides is None else besides.searched
    use, worst = _first_greatest([_number_or(check.use, math.inf) for check in checks])
    loads = [_number_or(load_kg, -math.inf) for load_kg in _closed_form_loads(checks, searched)]
    load_kg, governing = _first_smallest(loads)
    may_be_smallest = []
    if searched:
        under_it = find_checks(job, msgspec.structs.replace(numbers, load_kg=most(load_kg, 0.0)))
        may_be_smallest = [where(under_it[index].use <= 1.0, 0.0, 1.0) for index in searched]
    return [[use, worst, load_kg, governing, *may_be_smallest, *numbers.bent_m]], Besides(searched, len(checks))


def _searched(checks: list[Check], numbers: Figures) -> tuple[int, ...]:
    """Limits whose allowed load takes a search, while the formulas are recorded."""
    assert isinstance(numbers.lift_m, TracedNumber)
    places = places_after_calls(numbers.lift_m.recorder)
    read = [{number.place for number in traced_numbers_in(check.allowed_load_kg)} for check in checks]
    return tuple(index for index, steps in enumerate(read) if steps & places)


def _closed_form_loads(checks: list[Check], searched: tuple[int, ...]) -> list[Number]:
    """Allowed loads, infinite where that takes a search."""
    return [math.inf if index in searched else check.allowed_load_kg for index, check in enumerate(checks)]


def _number_or(value: Number, otherwise: float) -> Number:
    return where(value == value, value, otherwise)


def _first_greatest(values: list[Number]) -> tuple[Number, Number]:
    """The greatest of some values and the index of the first that is as great."""
    greatest, place = values[0], 0.0
    for index, value in enumerate(values[1:], start=1):
        better = value > greatest
        greatest, place = where(better, value, greatest), where(better, float(index), place)
    return greatest, place


def _first_smallest(values: list[Number]) -> tuple[Number, Number]:
    """The smallest of some values and the index of the first that is as small."""
    smallest, place = values[0], 0.0
    for index, value in enumerate(values[1:], start=1):
        better = value < smallest
        smallest, place = where(better, value, smallest), where(better, float(index), place)
    return smallest, place


def _some_poses(numbers: Figures, shape: tuple[int, ...], there: Array) -> Figures:
    """The figures of some poses in a row; what is the same for all stays a plain number, but for the load."""
    places = np.flatnonzero(there)  # taken once: a mask would be searched for every figure

    def taken(number: Number) -> Array:
        return np.broadcast_to(number, shape).reshape(-1).take(places)

    some = map_numbers(numbers, lambda number: taken(number) if isinstance(number, np.ndarray) else number)
    return msgspec.structs.replace(some, load_kg=taken(numbers.load_kg))
