"""Where a paper rounds its numbers: every number printed on a paper goes through here.

============================  =======================================================  ==================
number                        rounded                                                  function
============================  =======================================================  ==================
allowed load, weight left,    down: whole kilograms under 100 kg, else fives; whole    `rounded_down`
tipping load, rating          pounds under 200 lb, else tens, from the exact value
load, rigging, rig's weight   up, in the same steps                                    `rounded_up`
mass hung in a test           down, to 0.1 kg or 0.1 lb                                `test_mass`
use of a limit                up, to a whole per cent (kind ``use``)                   `nearest`
anything else with a unit     to the nearest; the step follows from the kind (whole    `nearest`
                              kilograms and newtons, 0.01 m, 0.1°, 0.1 % of slope,
                              whole per cent; US lengths to 1/16 in)
size of a part as entered     not at all: its name first (`engine.schema.nominals`)    `size`
worked out: bore, play        to the nearest 0.01 mm or 0.001 in                       `size`
worked out: length to saw     to the nearest 0.1 mm or 0.005 in                        `cut_length`
leg of a weld                 its name; in brackets up to a whole mm or 1/16 in        `weld_leg`
bar to buy or on the rack     not at all: in feet or millimetres, as it is sold        `stock_length`
filler metal                  whole grams below a kilogram                             `filler_mass`
sum of the hand check         to the nearest, SI, a fixed number of places             `fixed`
============================  =======================================================  ==================

Figures of the pose itself come from `engine.explain.shown`, as in window, text and JSON.

A size stands in the unit it was entered in, one that is worked out in the unit of the design; where the paper is in the
other system, that follows in brackets, for reference: ``20 mm [0.787 in]``.

The loads of placard and load chart are whole kilograms before they come here (`engine.planning.load_chart.whole_down`):
they are rounded down a second time.

The steps of `nearest` and `rounded_down` are those of the whole program (`engine.base.formatting`), so that a paper and
the window show the same figure. Numbers inside the engine's own sentences are rounded there as well.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from engine.base.formatting import M_PER_FT, M_PER_IN, System, exact_size, feet_inches, is_round, show, step_of
from engine.base.typed import system_of_name
from engine.schema.nominals import SAME_SIZE_M, SizeNames, name_by_value

UNITS_AND_ROUNDING: dict[System, str] = {
    "metric": "Units: metres, millimetres, kilograms, newtons; rounded as shown, allowances rounded down.",
    "us": "Units: feet, inches, pounds, pounds-force; rounded as shown, allowances rounded down.",
}
"""What the head of every page says of its numbers."""

NOT_KNOWN = "not known"


def nearest(value: float | None, kind: str, units: System) -> str:
    """A number with its unit, to the nearest step of its kind (see `engine.base.formatting.show`)."""
    return NOT_KNOWN if value is None else show(float(value), kind, units)


def rounded_down(mass_kg: float | None, units: System) -> str:
    """A load that is allowed or a weight that is left, rounded down."""
    return nearest(mass_kg, "paper_kg_down", units)


def rounded_up(mass_kg: float | None, units: System) -> str:
    """A load that is lifted, or any weight that counts against the person, rounded up."""
    return nearest(mass_kg, "paper_kg_up", units)


def test_mass(mass_kg: float, units: System) -> str:
    """A mass to hang in a test: down to a tenth of a kilogram or pound."""
    return nearest(mass_kg, "test_kg_down", units)


BESIDE: dict[System, str] = {
    "metric": "Millimetres in brackets are for reference.",
    "us": "Inches in brackets are for reference.",
}
DESIGN_UNIT: dict[System, str] = {"metric": "Design unit mm.", "us": "Design unit inch."}


def sizes_note(names: SizeNames, units: System) -> str:
    """What the head of a page says of sizes in brackets; empty where all stand in the paper's own units."""
    if names.design == units and all(system_of_name(name) == units for _, name in names.entered):
        return ""
    return f"{DESIGN_UNIT[names.design]} {BESIDE[units]}"


def size(length_m: float, names: SizeNames, units: System) -> str:
    """A size of a part: as entered, or worked out to a hundredth of a millimetre or a thousandth of an inch."""
    return sizes((length_m,), names, units)


def sizes(lengths_m: Sequence[float], names: SizeNames, units: System, between: str = " x ") -> str:
    """Sizes of one part together, such as those of a section; a unit that all have stands once."""
    called = [names.entered_as(length_m) or exact_size(length_m, names.design) for length_m in lengths_m]
    return _with_brackets(called, lengths_m, units, between)


def cut_length(length_m: float, names: SizeNames, units: System) -> str:
    """A length to mark out or saw: as entered, or worked out to a tenth of a millimetre or 0.005 in."""
    return _with_brackets([_cut(length_m, names)], (length_m,), units)


