"""Limits that count only between two loads, against a plain search for the first load that is over."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.geometry import ZERO, Number
from engine.jit.python_code import float_function
from engine.jit.trace import Recorder
from engine.rig.check import Check
from engine.strength.linear_in_load import CheckLabel, Linear, check_magnitude, check_resultant, check_use
from engine.strength.load_window import ALWAYS, Shift, Window, check_within, reaching, window

ITEM = CheckLabel("part", "kind", ZERO, "N", "", "")
FAR_KG = 4000.0
number = st.integers(-500, 500).map(float)
linear = st.tuples(number, st.integers(-3, 3).map(float)).map(lambda parts: Linear(*parts))


def inside(within: Window, load_kg: float) -> bool:
    return bool(within.from_kg <= load_kg <= within.to_kg)


@given(linear, linear, st.floats(0.0, FAR_KG))
def test_a_window_is_where_every_condition_holds(one: Linear, other: Linear, load_kg: float) -> None:
    least = min(one.at(load_kg), other.at(load_kg))
    if abs(least) > 1e-9:
        assert inside(window(one, other), load_kg) == (least > 0.0)


def test_a_condition_that_is_not_known_leaves_no_window_known() -> None:
    assert math.isnan(window(Linear(math.nan, 0.0)).from_kg)
    assert math.isnan(window(Linear(1.0, math.nan)).from_kg)


@given(linear, st.floats(1.0, 500.0), st.floats(0.0, FAR_KG))
def test_a_value_reaches_a_level_upwards_or_downwards(value: Linear, level: float, load_kg: float) -> None:
    if abs(abs(value.at(load_kg)) - level) > 1e-6:
        assert any(inside(each, load_kg) for each in reaching(value, level)) == (abs(value.at(load_kg)) > level)


def checked(kind: str, values: tuple[Linear, Linear], within: Window, load_kg: Number) -> Check:
    def make(shift: Shift, load: Number) -> Check:
        first, second = (shift(value) for value in values)
        if kind == "magnitude":
            return check_magnitude(ITEM, first, 400.0, load)
        if kind == "resultant":
            return check_resultant(ITEM, (first, second), 400.0, load)
        return check_use(ITEM, lambda m: abs(first.at(m)) / 400.0 + (second.at(m) / 900.0) ** 2, load)

    return check_within(within, load_kg, make)


def over(kind: str, values: tuple[Linear, Linear], load_kg: float) -> float:
    first, second = (value.at(load_kg) for value in values)
    if kind == "magnitude":
        return abs(first) / 400.0
    if kind == "resultant":
        return math.hypot(first, second) / 400.0
    return abs(first) / 400.0 + (second / 900.0) ** 2


@pytest.mark.parametrize("kind", ["magnitude", "resultant"])
@given(linear, linear, linear, st.integers(0, 800).map(float))
def test_the_load_at_the_limit_is_the_first_inside_that_is_over(
    kind: str, one: Linear, other: Linear, condition: Linear, load_kg: float
) -> None:
    within, values = window(condition), (one, other)
    found = checked(kind, values, within, load_kg)
    want = over(kind, values, load_kg) if inside(within, load_kg) else 0.0
    assert found.use == pytest.approx(want, abs=1e-9)
    limit = float(found.allowed_load_kg)
    tries = [load for load in np.linspace(0.0, 3000.0, 1201) if inside(within, float(load))]
    first = next((load for load in tries if over(kind, values, float(load)) > 1.0 + 1e-9), math.inf)
    if limit < 0.0:
        assert over(kind, values, 0.0) > 1.0
    elif limit < 3000.0:
        assert abs(first - limit) <= 2.5 + 1e-6 or over(kind, values, limit) == pytest.approx(1.0)
    else:
        assert first == math.inf


def test_an_interaction_that_counts_from_a_load_on() -> None:
    values = (Linear(-300.0, 1.0), Linear(0.0, 1.0))
    from_200 = window(Linear(-200.0, 1.0))
    found = checked("interaction", values, from_200, 250.0)
    assert found.use == pytest.approx(50.0 / 400.0 + (250.0 / 900.0) ** 2)
    assert over("interaction", values, float(found.allowed_load_kg)) == pytest.approx(1.0)
    assert found.allowed_load_kg > 200.0
    assert checked("interaction", values, from_200, 150.0).use == 0.0


def test_a_limit_over_from_its_first_load_on_allows_just_that_load() -> None:
    found = checked("magnitude", (Linear(600.0, 0.0), Linear(0.0, 0.0)), Window(120.0, 500.0), 100.0)
    assert found.use == 0.0
    assert found.allowed_load_kg == 120.0


def test_a_window_that_never_opens_allows_any_load() -> None:
    found = checked("magnitude", (Linear(600.0, 1.0), Linear(0.0, 0.0)), Window(math.inf, math.inf), 100.0)
    assert (found.use, found.allowed_load_kg) == (0.0, math.inf)


def test_what_is_not_known_stays_not_known() -> None:
    for within, load_kg in ((ALWAYS, math.nan), (Window(0.0, math.inf), math.nan), (Window(math.nan, math.inf), 1.0)):
        assert math.isnan(float(checked("magnitude", (Linear(1.0, 1.0), Linear(0.0, 0.0)), within, load_kg).use))


def test_arrays_and_recorded_formulas_agree_with_floats() -> None:
    fixed, per_kg, condition = (
        np.array([-300.0, 20.0, 600.0]),
        np.array([2.0, -1.0, 0.0]),
        np.array([-100.0, 50.0, 1.0]),
    )
    load = np.array([250.0, 30.0, 400.0])

    def use_and_load(fixed: Number, per_kg: Number, condition: Number, load: Number) -> tuple[Number, Number]:
        value = Linear(fixed, per_kg)
        found = checked("magnitude", (value, value), window(Linear(condition, 1.0), Linear(500.0, -1.0)), load)
        return found.use, found.allowed_load_kg

    arrays = use_and_load(fixed, per_kg, condition, load)
    recorder = Recorder()
    formula = use_and_load(*(recorder.new_input() for _ in range(4)))
    written = float_function(recorder, formula)  # type: ignore[arg-type]
    for index in range(3):
        floats = tuple(float(part[index]) for part in (fixed, per_kg, condition, load))
        plain = use_and_load(*floats)
        assert plain == tuple(float(part[index]) for part in arrays)  # type: ignore[index]
        assert plain == tuple(written(floats))
