"""What a person types into a field, read by one grammar; no units library is loaded for it.

Every field shows its unit, and a bare number is in that unit.  Typed text may also name another unit, metric or US, in
the forms that people write: ``8' 6-1/2"``, ``8-6``, ``94½"``, ``2.4 m``, ``2500 thou``, ``300 lb``, ``1 in 50``,
``¼" per ft``.  A comma or a point may group thousands or stand before decimals.

Text that can be read in two ways, or whose value is far outside what such an entry usually is, is not taken: `read`
then offers what it may have meant.  The value that was there stands until one of them is chosen.

Source: definitions of the units.  Gauges: tube by the Birmingham wire gauge, sheet by the manufacturers' standard gauge
(common practice of the trade, no source).
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from typing import Literal, NamedTuple

from engine.base.formatting import (
    KG_PER_LB,
    M_PER_FT,
    M_PER_IN,
    M_S_PER_KMH,
    M_S_PER_MPH,
    N_PER_LBF,
    PA_PER_KSI,
    System,
    exact_inches,
)

NM_PER_LBF_FT = N_PER_LBF * M_PER_FT

FieldKind = Literal[
    "size", "length", "mass", "angle", "fall", "share", "ratio", "stress", "count", "speed", "kgm", "moment"
]
"""What a field holds: ``size`` is a length of a section, plate, pin, weld or hole, ``length`` any other."""

UNIT_SHOWN: dict[System, dict[str, str]] = {
    "metric": {
        "size": "mm",
        "length": "mm",
        "mass": "kg",
        "angle": "°",
        "fall": "%",
        "share": "%",
        "ratio": "",
        "stress": "MPa",
        "count": "",
        "speed": "km/h",
        "kgm": "kg·m",
        "moment": "N·m",
    },
    "us": {
        "size": "in",
        "length": "in",
        "mass": "lb",
        "angle": "°",
        "fall": "%",
        "share": "%",
        "ratio": "",
        "stress": "ksi",
        "count": "",
        "speed": "mph",
        "kgm": "lb-ft",
        "moment": "lbf-ft",
    },
}
"""The unit that stands beside a field, in which a bare number is read.  A length in US units shows feet before it."""

NOUN = {
    "size": "a length",
    "length": "a length",
    "mass": "a weight",
    "angle": "an angle",
    "fall": "a slope",
    "share": "a share",
    "ratio": "a plain number",
    "stress": "a stress",
    "count": "a whole number",
    "speed": "a speed",
    "kgm": "a moment of weights",
    "moment": "a moment",
}

EXAMPLES: dict[System, dict[str, str]] = {
    "metric": {
        "size": "e.g. 12.5",
        "length": "e.g. 2 400",
        "mass": "e.g. 140",
        "angle": "e.g. 20",
        "fall": "e.g. 1.5",
        "share": "e.g. 50",
        "ratio": "e.g. 1.15",
        "stress": "e.g. 235",
        "count": "e.g. 3",
        "speed": "e.g. 5",
        "kgm": "e.g. 150",
        "moment": "e.g. 1 500",
    },
    "us": {
        "size": "e.g. 1/2",
        "length": "e.g. 8 ft 6-1/2",
        "mass": "e.g. 300",
        "angle": "e.g. 20",
        "fall": "e.g. 1.5",
        "share": "e.g. 50",
        "ratio": "e.g. 1.15",
        "stress": "e.g. 36",
        "count": "e.g. 3",
        "speed": "e.g. 3",
        "kgm": "e.g. 1,100",
        "moment": "e.g. 1,100",
    },
}
"""What stands in an empty field, in grey: the form of what belongs there."""


class Range(NamedTuple):
    """From where to where an entry usually lies, in SI."""

    least: float = -math.inf
    most: float = math.inf

    def holds(self, value: float) -> bool:
        """Whether a value lies inside."""
        return self.least <= value <= self.most


ANY = Range()


class Offer(NamedTuple):
    """What typed text may have meant: as it reads, and its value in SI."""

    text: str
    value: float
    name: str = ""
    """What is kept as typed, where it is not ``text``."""


class Reading(NamedTuple):
    """What typed text comes to: a value in SI, or why it is not taken and what it may have meant."""

    value: float | None = None
    why: str = ""
    offers: tuple[Offer, ...] = ()


# ---------------------------------------------------------------- text

_DASHES = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2212"), "-")
_SPACES = dict.fromkeys(map(ord, "\u00a0\u2009\u202f\u2007\t"), " ")
_FEET_MARKS = dict.fromkeys(map(ord, "\u2018\u2019\u2032\u00b4`"), "'")
_INCH_MARKS = dict.fromkeys(map(ord, "\u201c\u201d\u2033"), '"')
_PLAIN = {**_DASHES, **_SPACES, **_FEET_MARKS, **_INCH_MARKS, ord("\u2044"): "/"}
_VULGAR = re.compile("([\u00bc-\u00be\u2150-\u215e])")


def cleaned(text: str) -> str:
    """Typed text with plain quotes, dashes, spaces and fractions."""
    text = unicodedata.normalize("NFKC", _VULGAR.sub(r" \1", text.translate(_PLAIN))).translate(_PLAIN)
    return re.sub(r"\s+", " ", text.replace("''", '"')).strip()


_NUMBER = r"(?:\d[\d.,]*(?: \d{3}(?![\d/]))*(?:[.,]\d+)?|[.,]\d+)"
_FRACTION = r"\d+/\d+"
_NUMBER_AND_UNIT = re.compile(rf"^(?P<sign>[-+])?\s*(?P<number>{_NUMBER})\s*(?P<unit>[^\d\s.,].*)?$")


def numbers_in(text: str) -> tuple[float, ...]:
    """Every number that digits with groups and decimals may be: none, one or two.

    A comma before exactly three digits may group thousands or stand before decimals.  A lone point stands before
    decimals, always.
    """
    text = text.strip()
    if " " in text:
        if not re.fullmatch(r"\d{1,3}(?: \d{3})+(?:[.,]\d+)?", text):
            return ()
        text = text.replace(" ", "")
        return numbers_in(text.replace(",", "."))
    commas, points = text.count(","), text.count(".")
    if not commas and points <= 1:
        return _plain(text)
    if commas and points:
        last = max(text.rfind(","), text.rfind("."))
        mark, other = text[last], "," if text[last] == "." else "."
        if text.count(mark) > 1 or not _is_grouped(text[:last], other):
            return ()
        return _plain(text[:last].replace(other, "") + "." + text[last + 1 :])
    mark = "," if commas else "."
    grouped = _plain(text.replace(mark, "")) if _is_grouped(text, mark) else ()
    if text.count(mark) > 1:
        return grouped
    decimal = _plain(text.replace(mark, "."))
    return (*grouped, *decimal)


def _plain(text: str) -> tuple[float, ...]:
    return (float(text),) if re.fullmatch(r"\d+\.?\d*|\.\d+", text) else ()


def _is_grouped(text: str, mark: str) -> bool:
    return re.fullmatch(rf"[1-9]\d{{0,2}}(?:{re.escape(mark)}\d{{3}})+", text) is not None


def _fraction(text: str) -> float | None:
    over, _, under = text.partition("/")
    return float(Fraction(int(over), int(under))) if int(under) else None


# ---------------------------------------------------------------- units

LENGTH_UNITS = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), 0.001),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), 0.01),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1.0),
    **dict.fromkeys(("in", "inch", "inches", '"'), M_PER_IN),
    **dict.fromkeys(("ft", "foot", "feet", "'"), M_PER_FT),
    **dict.fromkeys(("thou", "mil", "mils"), M_PER_IN / 1000.0),
}
MASS_UNITS = {
    **dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"), 1.0),
    **dict.fromkeys(("g", "gram", "grams"), 0.001),
    **dict.fromkeys(("t", "tonne", "tonnes"), 1000.0),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds", "#"), KG_PER_LB),
}
STRESS_UNITS = {
    "mpa": 1e6,
    "n/mm2": 1e6,
    "n/mm^2": 1e6,
    "pa": 1.0,
    "kpa": 1e3,
    "gpa": 1e9,
    "ksi": PA_PER_KSI,
    "psi": PA_PER_KSI / 1000.0,
}
SPEED_UNITS = {
    **dict.fromkeys(("km/h", "kmh", "kph"), M_S_PER_KMH),
    **dict.fromkeys(("mph", "mi/h"), M_S_PER_MPH),
    "m/s": 1.0,
    "ft/s": M_PER_FT,
}
KGM_UNITS = {
    **dict.fromkeys(("kg·m", "kgm", "kg*m", "kg m", "kg-m"), 1.0),
    **dict.fromkeys(("lb-ft", "lb·ft", "lb*ft", "lb ft", "ft-lb", "lbft", "ft·lb", "ft lb"), KG_PER_LB * M_PER_FT),
}
MOMENT_UNITS = {
    **dict.fromkeys(("n·m", "nm", "n*m", "n m", "n-m"), 1.0),
    **dict.fromkeys(("kn·m", "knm", "kn*m", "kn m"), 1000.0),
    **dict.fromkeys(
        ("lbf-ft", "lbf·ft", "lbf ft", "lb-ft", "lb·ft", "lb ft", "ft-lb", "ft-lbf", "ft lb"), NM_PER_LBF_FT
    ),
}
ANGLE_UNITS = {
    **dict.fromkeys(("°", "deg", "degree", "degrees"), math.pi / 180.0),
    **dict.fromkeys(("rad", "radian", "radians"), 1.0),
}
_PERCENT: dict[str, float] = dict.fromkeys(("%", "percent", "per cent", "pct"), 0.01)

UNITS: dict[str, Mapping[str, float]] = {
    "size": LENGTH_UNITS,
    "length": LENGTH_UNITS,
    "mass": MASS_UNITS,
    "angle": ANGLE_UNITS,
    "fall": {**_PERCENT, "mm/m": 0.001, "in/ft": 1.0 / 12.0},
    "share": _PERCENT,
    "ratio": {},
    "stress": STRESS_UNITS,
    "count": {},
    "speed": SPEED_UNITS,
    "kgm": KGM_UNITS,
    "moment": MOMENT_UNITS,
}
"""SI value of one of each unit that a kind of entry may be typed in; lower case, but for the sign of degrees."""

TONS_KG = {"1 t (1 000 kg)": 1000.0, "US tons (2,000 lb)": 2000.0 * KG_PER_LB, "UK tons (2,240 lb)": 2240.0 * KG_PER_LB}

TUBE_GAUGE_IN = {
    7: 0.180,
    8: 0.165,
    9: 0.148,
    10: 0.134,
    11: 0.120,
    12: 0.109,
    13: 0.095,
    14: 0.083,
    16: 0.065,
    18: 0.049,
}
"""Wall of tube by the Birmingham wire gauge, in inches."""

SHEET_GAUGE_IN = {
    3: 0.2391, 4: 0.2242, 5: 0.2092, 6: 0.1943, 7: 0.1793, 8: 0.1644, 9: 0.1495, 10: 0.1345, 11: 0.1196, 12: 0.1046,
    13: 0.0897, 14: 0.0747, 16: 0.0598, 18: 0.0478,
}  # fmt: skip
"""Thickness of sheet by the manufacturers' standard gauge, in inches."""


