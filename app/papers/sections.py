"""Sections and sizes in words, as a rack, an order or a saw names them: all in millimetres, or in inches."""

from __future__ import annotations

from app.papers.paper import Matter
from engine.base.formatting import M_PER_IN, feet_inches
from engine.schema.sections import FlatBar, RectTube, RoundTube, Section, SolidRound


def size_words(about: Matter, value_m: float) -> str:
    """A length to mark out or saw: to a tenth of a millimetre, or a sixteenth of an inch."""
    return feet_inches(value_m) if about.units == "us" else f"{_plain(value_m * 1000.0, 1)} mm"


def fine_words(about: Matter, value_m: float) -> str:
    """A bore, a bar or a play: to a hundredth of a millimetre, or a thousandth of an inch."""
    return f"{_plain(value_m / M_PER_IN, 3)} in" if about.units == "us" else f"{_plain(value_m * 1000.0, 2)} mm"


def _plain(value: float, places: int) -> str:
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text


def section_words(about: Matter, section: Section) -> str:
    """Shape and sizes of a section, in the job's units."""
    match section:
        case RectTube():
            sizes, name = (section.width_m, section.depth_m, section.wall_m), "tube"
        case RoundTube():
            sizes, name = (section.diameter_m, section.wall_m), "round tube"
        case SolidRound():
            sizes, name = (section.diameter_m,), "round bar"
        case FlatBar():
            sizes, name = (section.width_m, section.depth_m), "flat"
    return f"{name} {' x '.join(_bare(about, size) for size in sizes)} {'in' if about.units == 'us' else 'mm'}"


def _bare(about: Matter, size_m: float) -> str:
    return fine_words(about, size_m).rpartition(" ")[0]
