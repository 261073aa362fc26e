"""The grammar of typed values: every form that people write, and what is asked back.

Values by hand from the definitions of the units: 1 in = 25.4 mm, 1 lb = 0.45359237 kg.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.formatting import System
from engine.base.typed import ANY, Range, echo_text, number_text, numbers_in, plain_text, read

BOOM = Range(0.3, 12.0)
SECTION = Range(0.020, 0.400)
WEIGHT = Range(1.0, 20_000.0)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("2400", 2.4),
        ("2 400", 2.4),
        ("2\u202f400", 2.4),
        ("2,400", 2.4),
        ("240 cm", 2.4),
        ("2.4 m", 2.4),
        ("2,4 m", 2.4),
        ("2400,5", 2.4005),
        ("1.070,5", 1.0705),
        ("1,070.5", 1.0705),
        ('94½"', 2.4003),
        ("94 1/2 in", 2.4003),
        ("8' 6\"", 2.5908),
        ("8’ 6”", 2.5908),
        ("8 ft 6-1/2 in", 2.6035),
        ("8' 6½”", 2.6035),
        ("8' 1/2\"", 2.4511),
        ("8ft", 2.4384),
        ("2500 thou", 0.0635),
        ("-340", None),
    ],
)
def test_a_length_in_a_field_of_millimetres(text: str, metres: float | None) -> None:
    reading = read(text, "length", "metric", BOOM if metres is None or metres > 0.3 else ANY)
    assert reading.value == (None if metres is None else pytest.approx(metres, rel=1e-12))


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("8-6", 2.5908),
        ("8' 6\"", 2.5908),
        ("8’ 6”", 2.5908),
        ("102", 2.5908),
        ("8-6-1/2", 2.6035),
        ("8-6 1/2", 2.6035),
        ("8 ft 6-1/2 in", 2.6035),
        ("8' 6½”", 2.6035),
        ("8′ 6½″", 2.6035),
        ("7-6", 2.286),
        ("2.4 m", 2.4),
        ("2400 mm", 2.4),
        ("1,200", 30.48),
    ],
)
def test_a_length_in_a_field_of_feet_and_inches(text: str, metres: float) -> None:
    assert read(text, "length", "us", Range(0.3, 40.0)).value == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("2.480", 0.062992),
        ("2.500", 0.0635),
        ("2½", 0.0635),
        ("2-1/2", 0.0635),
        ("2 1/2", 0.0635),
        ("2500 thou", 0.0635),
        ("63.5 mm", 0.0635),
    ],
)
def test_a_size_in_a_field_of_inches(text: str, metres: float) -> None:
    assert read(text, "size", "us", SECTION).value == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "system", "usual", "offers"),
    [
        ("36", "length", "metric", BOOM, [("36 cm", 0.36), ("36 in", 0.9144), ("36 ft", 10.9728)]),
        ("2.400", "length", "metric", BOOM, [("2.4 m", 2.4), ("2.4 ft", 0.73152)]),
        ("94 1/2", "length", "metric", BOOM, [("2\u202f400.3 mm", 2.4003)]),
        ("8", "length", "us", BOOM, [("8 ft", 2.4384), ("8 m", 8.0)]),
        ("64", "size", "us", SECTION, [("64 mm", 0.064)]),
        ("1,070", "mass", "metric", WEIGHT, [("1\u202f070 kg", 1070.0), ("1.07 kg", 1.07)]),
    ],
)
def test_what_is_not_sure_is_asked(
    text: str, kind: str, system: System, usual: Range, offers: list[tuple[str, float]]
) -> None:
    reading = read(text, kind, system, usual)
    assert reading.value is None
    assert reading.why
    assert [offer.text for offer in reading.offers] == [words for words, _ in offers]
    assert [offer.value for offer in reading.offers] == pytest.approx([value for _, value in offers])


def test_inches_of_twelve_and_more_after_feet_are_asked() -> None:
    reading = read("8 ft 14 in", "length", "us", BOOM)
    assert reading.value is None
    assert [offer.value for offer in reading.offers] == pytest.approx([2.794])


def test_a_us_window_takes_a_comma_for_thousands() -> None:
    assert read("1,070", "mass", "us", ANY).value == pytest.approx(1070 * 0.45359237)


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("0,3 t", 300.0),
        ("300 lb", 136.077711),
        ("300 lbs", 136.077711),
        ("136", 136.0),
        ("136 kg", 136.0),
        ("500 g", 0.5),
    ],
)
def test_a_weight(text: str, kg: float) -> None:
    assert read(text, "mass", "metric", ANY).value == pytest.approx(kg)


def test_a_ton_is_asked() -> None:
    reading = read("2 ton", "mass", "us", ANY)
    assert reading.value is None
    assert [offer.value for offer in reading.offers] == pytest.approx([2000.0, 1814.36948, 2032.0938176])


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("2", 0.02),
        ("2 %", 0.02),
        ("1:50", 0.02),
        ("1 in 50", 0.02),
        ("20 mm/m", 0.02),
        ('¼" per ft', 0.25 / 12.0),
        ("1/4 in per ft", 0.25 / 12.0),
        ("0.25 in/ft", 0.25 / 12.0),
        ("1.1°", 0.019201),
        ("1.1 deg", 0.019201),
        ("-1.5", -0.015),
    ],
)
def test_a_slope(text: str, share: float) -> None:
    assert read(text, "fall", "metric", ANY).value == pytest.approx(share, rel=3e-5)


def test_a_gauge_is_never_taken_silently() -> None:
    """11 ga: tube 0.120 in, sheet 0.1196 in; 14 ga: 0.083 and 0.0747 in."""
    for text, tube_mm, sheet_mm in (("11 ga", 3.048, 3.03784), ("14 gauge", 2.1082, 1.89738)):
        reading = read(text, "size", "us", Range(0.001, 0.025))
        assert reading.value is None
        assert [offer.value * 1000.0 for offer in reading.offers] == pytest.approx([tube_mm, sheet_mm])


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("", "length"),
        ("heavy", "mass"),
        ("3 kg", "length"),
        ("2 m", "mass"),
        ("1/0", "size"),
        ("2.5", "count"),
        ("1.2.3", "mass"),
        ("20 %", "angle"),
        ("1 in 0", "fall"),
        ("12,34,5", "mass"),
    ],
)
def test_what_makes_no_sense_is_refused_in_words(text: str, kind: str) -> None:
    reading = read(text, kind, "metric", ANY)
    assert reading.value is None and not reading.offers
    assert "Expected" in reading.why and not set("[]_") & set(reading.why)


@pytest.mark.parametrize(
    ("mm", "text"),
    [(62.992, "2.480"), (63.5, "2-1/2"), (100.0, "3.937"), (6.0, "0.236"), (6.35, "1/4"), (4.7625, "3/16")],
)
def test_a_size_in_inches_shows_what_is_stored(mm: float, text: str) -> None:
    assert number_text(mm / 1000.0, "size", "us") == text


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (2590.8, "8 ft 6"),
        (2603.5, "8 ft 6-1/2"),
        (2438.4, "8 ft 0"),
        (152.4, "6"),
        (2400.0, "7 ft 10.488"),
        (-76.2, "-3"),
    ],
)
def test_feet_and_inches_show_what_is_stored(mm: float, text: str) -> None:
    assert number_text(mm / 1000.0, "length", "us") == text


def test_a_unit_never_changes_with_the_size_of_the_value() -> None:
    assert plain_text(2.4, "length", "metric") == "2\u202f400 mm"
    assert plain_text(0.34, "length", "metric") == "340 mm"
    assert echo_text(2.5908, "length", "us") == "8 ft 6 in (2\u202f590.8 mm)"


@given(
    st.sampled_from(["size", "length", "mass", "angle", "fall", "share", "stress", "speed", "kgm"]),
    st.floats(-9000.0, 9000.0),
    st.sampled_from(["metric", "us"]),
)
def test_what_a_field_shows_reads_as_what_is_stored(kind: str, number: float, system: System) -> None:
    """To half of the last digit shown: a thousandth of the unit, of an inch too."""
    scale = {"mass": 1.0, "stress": 1e6, "angle": 1e-3, "fall": 1e-4, "share": 1e-3, "kgm": 1.0}.get(kind, 1e-3)
    value = number * scale
    step = {"size": 1.3e-5, "length": 1.3e-5, "mass": 5.1e-4, "stress": 4e3, "kgm": 5.1e-4, "speed": 3e-4}.get(
        kind, 1e-5
    )
    assert read(number_text(value, kind, system), kind, system, ANY).value == pytest.approx(value, abs=step)


@given(st.text(max_size=20), st.sampled_from(["size", "length", "mass", "fall", "angle", "count", "speed"]))
def test_any_text_is_read_or_refused(text: str, kind: str) -> None:
    reading = read(text, kind, "us", Range(0.1, 10.0))
    assert (reading.value is None) != (reading.why == "")
    assert reading.value is None or math.isfinite(reading.value)


def test_numbers_with_groups() -> None:
    assert numbers_in("1,070") == (1070.0, 1.07)
    assert numbers_in("0,300") == (0.3,)
    assert numbers_in("2.400") == (2400.0, 2.4) or numbers_in("2.400") == (2.4,)
    assert numbers_in("1 234 567") == (1234567.0,)
    assert numbers_in("1.070.500") == (1070500.0,)