def bare_unit_si(kind: str, system: System) -> float:
    """SI value of one of the unit that a field of this kind shows; a bare number is in it."""
    unit = UNIT_SHOWN[system][kind]
    return UNITS[kind].get(unit.lower(), 1.0) if unit else 1.0


# ---------------------------------------------------------------- reading


def read(text: str, kind: str, system: System, usual: Range = ANY) -> Reading:
    """What typed text comes to in a field.

    Parameters
    ----------
    text : str
        As typed.
    kind : str
        One of `FieldKind`.
    system : str
        The units shown, ``metric`` or ``us``.
    usual : Range
        From where to where the entry usually lies, in SI.  A bare number outside it is asked about; one typed with its
        unit is taken at its word.

    Returns
    -------
    Reading
    """
    plain = cleaned(text)
    if not plain:
        return Reading(why=f"Nothing was typed. Expected {expected(kind, system)}.")
    if kind in ("size", "length"):
        gauge = _gauge(plain)
        if gauge is not None:
            return gauge
    if kind == "mass" and (ton := re.fullmatch(rf"({_NUMBER}) ?tons?", plain, re.IGNORECASE)):
        return _tons(ton[1])
    found = [one for one in _readings(plain, kind, system) if math.isfinite(one.value)]
    if kind == "count":
        found = [one for one in found if one.value == round(one.value)]
    if not found:
        return Reading(why=f"“{text.strip()}” is not {NOUN[kind]}. Expected {expected(kind, system)}.")
    taken = [one for one in found if one.sure and (one.named or usual.holds(one.value))]
    if len(taken) == 1 or (taken and (system == "us" or len({one.value for one in taken}) == 1)):
        return Reading(value=taken[0].value)
    if taken:
        return Reading(why=f"“{text.strip()}” can be read in two ways.", offers=_offers(taken, kind, system))
    return _asked(text.strip(), plain, found, kind, system, usual)


