"""Boxes for tests of gaps: one of a rig, one that stands square, and axes turned at random."""

from __future__ import annotations

import numpy as np

from engine.base.geometry import LEVEL, Axes, Vec
from engine.rig.boxes import Boxes
from engine.schema.model import Surrounding


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


def random_axes(rng: np.random.Generator) -> Axes:
    q, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    return Axes(*(Vec(*column) for column in q.T))
