"""The load as it hangs: worked widths, and a slow search with points that no gap may exceed."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest
from solid_boxes import around, boxes, random_axes

from engine.rig.hung_load import HungLoad, hung_load, load_to_box, load_to_parts
from engine.rig.kinematics import figures, place
from tests.samples import read_once

REPLACE = msgspec.structs.replace
BOATYARD = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "skerry_point_boatyard.rig.json")
EXACT = np.array([math.inf])


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
        box = boxes(tuple(middle), tuple(half), axes)
        gap = float(load_to_parts(load, box, EXACT)[0, 0])
        assert float(load_to_parts(load, box, np.array([0.1]))[0, 0]) <= gap + 1e-12
        points = middle + (grid * half) @ np.array([tuple(axis) for axis in axes])
        level = np.maximum(np.hypot(points[:, 0] - x, points[:, 1] - y) - round_m, 0.0)
        high = np.maximum(np.maximum(under - points[:, 2], points[:, 2] - under - tall), 0.0)
        assert gap <= float(np.hypot(level, high).min()) + 1e-9