def expected(kind: str, system: System) -> str:
    """What a field expects, in words with an example."""
    unit = UNIT_SHOWN[system][kind]
    example = EXAMPLES[system][kind].removeprefix("e.g. ")
    return f"{NOUN[kind]} such as {example}{' ' + unit if unit else ''}"


class _Read(NamedTuple):
    """One way to read a text: its value in SI, whether a unit was named, and whether it is sure to be meant so."""

    value: float
    named: bool = True
    sure: bool = True


def _readings(text: str, kind: str, system: System) -> Iterator[_Read]:
    """Every way to read a text, the likelier first."""
    special = _SPECIAL.get(kind)
    if special is not None and (found := special(text, kind, system)):
        yield from found
        return
    typed = _NUMBER_AND_UNIT.match(text)
    if typed is None:
        return
    sign = -1.0 if typed["sign"] == "-" else 1.0
    unit = (typed["unit"] or "").strip().lower().removesuffix(".")
    if unit and unit not in UNITS[kind]:
        return
    si = UNITS[kind][unit] if unit else bare_unit_si(kind, system)
    for number in numbers_in(typed["number"]):
        yield _Read(sign * number * si, bool(unit))


_MIXED = re.compile(
    rf"^(?P<sign>-)?\s*(?:(?P<whole>\d+)(?:\s*-\s*|\s+))?(?P<part>{_FRACTION})\s*(?P<unit>in|inch|inches|\"|ft|'|mm)?$",
    re.IGNORECASE,
)
_FEET = re.compile(
    rf"^(?P<sign>-)?\s*(?P<feet>{_NUMBER})\s*(?:ft|foot|feet|')\s*-?\s*"
    rf"(?:(?P<inches>\d+(?:\.\d+)?)?(?:(?:\s*-\s*|\s+|(?<=[\s'tT-]))?(?P<part>{_FRACTION}))?\s*(?:in|inch|inches|\")?)$",
    re.IGNORECASE,
)
_DASHED = re.compile(
    rf"^(?P<sign>-)?\s*(?P<feet>\d+)\s*-\s*(?P<inches>\d+(?:\.\d+)?)(?:(?:\s*-\s*|\s+)(?P<part>{_FRACTION}))?"
    r"\s*(?:in|inch|inches|\")?$",
    re.IGNORECASE,
)
INCHES_PER_FOOT = 12


