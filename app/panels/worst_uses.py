"""Limits with their worst case beside them, as the panels show them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from engine.base.formatting import System, fill, show

if TYPE_CHECKING:
    from engine.rig.check import Check
    from engine.worst_case.verdict import Verdict


def worst_uses(verdict: Verdict) -> list[tuple[Check, float]]:
    """Each limit and each gap with its use in the worst case; NaN counts as used up."""
    return list(verdict.worst_uses)


def worst_uses_of_each(verdict: Verdict) -> list[tuple[Check, float]]:
    """The same for a list, where limits that do not govern count too."""
    return list(verdict.worst_uses_of_each)


def used_words(check: Check, use: float, units: System) -> str:
    """How much of a limit is used at worst; of a gap, what there is of it and what is wanted."""
    if check.of == "room":
        words = fill(check.words, check.shown_numbers, units)
        return words[:1].upper() + words[1:]
    return f"{show(use, 'use', units)} used in the worst case"
