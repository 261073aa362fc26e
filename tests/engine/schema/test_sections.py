"""Cross-sections: closed forms against numeric integration and against each other."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import trapezoid

from engine.schema.sections import (
    STEEL_DENSITY_KG_M3,
    FlatBar,
    RectTube,
    RoundTube,
    SolidRound,
    mass_per_length_kg_m,
    outer_depth_m,
    outer_width_m,
    properties,
)

sizes = st.floats(0.02, 0.3)
shares = st.floats(0.02, 0.24)


def rounded_rectangle_by_strips(
    width: float, depth: float, radius: float, strips: int = 40_001
) -> tuple[float, float, float]:
    """Area, I and Z about the lateral middle axis by summing level strips."""
    z = np.linspace(-depth / 2.0, depth / 2.0, strips)
    into_corner = np.clip(np.abs(z) - (depth / 2.0 - radius), 0.0, radius)
    across = width - 2.0 * (radius - np.sqrt(np.maximum(radius**2 - into_corner**2, 0.0)))
    return trapezoid(across, z), trapezoid(across * z**2, z), trapezoid(across * np.abs(z), z)


@given(sizes, sizes, shares)
def test_tube_properties_are_the_strips_of_outer_less_inner_rounded_rectangle(
    width: float, depth: float, share: float
) -> None:
    wall = share * min(width, depth)
    section = properties(RectTube(width_m=width, depth_m=depth, wall_m=wall))
    outer = rounded_rectangle_by_strips(width, depth, 2.0 * wall)
    inner = rounded_rectangle_by_strips(width - 2.0 * wall, depth - 2.0 * wall, wall)
    area, second, plastic = (a - b for a, b in zip(outer, inner, strict=True))
    assert section.area_m2 == pytest.approx(area, rel=1e-5)
    assert section.second_moment_up_m4 == pytest.approx(second, rel=1e-5)
    assert section.plastic_up_m3 == pytest.approx(plastic, rel=1e-5)
    assert section.elastic_up_m3 == pytest.approx(second / (depth / 2.0), rel=1e-5)


@given(sizes, sizes, shares)
def test_a_tube_laid_on_its_side_swaps_up_and_side(width: float, depth: float, share: float) -> None:
    wall = share * min(width, depth)
    up, laid = (properties(RectTube(width_m=w, depth_m=d, wall_m=wall)) for w, d in ((width, depth), (depth, width)))
    assert up.second_moment_up_m4 == pytest.approx(laid.second_moment_side_m4)
    assert up.plastic_side_m3 == pytest.approx(laid.plastic_up_m3)
    assert up.twist_m4 == pytest.approx(laid.twist_m4)
    assert up.torsion_m3 == pytest.approx(laid.torsion_m3)


@given(sizes, shares)
def test_round_tube_and_bar_follow_the_textbook(diameter: float, share: float) -> None:
    wall = share * diameter
    tube, bar, hole = (
        properties(RoundTube(diameter_m=diameter, wall_m=wall)),
        properties(SolidRound(diameter_m=diameter)),
        properties(SolidRound(diameter_m=diameter - 2.0 * wall)),
    )
    assert tube.area_m2 == pytest.approx(bar.area_m2 - hole.area_m2)
    assert tube.second_moment_up_m4 == pytest.approx(bar.second_moment_up_m4 - hole.second_moment_up_m4)
    assert tube.plastic_up_m3 == pytest.approx(bar.plastic_up_m3 - hole.plastic_up_m3)
    assert bar.plastic_up_m3 / bar.elastic_up_m3 == pytest.approx(16.0 / (3.0 * math.pi))  # 1.698
    assert bar.twist_m4 == pytest.approx(2.0 * bar.second_moment_up_m4)


@given(sizes, sizes)
def test_flat_bar_bends_as_a_rectangle_and_twists_between_its_bounds(width: float, depth: float) -> None:
    section = properties(FlatBar(width_m=width, depth_m=depth))
    assert section.second_moment_up_m4 == pytest.approx(width * depth**3 / 12.0)
    assert section.plastic_up_m3 / section.elastic_up_m3 == pytest.approx(1.5)
    long_m, short_m = max(width, depth), min(width, depth)
    assert 0.14 * long_m * short_m**3 < section.twist_m4 < long_m * short_m**3 / 3.0


def test_a_square_bar_twists_as_saint_venant_found() -> None:
    """0.1406 a^4 (from memory of any strength of materials text)."""
    assert properties(FlatBar(width_m=0.05, depth_m=0.05)).twist_m4 / 0.05**4 == pytest.approx(0.1406, rel=0.005)


@given(sizes, shares)
def test_mass_is_area_times_density(size: float, share: float) -> None:
    tube = RectTube(width_m=size, depth_m=size, wall_m=share * size)
    assert mass_per_length_kg_m(tube) == pytest.approx(STEEL_DENSITY_KG_M3 * properties(tube).area_m2)
    assert (outer_depth_m(tube), outer_width_m(tube)) == (size, size)


@pytest.mark.parametrize("wall", [0.025, 0.03, 0.05, 0.09])
def test_a_wall_thicker_than_the_tube_allows_is_refused_in_those_words(wall: float) -> None:
    with pytest.raises(ValueError, match="thicker than the tube allows"):
        RectTube(width_m=0.1, depth_m=0.1, wall_m=wall)
    with pytest.raises(ValueError, match="thicker than the tube allows"):
        RoundTube(diameter_m=0.05, wall_m=wall)
    with pytest.raises(ValueError, match="thicker than the tube allows"):
        properties(RectTube(width_m=0.1, depth_m=0.1, wall_m=0.006), wall_m=wall)


def test_a_thinner_wall_to_reckon_with_weakens_every_way() -> None:
    tube = RectTube(width_m=0.1, depth_m=0.15, wall_m=0.0064)
    named, thin = properties(tube), properties(tube, wall_m=0.93 * tube.wall_m)
    for field in type(named).__struct_fields__:
        assert getattr(thin, field) < getattr(named, field), field
