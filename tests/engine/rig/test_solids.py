"""Gaps between boxes: worked values, and a slow search with points that no gap may exceed."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest
from scipy.optimize import lsq_linear

from engine.base.geometry import LEVEL, Axes, Vec
from engine.rig.kinematics import figures, place
from engine.rig.solids import Boxes, HungLoad, gaps_to_box, hung_load, load_to_box, load_to_parts, parts
from engine.schema import rig_file
from engine.schema.model import Surrounding

REPLACE = msgspec.structs.replace
BOATYARD = rig_file.read(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")


def boxes(middle: tuple[float, float, float], half: tuple[float, float, float], axes: Axes = LEVEL) -> Boxes:
    return Boxes(
        ("boom",),
        np.array(middle)[None, :, None],
        np.array([[tuple(axis) for axis in axes]])[..., None],
        np.array([half]),
    )


def around(middle: tuple[float, float, float], half: tuple[float, float, float]) -> Surrounding:
    (x, y, z), (a, b, c) = middle, half
    return Surrounding(name="it", x0_m=x - a, x1_m=x + a, y0_m=y - b, y1_m=y + b, z0_m=z - c, z1_m=z + c)


def test_worked_gaps_of_a_yawed_boom_and_a_post() -> None:
    """2.0 x 0.1 x 0.1 at (2, 0, 1.5), 30 degrees to the left: true distance 0.6099 from a post at (2.9, -0.4)."""
    boom = boxes((2.0, 0.0, 1.5), (1.0, 0.05, 0.05), LEVEL.turned(math.radians(30.0)))
    post = (0.1, 0.1, 0.5)
    assert gaps_to_box(boom, around((2.9, -0.4, 1.5), post))[0, 0] == pytest.approx(0.6098, abs=1e-4)
    assert gaps_to_box(boom, around((2.6, 0.35, 1.5), post))[0, 0] == pytest.approx(-0.1835, abs=1e-4)


def test_a_boom_under_a_ceiling() -> None:
    """Its top at 0.900 + 0.008 + 1.500 + 0.080 + 0.100 = 2.588 under 2.300."""
    boom = boxes((1.0, 0.0, 2.538), (1.2, 0.05, 0.05))
    assert gaps_to_box(boom, around((0.0, 0.0, 2.8), (10.0, 10.0, 0.5)))[0, 0] == pytest.approx(-0.288, abs=1e-9)


def random_axes(rng: np.random.Generator) -> Axes:
    q, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    return Axes(*(Vec(*column) for column in q.T))


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
        gap = float(gaps_to_box(boxes(tuple(middle), tuple(half), axes), box)[0, 0])
        true = distance(middle, half, np.array([tuple(axis) for axis in axes]), box)
        assert gap <= true + 1e-6
        if true > 1e-5:
            assert gap > 0.0 and gap >= 0.55 * true - 1e-6  # three face gaps at once: at worst the diagonal of a cube
            near += 1
        else:
            assert gap <= 1e-4
    assert near > 100


def turned_load(x: float, y: float, heading: float, half: tuple[float, float]) -> np.ndarray:
    """Points of the edge of a load seen from above, shape (m, 2)."""
    edge = np.linspace(-1.0, 1.0, 41)
    sides = [np.stack([edge, np.full_like(edge, side)], -1) for side in (-1.0, 1.0)]
    square = np.concatenate([*sides, *(side[:, ::-1] for side in sides)])
    points = square * half
    c, s = math.cos(heading), math.sin(heading)
    return np.stack([x + points[:, 0] * c - points[:, 1] * s, y + points[:, 0] * s + points[:, 1] * c], -1)


@pytest.mark.parametrize("hang", ["free", "one_line", "two_lines", "fixed"])
def test_no_heading_a_load_may_take_comes_nearer_than_its_gap(hang: str) -> None:
    rng = np.random.default_rng(9)
    off = {"free": math.pi, "one_line": math.radians(30.0), "two_lines": math.radians(15.0), "fixed": math.radians(5.0)}
    placed = place(BOATYARD, figures(BOATYARD, BOATYARD.poses[0]))
    hook = placed.hook_m
    for _ in range(40):
        heading = float(rng.uniform(-3.0, 3.0))
        load = REPLACE(BOATYARD.load, length_m=1.8, width_m=0.3, hang=hang, heading_rad=heading)
        hung = hung_load(load, placed, 1)
        middle = np.array([hook.x, hook.y]) + rng.uniform(-2.0, 2.0, 2)
        box = around((*middle, float(hook.z) - 0.8), (0.2, 0.1, 3.0))
        gap = float(load_to_box(hung, box)[0])
        for turn in np.linspace(heading - off[hang], heading + off[hang], 91):
            points = turned_load(float(hook.x), float(hook.y), float(turn), (0.9, 0.15))
            outside = np.maximum(np.abs(points - middle) - (0.2, 0.1), 0.0)
            assert gap <= float(np.hypot(*outside.T).min()) + 1e-9


def test_worked_widths_of_a_load_that_turns_or_is_held() -> None:
    """A 6.0 x 0.3 load sweeps 3.004 m round its hook; held across by 10, 15 and 30 degrees it reaches 0.67 to 1.63."""
    placed = place(BOATYARD, figures(BOATYARD, BOATYARD.poses[0]))
    load = REPLACE(BOATYARD.load, length_m=6.0, width_m=0.3)
    assert hung_load(load, placed, 1).half_along(1.0, 0.0) == pytest.approx(3.004, abs=5e-4)
    for hang, degrees in (("fixed", 5.0), ("two_lines", 15.0), ("one_line", 30.0)):
        across = REPLACE(load, hang=hang, heading_rad=math.pi / 2.0)
        turn = math.radians(degrees)
        assert hung_load(across, placed, 1).half_along(1.0, 0.0) == pytest.approx(
            3.0 * math.sin(turn) + 0.15 * math.cos(turn), abs=1e-9
        )


def test_the_load_against_a_leaning_box_is_never_told_further_than_its_points_are() -> None:
    rng = np.random.default_rng(3)
    wide = np.linspace(-1.0, 1.0, 15)
    grid = np.stack(np.meshgrid(wide, wide, wide, indexing="ij"), -1).reshape(-1, 3)
    for _ in range(200):
        middle, half, axes = rng.uniform(-1.5, 1.5, 3), rng.uniform(0.03, 0.8, 3), random_axes(rng)
        x, y, under, tall, round_m = (*rng.uniform(-0.3, 0.3, 2), -0.4, 0.9, float(rng.uniform(0.1, 0.9)))
        one = np.ones(1)
        load = HungLoad(x * one, y * one, under * one, (under + tall) * one, round_m, (0.0, 0.0), (0.0, 0.0), 0.0)
        gap = float(load_to_parts(load, boxes(tuple(middle), tuple(half), axes))[0, 0])
        points = middle + (grid * half) @ np.array([tuple(axis) for axis in axes])
        level = np.maximum(np.hypot(points[:, 0] - x, points[:, 1] - y) - round_m, 0.0)
        high = np.maximum(np.maximum(under - points[:, 2], points[:, 2] - under - tall), 0.0)
        assert gap <= float(np.hypot(level, high).min()) + 1e-9


def test_arrays_of_poses_have_the_boxes_of_each_pose() -> None:
    job, pose = BOATYARD, BOATYARD.poses[0]
    lifts = np.array([0.3, 0.65, 1.4])
    numbers = figures(job, pose)
    many = parts(job, place(job, REPLACE(numbers, lift_m=lifts)), 3, loaded=True)
    for at, lift_m in enumerate(lifts):
        one = parts(job, place(job, REPLACE(numbers, lift_m=float(lift_m))), 1, loaded=True)
        assert one.parts == many.parts
        np.testing.assert_allclose(many.middle[..., at], one.middle[..., 0], atol=1e-12)
        np.testing.assert_allclose(many.axes[..., at], one.axes[..., 0], atol=1e-12)
    assert {"boom", "jib mast", "arm 1", "arm 2", "upright", "saddles"} <= set(many.parts)
    tail = many.parts.index("boom")
    # The whole boom with its tail: 2.4 m less the 50 its lugs reach past it.
    assert many.half[tail][0] == pytest.approx(1.175)