def _lengths(text: str, kind: str, system: System) -> list[_Read]:
    """Feet and inches, and whole numbers with a fraction."""
    mixed = _MIXED.match(text)
    if mixed is not None:
        part = _fraction(mixed["part"])
        if part is None:
            return []
        number = (float(mixed["whole"] or 0) + part) * (-1.0 if mixed["sign"] else 1.0)
        unit = (mixed["unit"] or "").lower()
        if unit:
            return [_Read(number * LENGTH_UNITS[unit])]
        # A fraction of a millimetre is nobody's: inches are meant, and asked about.
        return [_Read(number * M_PER_IN, named=system == "us", sure=system == "us")]
    typed = _FEET.match(text) or (_DASHED.match(text) if _in_feet(kind, system) else None)
    if typed is None:
        return []
    feet = numbers_in(typed["feet"])
    part = _fraction(typed["part"]) if typed["part"] else 0.0
    if not feet or part is None:
        return []
    inches = float(typed["inches"] or 0.0) + part
    value = (feet[0] * INCHES_PER_FOOT + inches) * M_PER_IN * (-1.0 if typed["sign"] else 1.0)
    return [_Read(value, sure=inches < INCHES_PER_FOOT)]


def _in_feet(kind: str, system: System) -> bool:
    """Whether a field shows feet and inches."""
    return kind == "length" and system == "us"


