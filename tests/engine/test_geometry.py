"""Vectors and quotients: what the formulas lean on without saying so."""

from __future__ import annotations

import math

import numpy as np
import pytest

from engine.geometry import ratio


@pytest.mark.parametrize(("over", "under", "gives"), [(1.0, 0.0, math.inf), (-1.0, 0.0, -math.inf), (4753.9, 5e-324, math.inf), (6.0, 3.0, 2.0)])
def test_a_quotient_past_all_numbers_is_infinite_alike_for_floats_and_arrays_and_says_nothing(over: float, under: float, gives: float) -> None:
    assert ratio(over, under) == gives
    assert ratio(np.array([over]), np.array([under]))[0] == gives


def test_nothing_over_nothing_is_not_a_number() -> None:
    assert math.isnan(ratio(0.0, 0.0))
    assert np.isnan(ratio(np.array([0.0]), np.array([0.0])))[0]
