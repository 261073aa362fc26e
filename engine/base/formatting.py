"""SI numbers as text: metric (m, mm, kg, N·m) or US (feet, inches and sixteenths, lb, lbf-ft).

The only place where a mass, a gap or a use becomes text, so that window, papers, text and JSON show the same figure.

**Rounding.**  A kind by itself goes to the nearest step.  With ``_down`` it goes down: allowed, room, speed allowed,
weight left.  With ``_up`` it goes up: demand, required, tension, load; ``use`` always goes up.  A number exactly on a
step stays there: the step is compared as the same sum of floats that typed text becomes, so that 500 lb typed shows
500 lb either way.  Two numbers that a reader compares are rounded together (`compared`): 100.3 kg of 100.6 kg allowed
must not read "101 kg of 100 kg".

``engine.base.typed`` reads typed text, and says what entry fields show.
"""

from __future__ import annotations

import math
import string
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, Literal, NamedTuple

System = Literal["metric", "us"]
Way = Literal["up", "down"]

KG_PER_LB = 0.45359237
M_PER_IN = 0.0254
N_PER_LBF = 4.4482216152605
PA_PER_KSI = 6_894_757.293168361
M_S_PER_KMH, M_S_PER_MPH = 1.0 / 3.6, 0.44704
M_PER_FT = 0.3048

NO_MORE_USE = 100.0
"""A use of more than 10 000 % is shown as more than that: nobody needs its digits."""

ROUND_OFF = 4.0 * 2.0**-52
"""Sums of typed numbers, such as 300 lb and 12 lb, miss a step by a few units in the last place: taken as on it.
Uses are not: the state turns at 100 % exactly."""

NOTHING = 1e-9
"""Less than this of anything in SI is what sums leave of nothing."""

NEAR_64TH_M, NEAR_TENTH_M = 6e-7, 9e-8
"""How near a size is to a 64th of an inch, which lists round to a micrometre, and to a tenth of a millimetre.

No decimal inch of three places is that near a tenth of a millimetre, unless it is a half."""

ROUGHLY_64TH_M = 0.0002 * M_PER_IN
"""How near a 64th of an inch a size is written as that fraction."""

HALF_MM_M, ROUGHLY_HALF_MM_M = 0.0005, 1e-5
"""Sizes people choose in metric are whole or half millimetres, known to a hundredth."""

TYPED_M, NEARLY_TYPED_M = 1e-5, 1e-9
"""People type hundredths of a millimetre at the finest; a worked-out length is that near to one only by chance."""

ROOM_M = 1e-9
"""Gaps are differences of places: round-off of the places, not of the gap."""

FINER = 3
"""Decimals more than usual that two numbers may take before they are called equal."""


def show(value: float | None, kind: str, system: System) -> str:
    """A number with its unit, rounded as a person on the shop floor reads it; "not known" for None and NaN.

    Parameters
    ----------
    value : float or None
        In SI.
    kind : str
        ``m`` ``mm`` ``kg`` ``kgm`` ``N`` ``Nm`` ``J`` ``Pa`` ``deg`` (from rad) ``fall`` ``share`` ``ratio`` ``speed``;
        ``afar``, a length as a drawing read from two metres has it: whole centimetres or inches;
        ``paper_kg``, a load as a paper prints it; ``test_kg``, one to be weighed out; finer, as an entry field shows
        it: ``length`` ``size`` ``mass`` ``angle`` ``stress`` ``count``; ``part`` and ``weld`` (a leg) are sizes in a
        sentence, ``0.787 in (20 mm)``.  Those in `STEPS` also with ``_up`` or ``_down``; ``use`` is a ``share_up``.
    """
    if value is None or math.isnan(value):
        return "not known"
    if kind == "use":
        return (
            f"over {_grouped(100.0 * NO_MORE_USE)} %"
            if value > NO_MORE_USE
            else _directed(value, "share", "up", system)
        )
    if math.isinf(value):
        return "no limit" if value > 0 else "none"
    plain, _, way = kind.rpartition("_")
    if way == "up":
        return _directed(value, plain, "up", system)
    if way == "down":
        return _directed(value, plain, "down", system)
    return _SHOWN[kind](value, system)


