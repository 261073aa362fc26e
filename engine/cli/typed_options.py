"""Numbers with their units among the words of a command line."""

from __future__ import annotations

from engine.base.errors import TailweightError
from engine.base.formatting import System
from engine.base.typed import ANY, NOUN, Range, read

EXAMPLES: dict[str, dict[System, str]] = {
    "length": {"metric": "2.4 m", "us": "8 ft 6 in"},
    "mass": {"metric": "150 kg", "us": "330 lb"},
}


def typed_number(name: str, text: str, kind: str, units: System, usual: Range = ANY) -> float:
    """A number over 0 in SI; a bare one is in the unit that a field would show.

    Raises
    ------
    TailweightError
        For a text that is no such number.
    """
    found = read(text, kind, units, usual)
    if found.value is None or not found.value > 0.0:
        raise TailweightError(name, f"{NOUN[kind]} such as {EXAMPLES[kind][units]}", repr(text), plain=found.why)
    return found.value
