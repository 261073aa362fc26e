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
length to mark out or saw     to the nearest 0.1 mm or 1/16 in                         `cut_length`
bore, bar, play, hole         to the nearest 0.01 mm or 0.001 in                       `fine_length`
filler metal                  whole grams below a kilogram                             `filler_mass`
sum of the hand check         to the nearest, SI, a fixed number of places             `fixed`
============================  =======================================================  ==================

Figures of the pose itself come from `engine.explain.shown`, as in window, text and JSON.

The loads of placard and load chart are whole kilograms before they come here (`engine.planning.load_chart.whole_down`):
they are rounded down a second time.

The steps of `nearest` and `rounded_down` are those of the whole program (`engine.base.formatting`), so that a paper and
the window show the same figure. Numbers inside the engine's own sentences are rounded there as well.
"""

from __future__ import annotations

from engine.base.formatting import M_PER_IN, System, feet_inches, show

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


def cut_length(length_m: float, units: System) -> str:
    """A length to mark out or saw: to a tenth of a millimetre, or a sixteenth of an inch."""
    return feet_inches(length_m) if units == "us" else f"{trimmed(length_m * 1000.0, 1)} mm"


def fine_length(length_m: float, units: System) -> str:
    """A bore, a bar or a play: to a hundredth of a millimetre, or a thousandth of an inch."""
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