_IN_RUN = re.compile(rf"^(?P<sign>-)?\s*(?P<rise>{_NUMBER})\s*(?:in|:)\s*(?P<run>{_NUMBER})$", re.IGNORECASE)
_PER_FOOT = re.compile(
    rf"^(?P<sign>-)?\s*(?P<rise>{_NUMBER}|(?:\d+[\s-]+)?{_FRACTION})\s*(?:\"|in|inch|inches)\s*(?:per|/|a|to the)\s*"
    r"(?:ft|foot|')$",
    re.IGNORECASE,
)
_DEGREES = re.compile(rf"^(?P<sign>-)?\s*(?P<number>{_NUMBER})\s*(?:°|deg|degree|degrees)$", re.IGNORECASE)


def _falls(text: str, _kind: str, _system: System) -> list[_Read]:
    """Slopes as rise in run, inches per foot, and degrees."""
    if typed := _IN_RUN.match(text):
        sign = -1.0 if typed["sign"] else 1.0
        rises, runs = numbers_in(typed["rise"]), numbers_in(typed["run"])
        return [_Read(sign * rises[0] / runs[0])] if rises and runs and runs[0] else []
    if typed := _PER_FOOT.match(text):
        sign = -1.0 if typed["sign"] else 1.0
        inches = _with_fraction(typed["rise"])
        return [] if inches is None else [_Read(sign * inches / INCHES_PER_FOOT)]
    if typed := _DEGREES.match(text):
        sign = -1.0 if typed["sign"] else 1.0
        return [_Read(sign * math.tan(math.radians(number))) for number in numbers_in(typed["number"])]
    return []


def _with_fraction(text: str) -> float | None:
    typed = re.fullmatch(rf"(?:(\d+)[\s-]+)?({_FRACTION})", text)
    if typed is None:
        numbers = numbers_in(text)
        return numbers[0] if numbers else None
    part = _fraction(typed[2])
    return None if part is None else float(typed[1] or 0) + part


_SPECIAL: dict[str, Callable[[str, str, System], list[_Read]]] = {"size": _lengths, "length": _lengths, "fall": _falls}
"""Forms that are not one number and one unit."""


def _tons(number: str) -> Reading:
    offers = tuple(
        Offer(f"{number} × {words}", value * kg) for words, kg in TONS_KG.items() for value in numbers_in(number)[:1]
    )
    return Reading(why=f"“{number} ton” has three meanings.", offers=offers)


_GAUGE = re.compile(r"^#?\s*(\d{1,2})\s*(?:ga|gauge)\.?$", re.IGNORECASE)


def _gauge(text: str) -> Reading | None:
    """A gauge number: tube and sheet of the same number differ, so that both are offered and neither is taken."""
    typed = _GAUGE.match(text)
    if typed is None:
        return None
    number = int(typed[1])
    offers = [
        Offer(
            f"{number} ga {what}: {inches[number]:.4g} in, {inches[number] * 25.4:.2f} mm",
            inches[number] * M_PER_IN,
            f"{inches[number]:.4g} in",
        )
        for what, inches in (("tube", TUBE_GAUGE_IN), ("sheet or plate", SHEET_GAUGE_IN))
        if number in inches
    ]
    why = "Gauge is not one thing: tube and sheet of the same number differ."
    if not offers:
        why = f"Gauge {number} is not in the tables here: type the thickness."
    return Reading(why=why, offers=tuple(offers))


