"""How far a number is believed, and what is offered in its place."""

from __future__ import annotations

import pytest

from engine.limits.believed import Range, outside, what_was_meant

HALVES = Range((1.0, 2.0), (0.5, 4.0), (0.25, 8.0))


@pytest.mark.parametrize(
    ("value", "kind"),
    [
        (0.25, "impossible"),
        (0.26, "asked"),
        (0.5, "caution"),
        (1.0, ""),
        (2.0, ""),
        (2.1, "caution"),
        (4.1, "asked"),
        (8.0, "asked"),
        (8.1, "impossible"),
    ],
)
def test_a_number_is_told_by_the_range_it_lies_in(value: float, kind: str) -> None:
    found = [problem.kind for problem in outside("here", "{value:ratio}", value, HALVES, {})]
    assert found == [kind] * (kind != "")


@pytest.mark.parametrize(
    ("entered", "meant"), [(2204.62, 1000.0), (453.6, 1000.0), (10_000.0, 1000.0), (1.0, 1000.0), (1700.0, None)]
)
def test_what_was_meant_is_times_or_over_a_factor_that_is_mixed_up(entered: float, meant: float | None) -> None:
    """Believed: 900 to 1,100.  Pounds for kilograms and the other way round, a nought too many, tonnes; 1.7 of none."""
    found = what_was_meant(entered, lambda kg: kg, (900.0, 1100.0))
    assert found == (None if meant is None else pytest.approx(meant, rel=1e-4))
