"""Rounding of what is shown: allowed down, demand and use up, and two numbers side by side read as they are."""

from __future__ import annotations

import math
import random
import re
from fractions import Fraction
from pathlib import Path

import pytest

from engine.base import formatting, typed
from engine.base.formatting import KG_PER_LB, STEPS, Compared, System, compared, fill, nominal, show
from engine.base.typed import plain_text

PAIRS = 10_000
SYSTEMS = ("metric", "us")
SI_PER_UNIT = {
    "kg": 1.0,
    "lb": KG_PER_LB,
    "%": 0.01,
    "N": 1.0,
    "lbf": 4.4482216152605,
    "N·m": 1.0,
    "lbf-ft": 4.4482216152605 * 0.3048,
    "J": 1.0,
    "ft-lbf": 4.4482216152605 * 0.3048,
    "MPa": 1e6,
    "ksi": 6_894_757.293168361,
    "kg·m": 1.0,
    "lb-ft": KG_PER_LB * 0.3048,
    "km/h": 1.0 / 3.6,
    "mph": 0.44704,
    "m": 1.0,
    "mm": 0.001,
    "": 1.0,
}
"""By definition (NIST SP 811); inches are read as feet, inches and fractions below."""

EXACT = 1e-12
"""Relative; how nearly a text can be read back as a float."""


def read(text: str) -> float:
    """SI value of a text that the program shows, read without the program."""
    text = text.replace("\u202f", "")
    if text.endswith((" in", " ft")):
        sign, text = (-1, text[1:]) if text.startswith("-") else (1, text)
        feet = re.search(r"(\d+) ft", text)
        inches = re.search(r"(?:(\d+)-)?(\d+)(?:/(\d+))? in", text)
        total = Fraction(12 * int(feet[1]) if feet else 0)
        if inches:
            total += Fraction(inches[1] or 0) + Fraction(int(inches[2]), int(inches[3] or 1))
        return sign * float(total) * 0.0254
    number, _, unit = text.partition(" ")
    return float(number) * SI_PER_UNIT[unit]


def values(count: int) -> list[tuple[float, float]]:
    """Pairs of every size, half of them near each other: down to a unit in the last place, and equal."""
    draw = random.Random(20261130)
    pairs = []
    for _ in range(count):
        one = draw.choice((1e-3, 1.0, 1e2, 1e3, 1e4)) * draw.random()
        if draw.random() < 0.2:
            one = float(round(one))
        match draw.randrange(4):
            case 0:
                other = draw.choice((1e-3, 1.0, 1e2, 1e3, 1e4)) * draw.random()
            case 1:
                other = one * (1.0 + draw.choice((1e-2, 1e-4, 1e-7, 1e-10)) * (draw.random() - 0.5))
            case 2:
                other = math.nextafter(one, draw.choice((-math.inf, math.inf)))
            case _:
                other = one
        pairs.append((one, other))
    return pairs


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("kind", STEPS)
def test_what_is_allowed_never_rounds_up_and_what_is_demanded_never_down(kind: str, system: System) -> None:
    for value, _ in values(PAIRS):
        exact = EXACT * value + 1.1e-9  # a billionth of a unit is round-off: see NOTHING and ROOM_M
        assert read(show(value, f"{kind}_down", system)) <= value + exact, value
        assert read(show(value, f"{kind}_up", system)) >= value - exact, value


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_use_never_rounds_down_and_reads_over_exactly_where_it_is_over(system: System) -> None:
    for one, other in values(PAIRS):
        for use in (one, 1.0 + (one - other)):
            shown = read(show(use, "use", system)) if use <= 100.0 else 100.0
            assert shown >= min(use, 100.0) - EXACT * use - 1e-9
            assert (shown > 1.0) == (use > 1.0), use
    just_over = math.nextafter(1.0, 2.0)
    assert show(just_over, "use", system) == "101 %"
    assert show(1.0, "use", system) == "100 %"


@pytest.mark.parametrize(("use", "text"), [(1.002, "101 %"), (0.996, "100 %"), (0.07, "7 %"), (0.57, "57 %")])
def test_a_use_goes_up_to_whole_per_cent(use: float, text: str) -> None:
    """The first two are the examples of the rule; the others are whole per cents that floats miss when multiplied."""
    assert show(use, "use", "metric") == text


def test_a_use_without_end_is_not_called_without_a_limit() -> None:
    assert show(math.inf, "use", "metric") == "over 10\u202f000 %"


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("kind", STEPS)
def test_two_numbers_side_by_side_read_the_way_they_are(kind: str, system: System) -> None:
    for demand, allowed in values(PAIRS):
        over = demand > allowed
        first, second = compared(demand, allowed, over=over, kind=kind, system=system)
        if first.startswith("just over "):
            assert over and first == f"just over {second}"
        else:
            assert (read(first) > read(second)) == over, (demand, allowed, first, second)


def test_two_numbers_are_as_coarse_as_they_can_be() -> None:
    shown = compared(100.3, 412.9, over=False, kind="kg", system="metric")
    assert shown == ("101 kg", "412 kg")
    assert compared(100.3, 100.6, over=False, kind="kg", system="metric") == ("100.3 kg", "100.6 kg")
    assert compared(100.6, 100.3, over=True, kind="kg", system="metric") == ("101 kg", "100 kg")


