"""Vectors, axes and wrenches: one set of formulas for a float and for an array."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.geometry import LEVEL, Frame, Vec, cos, gravity_direction, least, most, ratio, sin, sqrt, where

part = st.floats(-10.0, 10.0, allow_nan=False)
vectors = st.builds(Vec, part, part, part)
angles = st.floats(-3.2, 3.2)


def array(vector: Vec) -> np.ndarray:
    return np.array(tuple(vector))


@given(vectors, vectors)
def test_vector_arithmetic_is_numpys(a: Vec, b: Vec) -> None:
    assert array(a + b) == pytest.approx(array(a) + array(b))
    assert array(a - b) == pytest.approx(array(a) - array(b))
    assert array(-a) == pytest.approx(-array(a))
    assert a.dot(b) == pytest.approx(float(array(a) @ array(b)))
    assert array(a.cross(b)) == pytest.approx(np.cross(array(a), array(b)))
    assert a.length() == pytest.approx(float(np.linalg.norm(array(a))))


@given(angles, angles)
def test_axes_stay_square_unit_and_right_handed_however_turned(raised: float, turned: float) -> None:
    axes = LEVEL.raised(raised).turned(turned)
    matrix = np.array([array(axes.x), array(axes.y), array(axes.z)])
    assert matrix @ matrix.T == pytest.approx(np.eye(3), abs=1e-12)
    assert float(np.linalg.det(matrix)) == pytest.approx(1.0)


@given(angles, angles, vectors)
def test_own_components_come_back(raised: float, turned: float, vector: Vec) -> None:
    axes = LEVEL.turned(turned).raised(raised)
    assert array(axes.out(*axes.own(vector))) == pytest.approx(array(vector), abs=1e-9)


def test_signs_raised_lifts_the_nose_and_turned_goes_left() -> None:
    assert LEVEL.raised(0.1).x.z > 0.0
    assert LEVEL.raised(0.1).z.x < 0.0  # tilt back: the top of the upright comes back
    assert LEVEL.turned(0.1).x.y > 0.0


def test_a_frame_places_points_in_its_own_axes() -> None:
    frame = Frame(LEVEL.turned(math.pi / 2.0), Vec(1.0, 2.0, 3.0))
    assert array(frame.at(2.0, 0.0, 1.0)) == pytest.approx([1.0, 4.0, 4.0])


@given(st.floats(-0.35, 0.35), st.floats(-0.35, 0.35))
def test_gravity_leans_towards_the_low_side_by_the_floors_fall(along: float, across: float) -> None:
    pull = gravity_direction(along, across)
    assert pull.length() == pytest.approx(1.0)
    assert pull.z < 0.0
    assert pull.x / -pull.z == pytest.approx(along, abs=1e-12)
    assert pull.y / -pull.z == pytest.approx(across, abs=1e-12)


@given(st.lists(st.floats(-5.0, 5.0), min_size=2, max_size=5))
def test_float_and_array_helpers_agree(values: list[float]) -> None:
    both = np.array(values)
    for one, many in ((sin, sin(both)), (cos, cos(both)), (sqrt, sqrt(abs(both)))):
        assert [one(abs(value) if one is sqrt else value) for value in values] == pytest.approx(list(many))
    assert least(*values) == min(values)
    assert most(*values) == max(values)
    assert list(least(both, 0.0)) == [least(value, 0.0) for value in values]
    assert list(where(both > 0.0, both, -1.0)) == [where(value > 0.0, value, -1.0) for value in values]


def test_what_is_not_a_number_is_never_lost_in_a_least_or_most() -> None:
    for one in (least, most):
        assert math.isnan(one(1.0, math.nan))
        assert math.isnan(one(math.nan, 1.0))
        assert np.isnan(one(np.array([1.0, math.nan]), 0.0)).tolist() == [False, True]


@pytest.mark.parametrize(
    ("over", "under", "quotient"),
    [(1.0, 2.0, 0.5), (1.0, 0.0, math.inf), (-1.0, 0.0, -math.inf), (0.0, 0.0, math.nan), (math.nan, 0.0, math.nan)],
)
def test_a_quotient_over_nothing_is_infinite_or_not_a_number_without_a_warning(
    over: float, under: float, quotient: float
) -> None:
    assert ratio(over, under) == pytest.approx(quotient, nan_ok=True)
    assert float(ratio(np.array([over]), np.array([under]))[0]) == pytest.approx(quotient, nan_ok=True)
