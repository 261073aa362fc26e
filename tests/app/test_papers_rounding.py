"""A paper rounds its numbers in one module: loads that are allowed go down, everything else to the nearest."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from app.papers import rounding
from app.papers.rounding import (
    filler_mass,
    fixed,
    nearest,
    rounded_down,
    rounded_up,
    sizes_note,
    trimmed,
)
from engine.base.formatting import System
from engine.schema.nominals import SizeNames
from engine.shop.weld_list import largest_leg_m

PAPERS = Path(rounding.__file__).parent


@pytest.mark.parametrize("units", ["metric", "us"])
def test_an_allowed_load_is_never_printed_higher_than_it_is_and_one_to_lift_never_lower(units: str) -> None:
    kg_per_unit = {"metric": 1.0, "us": 0.45359237}[units]
    coarse_from, coarse = {"metric": (100, 5), "us": (200, 10)}[units]
    for mass_kg in (0.9, 74.0, 74.49, 74.51, 74.999, 1234.5678):
        step_kg = kg_per_unit * (coarse if mass_kg / kg_per_unit >= coarse_from else 1)
        printed = float(re.sub(r"[^\d.]", "", rounded_down(mass_kg, units)))
        assert mass_kg - step_kg < printed * kg_per_unit <= mass_kg
        printed = float(re.sub(r"[^\d.]", "", rounded_up(mass_kg, units)))
        assert mass_kg <= printed * kg_per_unit < mass_kg + step_kg


def test_any_other_number_goes_to_the_nearest() -> None:
    assert nearest(74.51, "kg", "metric") == "75 kg"
    assert nearest(1.234, "m", "metric") == "1.23 m"
    assert nearest(1.236, "m", "metric") == "1.24 m"


def test_what_is_not_known_is_said_and_not_rounded() -> None:
    assert nearest(None, "kg", "metric") == rounded_down(None, "us") == "not known"


INCH = 0.0254


def plain(words: Callable[..., str]) -> Callable[..., str]:
    """The same words with plain spaces: brackets are kept together by others."""
    return lambda *numbers: words(*numbers).replace("\u00a0", " ")


cut_length, from_to, size, sizes, stock_length, weld_leg, in_a_sentence = map(
    plain,
    (
        rounding.cut_length,
        rounding.from_to,
        rounding.size,
        rounding.sizes,
        rounding.stock_length,
        rounding.weld_leg,
        rounding.in_a_sentence,
    ),
)
MM_DESIGN, INCH_DESIGN = SizeNames("metric", ()), SizeNames("us", ())


def named(design: System, **lengths_mm: tuple[float, str]) -> SizeNames:
    return SizeNames(design, tuple((mm / 1000.0, name) for mm, name in lengths_mm.values()))


def test_lengths_to_cut_and_bores_that_are_worked_out_have_steps_of_their_own() -> None:
    assert cut_length(0.12345, MM_DESIGN, "metric") == "123.5 mm"
    assert cut_length(1.2, MM_DESIGN, "metric") == "1200 mm"
    assert cut_length(INCH * (12 + 3.0 / 16.0), INCH_DESIGN, "us") == "1 ft 3/16 in"
    assert cut_length(INCH * 94.377, INCH_DESIGN, "us") == "7 ft 10-3/8 in", "to 0.005 in: 94.375"
    assert cut_length(INCH * 94.382, INCH_DESIGN, "us") == "94.380 in"
    assert size(0.0205, MM_DESIGN, "metric") == size(0.0205049, MM_DESIGN, "metric") == "20.5 mm"
    assert size(INCH * 0.8146, INCH_DESIGN, "us") == "0.815 in"


def test_a_size_stands_as_it_was_entered_with_the_reader_s_unit_in_brackets() -> None:
    names = named(
        "metric", pin=(20.0, "20 mm"), bore=(7.9375, "5/16 in"), wall=(4.7752, "0.188 in"), far=(19.05, "3/4 in")
    )
    assert size(0.02, names, "metric") == "20 mm"
    assert size(0.02, names, "us") == "20 mm [0.787 in]"
    assert (size(0.0079375, names, "us"), size(0.0079375, names, "metric")) == ("5/16 in", "5/16 in [7.938 mm]")
    assert (size(0.0047752, names, "us"), size(0.0047752, names, "metric")) == ("0.188 in", "0.188 in [4.775 mm]")
    assert size(0.0127, names, "us") == "12.7 mm [1/2 in]", "a fraction where it is one, to 0.0002 in"
    assert size(0.025, names, "us") == "25 mm [0.984 in]", "63/64 is on no rule"
    assert cut_length(0.15, names, "us") == "150 mm [5.906 in]", "never 5-7/8, which loses 7.75 mm over ten pitches"


def test_sizes_of_one_part_share_a_unit_where_all_have_it() -> None:
    names = named("metric", side=(100.0, "100 mm"), wall=(6.35, "1/4 in"))
    assert sizes((0.1, 0.1, 0.0064), names, "metric") == "100 x 100 x 6.4 mm"
    assert sizes((0.1, 0.1, 0.0064), names, "us") == "100 x 100 x 6.4 mm [3.937 x 3.937 x 0.252 in]"
    assert sizes((0.1, 0.1, 0.00635), names, "metric") == "100 mm x 100 mm x 1/4 in [100 x 100 x 6.35 mm]"
    assert from_to(0.1, 0.25, names, "metric") == "100 - 250 mm"
    assert from_to(0.1, 0.25, names, "us") == "100 - 250 mm [3.937 - 9.843 in]"


@pytest.mark.parametrize(
    ("mm", "inches"),
    [(3, "1/8"), (4, "3/16"), (5, "1/4"), (6, "1/4"), (8, "3/8"), (10, "7/16"), (12, "1/2")],
)
def test_a_metric_leg_goes_up_to_the_next_sixteenth_of_an_inch(mm: float, inches: str) -> None:
    """The table of the build set's page: 5 mm as 3/16 in would take 4.75 % off the throat."""
    assert weld_leg(mm / 1000.0, MM_DESIGN, "us") == f"{mm} mm [{inches} in]"
    assert weld_leg(mm / 1000.0, MM_DESIGN, "metric") == f"{mm} mm"