def from_to(start_m: float, end_m: float, names: SizeNames, units: System) -> str:
    """Two places along a piece."""
    ends_m = (start_m, end_m)
    return _with_brackets([_cut(at_m, names) for at_m in ends_m], ends_m, units, " - ")


def weld_leg(leg_m: float, names: SizeNames, units: System, most_m: float = math.inf) -> str:
    """The leg of a weld; in brackets it is rounded up, so that no throat is lost.

    Nothing stands in brackets where that would be more than ``most_m``, the largest on the edge that it lies on.
    """
    name, step = names.entered_as(leg_m) or exact_size(leg_m, names.design), step_of("mm", units, leg_m)
    count = step.count(leg_m, "up")
    if system_of_name(name) == units or step.at(count) > most_m + SAME_SIZE_M:
        return name
    return f"{name} {_in_brackets(step.text(count))}"


def stock_length(length_m: float, units: System) -> str:
    """Length of a bar on the rack or to buy, which is sold by the foot or by the metre: 20 ft is not 6096 mm."""
    return _with_brackets([name_by_value(length_m, units)], (length_m,), units)


def in_a_sentence(value: float, kind: str, names: SizeNames, units: System) -> str:
    """A size of a part inside a sentence of the engine; empty for any other number.

    Small lengths that are worked out are finer than a sixteenth of an inch there: a wall of 0.234 in is not 1/4.
    """
    if kind == "weld":
        return weld_leg(value, names, units)
    if kind not in ("length", "size", "part"):
        return ""
    name = names.entered_as(value)
    if name and (units == "us" or system_of_name(name) != units):
        return _with_brackets([name], (value,), units)
    return exact_size(value, "us") if units == "us" and 0.0 < abs(value) < SMALL_M else ""


SMALL_M = 0.3
"""Less than this is a size of a plate, pin or wall rather than a distance."""

WORKED_OUT_IN = 0.005


def _cut(length_m: float, names: SizeNames) -> str:
    if name := names.entered_as(length_m):
        return name
    if names.design == "metric":
        return f"{trimmed(length_m * 1000.0, 1)} mm"
    steps = round(length_m / M_PER_IN / WORKED_OUT_IN)
    return exact_size(length_m if is_round(length_m, "us") else steps * WORKED_OUT_IN * M_PER_IN, "us")


def _with_brackets(called: Sequence[str], lengths_m: Sequence[float], units: System, between: str = "") -> str:
    """What sizes are called, with the paper's own unit in brackets where that is another."""
    words = _joined(called, between)
    if all(system_of_name(name) == units for name in called):
        return words
    return f"{words} {_in_brackets(_joined([_exactly(length_m, units) for length_m in lengths_m], between))}"


def _in_brackets(words: str) -> str:
    """Words in brackets, which a narrow column leaves whole."""
    return f"[{words}]".replace(" ", "\u00a0")


def _exactly(length_m: float, units: System) -> str:
    """A size in another unit than it was chosen in: three decimals, or a fraction off the rule where it is that."""
    if units == "metric":
        return f"{trimmed(length_m * 1000.0, 3)} mm"
    is_fraction = abs(length_m) < M_PER_FT and is_round(4.0 * length_m, "us")
    return exact_size(length_m, "us") if is_fraction else f"{length_m / M_PER_IN:.3f} in"


def _joined(called: Sequence[str], between: str) -> str:
    """Sizes in a row; a unit that all have, and nothing but it, stands once."""
    parts = [name.split(" ") for name in called]
    if all(len(part) == 2 and part[1] == parts[0][1] for part in parts):
        called = [*(part[0] for part in parts[:-1]), called[-1]]
    return between.join(called)


def bar_length(length_m: float, units: System) -> str:
    """What a bar at a drawing's scale stands for: a round length in the paper's units."""
    return feet_inches(length_m) if units == "us" else f"{trimmed(length_m * 1000.0, 1)} mm"


def paper_length(length_m: float, units: System) -> str:
    """A length on the paper itself."""
    return f"{trimmed(length_m / M_PER_IN, 3)} in" if units == "us" else f"{trimmed(length_m * 1000.0, 2)} mm"


def filler_mass(mass_kg: float, units: System) -> str:
    """Filler metal of a weld: grams below a kilogram."""
    return nearest(mass_kg, "mass", units) if mass_kg >= 1.0 or units == "us" else f"{fixed(mass_kg * 1000.0, 0)} g"


def fixed(value: float, places: int = 3) -> str:
    """A bare number with so many decimal places; never "-0"."""
    text = f"{value:.{places}f}"
    return text if float(text) else text.removeprefix("-")


def trimmed(value: float, places: int) -> str:
    """A bare number with at most so many decimal places; never "-0"."""
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text