# ---------------------------------------------------------------- lengths by name

SAME_LENGTH_M = 1e-7
"""How near its value the name of a length reads."""

LONGEST_NAME = 40

_UNIT_NAMES = {0.001: "mm", 0.01: "cm", 1.0: "m", M_PER_IN: "in", M_PER_FT: "ft", M_PER_IN / 1000.0: "thou"}
METRIC_NAMES = ("mm", "cm", "m")


def length_name(text: str, kind: str, system: System, value_m: float) -> str:
    """A length as it was typed, with its unit, in a form that reads the same in either system's fields.

    ``20`` typed into a field in mm is ``20 mm``, ``8-6`` into one in feet and inches ``8 ft 6 in``.  Empty where the
    text does not come to ``value_m``.

    Parameters
    ----------
    text : str
        As typed.
    kind, system : str
        Those of the field.
    value_m : float
        What was taken (m).
    """
    for name in _length_names(cleaned(text), kind, system):
        read_m = named_length_m(name)
        if read_m is not None and abs(read_m - value_m) <= SAME_LENGTH_M and len(name) <= LONGEST_NAME:
            return name
    return ""


def named_length_m(name: str) -> float | None:
    """What the name of a length comes to (m); None where it names no unit, or can be read in two ways."""
    found = [one for one in _readings(cleaned(name), "length", "metric") if one.named and one.sure]
    return found[0].value if len(found) == 1 and math.isfinite(found[0].value) else None


def system_of_name(name: str) -> System:
    """The system in whose units a name of a length stands."""
    return "metric" if name.rpartition(" ")[2] in METRIC_NAMES else "us"


def _length_names(text: str, kind: str, system: System) -> Iterator[str]:
    """What a text for a length may mean, each with its unit."""
    shown = UNIT_SHOWN[system][kind]
    if typed := _MIXED.match(text):
        unit = typed["unit"]
        name = "in" if unit is None else _UNIT_NAMES[LENGTH_UNITS[unit.lower()]]
        yield f"{typed['sign'] or ''}{_with_part(typed['whole'], typed['part'])} {name}"
    elif typed := _FEET.match(text) or (_DASHED.match(text) if _in_feet(kind, system) else None):
        inches = _with_part(typed["inches"], typed["part"])
        for feet in numbers_in(typed["feet"]):
            yield f"{typed['sign'] or ''}{_plain_digits(typed['feet'], feet)} ft{f' {inches} in' if inches else ''}"
    elif typed := _NUMBER_AND_UNIT.match(text):
        unit = (typed["unit"] or shown).strip().lower().removesuffix(".")
        if unit in LENGTH_UNITS:
            sign = "-" if typed["sign"] == "-" else ""
            for number in numbers_in(typed["number"]):
                yield f"{sign}{_plain_digits(typed['number'], number)} {_UNIT_NAMES[LENGTH_UNITS[unit]]}"


def _with_part(whole: str | None, part: str | None) -> str:
    return "-".join(digits for digits in (whole, part) if digits)


def _plain_digits(text: str, number: float) -> str:
    """A number as typed where that is digits and a point, else without what groups its digits."""
    return text if re.fullmatch(r"\d+(\.\d+)?", text) else f"{number:.12g}"


# ---------------------------------------------------------------- offers

MOST_OFFERS = 3

_LIKELY: dict[str, dict[System, tuple[str, ...]]] = {
    "length": {"metric": ("mm", "cm", "m", "in", "ft"), "us": ("in", "ft", "mm", "cm", "m")},
    "mass": {"metric": ("kg", "t", "lb"), "us": ("lb", "kg", "t")},
    "stress": {"metric": ("MPa", "ksi"), "us": ("ksi", "MPa")},
    "speed": {"metric": ("km/h", "m/s", "mph"), "us": ("mph", "km/h")},
}
"""Units in which the same digits may have been meant."""

TENTH = 0.1