def test_a_pair_in_a_sentence_is_rounded_together() -> None:
    numbers = {
        "hung": Compared(100.3, demand=100.3, allowed=100.6, over=False),
        "most": Compared(100.6, demand=100.3, allowed=100.6, over=False),
    }
    assert fill("{hung:kg} of {most:kg}", numbers, "metric") == "100.3 kg of 100.6 kg"
    assert fill("{hung}", numbers, "metric") == "100.3"


@pytest.mark.parametrize("pounds", [1, 3, 7, 300, 500, 1234, 19_999])
def test_whole_pounds_typed_are_the_same_pounds_shown(pounds: int) -> None:
    typed_kg = typed.read(f"{pounds} lb", "mass", "us").value
    both_kg = typed_kg + typed.read("12 lb", "mass", "us").value
    for way in ("kg", "kg_up", "kg_down"):
        assert read(show(typed_kg, way, "us")) == pytest.approx(pounds * KG_PER_LB, rel=EXACT)
        assert read(show(both_kg, way, "us")) == pytest.approx((pounds + 12) * KG_PER_LB, rel=EXACT)


@pytest.mark.parametrize(
    ("kg", "system", "down", "up"),
    [
        (99.4, "metric", "99 kg", "100 kg"),
        (100.0, "metric", "100 kg", "100 kg"),
        (187.6, "metric", "185 kg", "190 kg"),
        (199.2 * KG_PER_LB, "us", "199 lb", "200 lb"),
        (207.0 * KG_PER_LB, "us", "200 lb", "210 lb"),
    ],
)
def test_papers_have_whole_units_below_a_hundred_kilograms_and_fives_above(
    kg: float, system: System, down: str, up: str
) -> None:
    """In pounds whole ones below 200 lb and tens above, from the kilograms themselves."""
    assert (show(kg, "paper_kg_down", system), show(kg, "paper_kg_up", system)) == (down, up)


def test_what_round_off_leaves_of_nothing_is_nothing() -> None:
    assert show(1e-16, "use", "metric") == "0 %"
    assert show(-1e-13, "N_down", "metric") == "0 N"


def test_a_length_read_from_two_metres_has_no_fraction_of_an_inch() -> None:
    assert show(2.876, "afar", "us") == "9 ft 5 in"
    assert show(2.876, "afar", "metric") == show(2.876, "m", "metric")


@pytest.mark.parametrize(
    ("mm", "system", "text"),
    [
        (20.0, "us", "20 mm"),
        (7.9375, "us", "5/16 in"),
        (2.413, "us", "0.095 in"),
        (25.4, "us", "1 in"),
        (25.4, "metric", "25.4 mm"),
        (7.9375, "metric", "5/16 in"),
        (4.762, "metric", "3/16 in"),
        (6.3, "metric", "6.3 mm"),
    ],
)
def test_a_size_is_called_what_it_is_sold_as(mm: float, system: System, text: str) -> None:
    assert show(mm / 1000.0, "size", system) == text


def test_no_decimal_inch_is_taken_for_a_tenth_of_a_millimetre() -> None:
    named = {thou for thou in range(1, 6000) if nominal(thou * 0.0254 / 1000.0, "us")}
    assert named == set()


def test_pins_walls_and_legs_of_whole_millimetres_keep_their_name_in_us_sentences() -> None:
    """In sixteenths a 20 mm pin would be 13/16 in and a leg of 5 mm 3/16 in: one too large, the other too small."""
    words = "a {pin:part} pin in a wall of {wall:part}, welded with {leg:weld} legs"
    numbers = {"pin": 0.02, "wall": 0.00635, "leg": 0.005}
    assert fill(words, numbers, "us") == "a 0.787 in (20 mm) pin in a wall of 1/4 in, welded with 0.197 in (5 mm) legs"
    in_metric = "a 20 mm pin in a wall of 6.35 mm (1/4 in), welded with 5 mm legs"
    assert fill(words, numbers, "metric") == in_metric
    assert fill(words, numbers, "us", lambda value, kind: f"{kind}!" if kind == "weld" else "").endswith("weld! legs")


def test_no_sentence_of_the_strength_rounds_a_leg_to_sixteenths() -> None:
    strength = Path(formatting.__file__).parent.parent / "strength"
    for path in sorted(strength.glob("*.py")):
        assert not re.search(r"\{(leg|pin|wall|thick):length\}", path.read_text(encoding="utf-8")), path.name


@pytest.mark.parametrize(
    ("mm", "metric", "us"),
    [
        (2200.0, "2\u202f200 mm", "7 ft 2.614 in"),
        (3.25, "3.25 mm", "0.128 in"),
        (13.9, "13.9 mm", "0.547 in"),
        (83.333333, "83.3 mm", "3.281 in"),
        (2603.5, "2\u202f603.5 mm", "8 ft 6-1/2 in"),
        (2438.4, "2\u202f438.4 mm", "8 ft"),
        (-152.4, "-152.4 mm", "-6 in"),
    ],
)
def test_a_length_in_a_sentence_is_never_other_than_its_field_has_it(mm: float, metric: str, us: str) -> None:
    assert fill("{edge:length}", {"edge": mm / 1000.0}, "metric") == metric
    assert fill("{edge:length}", {"edge": mm / 1000.0}, "us") == us == plain_text(mm / 1000.0, "length", "us")
