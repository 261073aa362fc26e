"""A paper rounds its numbers in one module: loads that are allowed go down, everything else to the nearest."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from app.papers import rounding
from app.papers.rounding import cut_length, filler_mass, fine_length, fixed, nearest, rounded_down, rounded_up, trimmed

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


def test_lengths_to_cut_and_bores_have_steps_of_their_own() -> None:
    assert (cut_length(0.12345, "metric"), cut_length(1.2, "metric")) == ("123.5 mm", "1200 mm")
    assert cut_length(0.0254 * (12 + 3.0 / 16.0), "us") == "1 ft 3/16 in"
    assert (fine_length(0.0205, "metric"), fine_length(0.0205049, "metric")) == ("20.5 mm", "20.5 mm")
    assert fine_length(0.0254 * 0.8126, "us") == "0.813 in"


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
