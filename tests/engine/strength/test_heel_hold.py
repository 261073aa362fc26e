"""Heel pins and chains, against the worked example (sleeve 160 x 8, blade 100 wide, Fy 195, factor 3)."""

from __future__ import annotations

import math

import pytest

from engine.strength.heel_hold import bending_m, chain_N, chain_pull_N, pin_limits, pulls, span_m
from engine.strength.linear_in_load import Linear

FOUR_FIGURES = 5e-4
SPAN = span_m(0.16, 0.008)


def modulus(diameter: float) -> float:
    return math.pi * diameter**3 / 32.0


@pytest.mark.parametrize(
    ("uplift", "contact", "moment", "stress"),
    [
        (5252.0, "spread", 133.9, 333.0),
        (5252.0, "edges", 68.27, 169.8),
        (7636.0, "spread", 194.7, 484.2),
        (7636.0, "edges", 99.27, 246.9),
    ],
)
def test_a_16_mm_pin_bends_under_the_blade(uplift: float, contact: str, moment: float, stress: float) -> None:
    assert span_m(0.16, 0.008) == pytest.approx(0.152)
    found = uplift * bending_m(SPAN, 0.1, contact)  # type: ignore[arg-type]
    assert found == pytest.approx(moment, rel=FOUR_FIGURES)
    assert found / modulus(0.016) / 1e6 == pytest.approx(stress, rel=FOUR_FIGURES)


@pytest.mark.parametrize(("uplift", "least_mm"), [(5252.0, 27.58), (7636.0, 31.25)])
def test_least_pin_with_the_blade_spread_over_it(uplift: float, least_mm: float) -> None:
    allowed = modulus(least_mm / 1000.0) * 65e6
    limits = pin_limits(allowed, bending_m(SPAN, 0.1, "spread"), 1e6, 2e6, 3e6)
    assert limits.bending_N == pytest.approx(uplift, rel=2e-3)
    assert limits[1:] == (1e6, 2e6, 3e6)


def test_shear_alone_would_pass_the_pin_that_bends() -> None:
    assert 7636.0 / (2.0 * math.pi * 0.016**2 / 4.0 * 37.53e6) == pytest.approx(0.5060, rel=FOUR_FIGURES)


def test_a_blade_as_wide_as_the_span_bends_no_pin_at_its_edges() -> None:
    assert pin_limits(100.0, bending_m(0.1, 0.1, "edges"), 1.0, 1.0, 1.0).bending_N == math.inf


def test_uplift_counts_only_while_the_heel_is_lifted() -> None:
    (uplift, slide), lifted = pulls(Linear(-300.0, 3.0), Linear(200.0, 2.0))
    assert (uplift.at(150.0), slide.at(150.0)) == (150.0, 250.0)
    assert (lifted.from_kg, lifted.to_kg) == (100.0, math.inf)


def test_chains() -> None:
    """7,636 N at 30 degrees: 8,817 N = 899.1 kg in each of two; one chain over both heels takes twice that."""
    angle = math.radians(30.0)
    assert chain_pull_N(7636.0, 2, angle) == pytest.approx(8817.0, rel=FOUR_FIGURES)
    assert chain_N(899.1, 2, angle) == pytest.approx(7636.0, rel=FOUR_FIGURES)
    assert chain_N(899.1, 1, angle) == pytest.approx(7636.0 / 2.0, rel=FOUR_FIGURES)
    assert chain_pull_N(7636.0, 1, 0.0) == pytest.approx(2.0 * 7636.0)
