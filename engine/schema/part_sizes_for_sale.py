"""Sizes that bolts, bright bar, plate and welds come in, in millimetres and in inches.

From memory and common practice: a shop has its own list.  That a size is listed does not mean that it can be bought.
"""

from __future__ import annotations

from engine.base.formatting import M_PER_IN, System

PIN_SIZES_M: dict[System, tuple[float, ...]] = {
    "metric": tuple(0.001 * size for size in (12, 16, 20, 25, 30, 35, 40, 50)),
    "us": tuple(M_PER_IN * size for size in (1 / 2, 5 / 8, 3 / 4, 7 / 8, 1, 1.25, 1.5, 2)),
}
"""Diameters of pins."""

PLATE_SIZES_M: dict[System, tuple[float, ...]] = {
    "metric": tuple(0.001 * size for size in (6, 8, 10, 12, 15, 20, 25)),
    "us": tuple(M_PER_IN * size for size in (1 / 4, 5 / 16, 3 / 8, 1 / 2, 5 / 8, 3 / 4, 1)),
}
"""Thicknesses of plate and flat bar."""

BAR_SIZES_M: dict[System, tuple[float, ...]] = {
    "metric": tuple(0.001 * size for size in (12, 16, 20, 25, 30)),
    "us": tuple(M_PER_IN * size for size in (1 / 2, 5 / 8, 3 / 4, 1, 1.25)),
}
"""Round bar that a hoop is bent from."""

WELD_LEGS_M: dict[System, tuple[float, ...]] = {
    "metric": tuple(0.001 * leg for leg in (3, 4, 5, 6, 7, 8, 10, 12)),
    "us": tuple(M_PER_IN * leg / 16 for leg in (2, 3, 4, 5, 6, 7, 8)),
}
"""Legs of fillet welds."""

SHACKLE_WLL_KG: tuple[float, ...] = (330.0, 500.0, 750.0, 1000.0, 1500.0, 2000.0, 3250.0, 4750.0, 6500.0)
"""Working load limits of bow shackles (Fed. Spec. RR-C-271, EN 13889; from memory)."""

LENGTH_STEP_M: dict[System, float] = {"metric": 0.01, "us": M_PER_IN / 2.0}
"""Step of a plate's length or width, or of a weld's length."""
