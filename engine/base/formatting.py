"""SI numbers as text: metric (m, mm, kg, N·m) or US (feet, inches and sixteenths, lb, lbf-ft).

Needs no units library, so that a window can paint its first numbers at once. ``engine.base.units`` reads typed text.
"""

from __future__ import annotations

import math
import string
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, Literal

System = Literal["metric", "us"]

KG_PER_LB = 0.45359237
M_PER_IN = 0.0254
N_PER_LBF = 4.4482216152605
PA_PER_KSI = 6_894_757.293168361
M_S_PER_KMH, M_S_PER_MPH = 1.0 / 3.6, 0.44704


def show(value: float | None, kind: str, system: System) -> str:
    """A number with its unit, rounded as a person on the shop floor reads it; "not known" for None and NaN.

    Parameters
    ----------
    value : float or None
        In SI.
    kind : str
        ``m`` ``mm`` ``kg`` ``kgm`` ``N`` ``Nm`` ``Pa`` ``deg`` (from rad) ``fall`` ``share`` ``ratio`` ``speed``;
        rounded down, for what is allowed: ``kg_down`` ``speed_down``; finer, as an entry field shows it: ``length``
        ``mass`` ``angle`` ``stress`` ``count``.
    """
    if value is None or math.isnan(value):
        return "not known"
    if math.isinf(value):
        return "no limit" if value > 0 else "none"
    return _SHOWN[kind](value, system)


def feet_inches(value_m: float, denominator: int = 16) -> str:
    """Feet, inches and a fraction to the nearest 1/16 in (by default), e.g. ``8 ft 6-1/2 in``."""
    parts = round(abs(value_m) / M_PER_IN * denominator)
    sign = "-" if value_m < 0 and parts else ""
    inches, part = divmod(parts, denominator)
    feet, inches = divmod(inches, 12)
    fraction = Fraction(part, denominator)
    inch_text = f"{inches}" if not fraction else f"{fraction}" if not inches else f"{inches}-{fraction}"
    if not feet:
        return f"{sign}{inch_text} in"
    return f"{sign}{feet} ft" if inch_text == "0" else f"{sign}{feet} ft {inch_text} in"


def _grouped(value: float, places: int = 0) -> str:
    text = f"{value:,.{places}f}".replace(",", "\u202f")
    return text[1:] if text.startswith("-") and not text.strip("-0.\u202f") else text


def _mass(value: float, system: System, rounding: Callable[[float], float] = round) -> str:
    number = rounding(value / KG_PER_LB if system == "us" else value)
    return f"{_grouped(number)} {'lb' if system == 'us' else 'kg'}"


def _trimmed(value: float, places: int) -> str:
    text = _grouped(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _length(value: float, system: System) -> str:
    if system == "us":
        return feet_inches(value)
    return f"{_trimmed(value, 3)} m" if abs(value) >= 1.0 else f"{_trimmed(value * 1000.0, 1)} mm"


def _speed(value: float, system: System, rounding: Callable[[float], float] = round) -> str:
    number = rounding(10.0 * value / (M_S_PER_MPH if system == "us" else M_S_PER_KMH)) / 10.0
    return f"{_trimmed(number, 1)} {'mph' if system == 'us' else 'km/h'}"


_SHOWN: dict[str, Callable[[float, System], str]] = {
    "length": _length,
    "mass": lambda v, s: f"{_trimmed(v / KG_PER_LB, 1)} lb" if s == "us" else f"{_trimmed(v, 1)} kg",
    "angle": lambda v, _s: f"{_trimmed(math.degrees(v), 1)}°",
    "stress": lambda v, s: f"{_trimmed(v / PA_PER_KSI, 1)} ksi" if s == "us" else f"{_trimmed(v / 1e6, 1)} MPa",
    "count": lambda v, _s: f"{v:.0f}",
    "speed": _speed,
    "speed_down": lambda v, s: _speed(v, s, math.floor),
    "m": lambda v, s: feet_inches(v) if s == "us" else f"{_grouped(v, 2)} m",
    "mm": lambda v, s: feet_inches(v) if s == "us" else f"{_grouped(v * 1000.0)} mm",
    "kg": _mass,
    "kg_down": lambda v, s: _mass(v, s, math.floor),
    "N": lambda v, s: f"{_grouped(v / N_PER_LBF)} lbf" if s == "us" else f"{_grouped(v)} N",
    "Nm": lambda v, s: f"{_grouped(v / N_PER_LBF / 0.3048)} lbf-ft" if s == "us" else f"{_grouped(v)} N·m",
    "kgm": lambda v, s: f"{_grouped(v / KG_PER_LB / 0.3048)} lb-ft" if s == "us" else f"{_grouped(v)} kg·m",
    "Pa": lambda v, s: f"{_grouped(v / PA_PER_KSI, 1)} ksi" if s == "us" else f"{_grouped(v / 1e6)} MPa",
    "deg": lambda v, _s: f"{_grouped(math.degrees(v), 1)}°",
    "fall": lambda v, _s: f"{_grouped(100.0 * v, 1)} %",
    "share": lambda v, _s: f"{_grouped(100.0 * v)} %",
    "ratio": lambda v, _s: f"{v:.2f}",
}


class _Filler(string.Formatter):
    """Formats ``{name:kind}`` by `show`; without a kind, or with ``text``, the value's own text."""

    def __init__(self, system: System) -> None:
        self.system: System = system

    def format_field(self, value: Any, format_spec: str) -> str:
        if format_spec in ("", "text"):
            return str(value)
        return show(float(value), format_spec, self.system)


def fill(words: str, numbers: Mapping[str, object], system: System) -> str:
    """A template of words with its numbers put in, in the units of ``system``."""
    return _Filler(system).vformat(words, (), numbers)
