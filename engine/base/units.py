"""Typed text to SI.  The one module that knows pint; the engine's core never imports it.

Typed text may use metric or US units, whichever are shown: ``8 ft 6-1/2 in``, ``8' 6-1/2"``, ``2.6 m``, ``300 lb``,
``136 kg``, ``4 %``, ``2.3 deg``, ``1 in 50``.
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Mapping
from fractions import Fraction

import pint

from engine.base.errors import UnitError
from engine.base.formatting import KG_PER_LB, M_PER_IN, M_S_PER_KMH, M_S_PER_MPH, System

_DEFINITIONS = """
meter = [length] = m
kilogram = [mass] = kg
second = [time] = s
radian = [] = rad
millimeter = 0.001 * meter = mm
centimeter = 0.01 * meter = cm
inch = 0.0254 * meter = in
foot = 12 * inch = ft
gram = 0.001 * kilogram = g
tonne = 1000 * kilogram = t
pound = 0.45359237 * kilogram = lb
newton = kilogram * meter / second ** 2 = N
kilonewton = 1000 * newton = kN
pound_force = 4.4482216152605 * newton = lbf
pascal = newton / meter ** 2 = Pa
megapascal = 1000000 * pascal = MPa
psi = 6894.757293168361 * pascal
ksi = 1000 * psi
degree = 0.017453292519943295 * radian = deg
percent = 0.01 = pct
"""

_KINDS: dict[str, tuple[str, str, str]] = {
    "length": ("m", "a length", "2.6 m, 340 mm or 8 ft 6-1/2 in"),
    "mass": ("kg", "a mass", "136 kg or 300 lb"),
    "angle": ("rad", "an angle", "20 deg"),
    "fall": ("", "a fall of the floor", "2 %, 1.1 deg or 1 in 50"),
    "share": ("", "a share", "50 %"),
    "ratio": ("", "a plain number", "1.15"),
    "stress": ("Pa", "a stress", "230 MPa or 36 ksi"),
    "count": ("", "a whole number", "3"),
    "kgm": ("kg m", "a moment of weights", "150 kg·m or 1100 lb-ft"),
    "speed": ("m/s", "a speed", "5 km/h, 1.4 m/s or 3 mph"),
}

DEFAULT_UNIT: dict[System, dict[str, str]] = {
    "metric": {
        "length": "m",
        "mass": "kg",
        "angle": "deg",
        "fall": "%",
        "share": "%",
        "ratio": "",
        "stress": "MPa",
        "count": "",
        "kgm": "kg·m",
        "speed": "km/h",
    },
    "us": {
        "length": "in",
        "mass": "lb",
        "angle": "deg",
        "fall": "%",
        "share": "%",
        "ratio": "",
        "stress": "ksi",
        "count": "",
        "kgm": "lb-ft",
        "speed": "mph",
    },
}
"""Unit a bare typed number is taken in; the field says which beside it."""


@functools.cache
def _registry() -> pint.UnitRegistry:
    """Own small registry, built on first use: the full one takes a tenth of a second."""
    lines = _DEFINITIONS.strip().splitlines()
    return pint.UnitRegistry(lines)  # pyright: ignore[reportArgumentType]  # pint takes lines too, its stub says a path


# ---------------------------------------------------------------- typed text

_FEET_INCHES = re.compile(
    r"""^\s*(?P<sign>-)?\s*
    (?:(?P<feet>\d+(?:\.\d+)?)\s*(?:ft|feet|foot|'|′)\s*-?\s*)?
    (?:(?P<whole>\d+(?:\.\d+)?)(?:\s*[-\s]\s*(?P<over>\d+)/(?P<under>\d+))?|(?P<over2>\d+)/(?P<under2>\d+))?
    \s*(?P<inch>in|inch|inches|"|″|'')?\s*$""",
    re.VERBOSE | re.IGNORECASE,
)
_ONE_IN = re.compile(
    r"^\s*(?P<sign>-)?\s*(?P<rise>\d+(?:\.\d+)?)\s*(?:in|:|/)\s*(?P<run>\d+(?:\.\d+)?)\s*$", re.IGNORECASE
)
_NUMBER_UNIT = re.compile(
    r"^\s*(?P<number>[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?)\s*(?P<unit>[^\d\s].*?)?\s*$", re.IGNORECASE
)
_PLAIN_UNIT = re.compile(r"^[A-Za-z]+$")
"""A unit of these quantities is one word; anything else never reaches the units library."""

_M_S_PER = {
    "km/h": M_S_PER_KMH,
    "kmh": M_S_PER_KMH,
    "mph": M_S_PER_MPH,
    "mi/h": M_S_PER_MPH,
    "m/s": 1.0,
    "ft/s": 0.3048,
}
"""Units of speed, m/s each: two words, so they are read here."""

_KGM_PER = {
    **dict.fromkeys(("kg·m", "kgm", "kg*m", "kg m", "kg-m"), 1.0),
    **dict.fromkeys(("lb-ft", "lb·ft", "lb*ft", "lb ft", "ft-lb", "lbft"), KG_PER_LB * 0.3048),
}
"""Units of a moment of weights, kg·m each."""

_UNIT_WORDS = {
    "%": "percent", "°": "degree", "degrees": "degree", "lbs": "lb", "pounds": "lb", "metres": "m", "meters": "m",
    "metre": "m", "kgs": "kg", "inches": "in", "feet": "ft", "tonnes": "t", '"': "in", "″": "in", "'": "ft", "′": "ft",
}  # fmt: skip


def parse(text: str, kind: str, system: System = "metric", where: str = "entry") -> float:
    """SI value of typed text.

    Parameters
    ----------
    text : str
        As typed.  A bare number is taken in ``DEFAULT_UNIT[system][kind]``.
    kind : str
        ``length``, ``mass``, ``angle``, ``fall``, ``share``, ``ratio``, ``stress``, ``count``, ``speed`` or ``kgm``.
    system : str
        ``metric`` or ``us``.
    where : str
        Name of the field, for the error.

    Returns
    -------
    float
        In m, kg, rad, Pa or as a plain ratio.

    Raises
    ------
    UnitError
        When the text is empty, not a number, not finite or of another kind.
    """
    si, noun, examples = _KINDS[kind]
    expected = f"{noun} such as {examples}"
    if not text.strip():
        raise UnitError(where, expected, "nothing")
    text = text.replace("\u2212", "-").replace("\u2013", "-").replace("\u00a0", " ").replace("\u202f", "")
    if re.search(r"\d,\d{3}(?!\d)", text):
        raise UnitError(
            where, expected, f"{text.strip()!r}", "Write it without the comma, or with a point for decimals."
        )
    text = text.replace(",", ".")
    value = _special(text, kind, system)
    if value is None:
        value = _number_with_unit(text, kind, system, where, expected, si)
    if not math.isfinite(value) or (kind == "count" and value != round(value)):
        raise UnitError(where, expected, f"{text.strip()!r}")
    return value


def _special(text: str, kind: str, system: System) -> float | None:
    """Forms that are not one number and one unit: feet-inch-fraction, falls as rise in run, and speeds."""
    if kind == "speed":
        return _of_two_words(text, kind, _M_S_PER, system)
    if kind == "kgm":
        return _of_two_words(text, kind, _KGM_PER, system)
    if kind == "fall" and (typed := _ONE_IN.match(text)):
        run = float(typed["run"])
        return (-1 if typed["sign"] else 1) * float(typed["rise"]) / run if run else math.inf
    return _feet_inches_m(text, system) if kind == "length" else None


def _of_two_words(text: str, kind: str, si_per: Mapping[str, float], system: System) -> float | None:
    """A number with a unit of two words, which the units library never sees."""
    typed = _NUMBER_UNIT.match(text)
    if not typed:
        return None
    si = si_per.get((typed["unit"] or DEFAULT_UNIT[system][kind]).strip().lower())
    return float(typed["number"]) * si if si else None


def _feet_inches_m(text: str, system: System) -> float | None:
    typed = _FEET_INCHES.match(text)
    if not typed or not (typed["feet"] or typed["whole"] or typed["over2"]):
        return None
    bare_fraction = system == "us" and (typed["over"] or typed["over2"])
    if not (typed["feet"] or typed["inch"] or bare_fraction):
        return None
    inches = float(typed["whole"] or 0)
    for over, under in (("over", "under"), ("over2", "under2")):
        if typed[over]:
            if int(typed[under]) == 0:
                return math.inf
            inches += float(Fraction(int(typed[over]), int(typed[under])))
    total = float(typed["feet"] or 0) * 12.0 + inches
    return (-1.0 if typed["sign"] else 1.0) * total * M_PER_IN


def _number_with_unit(text: str, kind: str, system: System, where: str, expected: str, si: str) -> float:
    typed = _NUMBER_UNIT.match(text)
    if not typed:
        raise UnitError(where, expected, repr(text.strip()))
    unit = (typed["unit"] or DEFAULT_UNIT[system][kind]).strip()
    unit = _UNIT_WORDS.get(unit.lower(), unit)
    if not unit:
        return float(typed["number"])
    if not _PLAIN_UNIT.match(unit):
        raise UnitError(where, expected, f"{text.strip()!r}, whose unit {unit!r} is not known here")
    try:
        quantity = _registry().Quantity(float(typed["number"]), unit)
        if kind == "fall" and quantity.check("[]") and unit in ("degree", "deg", "rad", "radian"):
            return math.tan(quantity.to("rad").magnitude)
        if kind in ("angle",) and unit in ("percent", "pct"):
            raise UnitError(where, expected, f"{text.strip()!r}, which is a percentage")
        return float(quantity.to(si).magnitude) if si else float(quantity.to("").magnitude)
    except pint.DimensionalityError:
        raise UnitError(where, expected, f"{text.strip()!r}, which is not {_KINDS[kind][1]}") from None
    except (pint.errors.PintError, AttributeError, ValueError, TypeError, KeyError, AssertionError) as error:
        if isinstance(error, UnitError):
            raise
        raise UnitError(where, expected, f"{text.strip()!r}, whose unit {unit!r} is not known here") from None
