"""Gaps between boxes: worked values, and a slow search with points that no gap may exceed."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import lsq_linear
from solid_boxes import around, boxes, random_axes

from engine.base.geometry import LEVEL
from engine.rig.boxes import Boxes, gaps_between, standing
from engine.schema.model import Surrounding

ONE_PAIR = np.array([0]), np.array([0])
EXACT = np.array([math.inf])


def gap_of(one: Boxes, box: Surrounding, enough_m: np.ndarray = EXACT) -> float:
    """Gap of one box from another, told from either side alike."""
    other = standing([box], 1)
    gap = gaps_between(one, other, ONE_PAIR, enough_m)[0, 0]
    assert gaps_between(other, one, ONE_PAIR, enough_m)[0, 0] == pytest.approx(gap, abs=1e-12)
    return float(gap)


def test_worked_gaps_of_a_yawed_boom_and_a_post() -> None:
    """2.0 x 0.1 x 0.1 at (2, 0, 1.5), 30 degrees to the left: true distance 0.6099 from a post at (2.9, -0.4)."""
    boom = boxes((2.0, 0.0, 1.5), (1.0, 0.05, 0.05), LEVEL.turned(math.radians(30.0)))
    post = (0.1, 0.1, 0.5)
    assert gap_of(boom, around((2.9, -0.4, 1.5), post)) == pytest.approx(0.6098, abs=1e-4)
    assert gap_of(boom, around((2.6, 0.35, 1.5), post)) == pytest.approx(-0.1835, abs=1e-4)


def test_a_boom_under_a_ceiling() -> None:
    """Its top at 0.900 + 0.008 + 1.500 + 0.080 + 0.100 = 2.588 under 2.300."""
    boom = boxes((1.0, 0.0, 2.538), (1.2, 0.05, 0.05))
    assert gap_of(boom, around((0.0, 0.0, 2.8), (10.0, 10.0, 0.5))) == pytest.approx(-0.288, abs=1e-9)


def distance(middle: np.ndarray, half: np.ndarray, axes: np.ndarray, box: Surrounding) -> float:
    """Least distance of two boxes, by least squares over a point in each."""
    low, high = np.array([box.x0_m, box.y0_m, box.z0_m]), np.array([box.x1_m, box.y1_m, box.z1_m])
    matrix = np.hstack([axes.T, -np.eye(3)])
    found = lsq_linear(matrix, -middle, bounds=(np.concatenate([-half, low]), np.concatenate([half, high])), tol=1e-12)
    return float(np.sqrt(2.0 * found.cost))


def test_no_gap_is_more_than_the_true_distance_and_boxes_apart_are_seen_apart() -> None:
    rng = np.random.default_rng(5)
    near = 0
    for _ in range(400):
        middle, half, axes = rng.uniform(-1.5, 1.5, 3), rng.uniform(0.03, 0.9, 3), random_axes(rng)
        box = around(tuple(rng.uniform(-0.5, 0.5, 3)), tuple(rng.uniform(0.05, 0.6, 3)))
        gap = gap_of(boxes(tuple(middle), tuple(half), axes), box)
        true = distance(middle, half, np.array([tuple(axis) for axis in axes]), box)
        assert gap <= true + 1e-6
        # Told at once where that is enough: never more than the gap told exactly.
        assert gap_of(boxes(tuple(middle), tuple(half), axes), box, np.array([0.2])) <= gap + 1e-12
        if true > 1e-5:
            assert gap > 0.0 and gap >= 0.55 * true - 1e-6  # three face gaps at once: at worst the diagonal of a cube
            near += 1
        else:
            assert gap <= 1e-4
    assert near > 100


def test_two_turned_boxes_are_seen_apart_as_they_are() -> None:
    """Both turned at random, as a boom and an arm are: never further apart than two points of theirs."""
    rng = np.random.default_rng(6)
    for _ in range(300):
        turned = [random_axes(rng) for _ in range(2)]
        middles, halves = rng.uniform(-1.0, 1.0, (2, 3)), rng.uniform(0.03, 0.7, (2, 3))
        one, other = (boxes(tuple(m), tuple(h), a) for m, h, a in zip(middles, halves, turned, strict=True))
        gap = float(gaps_between(one, other, ONE_PAIR, EXACT)[0, 0])
        own, theirs = (np.array([tuple(axis) for axis in axes]) for axes in turned)
        found = lsq_linear(
            np.hstack([own.T, -theirs.T]),
            middles[1] - middles[0],
            bounds=(-halves.ravel(), halves.ravel()),
            tol=1e-12,
        )
        true = float(np.sqrt(2.0 * found.cost))
        assert gap <= true + 1e-6
        assert (gap > 0.0) == (true > 1e-5) or abs(gap) < 1e-4


def test_many_poses_are_worked_on_in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(7)
    count = 40
    middle = rng.uniform(-1.0, 1.0, (1, 3, count))
    axes = np.stack([[tuple(axis) for axis in random_axes(rng)] for _ in range(count)], axis=-1)[None]
    many = Boxes(("boom",), middle, axes, np.array([[0.5, 0.1, 0.1]]))
    post = standing([around((0.0, 0.0, 0.0), (0.2, 0.3, 0.4))], count)
    whole = gaps_between(many, post, ONE_PAIR, EXACT)
    monkeypatch.setattr("engine.rig.boxes.MOST_NUMBERS", 63)  # seven poses at once
    np.testing.assert_array_equal(gaps_between(many, post, ONE_PAIR, EXACT), whole)


def test_of_many_poses_only_those_in_which_a_pair_is_near_are_looked_at_closely() -> None:
    """A pair that is near keeps its gap; one further off is told at most as far as it is, and at least the distance."""
    rng = np.random.default_rng(8)
    count, enough_m = 200, np.array([0.3])
    middle = rng.uniform(-1.5, 1.5, (1, 3, count))
    axes = np.stack([[tuple(axis) for axis in random_axes(rng)] for _ in range(count)], axis=-1)[None]
    many = Boxes(("boom",), middle, axes, np.array([[0.5, 0.1, 0.1]]))
    post = standing([around((0.0, 0.0, 0.0), (0.2, 0.3, 0.4))], count)
    exact, told = (gaps_between(many, post, ONE_PAIR, enough)[0] for enough in (EXACT, enough_m))
    near = exact < enough_m
    assert 5 < near.sum() < count - 5
    np.testing.assert_array_equal(told[near], exact[near])
    assert (told <= exact).all() and (told[~near] >= enough_m).all()
    assert (told < exact).any(), "none was spared"
