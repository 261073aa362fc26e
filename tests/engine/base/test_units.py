"""Typed text to SI and back, in both systems; what is not the wanted quantity is refused by name."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.base.errors import UnitError
from engine.base.formatting import feet_inches, fill, show
from engine.base.units import parse

IN, LB = 0.0254, 0.45359237


@pytest.mark.parametrize(
    ("text", "kind", "system", "si"),
    [
        ("2.6 m", "length", "metric", 2.6),
        ("2.6", "length", "metric", 2.6),
        ("2,6 m", "length", "metric", 2.6),
        ("340 mm", "length", "us", 0.340),
        ("34 cm", "length", "metric", 0.34),
        ("8 ft 6-1/2 in", "length", "metric", 102.5 * IN),
        ("8' 6-1/2\"", "length", "us", 102.5 * IN),
        ("8′ 6 1/2″", "length", "us", 102.5 * IN),
        ("8ft", "length", "us", 96 * IN),
        ("2 ft 6", "length", "us", 30 * IN),
        ("-3/4 in", "length", "us", -0.75 * IN),
        ("6-1/2", "length", "us", 6.5 * IN),
        ("1/2", "length", "us", 0.5 * IN),
        ("102.5", "length", "us", 102.5 * IN),
        ("\u22123 in", "length", "us", -3 * IN),
        ("300 lb", "mass", "metric", 300 * LB),
        ("300", "mass", "us", 300 * LB),
        ("136 kg", "mass", "us", 136.0),
        ("1\u202f136 kg", "mass", "metric", 1136.0),
        ("1.2 t", "mass", "metric", 1200.0),
        ("20 deg", "angle", "metric", math.radians(20)),
        ("20°", "angle", "us", math.radians(20)),
        ("0.1 rad", "angle", "metric", 0.1),
        ("4 %", "fall", "metric", 0.04),
        ("4", "fall", "us", 0.04),
        ("1 in 50", "fall", "metric", 0.02),
        ("1:50", "fall", "metric", 0.02),
        ("-1/50", "fall", "metric", -0.02),
        ("2.3 deg", "fall", "metric", math.tan(math.radians(2.3))),
        ("50 %", "share", "metric", 0.5),
        ("1.15", "ratio", "metric", 1.15),
        ("230 MPa", "stress", "us", 230e6),
        ("36 ksi", "stress", "metric", 36 * 6_894_757.293168361),
        ("3", "count", "metric", 3.0),
        ("5 km/h", "speed", "us", 5.0 / 3.6),
        ("5", "speed", "metric", 5.0 / 3.6),
        ("3", "speed", "us", 3 * 1609.344 / 3600),
        ("1,4 m/s", "speed", "metric", 1.4),
        ("1e-3 m", "length", "metric", 1e-3),
    ],
)
def test_what_people_type_is_understood(text: str, kind: str, system: str, si: float) -> None:
    assert parse(text, kind, system) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("", "length", "got nothing"),
        ("   ", "mass", "got nothing"),
        ("in", "length", "a length"),
        ('"', "length", "a length"),
        ("ft", "length", "a length"),
        ("300 kg", "length", "which is not a length"),
        ("2.6 m", "mass", "which is not a mass"),
        ("300 N", "mass", "which is not a mass"),
        ("4 %", "angle", "percentage"),
        ("5 kg", "fall", "which is not a fall"),
        ("abc", "length", "a length such as"),
        ("nan", "length", "a length such as"),
        ("inf m", "length", "a length such as"),
        ("1e999 m", "length", "1e999"),
        ("1/0 in", "length", "1/0"),
        ("1 in 0", "fall", "1 in 0"),
        ("3 furlongs", "length", "'furlongs' is not known"),
        ("1,200 kg", "mass", "without the comma"),
        ("2.6.1 m", "length", "a length such as"),
        ("2 m 3", "length", "a length such as"),
        ("3.5", "count", "a whole number"),
        ("--5 m", "length", "a length such as"),
        ("__import__('os')", "length", "a length such as"),
    ],
)
def test_what_is_not_the_wanted_quantity_is_refused_by_name(text: str, kind: str, says: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse(text, kind, "us", where="boom length")
    error = caught.value
    assert says in str(error)
    assert error.where == "boom length" and error.expected and error.got


@settings(max_examples=400)
@given(
    st.text(alphabet="0123456789.,-/'\" eE+ftinmkglb%°:()*^\u2212", max_size=14) | st.text(max_size=10),
    st.sampled_from(["length", "mass", "angle", "fall", "share", "ratio", "stress", "count"]),
    st.sampled_from(["metric", "us"]),
)
def test_any_text_is_a_finite_number_or_refused(text: str, kind: str, system: str) -> None:
    try:
        value = parse(text, kind, system)
    except UnitError as error:
        assert error.expected and error.got
    else:
        assert math.isfinite(value)


@given(st.floats(-40.0, 40.0), st.sampled_from(["metric", "us"]))
def test_a_length_as_an_entry_shows_it_can_be_typed_back(value_m: float, system: str) -> None:
    assert parse(show(value_m, "length", system), "length", system) == pytest.approx(
        value_m, abs=0.00051 if system == "metric" else IN / 31.9
    )


@given(st.floats(0.0, 20_000.0), st.sampled_from(["metric", "us"]))
def test_a_mass_as_an_entry_shows_it_can_be_typed_back(value_kg: float, system: str) -> None:
    assert parse(show(value_kg, "mass", system), "mass", system) == pytest.approx(value_kg, abs=0.051)


@given(st.floats(0.0, 1e6), st.sampled_from(["metric", "us"]))
def test_an_allowed_load_is_never_rounded_up(value_kg: float, system: str) -> None:
    shown = show(value_kg, "kg_down", system)
    assert parse(shown, "mass", system) <= value_kg * (1.0 + 1e-12)


@pytest.mark.parametrize(
    ("value_m", "text"),
    [
        (0.0, "0 in"),
        (102.5 * IN, "8 ft 6-1/2 in"),
        (8 * 12 * IN, "8 ft"),
        (0.5 * IN, "1/2 in"),
        (-3.0 * IN, "-3 in"),
        (11.99 * IN, "1 ft"),
        (-0.001 * IN, "0 in"),
    ],
)
def test_feet_and_inches_as_on_a_drawing(value_m: float, text: str) -> None:
    assert feet_inches(value_m) == text


@pytest.mark.parametrize(
    ("value", "kind", "metric", "us"),
    [
        (1234.4, "kg", "1\u202f234 kg", "2\u202f721 lb"),
        (999.9, "kg_down", "999 kg", "2\u202f204 lb"),
        (2.405, "m", "2.40 m", "7 ft 10-11/16 in"),
        (math.radians(-5.04), "deg", "-5.0°", "-5.0°"),
        (0.04, "fall", "4.0 %", "4.0 %"),
        (1355.8, "Nm", "1\u202f356 N·m", "1\u202f000 lbf-ft"),
        (math.nan, "kg", "not known", "not known"),
        (math.inf, "kg", "no limit", "no limit"),
        (-math.inf, "kg", "none", "none"),
        (-0.0001, "m", "0.00 m", "0 in"),
        (1.4, "speed", "5 km/h", "3.1 mph"),
        (1.4, "speed_down", "5 km/h", "3.1 mph"),
        (1.38, "speed_down", "4.9 km/h", "3 mph"),
    ],
)
def test_numbers_are_shown_with_their_unit(value: float, kind: str, metric: str, us: str) -> None:
    assert (show(value, kind, "metric"), show(value, kind, "us")) == (metric, us)


def test_templates_are_filled_in_the_persons_units_and_names_may_hold_brackets() -> None:
    words, numbers = (
        "{arm} at {turn:deg} carries {load:kg}",
        {"arm": "arm {2}", "turn": math.radians(20), "load": 100.0},
    )
    assert fill(words, numbers, "metric") == "arm {2} at 20.0° carries 100 kg"
    assert fill(words, numbers, "us") == "arm {2} at 20.0° carries 220 lb"
