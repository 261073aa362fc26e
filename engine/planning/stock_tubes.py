"""Tubes on the rack, and which pieces can be cut from them.

Every usable stretch of tube has a name of its own.  Tubes of one section and steel are one kind: they make the same
part, whichever is cut.  A rectangular tube may stand on edge or lie flat (`Standing`).
"""

from __future__ import annotations

import functools
from typing import NamedTuple

import msgspec

from engine.schema.model import Stock
from engine.schema.sections import RectTube, RoundTube
from engine.schema.steel import UNKNOWN
from engine.shop.cut_pieces import stock_key
from engine.shop.cutting_plan import Stretch, best_places, usable_section, usable_stretches


class Tube(msgspec.Struct, kw_only=True, frozen=True):
    """One stretch of tube on the rack; its section says what rust has taken of the wall."""

    name: str
    section: RectTube | RoundTube
    length_m: float
    steel: str = UNKNOWN


class Standing(NamedTuple):
    """A kind of tube as it stands in the rig: its index among the kinds, and the section that way up."""

    kind: int
    section: RectTube | RoundTube
    steel: str


class Kind(NamedTuple):
    """Tubes of one section and steel: their stretches with the bars they are of, as the cutting plan takes them."""

    section: RectTube | RoundTube
    steel: str
    stretches: tuple[Stretch, ...]
    names: tuple[str, ...]
    bars_m: tuple[float, ...]
    lines: tuple[int, ...]
    """The line of the rack that each stretch is of, from 0."""


def tubes_of(stock: tuple[Stock, ...]) -> tuple[Tube, ...]:
    """Every usable stretch of tube on the rack.

    Bars other than tubes, bent ones and stretches not to be used are left out, and of a rusty tube's wall some counts
    as lost, as in the cutting plan (``engine.shop.cutting_plan.usable_section``).
    """
    return tuple(
        Tube(name=name, section=kind.section, length_m=stretch.length_m, steel=kind.steel)
        for kind in Rack(stock, 0.0).kinds
        for name, stretch in zip(kind.names, kind.stretches, strict=True)
    )


class Rack:
    """The tubes of a rack by kind, and what can be cut from them with a kerf between two cuts."""

    def __init__(self, stock: tuple[Stock, ...], kerf_m: float) -> None:
        self.kerf_m = kerf_m
        self.kinds = _kinds(stock)
        self._places = functools.cache(self._places_of)

    def standings(self) -> tuple[Standing, ...]:
        """Every kind of tube each way it can stand; a square or round one has but one."""
        return tuple(
            Standing(index, section, kind.steel)
            for index, kind in enumerate(self.kinds)
            for section in _ways_up(kind.section)
        )

    def line_of(self, name: str) -> int:
        """The line of the rack, from 0, that a stretch is of."""
        lines = {own: line for kind in self.kinds for own, line in zip(kind.names, kind.lines, strict=True)}
        return lines[name]

    def places(self, cuts: tuple[tuple[int, float], ...]) -> tuple[str, ...] | None:
        """Name of the stretch that each piece, given by kind and length, is cut from; None where they do not fit.

        They begin the least length of bars, as in the cutting plan.
        """
        names: list[str] = [""] * len(cuts)
        for kind in {kind for kind, _ in cuts}:
            pieces = sorted((-length_m, number) for number, (of, length_m) in enumerate(cuts) if of == kind)
            places = self._places(kind, tuple(-length_m for length_m, _ in pieces))
            if places is None:
                return None
            for (_, number), place in zip(pieces, places, strict=True):
                names[number] = self.kinds[kind].names[place]
        return tuple(names)

    def _places_of(self, kind: int, lengths_m: tuple[float, ...]) -> tuple[int, ...] | None:
        tubes = self.kinds[kind]
        places = best_places(list(lengths_m), list(tubes.stretches), list(tubes.bars_m), self.kerf_m)
        return tuple(places) if max(places) < len(tubes.stretches) else None


def is_on_edge(section: RectTube | RoundTube) -> bool | None:
    """Whether a rectangular tube stands on edge, its deeper side upright; None of one that is as deep as wide."""
    if isinstance(section, RoundTube) or section.depth_m == section.width_m:
        return None
    return section.depth_m > section.width_m


def _ways_up(section: RectTube | RoundTube) -> tuple[RectTube | RoundTube, ...]:
    if is_on_edge(section) is None or isinstance(section, RoundTube):
        return (section,)
    return section, msgspec.structs.replace(section, width_m=section.depth_m, depth_m=section.width_m)


def _kinds(stock: tuple[Stock, ...]) -> tuple[Kind, ...]:
    """The kinds in the order of the rack; a rectangular tube is one kind whichever way up it is entered."""
    kinds: dict[tuple[object, ...], Kind] = {}
    names: set[str] = set()
    for line, bar in enumerate(stock, start=1):
        section = usable_section(bar.section, bar.condition)
        if not isinstance(section, RectTube | RoundTube):
            continue
        key = (stock_key(section), section.wall_known, section.wall_lost_m, bar.steel)
        kind = kinds.get(key) or Kind(_on_edge(section), bar.steel, (), (), (), ())
        for number in range(1, bar.count + 1):
            stretches = usable_stretches(bar, len(kind.bars_m))
            named = tuple(_name(bar, line, number, place, stretches, names) for place in range(len(stretches)))
            names |= set(named)
            kind = kind._replace(
                stretches=(*kind.stretches, *stretches),
                names=(*kind.names, *named),
                bars_m=(*kind.bars_m, bar.length_m),
                lines=(*kind.lines, *([line - 1] * len(stretches))),
            )
        kinds[key] = kind
    return tuple(kind for kind in kinds.values() if kind.stretches)


def _on_edge(section: RectTube | RoundTube) -> RectTube | RoundTube:
    """The section on edge, where it has an edge."""
    return max(_ways_up(section), key=lambda way: is_on_edge(way) or False)


def _name(bar: Stock, line: int, number: int, place: int, stretches: list[Stretch], taken: set[str]) -> str:
    name = f"{bar.name}, {number} of {bar.count}" if bar.count > 1 else bar.name
    name += f", stretch {place + 1}" if len(stretches) > 1 else ""
    return f"{name} (line {line})" if name in taken else name
