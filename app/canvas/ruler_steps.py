"""Steps of rulers and grid: round numbers of metres, or of inches and feet."""

from __future__ import annotations

import math
from collections.abc import Sequence

from engine.base.formatting import M_PER_IN, System

STEPS_M: dict[System, tuple[float, ...]] = {
    "metric": (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0),
    "us": tuple(inches * M_PER_IN for inches in (0.5, 1, 3, 6, 12, 24, 60, 120, 240)),
}

LABEL_EVERY_PX = 64.0
"""Least distance of two labels of a ruler, and of two strong lines of the grid."""


def ruler_step(least: float, steps: Sequence[float]) -> float:
    """Smallest of ``steps`` (growing) that is at least ``least``; beyond the last, tens of it."""
    for step in steps:
        if step >= least:
            return step
    return steps[-1] * 10.0 ** math.ceil(math.log10(least / steps[-1]))