@pytest.mark.parametrize(("inches", "mm"), [("1/8", 4), ("3/16", 5), ("1/4", 7), ("5/16", 8), ("3/8", 10), ("1/2", 13)])
def test_a_leg_in_inches_goes_up_to_the_next_millimetre(inches: str, mm: int) -> None:
    over, under = map(int, inches.split("/"))
    assert weld_leg(INCH * over / under, INCH_DESIGN, "metric") == f"{inches} in [{mm} mm]"
    assert weld_leg(INCH * over / under, INCH_DESIGN, "us") == f"{inches} in"


def test_a_leg_that_would_be_too_large_for_its_edge_stands_alone() -> None:
    """The largest leg on an edge: all of it under 1/4 in, else 1/16 in less (AISC 360 J2.2b)."""
    assert largest_leg_m(0.006) == 0.006
    assert largest_leg_m(0.010) == pytest.approx(0.0084125)
    assert weld_leg(0.006, MM_DESIGN, "us", largest_leg_m(0.008)) == "6 mm [1/4 in]", "6.35 of 6.41 mm"
    assert weld_leg(0.006, MM_DESIGN, "us", largest_leg_m(0.0079)) == "6 mm"


def test_a_bar_to_buy_is_called_by_the_foot_or_by_the_metre() -> None:
    assert (stock_length(6.096, "us"), stock_length(6.0, "metric")) == ("20 ft", "6000 mm")
    assert stock_length(1.2, "us") == "1200 mm [47.244 in]", "an offcut"


def test_a_sentence_names_a_size_and_rounds_no_wall_to_a_sixteenth() -> None:
    names = named("metric", pin=(20.0, "20 mm"))
    assert in_a_sentence(0.02, "part", names, "us") == in_a_sentence(0.02, "length", names, "us") == "20 mm [0.787 in]"
    assert in_a_sentence(0.005, "weld", names, "us") == "5 mm [1/4 in]"
    assert in_a_sentence(0.0055, "size", names, "us") == "0.217 in", "no part's size, and not 3/16"
    assert in_a_sentence(0.02, "size", names, "metric") == "", "shown as ever"
    assert in_a_sentence(20.0, "kg", names, "us") == "", "no length"


def test_the_head_says_which_unit_the_design_is_in_where_anything_stands_in_another() -> None:
    inches = named("metric", leg=(7.9375, "5/16 in"))
    assert sizes_note(MM_DESIGN, "metric") == sizes_note(INCH_DESIGN, "us") == ""
    assert sizes_note(MM_DESIGN, "us") == "Design unit mm. Inches in brackets are for reference."
    assert sizes_note(INCH_DESIGN, "metric") == "Design unit inch. Millimetres in brackets are for reference."
    assert sizes_note(inches, "metric") == "Design unit mm. Millimetres in brackets are for reference."


def test_filler_metal_is_in_grams_below_a_kilogram() -> None:
    assert filler_mass(0.4567, "metric") == "457 g"
    assert filler_mass(1.25, "metric") == "1.2 kg"


def test_nothing_is_printed_as_minus_zero() -> None:
    assert (fixed(-0.0001), fixed(-0.4, 0), trimmed(-0.004, 2)) == ("0.000", "0", "0")


def test_no_other_module_of_the_papers_rounds_a_number() -> None:
    """No format with decimal places, no ``round`` of a printed number and no ``show`` of the engine's elsewhere."""
    for path in sorted(PAPERS.glob("*.py")):
        if path.stem == "rounding":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FormattedValue):
                assert node.format_spec is None, f"{path.name}, line {node.lineno}: a number is formatted here"
            if isinstance(node, ast.ImportFrom) and node.module == "engine.base.formatting":
                names = {alias.name for alias in node.names}
                allowed = {"System", "fill", "M_PER_FT", "M_PER_IN"}
                assert names <= allowed, f"{path.name}, line {node.lineno}: {sorted(names)}"
            if isinstance(node, ast.Constant):
                assert node.value != "kg_down", f"{path.name}, line {node.lineno}: a load is rounded down here"