def compared(demand: float, allowed: float, *, over: bool, kind: str, system: System) -> tuple[str, str]:
    """What is demanded, rounded up, and what is allowed, rounded down, finer until they read as they are.

    Parameters
    ----------
    demand, allowed : float
        In SI.
    over : bool
        Whether the demand is more than is allowed, as the verdict has it.
    kind : str
        One of `STEPS`.
    """
    if not (math.isfinite(demand) and math.isfinite(allowed)):
        return show(demand, f"{kind}_up", system), show(allowed, f"{kind}_down", system)
    for finer in range(FINER + 1):
        step = step_of(kind, system, max(abs(demand), abs(allowed)), finer)
        least, most = step.count(demand, "up"), step.count(allowed, "down")
        if (least > most) == over:
            return step.text(least), step.text(most)
    text = step_of(kind, system, allowed, FINER).nearest(allowed)
    return (f"just over {text}" if over else text), text


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


def exact_inches(value_m: float, *, feet: bool = True) -> str:
    """Inches as a field shows them, without their unit: ``8 ft 6-1/2``, ``7 ft 10.488``."""
    inches = abs(value_m) / M_PER_IN
    sign = "-" if value_m < 0.0 and inches > ROUGHLY_64TH_M / M_PER_IN else ""
    parts = round(inches * 64.0)
    if _near(value_m, M_PER_IN / 64.0, ROUGHLY_64TH_M):
        whole, part = divmod(parts, 64)
        fraction = Fraction(part, 64)
        whole_feet, whole = divmod(whole, 12) if feet else (0, whole)
        rest = f"{whole}" if not fraction else f"{fraction}" if not whole else f"{whole}-{fraction}"
    else:
        whole_feet = int(inches // 12.0) if feet else 0
        rest = f"{inches - 12.0 * whole_feet:.3f}"
        if feet and rest == "12.000":
            whole_feet, rest = whole_feet + 1, "0.000"
    return f"{sign}{whole_feet} ft {rest}" if whole_feet else f"{sign}{rest}"


def nominal(value_m: float, system: System) -> str:
    """The name a size has in the other units where it has none in these: ``20 mm`` in US units, ``5/16 in`` in metric.

    Empty where the size is a 64th of an inch or a tenth of a millimetre in the units shown, or no such size in either.
    """
    in_us, in_metric = _near(value_m, M_PER_IN / 64.0, NEAR_64TH_M), _near(value_m, 1e-4, NEAR_TENTH_M)
    if in_us == in_metric or in_us == (system == "us"):
        return ""
    return feet_inches(value_m, 64) if in_us else f"{_trimmed(value_m * 1000.0, 1)} mm"


def is_round(value_m: float, system: System) -> bool:
    """Whether a length is a size people choose: whole or half millimetres to 0.01 mm, 64ths of an inch to 0.0002 in."""
    if system == "us":
        return _near(value_m, M_PER_IN / 64.0, ROUGHLY_64TH_M)
    return _near(value_m, HALF_MM_M, ROUGHLY_HALF_MM_M)


def exact_size(value_m: float, system: System) -> str:
    """A length as it was entered: to 0.01 mm; as a fraction of an inch where it is one, else to 0.001 in."""
    if system == "metric":
        return f"{value_m * 1000.0:.2f}".rstrip("0").rstrip(".") + " mm"
    return feet_inches(value_m, 64) if is_round(value_m, "us") else f"{value_m / M_PER_IN:.3f} in"


def _near(value: float, step: float, off: float) -> bool:
    return abs(value - round(value / step) * step) <= off


def _grouped(value: float, places: int = 0) -> str:
    text = f"{value:,.{places}f}".replace(",", "\u202f")
    return text[1:] if text.startswith("-") and not text.strip("-0.\u202f") else text


def _trimmed(value: float, places: int) -> str:
    text = _grouped(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _length(value: float, system: System) -> str:
    """A length in a sentence, as its field shows it; one that is worked out to a tenth of a millimetre."""
    if system == "us":
        text = exact_inches(value)
        return text[:-2] if text.endswith(" ft 0") else f"{text} in"
    return f"{_trimmed(value * 1000.0, 2 if _near(value, TYPED_M, NEARLY_TYPED_M) else 1)} mm"


def _size(value: float, system: System) -> str:
    name = nominal(value, system)
    if name or system == "metric":
        return name or _length(value, system)
    return feet_inches(value, 64) if _near(value, M_PER_IN / 64.0, ROUGHLY_64TH_M) else f"{value / M_PER_IN:.3f} in"


def _part(value: float, system: System) -> str:
    """A size in a sentence: in the units shown, and what it is called in the others."""
    name = nominal(value, system)
    plain = exact_size(value, system) if name or system == "us" else _length(value, system)
    return f"{plain} ({name})" if name else plain


class Step(NamedTuple):
    """The step a number is shown in: ``si / over`` is one of the unit, of which ``places`` decimals are shown.

    ``every`` is how many of the last decimal make a step, ``trim`` whether noughts after the point are left out,
    ``slack`` how far a number may miss a step and still be on it: relative, or absolute if that is more.
    """

    unit: str
    si: float = 1.0
    over: float = 1.0
    places: int = 0
    every: int = 1
    trim: bool = False
    relative: float = ROUND_OFF
    absolute: float = 0.0

    def at(self, count: int) -> float:
        """So many steps in SI, by the same sum as a typed number."""
        return count * self.every / (10**self.places * self.over) * self.si

    def count(self, value: float, way: Way) -> int:
        """Steps in a number, rounded up or down."""
        if abs(value) < NOTHING:
            return 0
        slack = max(self.relative * abs(value), self.absolute)
        size = self.every / (10**self.places * self.over) * self.si
        if way == "down":
            count = math.floor(value / size)
            while self.at(count + 1) <= value + slack:
                count += 1
            while self.at(count) > value + slack:
                count -= 1
            return count
        count = math.ceil(value / size)
        while self.at(count - 1) >= value - slack:
            count -= 1
        while self.at(count) < value - slack:
            count += 1
        return count

    def nearest(self, value: float) -> str:
        """A number with its unit, to the nearest step."""
        return self.text(round(value / self.at(1)))

    def text(self, count: int) -> str:
        """So many steps with their unit."""
        if self.unit == "in":
            return feet_inches(self.at(count), int(self.over))
        number = count * self.every / 10**self.places
        return f"{(_trimmed if self.trim else _grouped)(number, self.places)} {self.unit}".rstrip()


_KG: dict[System, Step] = {"metric": Step("kg"), "us": Step("lb", si=KG_PER_LB)}
_INCH = Step("in", si=M_PER_IN, over=16.0, absolute=ROOM_M)

STEPS: dict[str, dict[System, Step]] = {
    "kg": _KG,
    "paper_kg": _KG,
    "test_kg": {system: step._replace(places=1, trim=True) for system, step in _KG.items()},
    "kgm": {"metric": Step("kg·m"), "us": Step("lb-ft", si=KG_PER_LB * M_PER_FT)},
    "N": {"metric": Step("N"), "us": Step("lbf", si=N_PER_LBF)},
    "Nm": {"metric": Step("N·m"), "us": Step("lbf-ft", si=N_PER_LBF * M_PER_FT)},
    "J": {"metric": Step("J"), "us": Step("ft-lbf", si=N_PER_LBF * M_PER_FT)},
    "Pa": {"metric": Step("MPa", si=1e6), "us": Step("ksi", si=PA_PER_KSI, places=1)},
    "share": dict.fromkeys(("metric", "us"), Step("%", over=100.0, relative=0.0)),
    "fine_share": dict.fromkeys(("metric", "us"), Step("%", over=100.0, places=2, relative=0.0)),
    "ratio": dict.fromkeys(("metric", "us"), Step("", places=2)),
    "fall": dict.fromkeys(("metric", "us"), Step("%", over=100.0, places=1)),
    "speed": {
        "metric": Step("km/h", si=M_S_PER_KMH, places=1, trim=True),
        "us": Step("mph", si=M_S_PER_MPH, places=1, trim=True),
    },
    "m": {"metric": Step("m", places=2, absolute=ROOM_M), "us": _INCH},
    "mm": {"metric": Step("mm", over=1000.0, absolute=ROOM_M), "us": _INCH},
    "length": {"metric": Step("mm", over=1000.0, places=1, trim=True, absolute=ROOM_M), "us": _INCH},
}
"""Step of each kind that is rounded up or down."""

PAPER_STEPS: dict[System, tuple[int, int]] = {"metric": (100, 5), "us": (200, 10)}
"""From so many kilograms or pounds on a paper prints loads in steps of so many; below in whole ones."""


def step_of(kind: str, system: System, value: float, finer: int = 0) -> Step:
    """The step a number of this size is shown in, so many decimals finer."""
    step = STEPS[kind][system]
    if kind == "paper_kg" and not finer:
        whole, every = PAPER_STEPS[system]
        return step._replace(every=every) if abs(value) >= step.at(whole) else step
    if step.unit == "in":
        return step._replace(over=step.over * 2**finer)
    return step._replace(places=step.places + finer)


def _directed(value: float, kind: str, way: Way, system: System) -> str:
    step = step_of(kind, system, value)
    return step.text(step.count(value, way))


def _nearest(kind: str) -> Callable[[float, System], str]:
    return lambda value, system: step_of(kind, system, value).nearest(value)


_SHOWN: dict[str, Callable[[float, System], str]] = {
    **{kind: _nearest(kind) for kind in ("kg", "paper_kg", "kgm", "N", "Nm", "J", "Pa", "speed")},
    "moment": _nearest("Nm"),
    "length": _length,
    "size": _size,
    "part": _part,
    "weld": _part,
    "mass": lambda v, s: f"{_trimmed(v / KG_PER_LB, 1)} lb" if s == "us" else f"{_trimmed(v, 1)} kg",
    "angle": lambda v, _s: f"{_trimmed(math.degrees(v), 1)}°",
    "stress": lambda v, s: f"{_trimmed(v / PA_PER_KSI, 1)} ksi" if s == "us" else f"{_trimmed(v / 1e6, 1)} MPa",
    "count": lambda v, _s: f"{v:.0f}",
    "m": lambda v, s: feet_inches(v) if s == "us" else f"{_grouped(v, 2)} m",
    "afar": lambda v, s: feet_inches(v, 1) if s == "us" else f"{_grouped(v, 2)} m",
    "mm": lambda v, s: feet_inches(v) if s == "us" else f"{_grouped(v * 1000.0)} mm",
    "deg": lambda v, _s: f"{_grouped(math.degrees(v), 1)}°",
    "fall": lambda v, _s: f"{_grouped(100.0 * v, 1)} %",
    "share": lambda v, _s: f"{_grouped(100.0 * v)} %",
    "ratio": lambda v, _s: f"{v:.2f}",
}


class Compared(float):
    """A number that a reader compares with another: what is demanded, or what is allowed.

    Put among the numbers of a template in place of the plain one, it is rounded together with the other.
    """

    __slots__ = ("allowed", "demand", "over")

    def __new__(cls, value: float, *, demand: float, allowed: float, over: bool) -> Compared:
        """One of the two; ``over`` says whether the demand is more than is allowed."""
        number = super().__new__(cls, value)
        number.demand, number.allowed, number.over = demand, allowed, over
        return number

    demand: float
    allowed: float
    over: bool

    def shown(self, kind: str, system: System) -> str:
        """The number with its unit."""
        if kind not in STEPS:
            return show(float(self), kind, system)
        demand, allowed = compared(self.demand, self.allowed, over=self.over, kind=kind, system=system)
        return demand if float(self) == self.demand else allowed


Sized = Callable[[float, str], str]
"""Text of a number of a kind; empty for what is shown as ever."""


class _Filler(string.Formatter):
    """Formats ``{name:kind}`` by `show`; without a kind, or with ``text``, the value's own text."""

    def __init__(self, system: System, sized: Sized | None) -> None:
        self.system: System = system
        self._sized = sized

    def format_field(self, value: Any, format_spec: str) -> str:
        if format_spec in ("", "text"):
            return str(value)
        if isinstance(value, Compared):
            return value.shown(format_spec, self.system)
        if self._sized is not None and (name := self._sized(float(value), format_spec)):
            return name
        return show(float(value), format_spec, self.system)


def fill(words: str, numbers: Mapping[str, object], system: System, sized: Sized | None = None) -> str:
    """A template of words with its numbers put in, in the units of ``system``.

    ``sized`` is asked first for the text of a number of a kind; where it gives none, `show` does.
    """
    return _Filler(system, sized).vformat(words, (), numbers)
