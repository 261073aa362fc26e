"""Loads at the limit of demands that are linear in the load, in closed form and by bracketing."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.geometry import ZERO, least
from engine.base.interval import Interval
from engine.jit.python_code import float_function
from engine.jit.trace import Recorder
from engine.strength.linear_in_load import (
    CheckLabel,
    Linear,
    check_greatest_pull,
    least_load,
    load_at_magnitude,
    load_at_pull,
    load_at_resultant,
    load_at_sum,
    load_at_use,
    load_at_use_under,
    signed_sums,
    squared_resultant,
)

number = st.floats(-1e3, 1e3, allow_nan=False, allow_subnormal=False).map(
    lambda value: 0.0 if abs(value) < 1e-3 else value
)
linear = st.tuples(number, number).map(lambda parts: Linear(*parts))


def close(one: float, other: float) -> bool:
    return one == other or abs(one - other) <= 1e-7 * max(1.0, abs(one), abs(other))


@given(linear)
def test_magnitude_is_met_there(value: Linear) -> None:
    load = load_at_magnitude(value, 500.0)
    if math.isfinite(load):
        assert close(abs(value.at(load)), 500.0)
    else:
        assert (load > 0.0) == (abs(value.fixed) <= 500.0)
    assert close(float(load_at_magnitude(Linear(np.array(value.fixed), np.array(value.per_kg)), 500.0)), load)


@given(linear)
def test_pull_counts_one_way_only(value: Linear) -> None:
    load = load_at_pull(value, 500.0)
    if value.per_kg > 0.0:
        assert close(value.at(load), 500.0)
    else:
        assert load == (math.inf if value.fixed <= 500.0 else -math.inf)
    assert close(float(load_at_pull(Linear(np.array(value.fixed), np.array(value.per_kg)), 500.0)), load)


@given(linear, linear, linear)
def test_resultant_is_met_there(a: Linear, b: Linear, c: Linear) -> None:
    load = load_at_resultant(squared_resultant((a, b, c)), 500.0)
    if math.isfinite(load):
        assert close(math.hypot(a.at(load), b.at(load), c.at(load)), 500.0)
    arrays = tuple(Linear(np.array(value.fixed), np.array(value.per_kg)) for value in (a, b, c))
    assert close(float(load_at_resultant(squared_resultant(arrays), 500.0)), load)


@given(st.lists(st.tuples(st.floats(0.1, 5.0), linear), min_size=1, max_size=6))
def test_sum_of_magnitudes_is_met_there(terms: list[tuple[float, Linear]]) -> None:
    def total(load: float) -> float:
        return sum(weight * abs(value.at(load)) for weight, value in terms)

    load = load_at_sum(tuple(terms), 500.0)
    if math.isfinite(load):
        assert close(total(load), 500.0)
        assert total(load * 1.001 + 1e-3) > 500.0 * (1.0 - 1e-9)
    else:
        assert (load > 0.0) == (total(0.0) <= 500.0)
    arrays = tuple((weight, Linear(np.array(value.fixed), np.array(value.per_kg))) for weight, value in terms)
    assert close(float(load_at_sum(arrays, 500.0)), load)


def test_a_sum_is_met_on_the_right_piece_however_gently_it_rises() -> None:
    """|5 - 0.05 m| + 0.2 m = 6 where the first part still falls: 5 + 0.15 m = 6."""
    terms = ((1.0, Linear(5.0, -0.05)), (1.0, Linear(0.0, 0.2)))
    assert load_at_sum(terms, 6.0) == pytest.approx(1.0 / 0.15)


@given(linear, linear, linear)
def test_the_greatest_signed_sum_adds_magnitudes(first: Linear, second: Linear, third: Linear) -> None:
    sums = signed_sums(first, second, third)
    assert max(value.at(3.0) for value in sums) == pytest.approx(
        first.at(3.0) + abs(second.at(3.0)) + abs(third.at(3.0)), abs=1e-9
    )


@given(linear, linear, st.floats(0.0, 500.0))
def test_the_greatest_of_several_pulls_counts_when_positive(one: Linear, other: Linear, load_kg: float) -> None:
    found = check_greatest_pull(CheckLabel("part", "kind", ZERO, "N", "", ""), (one, other), 500.0, load_kg)
    assert found.demand == max(0.0, one.at(load_kg), other.at(load_kg))
    assert found.allowed_load_kg == min(load_at_pull(one, 500.0), load_at_pull(other, 500.0))


CURVES = {
    "straight": lambda m: 0.1 + m / 300.0,
    "square": lambda m: (m / 400.0) ** 2,
    "falls first": lambda m: abs(m / 200.0 - 0.5) + 0.2,
    "buckles": lambda m: m / 5000.0 / np.maximum(1.0 - m / 4000.0, 1e-9),
    "at half a kilogram": lambda m: 2.0 * m,
    "almost at the heaviest load there is": lambda m: 1.05 * m / 200_000.0,
    "sharp": lambda m: 0.01 * m / 300.0 + np.maximum(0.0, m - 1234.5) * 10.0,
}


@pytest.mark.parametrize("name", list(CURVES))
@pytest.mark.parametrize("near", [0.0, 50.0, 900.0, 3990.0])
def test_a_root_is_found_from_wherever_the_load_is(name: str, near: float) -> None:
    curve = CURVES[name]
    single = load_at_use(lambda m: float(curve(m)), near, float(curve(near)))
    # To the last digits of the load; the sharp bend multiplies them by ten.
    assert float(curve(single)) == pytest.approx(1.0, abs=1e-7)
    assert float(curve(single)) <= 1.0 + 1e-12
    many = load_at_use(
        lambda m: np.asarray(curve(np.asarray(m, float))) + np.zeros(3),
        np.full(3, near),
        np.full(3, float(curve(near))),
    )
    assert many == pytest.approx(np.full(3, single), rel=1e-9)


@pytest.mark.parametrize("bound", [-math.inf, 0.0, 3.0, 700.0, 1e5, math.inf, math.nan])
@pytest.mark.parametrize("name", list(CURVES))
def test_a_root_under_a_load_is_the_smaller_of_the_two(name: str, bound: float) -> None:
    curve = CURVES[name]
    root = load_at_use(lambda m: float(curve(m)), 50.0, float(curve(50.0)))
    found = load_at_use_under(bound, lambda m: float(curve(m)), 50.0, float(curve(50.0)))
    assert found == least(bound, root) or (math.isnan(found) and math.isnan(bound))


def test_a_root_that_is_sure_to_lie_beyond_a_load_is_not_looked_for() -> None:
    asked: list[float] = []

    def use(load_kg: float) -> float:
        asked.append(load_kg)
        return load_kg / 1000.0

    assert load_at_use_under(900.0, use, 50.0, 0.05) == 900.0
    assert asked == [0.0, 900.0]


def test_in_a_recording_the_second_of_two_roots_is_looked_for_under_the_first() -> None:
    recorder = Recorder()
    empty, slope, other = (recorder.new_input() for _ in range(3))
    roots = [load_at_use(lambda m, slope=slope: empty + slope * m) for slope in (slope, other)]
    function = float_function(recorder, least_load(*roots))
    for slopes, wanted in (((0.01, 0.02), 45.0), ((0.02, 0.01), 45.0), ((0.01, 0.01), 90.0)):
        assert function((0.1, *slopes)) == pytest.approx(wanted, rel=1e-9)
        assert function((0.1, *slopes)) == min(load_at_use(lambda m, slope=slope: 0.1 + slope * m) for slope in slopes)


def test_over_without_a_load_allows_nothing_and_never_over_has_no_limit() -> None:
    assert load_at_use(lambda m: 1.5 + 0.0 * m) == -math.inf
    assert load_at_use(lambda m: 0.5 + 0.0 * m) == math.inf
    both = load_at_use(lambda m: np.array([1.5, 0.5, 0.0]) + np.array([0.0, 0.0, 0.01]) * m, np.zeros(3), np.zeros(3))
    assert both[0] == -math.inf and both[1] == math.inf
    assert both[2] == pytest.approx(100.0)


def test_not_a_number_stays_not_a_number() -> None:
    assert math.isnan(load_at_use(lambda m: math.nan))
    assert math.isnan(load_at_magnitude(Linear(math.nan, 0.0), 1.0))
    assert math.isnan(load_at_resultant(squared_resultant((Linear(math.nan, 0.0),)), 1.0))
    assert math.isnan(load_at_sum(((1.0, Linear(0.0, math.nan)),), 1.0))
    assert math.isnan(load_at_pull(Linear(math.nan, -1.0), 1.0))


@pytest.mark.parametrize(("fixed", "per_kg"), [(Interval(1.0, 2.0), 1.0), (1.0, Interval(1.0, 2.0))])
def test_over_an_interval_no_load_is_told(fixed: object, per_kg: object) -> None:
    """A root cannot be bracketed over an interval, whichever part of a demand is one: it may be any load."""
    value = Linear(fixed, per_kg)
    for load in (load_at_sum(((1.0, value),), 10.0), load_at_use(lambda m: (value.fixed + value.per_kg * m) / 10.0)):
        assert (float(load.low), float(load.high)) == (-math.inf, math.inf)