def _asked(text: str, plain: str, found: list[_Read], kind: str, system: System, usual: Range) -> Reading:
    """Why text is not taken, with the same digits in other units, and the point one place to the left."""
    unsure = [one for one in found if not one.sure]
    if unsure:
        why = f"“{text}” is not sure to mean what it reads as."
        return Reading(why=why, offers=_offers(unsure, kind, system))
    shown = plain_text(found[0].value, kind, system)
    why = f"{shown} is unusual here: {range_text(usual, kind, system)}."
    offers: list[Offer] = []
    typed = _NUMBER_AND_UNIT.match(plain)
    if typed is not None and not typed["unit"]:
        sign = -1.0 if typed["sign"] == "-" else 1.0
        likely = _LIKELY.get("length" if kind == "size" else kind, {}).get(system, ())
        for unit in likely:
            for number in numbers_in(typed["number"]):
                value = sign * number * UNITS[kind][unit.lower()]
                if usual.holds(value):
                    offers.append(Offer(f"{_digits(number)} {unit}", value))
    if not offers:
        offers += [
            Offer(plain_text(TENTH * one.value, kind, system), TENTH * one.value)
            for one in found
            if usual.holds(TENTH * one.value)
        ]
    return Reading(why=why, offers=tuple(offers[:MOST_OFFERS]))


def _offers(found: list[_Read], kind: str, system: System) -> tuple[Offer, ...]:
    """Ways to read a text, as the field would show them."""
    return tuple(Offer(plain_text(one.value, kind, system), one.value) for one in found[:MOST_OFFERS])


def range_text(usual: Range, kind: str, system: System) -> str:
    """From where to where an entry usually lies, in the units shown."""
    if math.isinf(usual.most):
        return f"at least {plain_text(usual.least, kind, system)}"
    if math.isinf(usual.least):
        return f"at most {plain_text(usual.most, kind, system)}"
    if _in_feet(kind, system):
        least_m, most_m = (_whole_inches(end, up) for end, up in ((usual.least, True), (usual.most, False)))
        return f"{plain_text(least_m, kind, system)} to {plain_text(most_m, kind, system)}"
    return f"{number_text(usual.least, kind, system)} to {plain_text(usual.most, kind, system)}"


def _whole_inches(value_m: float, up: bool) -> float:
    """The end of a range of feet and inches in whole inches, further in; one shorter than a foot as it is."""
    if abs(value_m) < M_PER_FT:
        return value_m
    return (math.ceil if up else math.floor)(value_m / M_PER_IN) * M_PER_IN


# ---------------------------------------------------------------- what a field shows

PLACES = 3
"""Decimals that a field shows at most: a thousandth of an inch or a gram is finer than anybody measures here."""


def number_text(value: float, kind: str, system: System) -> str:
    """A value as a field shows it, without its unit: all that is stored, to a thousandth of the unit shown."""
    if kind in ("size", "length") and system == "us":
        return exact_inches(value, feet=_in_feet(kind, system))
    if kind == "count":
        return f"{value:.0f}"
    si = bare_unit_si(kind, system)
    if kind == "fall" and not math.isfinite(value):
        return ""
    return _digits(value / si)


def plain_text(value: float, kind: str, system: System) -> str:
    """A value as a field shows it, with its unit."""
    unit = UNIT_SHOWN[system][kind]
    text = number_text(value, kind, system)
    if text.endswith(" ft 0"):
        return text[:-2]
    return f"{text}{'' if unit == '°' else ' '}{unit}".rstrip()


def as_read(value_m: float, system: System) -> float:
    """A computed length to the nearest millimetre or sixteenth of an inch: a field shows no more of it."""
    step_m = 0.001 if system == "metric" else M_PER_IN / 16.0
    return round(value_m / step_m) * step_m


def echo_text(value: float, kind: str, system: System) -> str:
    """What will be taken, in the units shown and in the others: ``8 ft 6 in (2 590.8 mm)``."""
    other: System = "us" if system == "metric" else "metric"
    text, twin = plain_text(value, kind, system), plain_text(value, kind, other)
    return text if text == twin else f"{text} ({twin})"


def _digits(number: float) -> str:
    text = f"{number:,.{PLACES}f}".rstrip("0").rstrip(".").replace(",", "\u202f")
    return "0" if text in ("-0", "") else text
