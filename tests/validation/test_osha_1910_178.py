"""Load-moment derating as in 29 CFR 1910.178 Appendix A and OSHA's training text on it.

Sources
-------
* 29 CFR 1910.178, Appendix A, end of paragraph A-5: worked example (read).
* OSHA eTool on powered industrial trucks, load handling: two examples (read in a secondary copy; the page truncates
  its pounds).
* Table with the front overhang left in, ``Q2 = Q (c + D) / (c + D2)``, same moment rule (computed).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engine.limits.plate import derated_kg

LB = 0.45359237
IN = 0.0254

PRINTED_LB = 0.05
"""The computed table is printed to a tenth of a pound."""


def derated_lb(rated_lb: float, centre_in: float, actual_in: float, overhang_in: float = 0.0) -> float:
    return derated_kg(rated_lb * LB, centre_in * IN, actual_in * IN, overhang_in * IN) / LB


def test_appendix_a_worked_example_3000_lb_truck_with_a_60_in_long_load() -> None:
    """A 3,000 lb truck at 24 in allows 72,000 in-lb, so a load with its centre at 30 in may weigh 2,400 lb."""
    assert derated_lb(3000.0, 24.0, 30.0) == pytest.approx(2400.0, rel=1e-12)
    assert derated_lb(3000.0, 24.0, 30.0) * 30.0 == pytest.approx(72_000.0, rel=1e-12)


@pytest.mark.parametrize(("rated_lb", "actual_in", "printed_lb"), [(5000.0, 28.0, 4285), (4000.0, 36.0, 2666)])
def test_etool_examples_with_the_pounds_cut_off_as_printed(rated_lb: float, actual_in: float, printed_lb: int) -> None:
    """Read in a secondary copy: 5,000 lb @ 24 in moved to 28 in; 4,000 lb @ 24 in moved to 36 in."""
    assert math.floor(derated_lb(rated_lb, 24.0, actual_in)) == printed_lb


@pytest.mark.parametrize(
    ("overhang_in", "row"),
    [
        (16.5, {28: 4550.6, 30: 4354.8, 36: 3857.1, 48: 3139.5, 60: 2647.1, 72: 2288.1, 96: 1800.0}),
        (0.0, {28: 4285.7, 30: 4000.0, 36: 3333.3, 48: 2500.0, 60: 2000.0, 72: 1666.7, 96: 1250.0}),
    ],
)
def test_derating_table_of_a_5000_lb_truck(overhang_in: float, row: dict[int, float]) -> None:
    """5,000 lb @ 24 in with the axle 16.5 in behind the fork face, and without (computed)."""
    for actual_in, allowed_lb in row.items():
        assert derated_lb(5000.0, 24.0, actual_in, overhang_in) == pytest.approx(allowed_lb, abs=PRINTED_LB)


def test_the_hundred_pounds_an_inch_rule_is_not_used() -> None:
    """Seen in use: 100 lb less for each inch, 3,400 lb at 40 in for a 5,000 lb truck.  The moment rule says 3,000."""
    assert derated_lb(5000.0, 24.0, 40.0) == pytest.approx(3000.0, rel=1e-12)


rated = st.floats(100.0, 20_000.0)
centre = st.floats(0.2, 1.5)
overhang = st.floats(0.0, 1.0)


@given(rated, centre, overhang)
def test_at_the_plates_own_load_centre_the_rated_load_comes_back(
    rated_kg: float, centre_m: float, overhang_m: float
) -> None:
    assert derated_kg(rated_kg, centre_m, centre_m, overhang_m) == pytest.approx(rated_kg, rel=1e-12)


@given(rated, centre, overhang, st.floats(0.05, 5.0), st.floats(0.001, 2.0))
def test_allowed_load_falls_as_the_load_moves_out(
    rated_kg: float, centre_m: float, overhang_m: float, at_m: float, further_m: float
) -> None:
    near, far = (derated_kg(rated_kg, centre_m, d, overhang_m) for d in (at_m, at_m + further_m))
    assert far <= near
    if at_m >= centre_m:
        assert far < near


@given(rated, centre, st.floats(0.01, 1.0), st.floats(0.01, 3.0))
def test_leaving_the_front_overhang_out_always_gives_the_lower_load(
    rated_kg: float, centre_m: float, overhang_m: float, further_m: float
) -> None:
    """29 CFR 1910.178 App. A: a load centre from the fork face instead of the fulcrum always allows less."""
    actual_m = centre_m + further_m
    assert derated_kg(rated_kg, centre_m, actual_m, overhang_m) > derated_kg(rated_kg, centre_m, actual_m)


@given(rated, centre, overhang, st.floats(0.01, 1.0))
def test_never_more_than_the_rated_load_however_near(
    rated_kg: float, centre_m: float, overhang_m: float, nearer: float
) -> None:
    """The rated load also caps chains, forks and hydraulics."""
    assume(nearer < 1.0)
    assert derated_kg(rated_kg, centre_m, centre_m * nearer, overhang_m) == rated_kg


def test_arrays_of_distances_give_what_single_ones_give() -> None:
    distances = np.array([0.3, 0.5, 0.7, 2.4])
    swept = derated_kg(2500.0, 0.5, distances, 0.47)
    assert list(swept) == pytest.approx([derated_kg(2500.0, 0.5, float(d), 0.47) for d in distances])
