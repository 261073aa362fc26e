"""Contrast of every colour that carries a meaning, on every ground it stands on (WCAG 2.2).

Source: W3C, Web Content Accessibility Guidelines 2.2, success criteria 1.4.3 (text 4.5:1) and 1.4.11 (graphics 3:1);
relative luminance as defined there.
"""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor

from app.look.theme import DARK, LIGHT, Palette

TEXT, GRAPHICS = 4.5, 3.0

BOTH = pytest.mark.parametrize("colours", [LIGHT, DARK], ids=lambda colours: colours.name)


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour, 0 to 1."""
    parts = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in QColor(colour).getRgbF()[:3]
    ]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(colour: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21."""
    light, dark = sorted((luminance(colour), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def too_low(pairs: list[tuple[str, str, str]], least: float) -> list[str]:
    ratios = [(name, contrast(colour, other)) for name, colour, other in pairs]
    return [f"{name}: {ratio:.2f}" for name, ratio in ratios if ratio < least]


def test_contrast_is_computed_as_the_guideline_says() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)
    assert contrast("#123456", "#123456") == pytest.approx(1.0)


@BOTH
def test_every_text_reads_on_every_ground_it_stands_on(colours: Palette) -> None:
    grounds = {"paper": colours.paper, "sheet": colours.sheet, "field": colours.field}
    texts = {name: getattr(colours, name) for name in ("ink", "faint_ink", "tipping", "gravity", "accent", "error")}
    pairs = [(f"{text} on {ground}", texts[text], grounds[ground]) for text in texts for ground in grounds]
    pairs += [
        ("caution", colours.warning_text, colours.warning_ground),
        ("chosen row", colours.ink, colours.grid_strong),
        ("chosen menu", colours.sheet, colours.accent),
        ("pressed button", colours.ink, colours.grid_strong),
    ]
    looks = {**colours.states, "no verdict yet": colours.no_verdict}
    pairs += [(f"state {name}", look.text, look.ground) for name, look in looks.items()]
    assert too_low(pairs, TEXT) == []


@BOTH
def test_every_line_and_edge_that_means_something_stands_out(colours: Palette) -> None:
    grounds = {"paper": colours.paper, "sheet": colours.sheet}
    lines = {
        name: getattr(colours, name)
        for name in ("ink", "faint_ink", "line", "held", "steel_edge", "handle", "tipping", "gravity", "focus", "error")
    }
    pairs = [(f"{line} on {ground}", lines[line], grounds[ground]) for line in lines for ground in grounds]
    pairs += [
        ("edge of an entry field", colours.line, colours.field),
        ("focus ring on a field", colours.focus, colours.field),
        ("edge on the truck", colours.faint_ink, colours.truck),
        ("edge on dark truck parts", colours.faint_ink, colours.truck_dark),
        ("edge on steel", colours.steel_edge, colours.steel),
        ("edge on an arm", colours.steel_edge, colours.arm),
        ("edge on the load", colours.ink, colours.load),
        ("handle on steel", colours.handle, colours.handle_ground),
    ]
    assert too_low(pairs, GRAPHICS) == []


@BOTH
def test_state_bars_stand_out_from_the_field_they_fill(colours: Palette) -> None:
    """A bar has its edge or its hatch in ink; its filling alone must not be what is read."""
    for name, look in colours.states.items():
        best = max(contrast(look.ground, colours.field), contrast(colours.ink, colours.field))
        assert best >= GRAPHICS, name
    assert len({look.hatch for look in colours.states.values()}) == len(colours.states)
