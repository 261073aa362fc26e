"""Common sizes of tube, which a form offers and a first sketch picks from.

Metric sizes follow the EN 10219 series, inch sizes of tube the ASTM A500 series and those of round tube standard pipe,
all from memory.  That a size is listed does
not mean that it can be bought.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from engine.base.formatting import System
from engine.schema.sections import RectTube, RoundTube, Section

_MM, _IN = 0.001, 0.0254
_INCHES = " in"
"""In the name of every size that is sold in inches."""

_Size = TypeVar("_Size", bound=Section)


def _rect(width: float, depth: float, wall: float, unit: float) -> RectTube:
    return RectTube(width_m=round(width * unit, 6), depth_m=round(depth * unit, 6), wall_m=round(wall * unit, 6))


RECT_TUBES: dict[str, RectTube] = {
    **{
        f"{b} x {h} x {t:g} mm": _rect(b, h, t, _MM)
        for b, h, t in (
            (40, 40, 4), (50, 50, 4), (50, 50, 5), (60, 60, 4), (60, 60, 5), (75, 75, 4.8), (75, 75, 6.4), (80, 80, 5),
            (80, 80, 6), (80, 80, 6.3), (100, 100, 5), (100, 100, 6), (100, 100, 6.3), (100, 100, 8), (120, 120, 6),
            (120, 120, 6.3), (120, 120, 8), (150, 150, 6.3), (150, 150, 6.4), (150, 150, 8), (160, 160, 8),
            (100, 80, 6), (100, 80, 8), (120, 80, 6), (120, 80, 8), (150, 100, 6), (150, 100, 8), (160, 80, 8),
            (160, 80, 10), (180, 80, 8), (200, 100, 8), (200, 100, 10), (200, 120, 8), (200, 120, 10),
            (250, 150, 10),
        )
    },
    **{
        f"{label} in": _rect(b, h, t, _IN)
        for label, b, h, t in (
            ("2 x 2 x 3/16", 2, 2, 3 / 16), ("2 x 2 x 1/4", 2, 2, 1 / 4), ("2-1/2 x 2-1/2 x 1/4", 2.5, 2.5, 1 / 4),
            ("3 x 3 x 1/4", 3, 3, 1 / 4), ("3 x 3 x 3/8", 3, 3, 3 / 8), ("4 x 4 x 1/4", 4, 4, 1 / 4),
            ("4 x 4 x 3/8", 4, 4, 3 / 8), ("5 x 5 x 1/4", 5, 5, 1 / 4), ("5 x 5 x 3/8", 5, 5, 3 / 8),
            ("6 x 6 x 1/4", 6, 6, 1 / 4), ("6 x 6 x 3/8", 6, 6, 3 / 8), ("4 x 3 x 1/4", 4, 3, 1 / 4),
            ("4 x 3 x 3/8", 4, 3, 3 / 8), ("5 x 3 x 1/4", 5, 3, 1 / 4), ("5 x 3 x 3/8", 5, 3, 3 / 8),
            ("6 x 3 x 1/4", 6, 3, 1 / 4), ("6 x 3 x 3/8", 6, 3, 3 / 8), ("6 x 4 x 1/4", 6, 4, 1 / 4),
            ("6 x 4 x 3/8", 6, 4, 3 / 8), ("8 x 3 x 1/4", 8, 3, 1 / 4), ("8 x 3 x 3/8", 8, 3, 3 / 8),
            ("8 x 4 x 1/4", 8, 4, 1 / 4), ("8 x 4 x 3/8", 8, 4, 3 / 8), ("8 x 6 x 1/4", 8, 6, 1 / 4),
            ("8 x 6 x 3/8", 8, 6, 3 / 8),
        )
    },
}  # fmt: skip
"""Name and size; width (across) before depth (upright)."""


def _round(diameter: float, wall: float, unit: float) -> RoundTube:
    return RoundTube(diameter_m=round(diameter * unit, 6), wall_m=round(wall * unit, 6))


ROUND_TUBES: dict[str, RoundTube] = {
    **{
        f"{d:g} x {t:g} mm round": _round(d, t, _MM)
        for d, t in ((48.3, 4), (60.3, 5), (76.1, 5), (88.9, 5), (88.9, 6.3), (114.3, 6.3), (139.7, 6.3), (139.7, 8))
    },
    **{
        f"{d:g} x {t:g} in round": _round(d, t, _IN)
        for d, t in (
            (1.9, 0.145), (1.9, 0.2), (2.375, 0.154), (2.375, 0.218), (2.875, 0.203), (2.875, 0.276), (3.5, 0.216),
            (3.5, 0.3), (4.5, 0.237), (4.5, 0.337), (5.563, 0.258),
        )
    },
}  # fmt: skip
"""Name and size of round tube."""


SIZES = ("width_m", "depth_m", "diameter_m", "wall_m")

SAME_M = 1e-5
"""Sizes equal within a hundredth of a millimetre are the same size."""


def units_first(sizes: Mapping[str, _Size], units: System) -> dict[str, _Size]:
    """The same sizes, those sold in a person's own units first."""
    return dict(sorted(sizes.items(), key=lambda size: (_INCHES in size[0]) != (units == "us")))


def of_units(sizes: Mapping[str, _Size], units: System) -> dict[str, _Size]:
    """Those of the sizes that are sold in a person's own units."""
    return {name: size for name, size in sizes.items() if (_INCHES in name) == (units == "us")}


def sizes_like(section: Section, units: System = "metric") -> dict[str, Section]:
    """Common sizes of the same shape as a section, those in these units first; empty for shapes without a list."""
    if isinstance(section, RectTube):
        return dict(units_first(RECT_TUBES, units))
    return dict(units_first(ROUND_TUBES, units)) if isinstance(section, RoundTube) else {}


def name_of_size(section: Section) -> str | None:
    """Name of the common size equal to a section within a hundredth of a millimetre, or None."""
    for name, size in sizes_like(section).items():
        if all(abs(getattr(size, entry) - getattr(section, entry)) < SAME_M for entry in SIZES if hasattr(size, entry)):
            return name
    return None
