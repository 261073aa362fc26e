"""What a change of sizes does to the limits of a rig, remembered from where it was looked at before: for a sizing.

A larger tube lowers the uses of its limits by much the same shares whatever size a pin elsewhere has.  So a change that
was looked at once is foreseen at other sizes of the other parts, without a walk through the formulas.  What is foreseen
only chooses what is looked at: nothing is taken without a look at it.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Sequence
from typing import NamedTuple

from engine.planning.first_rig_catalogue import Choice


class Looked(NamedTuple):
    """A choice that was looked at: its weight, and its limits' uses by name."""

    choice: Choice
    weight_kg: float
    uses: dict[str, float]


Sizes = tuple[int, ...]
"""Sizes of some parts of a choice, in the order of their places."""


class Foreseen(NamedTuple):
    """What a choice is foreseen to come to, and how: from the same change or from another of the same part."""

    looked: Looked
    same_change: bool


class SizeEffects:
    """Choices that differ from one another in few parts, and what is foreseen from them.

    Parameters
    ----------
    sizes : sequence of sequences
        For each part the sizes it comes in: lengths (m) where they are numbers.
    """

    def __init__(self, sizes: Sequence[Sequence[object]]) -> None:
        self._sizes = sizes
        self._lines: dict[Sizes, OrderedDict[Choice, dict[Sizes, Looked]]] = {}
        """By the places that differ and by the choice but for these: what was looked at, by the sizes there."""

    def remember(self, before: Looked, after: Looked) -> None:
        """Two choices that differ in a few parts."""
        places = _differing(before.choice, after.choice)
        lines = self._lines.setdefault(places, OrderedDict())
        line = lines.setdefault(_but(before.choice, places), {})
        lines.move_to_end(_but(before.choice, places))
        for looked in (before, after):
            line[_at(looked.choice, places)] = looked

    def foreseen(self, before: Looked, choice: Choice) -> Foreseen | None:
        """What a choice comes to, from the newest look at the same change, else at another size of the same part."""
        places = _differing(before.choice, choice)
        was, now = _at(before.choice, places), _at(choice, places)
        lines = list(reversed(self._lines.get(places, OrderedDict[Choice, dict[Sizes, Looked]]()).values()))
        for line in lines:
            if was in line and now in line:
                return Foreseen(_changed(before, choice, line[was], line[now]), same_change=True)
        if len(places) == 1:
            for line in lines:
                nearest = min((at for at in line if at != was), key=lambda at: abs(at[0] - now[0]))
                share = self._share(places[0], was[0], nearest[0], now[0]) if was in line else math.nan
                if math.isfinite(share):
                    return Foreseen(_changed(before, choice, line[was], line[nearest], share), same_change=False)
        return None

    def _share(self, place: int, was: int, known: int, now: int) -> float:
        """How many times as far one size is from a second as a third is, as a ratio: uses go with a power of a size."""
        was_m, known_m, now_m = (_length_m(self._sizes[place][at]) for at in (was, known, now))
        return math.log(now_m / was_m) / math.log(known_m / was_m)


def _length_m(size: object) -> float:
    """A size that is a length; not a number for any other."""
    return size if isinstance(size, float) and size > 0.0 else math.nan


def _changed(before: Looked, choice: Choice, one: Looked, other: Looked, share: float = 1.0) -> Looked:
    """What changes as much, or so many times as much, as from one to the other."""
    uses = {name: _times(use, one.uses.get(name), other.uses.get(name), share) for name, use in before.uses.items()}
    return Looked(choice, before.weight_kg + share * (other.weight_kg - one.weight_kg), uses)


def _times(use: float, was: float | None, now: float | None, share: float) -> float:
    """A use that changes as it did before; as it came out then, where it had been nothing or had no number."""
    if was is None or now is None:
        return use
    ratio = now / was if was > 0.0 else math.nan
    return use * ratio**share if 0.0 < ratio < math.inf and math.isfinite(use) else now


def _differing(one: Choice, other: Choice) -> Sizes:
    return tuple(place for place, (a, b) in enumerate(zip(one, other, strict=True)) if a != b)


def _at(choice: Choice, places: Sizes) -> Sizes:
    return tuple(choice[place] for place in places)


def _but(choice: Choice, places: Sizes) -> Choice:
    return tuple(-1 if place in places else at for place, at in enumerate(choice))
